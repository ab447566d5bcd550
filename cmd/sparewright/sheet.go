package main

import (
	"github.com/urfave/cli/v2"

	"sparewright/substitute/report/sheet"
)

// sheetCommand writes the build sheet: what to take, how to wind, wire and set up one build.
func sheetCommand(env *environment) *cli.Command {
	target := newTargetFlags()
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
			"sparewright sheet --chemistry li-ion --cells 4 --current 1A --reserved \"garden " +
			"pack\" -o build.html\n" +
			"sparewright sheet --chemistry li-ion --cells 4 --current 1A --demo --text",
		Flags: append(append(target.flags(), pick.flags()...),
			&cli.BoolFlag{Name: "text",
				Usage: "plain text, to standard output unless --output is given"},
			&cli.StringFlag{Name: "output", Aliases: []string{"o"},
				Usage: "write to `FILE`; - is standard output"},
			&cli.BoolFlag{Name: "force", Usage: "replace FILE when it exists"},
			drawersFlag(), demoFlag("take the build from the built-in drawer"), jsonFlag(),
		),
		Action: env.action(0, 0, func(c *cli.Context) error {
			return runSheet(env, c, target, pick)
		}),
	}
}

func runSheet(env *environment, c *cli.Context, flags *targetFlags, pick pickFlags) error {
	if err := checkSheet(c); err != nil {
		return err
	}
	p, err := env.pickedBuild(c, flags, pick, "no sheet")
	if err != nil {
		return err
	}
	s := sheet.NewSheet(p.target, p.build, p.cautions, p.snapshot)
	if c.Bool("json") {
		return env.json(s)
	}
	page, err := sheetContent(s, c.Bool("text"))
	if err != nil {
		return err
	}
	if name := c.String("output"); name != "" && name != "-" {
		if err := env.writeWhole(name, page, c.Bool("force")); err != nil {
			return err
		}
		env.note("wrote the sheet of build %d to %s", p.build.Rank, name)
		return nil
	}
	env.verbatim = !c.Bool("text")
	_, err = env.out.Write(page)
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
		return wrongCall("--output", "", "names no file")
	case c.Bool("json") && c.IsSet("output"):
		return wrongCall("--json", "", "goes to standard output; leave --output away")
	case c.Bool("json") && c.Bool("text"):
		return wrongCall("--json", "", "is another form than --text; give one of them")
	case !c.Bool("json") && !c.Bool("text") && c.String("output") == "":
		return wrongCall("sheet", "", "needs a file for the page; give -o FILE, or --text").
			try("sparewright sheet --chemistry li-ion --cells 4 --current 1A --demo -o build.html")
	}
	return nil
}
