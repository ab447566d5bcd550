package advise

import (
	"slices"

	"sparewright/catalog"
	"sparewright/catalog/complete"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/substitute"
)

// HandMeter is the error of an ordinary hand meter in its better ranges; common practice, no
// source.
const HandMeter si.Ratio = 0.005

// curing looks for what would make the answer of a workbench a yes.
type curing struct{ *Workbench }

// yes asks again for the best build that takes everything from the drawer.
func (w curing) yes(t substitute.Target) (*substitute.Build, bool) {
	r := w.Advise(t, Options{Builds: 1, Refused: 1, Drawer: true, Quiet: true})
	if !AnyFeasible(r.Builds) {
		return nil, false
	}
	return &r.Builds[0], true
}

// cures lists what makes the answer yes, the cheapest first: readings of lots, another case, a
// larger box, a smaller current: each was asked again with it. Then the purchases among the builds.
func (w curing) cures(t substitute.Target, builds []substitute.Build) []substitute.Cure {
	out := []substitute.Cure{}
	add := func(c substitute.Cure, ok bool) {
		if ok {
			out = append(out, c)
		}
	}
	if len(w.void()) == 0 { // else nothing is free
		add(w.byMeasuring(t))
		out = append(out, w.byHousing(t)...)
		add(w.byCurrent(t))
	}
	bought := map[int]bool{}
	for i := range builds {
		if n := builds[i].Score.Missing; n > 0 && !bought[n] && len(bought) < 2 {
			bought[n] = true
			out = append(out, substitute.Cure{Way: substitute.ByBuying,
				Buy: substitute.ToBuy(builds[i].Parts)})
		}
	}
	return out
}

// byHousing tries a vented case, a larger one, and where neither serves both.
func (w curing) byHousing(t substitute.Target) (out []substitute.Cure) {
	vented := t.Case == substitute.Sealed
	if vented {
		c := substitute.Cure{Way: substitute.ByCase, Case: substitute.Vented}
		if _, ok := w.yes(c.Apply(t)); ok {
			out = append(out, c)
		}
	}
	c := substitute.Cure{Way: substitute.ByBox}
	// the largest first: where it fails no other serves
	for _, by := range []si.Length{2, 1.5, 1.25} {
		larger := c
		larger.Box = enlarged(t.Box, by)
		if _, ok := w.yes(larger.Apply(t)); !ok {
			break
		}
		c = larger
	}
	if c.Box != nil {
		return append(out, c)
	}
	if len(out) == 0 && vented {
		c = substitute.Cure{Way: substitute.ByCase, Case: substitute.Vented,
			Box: enlarged(t.Box, 2)}
		if _, ok := w.yes(c.Apply(t)); ok {
			out = append(out, c)
		}
	}
	return out
}

// enlarged is a box with every edge longer.
func enlarged(b *substitute.Box, by si.Length) *substitute.Box {
	from := substitute.UsualBox
	if b != nil {
		from = *b
	}
	whole := func(l si.Length) si.Length { return si.Length(int(float64(l*by)*1e3+0.5)) / 1e3 }
	return &substitute.Box{Length: whole(from.Length), Width: whole(from.Width),
		Height: whole(from.Height)}
}

// byCurrent is the highest of the smaller currents at which the drawer alone serves. They are tried
// one after the other: a switcher may serve at a current and not at a smaller one, whose turns lie
// between its limits by less.
func (w curing) byCurrent(t substitute.Target) (substitute.Cure, bool) {
	for _, current := range lesser(t.Current) {
		c := substitute.Cure{Way: substitute.ByCurrent, Current: current}
		if _, ok := w.yes(c.Apply(t)); ok {
			return c, true
		}
	}
	return substitute.Cure{}, false
}

// readable are the figures whose printed spread a reading with a hand meter may narrow.
var readable = map[catalog.Kind]string{catalog.KindResistor: "resistance",
	catalog.KindReference: "vref", catalog.KindClamp: "breakdown"}

// byMeasuring tries what readings help, where each lot reads what is printed on it; of those it
// keeps the lots that the build takes, one kind of part less where that serves too.
func (w curing) byMeasuring(t substitute.Target) (substitute.Cure, bool) {
	all := map[int64]bool{}
	for _, l := range w.snapshot.Lots {
		all[l.ID] = true
	}
	b, ok := (curing{NewWorkbench(w.read(all))}).yes(t)
	if !ok {
		return substitute.Cure{}, false
	}
	taken := map[int64]bool{}
	for _, p := range b.Parts {
		taken[p.Lot] = true
	}
	if _, ok = (curing{NewWorkbench(w.read(taken))}).yes(t); !ok {
		return substitute.Cure{}, false
	}
	for _, k := range []catalog.Kind{catalog.KindClamp, catalog.KindReference,
		catalog.KindResistor} {
		fewer := map[int64]bool{}
		for _, l := range w.snapshot.Lots {
			fewer[l.ID] = taken[l.ID] && l.Part.Kind() != k
		}
		if _, ok = (curing{NewWorkbench(w.read(fewer))}).yes(t); ok {
			taken = fewer
		}
	}
	c := substitute.Cure{Way: substitute.ByMeasuring}
	for _, l := range w.snapshot.Lots {
		if _, helps := reading(l); helps && taken[l.ID] {
			c.Measure = append(c.Measure, substitute.LotReading{Lot: l.ID, Bin: l.Bin,
				Designation: l.Part.Designation(), Field: readable[l.Part.Kind()],
				Error: HandMeter})
		}
	}
	slices.SortFunc(c.Measure, func(a, b substitute.LotReading) int { return int(a.Lot - b.Lot) })
	return c, len(c.Measure) > 0
}

// read is the snapshot with the lots read, each as it is printed.
func (w curing) read(lots map[int64]bool) inventory.Snapshot {
	s := inventory.Snapshot{Lots: slices.Clone(w.snapshot.Lots)}
	for i := range s.Lots {
		if l := &s.Lots[i]; lots[l.ID] {
			if m, helps := reading(*l); helps {
				l.Measured = append(slices.Clip(l.Measured), m)
			}
		}
	}
	return s
}

// reading is what a hand meter reads of a lot that was not read before.
func reading(l inventory.Lot) (inventory.Measurement, bool) {
	field := readable[l.Part.Kind()]
	if field == "" || slices.ContainsFunc(l.Measured,
		func(m inventory.Measurement) bool { return m.Field == field }) {
		return inventory.Measurement{}, false
	}
	value := 0.0
	switch p := complete.Part(l.Part).(type) {
	case catalog.Resistor:
		value = float64(p.Resistance.Value)
		if p.Tolerance.Known() && p.Tolerance.Value <= HandMeter {
			return inventory.Measurement{}, false
		}
	case catalog.Reference:
		value = float64(p.Vref.Value)
	case catalog.Clamp:
		value = float64(p.Breakdown.Value)
	}
	return inventory.Measurement{Field: field, Value: value, Error: float64(HandMeter)}, value > 0
}
