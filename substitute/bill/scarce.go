package bill

import (
	"fmt"
	"strings"

	"sparewright/catalog"
	"sparewright/substitute"
	"sparewright/substitute/seats"
	"sparewright/substitute/stock"
)

// scarce names the parts of a build after which no other of their kind is left in the drawer: core,
// unopened transformer, adapter or switcher of that designation, and an output rectifier or pack
// switch when none is left that bears as much. What comes in dozens is left out.
func scarce(d *stock.Drawer, b *stock.Basket) []string {
	var out []string
	out = append(out, emptied(b, seats.Core, d.Cores, nil)...)
	out = append(out, emptied(b, seats.Adapter, d.Adapters, nil)...)
	out = append(out, emptied(b, seats.Transformer, d.Transformers, nil)...)
	out = append(out, emptied(b, seats.Switcher, d.Switchers, nil)...)
	out = append(out, emptied(b, seats.OutputRectifier, d.Rectifiers, asGoodRectifier)...)
	return append(out, emptied(b, seats.PackSwitch, d.Transistors, asGoodSwitch)...)
}

// emptied names the parts at a seat of whose stock the build leaves none, and nothing else that
// serves as well.
func emptied[P catalog.Part](b *stock.Basket, id seats.ID, all []stock.Stock[P],
	asGood func(part, other P) bool) []string {
	var out []string
	for i := range all {
		s := &all[i]
		if s.Buy || !b.Holds(id, s.Lots) || stock.Left(b, *s) >= 1 {
			continue
		}
		if asGood == nil || !left(b, s, all, asGood) {
			out = append(out, s.Name())
		}
	}
	return out
}

// left reports that a part is left that serves as well.
func left[P catalog.Part](b *stock.Basket, s *stock.Stock[P], all []stock.Stock[P],
	asGood func(part, other P) bool) bool {
	for i := range all {
		o := &all[i]
		if !o.Buy && stock.Left(b, *o) >= 1 && asGood(s.Part, o.Part) {
			return true
		}
	}
	return false
}

func asGoodRectifier(p, o catalog.Rectifier) bool {
	return o.Technology == p.Technology && o.Reverse.Value >= p.Reverse.Value &&
		o.Average.Value >= p.Average.Value
}

func asGoodSwitch(p, o catalog.Transistor) bool {
	return o.Drain.Value >= p.Drain.Value && o.OnHot.Known() && o.OnHot.Value <= p.OnHot.Value &&
		o.ThresholdMax.Value <= p.ThresholdMax.Value
}

// reasonOf says in one line why a build stands where it does: what leaves least, the steadiness of
// its loops, what it uses up.
func reasonOf(s substitute.Score, l substitute.LoopChoice) string {
	text := fmt.Sprintf("%.0f %% to the limit of %s; %.0f degrees of phase", 100*s.Margin,
		s.Binding,
		min(l.Voltage.Margin, l.Current.Margin))
	if s.Steps > 0 {
		text += "; a measured step"
	}
	if len(s.Scarce) > 0 {
		text += "; uses your only " + strings.Join(s.Scarce, " and ")
	}
	return text
}
