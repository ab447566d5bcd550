package advise

import (
	"math"
	"slices"

	"sparewright/catalog"
	"sparewright/substitute"
	"sparewright/substitute/seats"
	"sparewright/substitute/stage"
	"sparewright/substitute/stock"
)

// mostExplained is how many near misses are worked out in full.
const mostExplained = 3

// void names the shelves of which the drawer holds nothing at all that will do: without a purchase
// from each of them there is no charger, whatever else is bought.
func (w curing) void() (words []string) {
	d := w.drawer
	need := func(word string, held bool) {
		if !held {
			words = append(words, word)
		}
	}
	need("rectifier", slices.ContainsFunc(d.Rectifiers,
		func(s stock.Stock[catalog.Rectifier]) bool {
			return s.Part.Technology == "schottky" || s.Part.Technology == "ultrafast"
		}))
	need("clamp", slices.ContainsFunc(d.Clamps, func(s stock.Stock[catalog.Clamp]) bool {
		return s.Part.Breakdown.Value >= 60
	}))
	need("wire", len(d.Wires) > 0)
	need("core", len(d.Cores)+len(d.Transformers) > 0)
	need("switcher", len(d.Switchers) > 0)
	need("amplifier", slices.ContainsFunc(d.Amplifiers,
		func(s stock.Stock[catalog.Amplifier]) bool {
			return s.Part.Function == "dual" || s.Part.Function == "combined"
		}))
	need("optocoupler", slices.ContainsFunc(d.Optos,
		func(s stock.Stock[catalog.Optocoupler]) bool {
			return s.Part.Isolation.Value >= seats.IsolationLeast
		}))
	need("tape", slices.ContainsFunc(d.Films, func(s stock.Stock[catalog.Film]) bool {
		return s.Part.Form == "tape" && s.Part.Insulates == "yes"
	}))
	return words
}

// lifted is the workbench with the shelves of all that the drawer holds nothing of; itself where
// there is no such kind.
func (w curing) lifted() *Workbench {
	words := w.void()
	var added []stock.Shelf
	for _, s := range stock.Shelves {
		if slices.Contains(words, s.Word) {
			added = append(added, s)
		}
	}
	if len(added) == 0 {
		return w.Workbench
	}
	return w.Stocked(added...)
}

// nearMisses works out the nearest designs of a target that nothing in the drawer makes: every hard
// limit that each breaks and every place to fill, those of the regulation too, as if what the
// drawer holds nothing of had been bought.
func (w curing) nearMisses(t substitute.Target) []substitute.NearMiss {
	out := []substitute.NearMiss{}
	base := w.lifted()
	j := NewAttempt(base, t)
	found, still := j.Pairs()
	if len(found) == 0 {
		if wired := base.Networked(t, still); wired != nil {
			j = NewAttempt(wired, t)
			found, still = j.Pairs()
		}
	}
	for i := range found {
		out = append(out, j.missOf(&found[i]))
	}
	slices.SortStableFunc(out, func(a, b substitute.NearMiss) int {
		return len(a.Empty) - len(b.Empty)
	})
	SortRefusals(still)
	for _, r := range still {
		if len(out) >= mostExplained {
			break
		}
		if r.Switcher == "" || slices.ContainsFunc(out, func(n substitute.NearMiss) bool {
			return n.Switcher == r.Switcher && (r.Core == "" || n.Core == r.Core)
		}) {
			continue
		}
		if m, ok := j.Closest(r.Switcher, r.Core); ok {
			out = append(out, j.missOf(&m))
		}
	}
	return out[:min(mostExplained, len(out))]
}

// missOf writes a design out and keeps what is wrong with it.
func (a *Attempt) missOf(m *stage.Measured) substitute.NearMiss {
	b := a.Assemble(m)
	n := substitute.NearMiss{Switcher: m.V.Drive.Name, Core: b.Carrier(),
		Failing: []substitute.Check{}, Empty: []substitute.PartUse{}}
	for _, c := range b.Checks {
		if c.Hard && !c.Passed {
			n.Failing = append(n.Failing, finite(c))
		}
	}
	n.Empty = append(n.Empty, substitute.ToBuy(b.Parts)...)
	return n
}

// runaway is what stands for a value without end, times its limit.
const runaway = 1000

func finite(c substitute.Check) substitute.Check {
	if math.IsInf(c.Value, 0) || math.IsNaN(c.Value) {
		c.Value = runaway * c.Limit
	}
	if math.IsInf(c.Margin, 0) || math.IsNaN(c.Margin) {
		c.Margin = -runaway
	}
	return c
}
