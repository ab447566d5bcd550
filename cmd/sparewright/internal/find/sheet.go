package find

import (
	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/substitute/report/sheet"
)

// SheetCommand writes the build sheet: what to take, how to wind, wire and set up one build.
func SheetCommand(env *frame.Environment) *cli.Command {
	target := NewTargetFlags()
	pick := newPickFlags()
	return &cli.Command{
		Description: "Writes one build, as numbered by advise, as a page to print: parts with " +
			"their bins, winding card with the " +
			"window to scale, gap and inductance to measure, circuit, set-up with the readings " +
			"expected, faults, curves. The file needs " +
			"no network and is written whole or not at all. With --text it is plain text " +
			"without drawings.",
		UsageText: "sparewright sheet --chemistry li-ion --cells 4 --current 1A --pick 1 --demo " +
			"-o build.html\n" +
			"sparewright reserve --chemistry li-ion --cells 4 --current 1A --as " +
			"\"garden pack\" && " +
			"sparewright sheet --reserved \"garden pack\" -o build.html\n" +
			"sparewright sheet --chemistry li-ion --cells 4 --current 1A --demo --text",
		Flags: append(append(target.Flags(), pick.flags()...),
			&cli.BoolFlag{Name: "text",
				Usage: "plain text, to standard output unless --output is given"},
			&cli.StringFlag{Name: "output", Aliases: []string{"o"},
				Usage: "write to `FILE`; - is standard output"},
			&cli.BoolFlag{Name: "force", Usage: "replace FILE when it exists"},
			frame.DrawersFlag(), frame.DemoFlag("take the build from the built-in drawer"),
			frame.JSONFlag(),
		),
		Action: env.Action(0, 0, func(c *cli.Context) error {
			return runSheet(env, c, target, pick)
		}),
	}
}

func runSheet(env *frame.Environment, c *cli.Context, flags *TargetFlags, pick pickFlags) error {
	if err := checkSheet(c); err != nil {
		return err
	}
	p, err := pickedBuild(env, c, flags, pick, "no sheet")
	if err != nil {
		return err
	}
	s := sheet.NewSheet(p.target, p.build, p.cautions, p.snapshot)
	if c.Bool("json") {
		return env.JSON(s)
	}
	page, err := sheetContent(s, c.Bool("text"))
	if err != nil {
		return err
	}
	if name := c.String("output"); name != "" && name != "-" {
		if err := env.WriteWhole(name, page, c.Bool("force")); err != nil {
			return err
		}
		env.Note("wrote the sheet of build %d to %s", p.build.Rank, name)
		return nil
	}
	env.Verbatim = !c.Bool("text")
	_, err = env.Out.Write(page)
	return err
}

func sheetContent(s *sheet.Sheet, text bool) ([]byte, error) {
	if text {
		return []byte(s.Text()), nil
	}
	return s.HTML()
}

// checkSheet refuses options that mean nothing together.
func checkSheet(c *cli.Context) error {
	switch {
	case c.IsSet("output") && c.String("output") == "":
		return frame.WrongCall("--output", "", "names no file")
	case c.Bool("json") && c.IsSet("output"):
		return frame.WrongCall("--json", "", "goes to standard output; leave --output away")
	case c.Bool("json") && c.Bool("text"):
		return frame.WrongCall("--json", "", "is another form than --text; give one of them")
	case !c.Bool("json") && !c.Bool("text") && c.String("output") == "":
		return frame.WrongCall("sheet", "", "needs a file for the page; give -o FILE, or --text").
			Try("sparewright sheet --chemistry li-ion --cells 4 --current 1A --demo -o build.html")
	}
	return nil
}
