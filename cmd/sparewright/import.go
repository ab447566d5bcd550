package main

import (
	"errors"
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
		ArgsUsage: "FILE|-",
		Description: "Reads lots from a CSV file as export writes it, or from standard input. " +
			"Either every row is right and " +
			"goes in, or nothing changes and every fault is named with line and column. Rows add " +
			"to what is there; with " +
			"--replace the drawer holds afterwards exactly the lots of the file. A row of kind " +
			"donor says what a donor was, its " +
			"plate and state, in place of what was known of it.",
		UsageText: "sparewright import drawer.csv --dry-run\nsparewright import " +
			"drawer.csv --replace",
		Flags: append([]cli.Flag{
			&cli.BoolFlag{Name: "dry-run", Usage: "say what would happen and change nothing"},
			&cli.BoolFlag{Name: "replace",
				Usage: "make the drawer hold what the file says and nothing else"},
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
	Donors    int  `json:"donors"` // new or known otherwise
	DryRun    bool `json:"dry_run"`
}

func importLots(env *environment, c *cli.Context) error {
	if err := refuseDemo(c); err != nil {
		return err
	}
	read, err := env.readDrawer(c.Args().First())
	if err != nil {
		return err
	}
	tally, err := env.bringIn(c, read)
	if err != nil {
		return err
	}
	said := make([]string, len(read.Notes))
	for i, n := range read.Notes {
		said[i] = n.Error()
	}
	env.remarks(c, said)
	if c.Bool("json") {
		return env.json(importedJSON{len(read.Lots), tally.Added, tally.Changed, tally.Unchanged,
			tally.Emptied, tally.Donors,
			c.Bool("dry-run")})
	}
	rows := len(read.Lots) + len(read.Donors)
	opening := fmt.Sprintf("%d rows read: ", rows)
	if c.Bool("dry-run") {
		opening = fmt.Sprintf("nothing changed; %d rows would give: ", rows)
	}
	fmt.Fprintf(&env.out, "%s%d lots added, %d changed, %d unchanged, %d emptied\n", opening,
		tally.Added, tally.Changed, tally.Unchanged, tally.Emptied)
	if len(read.Donors) > 0 {
		fmt.Fprintf(&env.out, "%d donors described, %d of them new or changed\n",
			len(read.Donors), tally.Donors)
	}
	return nil
}

// bringIn imports, or previews with --dry-run. A preview for a drawer file that does not exist yet
// must not make it.
func (env *environment) bringIn(c *cli.Context,
	read exchange.Drawer) (tally sqlite.Imported, err error) {
	replace := c.Bool("replace")
	if !c.Bool("dry-run") {
		err = env.filling(c, func(s *sqlite.Store) error {
			tally, err = s.ImportWithDonors(env.ctx, read.Lots, read.Donors, replace, env.now())
			return env.namedRow(s, c, read, err)
		})
		return tally, err
	}
	path, err := env.drawersPath(c)
	if err != nil {
		return tally, err
	}
	if _, err := os.Stat(path); os.IsNotExist(err) {
		if err := tooLarge(nil, read, inputName(c.Args().First())); err != nil {
			return tally, err
		}
		return sqlite.Imported{Added: len(inventory.Coalesce(read.Lots)), Donors: len(read.Donors)},
			nil
	}
	err = env.reading(c, func(s *sqlite.Store) error {
		tally, err = s.PreviewWithDonors(env.ctx, read.Lots, read.Donors, replace)
		return env.namedRow(s, c, read, err)
	})
	return tally, err
}

// namedRow finds the row that makes a lot too large, which only their sum does; every other error
// passes.
func (env *environment) namedRow(s *sqlite.Store, c *cli.Context, read exchange.Drawer,
	err error) error {
	var data inventory.DataError
	if !errors.As(err, &data) {
		return err
	}
	var there []inventory.Lot
	if !c.Bool("replace") {
		snapshot, snapErr := s.Snapshot(env.ctx)
		if snapErr != nil {
			return snapErr
		}
		there = snapshot.Lots
	}
	if row := tooLarge(there, read, inputName(c.Args().First())); row != nil {
		return row
	}
	return err
}

// tooLarge is the first row of a file with which a lot would hold more than a lot can, nil for
// none.
func tooLarge(there []inventory.Lot, read exchange.Drawer, file string) error {
	sums := map[inventory.Identity]float64{}
	for _, l := range there {
		if _, seen := sums[l.Identity()]; !seen { // of equal lots the oldest grows
			sums[l.Identity()] = l.Count
		}
	}
	for i, l := range read.Lots {
		sum := inventory.RoundCount(sums[l.Identity()] + l.Count)
		if sum > inventory.MaxCount {
			return inventory.DataError{File: file, Line: read.Lines[i],
				Msg: fmt.Sprintf("%s %q: %s with what is there and the rows "+
					"above, more than a million; check the count", l.Part.Kind(),
					l.Part.Designation(),
					counted(sum, l.Unit()))}
		}
		sums[l.Identity()] = sum
	}
	return nil
}

// inputName is how messages name a file, or standard input.
func inputName(name string) string {
	if name == "-" {
		return "standard input"
	}
	return name
}

// readDrawer reads the file named in the call, or standard input for a dash.
func (env *environment) readDrawer(name string) (exchange.Drawer, error) {
	none := exchange.Drawer{}
	in := env.stdin
	if name != "-" {
		f, err := openPlain(name)
		if errors.Is(err, errNotPlain) {
			return none, badData("import", name,
				plainReason(err)).try("sparewright import - reads standard input")
		}
		if err != nil {
			return none, badData("import", name, plainReason(err))
		}
		defer f.Close()
		in = f
	} else if env.keyboard() {
		env.note("reading CSV from the keyboard; end with Ctrl-D")
	}
	read, faults := exchange.Read(in, inputName(name))
	if err := env.ctx.Err(); err != nil {
		return none, err
	}
	if err := faultsInFile(faults); err != nil {
		return none, err
	}
	return read, nil
}

// faultsInFile is everything wrong with a file of data as one error; nil for nothing.
func faultsInFile(faults []exchange.Fault) error {
	if len(faults) == 0 {
		return nil
	}
	list := &faultList{status: statusData}
	for _, f := range faults {
		list.faults = append(list.faults, f.Error())
	}
	return list
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
