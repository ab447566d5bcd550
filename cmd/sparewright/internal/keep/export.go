package keep

import (
	"bytes"

	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/inventory/exchange"
)

// ExportCommand writes the drawer as CSV.
func ExportCommand(env *frame.Environment) *cli.Command {
	return &cli.Command{
		Description: "Writes every lot as one row of CSV, and every donor of which something is " +
			"known, which import reads back. " +
			"Texts that a spreadsheet would take for a formula get a quote in front; import " +
			"removes it. A file is written whole or " +
			"not at all.",
		UsageText: "sparewright export --demo -o drawer.csv",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "output", Aliases: []string{"o"},
				Usage: "write to `FILE`, not to standard output"},
			&cli.BoolFlag{Name: "force", Usage: "replace FILE when it exists"},
			&cli.BoolFlag{Name: "raw",
				Usage: "write texts as they are, without the quote before formulas"},
			frame.DrawersFlag(), frame.DemoFlag("write the built-in drawer"),
		},
		Action: env.Action(0, 0, func(c *cli.Context) error { return export(env, c) }),
	}
}

func export(env *frame.Environment, c *cli.Context) error {
	target := c.String("output")
	if c.IsSet("output") && target == "" {
		return frame.WrongCall("--output", "", "names no file")
	}
	held, err := drawer.Contents(env, c)
	if err != nil {
		return err
	}
	if target == "" || target == "-" {
		env.Verbatim = true
		return exchange.Write(&env.Out, held, c.Bool("raw"))
	}
	var text bytes.Buffer
	if err := exchange.Write(&text, held, c.Bool("raw")); err != nil {
		return err
	}
	if err := env.WriteWhole(target, text.Bytes(), c.Bool("force")); err != nil {
		return err
	}
	env.Note("wrote %d lots to %s", len(held.Lots), target)
	return nil
}
