package main

import (
	"bytes"

	"github.com/urfave/cli/v2"

	"sparewright/inventory/exchange"
)

// exportCommand writes the drawer as CSV.
func exportCommand(env *environment) *cli.Command {
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
			drawersFlag(), demoFlag("write the built-in drawer"),
		},
		Action: env.action(0, 0, func(c *cli.Context) error { return export(env, c) }),
	}
}

func export(env *environment, c *cli.Context) error {
	target := c.String("output")
	if c.IsSet("output") && target == "" {
		return wrongCall("--output", "", "names no file")
	}
	drawer, err := env.drawer(c)
	if err != nil {
		return err
	}
	if target == "" || target == "-" {
		env.verbatim = true
		return exchange.Write(&env.out, drawer, c.Bool("raw"))
	}
	var text bytes.Buffer
	if err := exchange.Write(&text, drawer, c.Bool("raw")); err != nil {
		return err
	}
	if err := env.writeWhole(target, text.Bytes(), c.Bool("force")); err != nil {
		return err
	}
	env.note("wrote %d lots to %s", len(drawer.Lots), target)
	return nil
}
