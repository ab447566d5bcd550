package main

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/catalog"
	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/inventory/sqlite"
)

// conditionWords are the values of --condition.
var conditionWords = []string{string(inventory.New), string(inventory.Tested),
	string(inventory.Untested),
	string(inventory.Damaged)}

// putCommand puts parts into the drawer.
func putCommand(env *environment) *cli.Command {
	return &cli.Command{
		ArgsUsage: "KIND DESIGNATION [figure=value ...]",
		Description: "Puts parts into the drawer: their kind, what they are called, and what is " +
			"known of them. Figures are " +
			"explained by sparewright help KIND. An equal part in the same place, from the same " +
			"donor and in the same condition " +
			"joins the lot that is there. The drawer file is made when it is missing.",
		UsageText: "sparewright put resistor \"10k 1%\" resistance=10k tolerance=1% --count " +
			"20 --bin B4\n" +
			"sparewright put resistor 4k7 resistance=4k7 --measured resistance=4.683k+-0.2%\n" +
			"sparewright put wire \"0.3 mm\" insulation=enamelled diameter=0.3mm --count 12.5m",
		Flags: append([]cli.Flag{
			&cli.StringFlag{Name: "count",
				Usage: "`N` pieces (1 when not given) or metres such as 12.5m; some, " +
					"plenty for a guess"},
			&cli.StringFlag{Name: "bin", Usage: "`NAME` of the drawer or box they lie in"},
			&cli.StringFlag{Name: "donor", Usage: "`NAME` of the equipment they came out of"},
			&cli.GenericFlag{Name: "condition", Value: &choice{words: conditionWords},
				Usage: "`WORD`: new, tested, untested (when not given) or damaged"},
			&cli.StringFlag{Name: "note", Usage: "`TEXT` to remember"},
			&cli.GenericFlag{Name: "measured", Value: &texts{},
				Usage: "`FIGURE=VALUE` read on the bench, such as resistance=4.683k+-0.2%; " +
					"may be repeated"},
			&cli.StringFlag{Name: "reason", Usage: "`TEXT` that goes into the history"},
		}, writingFlags()...),
		Action: env.action(2, -1, func(c *cli.Context) error { return put(env, c) }),
	}
}

// storedJSON is what put prints with --json: the lot as it is now, and how much came in.
type storedJSON struct {
	Added   float64 `json:"added" figures:"entered"`
	Created bool    `json:"created"` // whether the drawer file was made
	exchange.LotJSON
}

func put(env *environment, c *cli.Context) error {
	if err := refuseDemo(c); err != nil {
		return err
	}
	lot, said, err := lotFromCall(c)
	if err != nil {
		return err
	}
	var after inventory.Lot
	var created bool
	err = env.filling(c, func(s *sqlite.Store) error {
		created = s.Created()
		ids, err := s.Put(env.ctx, []inventory.Lot{lot}, or(c.String("reason"), "put"), env.now())
		if err != nil {
			return err
		}
		after, err = s.Lot(env.ctx, ids[0])
		return err
	})
	if err != nil {
		return err
	}
	if c.Bool("json") {
		env.remarks(c, said)
		return env.json(storedJSON{lot.Count, created, exchange.LotDocument(after)})
	}
	sayStored(env, lot.Count, after, sameDrawers(c))
	env.remarks(c, said)
	return nil
}

// lotFromCall reads the lot the call describes, before anything is opened, and tells what was read
// otherwise than as it stands.
func lotFromCall(c *cli.Context) (inventory.Lot, []string, error) {
	words := c.Args().Slice()
	if err := noFigureForName(words[0], words[1]); err != nil {
		return inventory.Lot{}, nil, err
	}
	lot, said, faults := exchange.ParseLot(words[0], words[1], words[2:])
	if len(faults) > 0 {
		return lot, nil, callFaults(faults, "sparewright help "+or(knownKind(words[0]), "kinds"))
	}
	lot.Bin, lot.Donor, lot.Note = c.String("bin"), c.String("donor"), c.String("note")
	if condition := c.Generic("condition").(*choice); condition.given() {
		lot.Condition = inventory.Condition(condition.word)
	}
	for _, text := range *c.Generic("measured").(*texts) {
		m, err := exchange.ParseReading(lot.Part.Kind(), text)
		if err != nil {
			return lot, nil, wrongCall("--measured", text, withoutEcho(err.Error()))
		}
		lot.Measured = append(lot.Measured, m)
	}
	var err error
	if lot.Count, err = countFromCall(c, lot.Unit()); err != nil {
		return lot, nil, err
	}
	return lot, said, lot.Validate()
}

// noFigureForName refuses a figure where the designation stands, which would be lost in silence.
func noFigureForName(kind, designation string) error {
	field, _, is := strings.Cut(designation, "=")
	if _, known := catalog.FieldNamed(catalog.Kind(knownKind(kind)),
		strings.TrimSpace(field)); !is || !known {
		return nil
	}
	return wrongCall("designation", designation,
		"is a figure; first say what the part is called, then its figures")
}

// countFromCall reads --count. One piece needs no word; a length of wire is never a matter of
// course.
func countFromCall(c *cli.Context, unit inventory.Unit) (float64, error) {
	switch {
	case c.IsSet("count"):
		return inventory.ParseCount(c.String("count"), unit)
	case unit == inventory.Metres:
		return 0, wrongCall("--count", "", "missing; say how many metres, such as 12.5m")
	}
	return 1, nil
}

// knownKind returns the word when it is a kind.
func knownKind(word string) string {
	k, err := catalog.ParseKind(word)
	if err != nil {
		return ""
	}
	return string(k)
}

// callFaults tells what is wrong with a part that was typed in the call.
func callFaults(faults []exchange.Fault, hint string) error {
	list := &faultList{status: statusUsage, hint: hint}
	for _, f := range faults {
		list.faults = append(list.faults, f.Error())
	}
	return list
}

// sayStored prints what was understood, where it went and how to undo it.
func sayStored(env *environment, added float64, l inventory.Lot, drawers string) {
	what := string(l.Part.Kind()) + " " + quoted(l.Part.Designation())
	fmt.Fprintf(&env.out, "put in %s: %s\n", counted(added, l.Unit()), what)
	for _, v := range catalog.Describe(l.Part).Values {
		fmt.Fprintf(&env.out, "  %-18s %s\n", v.Field,
			ui.Safe(withBasis(figureText(l.Part.Kind(), v), v.Basis)))
	}
	for _, m := range l.Measured {
		fmt.Fprintf(&env.out, "  %-18s %s\n", "measured", ui.Safe(readingText(l.Part.Kind(), m)))
	}
	sayUnused(env, l.Part.Kind())
	place := ""
	if l.Bin != "" {
		place = " in bin " + quoted(l.Bin)
	}
	fmt.Fprintf(&env.out, "lot %d%s holds %s now (%s before)\n", l.ID, place,
		counted(l.Count, l.Unit()),
		counted(inventory.RoundCount(l.Count-added), l.Unit()))
	fmt.Fprintf(&env.out, "undo: sparewright take %d %s%s\n", l.ID, inventory.FormatCount(added),
		ui.Safe(drawers))
}

// sayUnused tells that parts of a kind are only kept.
func sayUnused(env *environment, k catalog.Kind) {
	if k.Unused() {
		fmt.Fprintf(&env.out, "no build uses %s yet: it is kept and found, nothing more\n",
			k.WithArticle())
	}
}

// withBasis adds how a figure is known, where that is not the usual way.
func withBasis(text string, b catalog.Basis) string {
	if b == catalog.Estimated || b == catalog.Assumed {
		return text + " (" + b.String() + ")"
	}
	return text
}

// readingText writes one reading for people.
func readingText(k catalog.Kind, m inventory.Measurement) string {
	f, ok := catalog.FieldNamed(k, m.Field)
	if !ok || !f.Numeric {
		return m.Field + " " + m.Text
	}
	return m.Field + " " + numberText(f, m.Value) + " " + within(m.Error)
}
