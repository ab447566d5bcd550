package keep

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/catalog"
	"sparewright/catalog/complete"
	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/inventory/sqlite"
)

// ShowCommand tells everything about one lot.
func ShowCommand(env *frame.Environment) *cli.Command {
	return &cli.Command{
		ArgsUsage: "LOT",
		Description: "Shows one lot: where it lies and came from, every figure of the part with " +
			"how it is known and where it " +
			"comes from, what was measured, and what went in and out. Figures that were not " +
			"given are filled in from the " +
			"built-in tables or with cautious stand-ins, as the search for builds does.",
		UsageText: "sparewright show 12 --demo\nsparewright show 12 --json --demo",
		Flags:     frame.ReadingFlags(),
		Action:    env.Action(1, 1, func(c *cli.Context) error { return show(env, c) }),
	}
}

func show(env *frame.Environment, c *cli.Context) error {
	id, err := drawer.LotNumber(c.Args().First())
	if err != nil {
		return err
	}
	lot, movements, err := lotWithHistory(env, c, id)
	if err != nil {
		return err
	}
	if c.Bool("json") {
		doc := exchange.LotDocument(lot)
		doc.Movements = exchange.MovementsDocument(movements)
		return env.JSON(doc)
	}
	screen := env.Screen(c)
	if screen.Terminal {
		title := fmt.Sprintf("lot %d: %s %s", lot.ID, lot.Part.Kind(),
			frame.Quoted(lot.Part.Designation()))
		fmt.Fprintln(&env.Out, screen.Bold(title))
	}
	for _, s := range lotSections(lot, movements, screen.Terminal) {
		if err := s.write(env, screen, c.Bool("header")); err != nil {
			return err
		}
	}
	return nil
}

// timeOnScreen is how people get to see a time, in that of their place.
const timeOnScreen = "2006-01-02 15:04"

// lotWithHistory reads one lot and its ledger. The built-in drawer has no ledger.
func lotWithHistory(env *frame.Environment, c *cli.Context, id int64) (inventory.Lot,
	[]inventory.Movement, error) {
	builtIn, err := drawer.Demo(c)
	if err != nil {
		return inventory.Lot{}, nil, err
	}
	if builtIn {
		lot, ok := exchange.Demo().Lot(id)
		if !ok {
			return lot, nil, inventory.NoLot{Lot: id}
		}
		return lot, nil, nil
	}
	var lot inventory.Lot
	var movements []inventory.Movement
	err = drawer.Reading(env, c, func(s *sqlite.Store) error {
		if lot, err = s.Lot(env.Ctx, id); err != nil {
			return err
		}
		movements, err = s.Movements(env.Ctx, id)
		return err
	})
	return lot, movements, err
}

// section is one part of what show prints. In a pipe every row begins with the word, so that the
// parts can be told apart.
type section struct {
	word  string
	table ui.Table
}

func (s section) write(env *frame.Environment, screen ui.Screen, header bool) error {
	if len(s.table.Rows) == 0 {
		return nil
	}
	if screen.Terminal {
		env.Out.WriteString("\n")
		return s.table.Write(&env.Out, screen, header)
	}
	t := ui.Table{Columns: append([]ui.Column{{Title: "SECTION"}}, s.table.Columns...)}
	for _, row := range s.table.Rows {
		t.Rows = append(t.Rows, append([]string{s.word}, row...))
	}
	return t.Write(&env.Out, screen, header)
}

// lotSections lays out what is known of a lot. On a terminal its name stands in the title line
// already.
func lotSections(l inventory.Lot, movements []inventory.Movement, titled bool) []section {
	return []section{{"lot", lotFacts(l, titled)}, {"figure", figureTable(l)},
		{"reading", readingTable(l)},
		{"movement", movementTable(l, movements)}}
}

// lotFacts says where the lot is and what state it is in.
func lotFacts(l inventory.Lot, titled bool) ui.Table {
	t := ui.Table{Columns: []ui.Column{{Title: "LOT"}, {Title: "VALUE", Shrink: 1}}}
	add := func(name, value string) {
		if value != "" {
			t.Rows = append(t.Rows, []string{name, value})
		}
	}
	if !titled {
		add("number", fmt.Sprint(l.ID))
		add("kind", string(l.Part.Kind()))
		add("designation", l.Part.Designation())
	}
	add("count", drawer.Counted(l.Count, l.Unit()))
	add("free", drawer.Counted(l.Available(), l.Unit()))
	if l.SetAside > 0 {
		add("set aside", drawer.Counted(l.SetAside, l.Unit()))
	}
	add("bin", l.Bin)
	add("condition", string(l.Condition))
	add("donor", l.Donor)
	add("note", l.Note)
	if l.Part.Kind().Unused() {
		add("use", "no build takes one yet")
	}
	return t
}

// figureTable lists every figure the search for builds will use, with its basis and origin.
func figureTable(l inventory.Lot) ui.Table {
	t := ui.Table{Columns: []ui.Column{{Title: "FIGURE"}, {Title: "VALUE"}, {Title: "BASIS"},
		{Title: "FROM", Shrink: 1}}}
	origin := originsOf(l.Part)
	for _, v := range catalog.Describe(complete.Part(inventory.Effective(l))).Values {
		t.Rows = append(t.Rows, []string{v.Field, drawer.FigureText(l.Part.Kind(), v),
			basisText(v), origin.of(v)})
	}
	return t
}

// origins tells where the figures of a part come from.
type origins struct {
	entered map[string]bool
	row     map[string]catalog.Value // the table row of the part
	source  string                   // the publication behind it
}

// originsOf looks the part up in the tables: a core by its shape, everything else by its
// designation.
func originsOf(p catalog.Part) origins {
	o := origins{map[string]bool{}, map[string]catalog.Value{}, "built-in tables"}
	for _, v := range catalog.Describe(p).Values {
		o.entered[v.Field] = true
	}
	name := p.Designation()
	if core, ok := p.(catalog.Core); ok {
		name = core.Shape
	}
	row, source, ok := catalog.Lookup(p.Kind(), name)
	if !ok {
		return o
	}
	for _, v := range catalog.Describe(row).Values {
		o.row[v.Field] = v
	}
	o.source = frame.Or(strings.Trim(source.Document+", "+source.Where, ", "), o.source)
	return o
}

// of names the origin of one figure. A figure that put took over from the table counts as from the
// table.
func (o origins) of(v catalog.Value) string {
	switch {
	case v.Basis == catalog.Measured:
		return "the bench"
	case o.entered[v.Field] && o.row[v.Field] != v:
		return "entered"
	case v.Basis == catalog.Assumed:
		return "cautious stand-in"
	}
	return o.source
}

// basisText is the word for how a figure is known; words have none.
func basisText(v catalog.Value) string {
	if !v.Numeric {
		return ""
	}
	return v.Basis.String()
}

// readingTable lists what was measured.
func readingTable(l inventory.Lot) ui.Table {
	t := ui.Table{Columns: []ui.Column{{Title: "MEASURED"}, {Title: "VALUE"}, {Title: "ERROR"},
		{Title: "TYPED"}}}
	for _, m := range l.Measured {
		value := m.Text
		if f, ok := catalog.FieldNamed(l.Part.Kind(), m.Field); ok && f.Numeric {
			value = drawer.NumberText(f, m.Value)
		}
		t.Rows = append(t.Rows, []string{m.Field, value, drawer.Within(m.Error), m.Text})
	}
	return t
}

// movementTable lists what went in and out, oldest first.
func movementTable(l inventory.Lot, movements []inventory.Movement) ui.Table {
	t := ui.Table{Columns: []ui.Column{{Title: "WHEN"}, {Title: "CHANGE", Number: true},
		{Title: "REASON", Shrink: 1}}}
	for _, m := range movements {
		t.Rows = append(t.Rows, []string{m.When.Local().Format(timeOnScreen),
			changeText(m, l), m.Reason})
	}
	return t
}
