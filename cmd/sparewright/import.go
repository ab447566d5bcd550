package main

import (
	"fmt"
	"os"

	"github.com/urfave/cli/v2"
	"golang.org/x/term"

	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/inventory/sqlite"
)

// importCommand reads lots from a CSV file into the drawer.
func importCommand(env *environment) *cli.Command {
	return &cli.Command{
		Name:      "import",
		Category:  groupDrawer,
		Usage:     "read lots from a CSV file",
		ArgsUsage: "FILE|-",
		Description: "Reads lots from a CSV file as export writes it, or from standard input. Either every row is right and " +
			"goes in, or nothing changes and every fault is named with line and column. Rows add to what is there; with " +
			"--replace the drawer holds afterwards exactly what the file says.",
		UsageText: "sparewright import drawer.csv --dry-run\nsparewright import drawer.csv --replace",
		Flags: append([]cli.Flag{
			&cli.BoolFlag{Name: "dry-run", Usage: "say what would happen and change nothing"},
			&cli.BoolFlag{Name: "replace", Usage: "make the drawer hold what the file says and nothing else"},
		}, writingFlags()...),
		Action: env.action(1, 1, func(c *cli.Context) error { return importLots(env, c) }),
	}
}

// importedJSON is what import prints with --json.
type importedJSON struct {
	Lots      int  `json:"lots"` // rows read
	Added     int  `json:"added"`
	Changed   int  `json:"changed"`
	Unchanged int  `json:"unchanged"`
	Emptied   int  `json:"emptied"`
	DryRun    bool `json:"dry_run"`
}

func importLots(env *environment, c *cli.Context) error {
	if err := refuseDemo(c); err != nil {
		return err
	}
	lots, err := env.readLots(c.Args().First())
	if err != nil {
		return err
	}
	tally, err := env.bringIn(c, lots)
	if err != nil {
		return err
	}
	if c.Bool("json") {
		return env.json(importedJSON{len(lots), tally.Added, tally.Changed, tally.Unchanged, tally.Emptied, c.Bool("dry-run")})
	}
	opening := fmt.Sprintf("%d rows read: ", len(lots))
	if c.Bool("dry-run") {
		opening = fmt.Sprintf("nothing changed; %d rows would give: ", len(lots))
	}
	fmt.Fprintf(&env.out, "%s%d lots added, %d changed, %d unchanged, %d emptied\n", opening,
		tally.Added, tally.Changed, tally.Unchanged, tally.Emptied)
	return nil
}

// bringIn imports, or previews with --dry-run. A preview for a drawer file that does not exist yet must not make it.
func (env *environment) bringIn(c *cli.Context, lots []inventory.Lot) (tally sqlite.Imported, err error) {
	replace := c.Bool("replace")
	if !c.Bool("dry-run") {
		err = env.filling(c, func(s *sqlite.Store) error {
			tally, err = s.Import(env.ctx, lots, replace, env.now())
			return err
		})
		return tally, err
	}
	path, err := env.drawersPath(c)
	if err != nil {
		return tally, err
	}
	if _, err := os.Stat(path); os.IsNotExist(err) {
		return sqlite.Imported{Added: len(inventory.Coalesce(lots))}, nil
	}
	err = env.reading(c, func(s *sqlite.Store) error {
		tally, err = s.Preview(env.ctx, lots, replace)
		return err
	})
	return tally, err
}

// readLots reads the file named in the call, or standard input for a dash.
func (env *environment) readLots(name string) ([]inventory.Lot, error) {
	in, label := env.stdin, "standard input"
	if name != "-" {
		f, err := os.Open(name)
		if err != nil {
			return nil, badData("import", name, plainReason(err))
		}
		defer f.Close()
		in, label = f, name
	} else if env.keyboard() {
		env.note("reading CSV from the keyboard; end with Ctrl-D")
	}
	lots, faults := exchange.ReadCSV(in, label)
	if err := env.ctx.Err(); err != nil {
		return nil, err
	}
	if len(faults) == 0 {
		return lots, nil
	}
	list := &faultList{status: statusData}
	for _, f := range faults {
		list.faults = append(list.faults, f.Error())
	}
	return nil, list
}

// keyboard reports whether standard input is a terminal.
func (env *environment) keyboard() bool {
	in, ok := env.stdin.(interruptible)
	if !ok {
		return false
	}
	f, ok := in.in.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}
