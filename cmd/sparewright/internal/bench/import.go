package bench

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/keep"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/inventory/sqlite"
)

// ImportCommand reads lots from a CSV file into the drawer.
func ImportCommand(env *frame.Environment) *cli.Command {
	return &cli.Command{
		ArgsUsage: "FILE|-",
		Description: "Reads lots from a CSV file as export writes it, or from standard input. " +
			"Either every row is right and " +
			"goes in, or nothing changes and every fault is named with its line. Rows add " +
			"to what is there; with " +
			"--replace the drawer holds afterwards exactly the lots of the file. A row of kind " +
			"donor says what a donor was, its " +
			"plate and state, in place of what was known of it. " +
			"Any other table is read with --map, which says which of its columns is taken as " +
			"what: designation (what is printed on " +
			"the part, read as bench reads it), kind, count, bin, donor, condition, note, or a " +
			"figure such as volts. Columns not " +
			"named are left out; several may be the designation, in the order of the table. " +
			"Semicolons and tabs between the " +
			"fields and decimal commas are found out and said. Look at --dry-run first: it shows " +
			"every row as it would go in.",
		UsageText: "sparewright import drawer.csv --dry-run\nsparewright import " +
			"drawer.csv --replace\n" +
			"sparewright import order.csv --map \"Description=designation,Qty=count\" --dry-run\n" +
			"sparewright import order.csv --map \"Value=designation,Qty=count\" --kind resistor",
		Flags: append([]cli.Flag{
			&cli.BoolFlag{Name: "dry-run", Usage: "say what would happen and change nothing"},
			&cli.GenericFlag{Name: "map", Value: &frame.Texts{},
				Usage: "`COLUMN=WORD,...`: what the columns of another table are taken as; " +
					"may be repeated"},
			&cli.StringFlag{Name: "kind", Usage: "with --map: `KIND` of rows that name none"},
			&cli.BoolFlag{Name: "replace",
				Usage: "make the drawer hold what the file says and nothing else"},
		}, frame.WritingFlags()...),
		Action: env.Action(1, 1, func(c *cli.Context) error { return importLots(env, c) }),
	}
}

// ImportedJSON is what import prints with --json.
type ImportedJSON struct {
	Lots      int  `json:"lots"` // rows read
	Added     int  `json:"added"`
	Changed   int  `json:"changed"`
	Unchanged int  `json:"unchanged"`
	Emptied   int  `json:"emptied"`
	Donors    int  `json:"donors"` // new or known otherwise
	DryRun    bool `json:"dry_run"`
}

func importLots(env *frame.Environment, c *cli.Context) error {
	if err := drawer.RefuseDemo(c); err != nil {
		return err
	}
	columns, err := mappingOf(c)
	if err != nil {
		return err
	}
	read, err := readDrawer(env, c.Args().First(), columns)
	if err != nil {
		return err
	}
	tally, err := bringIn(env, c, read)
	if err != nil {
		return err
	}
	said := make([]string, len(read.Notes))
	for i, n := range read.Notes {
		said[i] = n.Error()
	}
	env.Remarks(c, said)
	if c.Bool("json") {
		return env.JSON(ImportedJSON{len(read.Lots), tally.Added, tally.Changed, tally.Unchanged,
			tally.Emptied, tally.Donors,
			c.Bool("dry-run")})
	}
	if columns != nil && c.Bool("dry-run") {
		if err := columns.show(env, c, read); err != nil {
			return err
		}
	}
	rows := len(read.Lots) + len(read.Donors)
	opening := fmt.Sprintf("%d rows read: ", rows)
	if c.Bool("dry-run") {
		opening = fmt.Sprintf("nothing changed; %d rows would give: ", rows)
	}
	fmt.Fprintf(&env.Out, "%s%d lots added, %d changed, %d unchanged, %d emptied\n", opening,
		tally.Added, tally.Changed, tally.Unchanged, tally.Emptied)
	if len(read.Donors) > 0 {
		fmt.Fprintf(&env.Out, "%d donors described, %d of them new or changed\n",
			len(read.Donors), tally.Donors)
	}
	return nil
}

// bringIn imports, or previews with --dry-run. A preview for a drawer file that does not exist yet
// must not make it.
func bringIn(env *frame.Environment, c *cli.Context,
	read exchange.Drawer) (tally sqlite.Imported, err error) {
	replace := c.Bool("replace")
	if !c.Bool("dry-run") {
		err = drawer.Filling(env, c, func(s *sqlite.Store) error {
			tally, err = s.ImportWithDonors(env.Ctx, read.Lots, read.Donors, replace, env.Now())
			return namedRow(env, s, c, read, err)
		})
		return tally, err
	}
	path, err := drawer.DrawersPath(env, c)
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
	err = drawer.Reading(env, c, func(s *sqlite.Store) error {
		tally, err = s.PreviewWithDonors(env.Ctx, read.Lots, read.Donors, replace)
		return namedRow(env, s, c, read, err)
	})
	return tally, err
}

// namedRow finds the row that makes a lot too large, which only their sum does; every other error
// passes.
func namedRow(env *frame.Environment, s *sqlite.Store, c *cli.Context, read exchange.Drawer,
	err error) error {
	var data inventory.DataError
	if !errors.As(err, &data) {
		return err
	}
	var there []inventory.Lot
	if !c.Bool("replace") {
		snapshot, snapErr := s.Snapshot(env.Ctx)
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
					drawer.Counted(sum, l.Unit()))}
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
func readDrawer(env *frame.Environment, name string, columns *mapping) (exchange.Drawer, error) {
	none := exchange.Drawer{}
	in := env.Stdin
	if name != "-" {
		f, err := frame.OpenPlain(name)
		if errors.Is(err, frame.ErrNotPlain) {
			return none, frame.BadData("import", name,
				frame.PlainReason(err)).Try("sparewright import - reads standard input")
		}
		if err != nil {
			return none, frame.BadData("import", name, frame.PlainReason(err))
		}
		defer f.Close()
		in = f
	} else if keep.Keyboard(env) {
		env.Note("reading CSV from the keyboard; end with Ctrl-D")
	}
	if columns != nil {
		read, err := columns.read(in, inputName(name))
		if ended := env.Ctx.Err(); ended != nil {
			err = ended
		}
		return read, err
	}
	read, faults := exchange.Read(in, inputName(name))
	if err := env.Ctx.Err(); err != nil {
		return none, err
	}
	if err := hinted(keep.FaultsInFile(faults)); err != nil {
		return none, err
	}
	return read, nil
}

// hinted adds the way out for a table that another program or a shop wrote.
func hinted(err error) error {
	var list *frame.FaultList
	if errors.As(err, &list) && slices.ContainsFunc(list.Faults, func(f string) bool {
		return strings.Contains(f, ": column \"")
	}) {
		list.Hint = "for a table with other columns: sparewright import FILE --map " +
			"\"Description=designation,Qty=count\" --dry-run"
	}
	return err
}
