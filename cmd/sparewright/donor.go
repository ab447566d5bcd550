package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/inventory/sqlite"
)

// donorFacts are the options that record or alter a donor.
var donorFacts = []string{"was", "plate", "state", "note", "rename"}

// donorCommand records the equipment parts come out of, and shows what its plate says of them.
func donorCommand(env *environment) *cli.Command {
	return &cli.Command{
		ArgsUsage: "[NAME]",
		Description: "Without a name it lists the donors. With a name it shows one: what its " +
			"rating plate was understood to say, " +
			"what its parts were good for by the plate alone (at least figures), and all lots " +
			"pulled from it. With --was, --plate, " +
			"--state, --note or --rename it records the donor, or alters what is known of it; " +
			"what is not given stays as it is. " +
			"Figures by the plate are not written to any lot: it is for you to say that a part " +
			"lay in that place.",
		UsageText: "sparewright donor \"phone charger 7\" --plate \"100-240V~ 50/60Hz 0.5A, 5V " +
			"2A\" --state dead\n" +
			"sparewright donor --demo\n" +
			"sparewright donor \"router brick 12 V 1 A, no. 7\" --demo",
		Flags: append([]cli.Flag{
			&cli.StringFlag{Name: "was", Usage: "`TEXT` for what it was, such as phone charger"},
			&cli.StringFlag{Name: "plate",
				Usage: "`TEXT` of the rating plate, such as \"100-240V~ 50/60Hz 0.5A, 5V 2A\""},
			&cli.StringFlag{Name: "state",
				Usage: "`TEXT`: working, dead, or what was found broken"},
			&cli.StringFlag{Name: "note", Usage: "`TEXT` to remember"},
			&cli.StringFlag{Name: "rename", Usage: "give the donor the `NAME`; its lots keep it"},
		}, readingFlags()...),
		Action: env.action(0, 1, func(c *cli.Context) error { return donor(env, c) }),
	}
}

func donor(env *environment, c *cli.Context) error {
	change := slices.ContainsFunc(donorFacts, c.IsSet)
	switch name := c.Args().First(); {
	case !c.Args().Present() && change:
		return wrongCall("donor", "", "needs the NAME of the donor").try("sparewright help donor")
	case !c.Args().Present():
		return listDonors(env, c)
	case change:
		return recordDonor(env, c, name)
	default:
		return showDonor(env, c, name)
	}
}

// recordDonor writes what the call says of a donor and shows the donor as it is then.
func recordDonor(env *environment, c *cli.Context, name string) error {
	if err := refuseDemo(c); err != nil {
		return err
	}
	var change sqlite.DonorChange
	for option, to := range map[string]**string{"was": &change.Was, "plate": &change.Plate,
		"state": &change.State,
		"note":  &change.Note, "rename": &change.Name} {
		if c.IsSet(option) {
			text := c.String(option)
			*to = &text
		}
	}
	var d inventory.Donor
	var known bool
	var lots []inventory.Lot
	err := env.filling(c, func(s *sqlite.Store) (err error) {
		if d, known, err = s.EditDonor(env.ctx, name, change, env.now()); err != nil {
			return err
		}
		lots, err = s.LotsFrom(env.ctx, d.Name)
		return err
	})
	if err != nil {
		return err
	}
	if c.Bool("json") {
		return env.json(donorDocument(d, lots))
	}
	word := "recorded"
	if known {
		word = "changed"
	}
	fmt.Fprintf(&env.out, "%s donor %s\n", word, quoted(d.Name))
	if c.IsSet("plate") {
		fmt.Fprintln(&env.out, ui.Safe("plate: "+plateText(inventory.ParsePlate(d.Plate))))
	}
	return nil
}

// plateText says what of a plate was understood and what was not.
func plateText(p inventory.Plate) string {
	text := or(p.String(), "nothing understood; the text is kept")
	if len(p.Unread) > 0 {
		text += " (no place found for " + strings.Join(p.Unread, ", ") + ")"
	}
	return text
}

// donorCount is a donor with what was pulled from it.
type donorCount struct {
	inventory.Donor
	lots []inventory.Lot
}

func listDonors(env *environment, c *cli.Context) error {
	drawer, err := env.drawer(c)
	if err != nil {
		return err
	}
	list := countDonors(drawer)
	if c.Bool("json") {
		return env.json(donorsDocument(list))
	}
	if len(list) == 0 {
		env.note("no donor is known")
		return nil
	}
	t := ui.Table{Columns: []ui.Column{{Title: "DONOR"}, {Title: "WAS", Shrink: 2},
		{Title: "PLATE", Shrink: 2},
		{Title: "STATE", Shrink: 2}, {Title: "LOTS", Number: true}}}
	for _, d := range list {
		t.Rows = append(t.Rows, []string{d.Name, d.Was, d.Plate, d.State, fmt.Sprint(len(d.lots))})
	}
	return t.Write(&env.out, env.screen(c), c.Bool("header"))
}

// countDonors brings the lots in the drawer to their donors.
func countDonors(drawer exchange.Drawer) []donorCount {
	out := make([]donorCount, len(drawer.Donors))
	at := map[string]int{}
	for i, d := range drawer.Donors {
		out[i].Donor, at[d.Name] = d, i
	}
	for _, l := range drawer.Lots {
		if i, ok := at[l.Donor]; ok {
			out[i].lots = append(out[i].lots, l)
		}
	}
	return out
}

func showDonor(env *environment, c *cli.Context, name string) error {
	d, lots, err := env.donorWithLots(c, name)
	if err != nil {
		return err
	}
	if c.Bool("json") {
		return env.json(donorDocument(d, lots))
	}
	screen := env.screen(c)
	if screen.Terminal {
		fmt.Fprintln(&env.out, screen.Bold("donor "+quoted(d.Name)))
	}
	for _, s := range donorSections(d, lots, screen.Terminal) {
		if err := s.write(env, screen, c.Bool("header")); err != nil {
			return err
		}
	}
	return nil
}

// donorWithLots reads one donor and every lot that came out of it, emptied ones included where the
// ledger is kept.
func (env *environment) donorWithLots(c *cli.Context, name string) (inventory.Donor,
	[]inventory.Lot, error) {
	drawer, err := env.drawer(c)
	if err != nil {
		return inventory.Donor{}, nil, err
	}
	i := slices.IndexFunc(drawer.Donors, func(d inventory.Donor) bool { return d.Name == name })
	if i < 0 {
		return inventory.Donor{}, nil, noDonor(name, drawer.Donors)
	}
	if c.Bool("demo") {
		return drawer.Donors[i], countDonors(drawer)[i].lots, nil
	}
	var lots []inventory.Lot
	err = env.reading(c, func(s *sqlite.Store) (err error) {
		lots, err = s.LotsFrom(env.ctx, name)
		return err
	})
	return drawer.Donors[i], lots, err
}

// noDonor refuses a name with those it may have meant.
func noDonor(name string, known []inventory.Donor) error {
	names := make([]string, len(known))
	for i, d := range known {
		names[i] = d.Name
	}
	return wrongCall("donor", name, "no such donor"+didYouMean("", name, names)+
		"; --was, --plate, --state or --note records one").
		try("sparewright donor")
}

// donorSections lays out what is known of a donor.
func donorSections(d inventory.Donor, lots []inventory.Lot, titled bool) []section {
	p := inventory.ParsePlate(d.Plate)
	return []section{{"donor", donorTable(d, p, titled)}, {"at least", boundTable(p)},
		{"lot", pulledTable(lots)},
		{"offer", offerTable(p, lots)}}
}

func donorTable(d inventory.Donor, p inventory.Plate, titled bool) ui.Table {
	t := ui.Table{Columns: []ui.Column{{Title: "DONOR"}, {Title: "VALUE", Shrink: 1}}}
	add := func(name, value string) {
		if value != "" {
			t.Rows = append(t.Rows, []string{name, value})
		}
	}
	if !titled {
		add("name", d.Name)
	}
	add("was", d.Was)
	add("plate", d.Plate)
	for _, line := range p.Lines() {
		add("understood", line)
	}
	add("no place", strings.Join(p.Unread, ", "))
	add("state", d.State)
	add("note", d.Note)
	return t
}

// basisPlate is how every bound is known.
const basisPlate = "the plate"

func boundTable(p inventory.Plate) ui.Table {
	t := ui.Table{Columns: []ui.Column{{Title: "PLACE"}, {Title: "FIGURE"}, {Title: "AT LEAST"},
		{Title: "BASIS"},
		{Title: "BECAUSE IT", Shrink: 1}}}
	for _, b := range p.Bounds() {
		t.Rows = append(t.Rows, []string{b.Place, or(b.Field, "power"), b.Text(),
			basisPlate, b.Why})
	}
	return t
}

// pulledTable lists the lots of a donor; emptied ones hold 0.
func pulledTable(lots []inventory.Lot) ui.Table {
	t := ui.Table{Columns: []ui.Column{{Title: "LOT", Number: true}, {Title: "KIND"},
		{Title: "DESIGNATION", Shrink: 1},
		{Title: "COUNT", Number: true}, {Title: "BIN", Shrink: 1}, {Title: "CONDITION"}}}
	for _, l := range lots {
		t.Rows = append(t.Rows, []string{fmt.Sprint(l.ID), string(l.Part.Kind()),
			l.Part.Designation(),
			counted(l.Count, l.Unit()), l.Bin, string(l.Condition)})
	}
	return t
}

// offerTable lists what the plate offers for figures nobody knows of a lot.
func offerTable(p inventory.Plate, lots []inventory.Lot) ui.Table {
	t := ui.Table{Columns: []ui.Column{{Title: "LOT", Number: true}, {Title: "NOT KNOWN"},
		{Title: "AT LEAST"}, {Title: "BASIS"},
		{Title: "IF IT WAS THE", Shrink: 1}}}
	for _, o := range p.Offers(lots) {
		t.Rows = append(t.Rows, []string{fmt.Sprint(o.Lot), o.Field, o.Text(), basisPlate, o.Place})
	}
	return t
}
