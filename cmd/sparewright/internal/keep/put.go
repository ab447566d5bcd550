package keep

import (
	"fmt"

	"sparewright/catalog"
	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
)

// ConditionWords are the values of --condition.
var ConditionWords = []string{string(inventory.New), string(inventory.Tested),
	string(inventory.Untested),
	string(inventory.Damaged)}

// StoredJSON is what put prints with --json: the lot as it is now, and how much came in.
type StoredJSON struct {
	Added   float64 `json:"added" figures:"entered"`
	Created bool    `json:"created"` // whether the drawer file was made
	exchange.LotJSON
}

// CallFaults tells what is wrong with a part that was typed in the call.
func CallFaults(faults []exchange.Fault, hint string) error {
	list := &frame.FaultList{Status: frame.StatusUsage, Hint: hint}
	for _, f := range faults {
		list.Faults = append(list.Faults, f.Error())
	}
	return list
}

// SayStored prints what was understood, where it went and how to undo it.
func SayStored(env *frame.Environment, added float64, l inventory.Lot, drawers string) {
	what := string(l.Part.Kind()) + " " + frame.Quoted(l.Part.Designation())
	fmt.Fprintf(&env.Out, "put in %s: %s\n", drawer.Counted(added, l.Unit()), what)
	for _, v := range catalog.Describe(l.Part).Values {
		fmt.Fprintf(&env.Out, "  %-18s %s\n", v.Field,
			ui.Safe(WithBasis(drawer.FigureText(l.Part.Kind(), v), v.Basis)))
	}
	for _, m := range l.Measured {
		fmt.Fprintf(&env.Out, "  %-18s %s\n", "measured", ui.Safe(ReadingText(l.Part.Kind(), m)))
	}
	sayUnused(env, l.Part.Kind())
	place := ""
	if l.Bin != "" {
		place = " in bin " + frame.Quoted(l.Bin)
	}
	fmt.Fprintf(&env.Out, "lot %d%s holds %s now (%s before)\n", l.ID, place,
		drawer.Counted(l.Count, l.Unit()),
		drawer.Counted(inventory.RoundCount(l.Count-added), l.Unit()))
	fmt.Fprintf(&env.Out, "undo: sparewright take %d %s%s\n", l.ID, inventory.FormatCount(added),
		ui.Safe(drawers))
}

// sayUnused tells that parts of a kind are only kept.
func sayUnused(env *frame.Environment, k catalog.Kind) {
	if k.Unused() {
		fmt.Fprintf(&env.Out, "no build uses %s yet: it is kept and found, nothing more\n",
			k.WithArticle())
	}
}

// WithBasis adds how a figure is known, where that is not the usual way.
func WithBasis(text string, b catalog.Basis) string {
	if b == catalog.Estimated || b == catalog.Assumed {
		return text + " (" + b.String() + ")"
	}
	return text
}

// ReadingText writes one reading for people.
func ReadingText(k catalog.Kind, m inventory.Measurement) string {
	f, ok := catalog.FieldNamed(k, m.Field)
	if !ok || !f.Numeric {
		return m.Field + " " + m.Text
	}
	return m.Field + " " + drawer.NumberText(f, m.Value) + " " + drawer.Within(m.Error)
}
