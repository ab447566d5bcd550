package regulation

import (
	"cmp"
	"math"
	"slices"

	"sparewright/catalog/si"
	"sparewright/substitute/regulation/resistors"
)

// HandMeter is the error of an ordinary hand meter on a direct voltage, either way (common
// practice, no source: 0.5 % of the reading is what such meters are sold with).
const HandMeter si.Ratio = 0.005

// MeasuredSpec is a voltage divider that is finished by a measurement: of ordinary resistors it
// holds no pack limit and the set point both, but one resistor across its bottom leg, named by what
// the meter reads at the output, brings the voltage up to where it belongs.
type MeasuredSpec struct {
	VoltageSpec
	Least si.Voltage // lowest voltage that charges well enough
	Meter si.Ratio   // error of the meter, either way
	Drift si.Ratio   // of the reference, from the bench to the hottest case
	Warm  si.Kelvin  // by which the resistors get warmer than on the bench
}

// MeasuredStep is that measurement. All voltages are at the output with no pack on it.
type MeasuredStep struct {
	// Before the resistor is in, over all corners, drift and heat included: never above Absolute,
	// so that a step that is forgotten charges too little.
	Before si.Interval[si.Voltage]
	// Accept is what the meter has to read in the end: its error, drift and heat leave the voltage
	// below Absolute.
	Accept  si.Interval[si.Voltage]
	Meter   si.Ratio
	Choices []SetChoice // of which one goes in, rising; for every reading there is one
	rise    float64     // V ohm: what a resistor raises the output by, times its value
	spread  si.Ratio    // of that rise without the resistor's own tolerance, either way
}

// SetChoice is a resistor, or two of the stock that make it, that goes across the bottom leg when
// the meter read From to To without it.
type SetChoice struct {
	resistors.Network
	From, To si.Voltage
}

// Lies reports that a reading needs no resistor or no other one.
func (s *MeasuredStep) Lies(reading si.Voltage) bool {
	return reading >= s.Accept.Low && reading <= s.Accept.High
}

// Name is what goes across the bottom leg after a reading without it, and what the same meter will
// then read; false where the reading is accepted as it is, or none helps.
func (s *MeasuredStep) Name(reading si.Voltage) (SetChoice, si.Interval[si.Voltage], bool) {
	for _, c := range s.Choices {
		if !s.Lies(reading) && reading >= c.From && reading <= c.To {
			low, high := s.after(float64(reading), float64(c.Ohm), float64(c.Tolerance))
			return c, si.Interval[si.Voltage]{Low: si.Voltage(low), High: si.Voltage(high)}, true
		}
	}
	return SetChoice{}, si.Interval[si.Voltage]{}, false
}

// after is what the same meter reads with a resistor in, from what it read before: the error of the
// meter is in both, what the resistor adds is known to the tolerances of the parts.
func (s *MeasuredStep) after(reading, ohm, tolerance float64) (low, high float64) {
	add, off := s.rise/ohm, float64(s.spread)+tolerance
	return reading + add*(1-off), reading + add*(1+off)
}

// serves is the span of readings before for which a leg brings the output to where it is accepted;
// empty where it adds too much.
func (s *MeasuredStep) serves(l *resistors.Leg) (from, to float64) {
	low, high := s.after(0, l.Nom, max(l.Hi/l.Nom-1, 1-l.Lo/l.Nom))
	return float64(s.Accept.Low) - low, float64(s.Accept.High) - high
}

// Uses lists the resistors that have to be at hand, whichever goes in; of nil there are none.
func (s *MeasuredStep) Uses() (uses []resistors.Use) {
	if s == nil {
		return nil
	}
	for _, c := range s.Choices {
		for _, u := range c.Network.Uses() {
			at := slices.IndexFunc(uses, func(o resistors.Use) bool {
				return o.Lot == u.Lot && o.Ohm == u.Ohm
			})
			if at < 0 {
				uses = append(uses, u)
			} else {
				uses[at].Count = max(uses[at].Count, u.Count)
			}
		}
	}
	return uses
}

// Readings are two digits behind the point.
const (
	readingStep  = 0.01
	readingSteps = 100 // a volt
)

// DesignMeasured finds a divider with its step: single resistors to choose from before pairs of
// them, legs of one resistor before legs of two, then the fewest to choose from, then the narrowest
// spread before. It is false where the stock does not serve every reading.
func DesignMeasured(spec MeasuredSpec, stock resistors.Stock) (VoltageNetwork, bool) {
	d := newVoltageDivider(spec.VoltageSpec)
	if !d.sane() || stock.Legs == nil {
		return VoltageNetwork{}, false
	}
	one, two := stock.Legs.Single, stock.Legs.Pair
	for _, choices := range [][][]resistors.Leg{{one}, {one, two}} {
		for _, legs := range [][2][]resistors.Leg{{one, one}, {one, two}, {two, one}} {
			var best VoltageNetwork
			for _, k := range d.below(spec, stock, legs[0], legs[1]) {
				v, ok := d.stepped(spec, stock, k, choices)
				if ok && (best.Step == nil || len(v.Step.Choices) < len(best.Step.Choices)) {
					best = v
				}
			}
			if best.Step != nil {
				return best, true
			}
		}
	}
	return VoltageNetwork{}, false
}

// bare is a pair of legs without the step.
type bare struct {
	top, bottom resistors.Leg
	low, high   float64 // V before the step, over all corners, cold
	drift       float64
}

// bareTried is how many pairs of legs are tried for a step, the narrowest first.
const bareTried = 40

// below lists pairs of legs that stay below the limit in every corner, drift and heat included, the
// highest lowest end first.
func (d voltageDivider) below(spec MeasuredSpec, stock resistors.Stock,
	tops, bottoms []resistors.Leg) []bare {
	lo, hi := d.given()
	var out []bare
	for i := range tops {
		g := &tops[i]
		if g.Nom < lo || g.Nom > hi || !resistors.Covered(stock.Pieces, g, nil) {
			continue
		}
		least := d.bottomForMost(g.Hi, d.set*0.9)
		from, _ := slices.BinarySearchFunc(bottoms, least*0.5,
			func(l resistors.Leg, r float64) int { return cmp.Compare(l.Nom, r) })
		for k := from; k < len(bottoms) && bottoms[k].Nom < 2*least; k++ {
			b := &bottoms[k]
			drift := float64(spec.Drift) + legDrift(stock.Pieces, g, b)*float64(spec.Warm)
			high := d.most(g.Hi, b.Lo)
			if high*(1+drift) > acceptHigh(spec, drift)/(1+float64(spec.Meter)) ||
				!resistors.Covered(stock.Pieces, g, b) {
				continue
			}
			out = append(out, bare{*g, *b, d.least(g.Lo, b.Hi), high, drift})
		}
	}
	slices.SortStableFunc(out, func(a, b bare) int {
		return cmp.Or(cmp.Compare(math.Floor(b.low/readingStep), math.Floor(a.low/readingStep)),
			cmp.Compare(a.top.Nom, b.top.Nom), cmp.Compare(a.bottom.Nom, b.bottom.Nom))
	})
	return out[:min(len(out), bareTried)]
}

// legDrift is how far apart the legs drift at worst, per kelvin.
func legDrift(pieces []resistors.Piece, g, o *resistors.Leg) float64 {
	most := func(l *resistors.Leg) (worst float64) {
		n := l.Network(pieces)
		for i := range n.N {
			worst = max(worst, math.Abs(float64(pieces[n.Pieces[i]].Drift)))
		}
		return worst
	}
	return most(g) + most(o)
}

// acceptHigh is the highest reading that leaves the output below the limit, in V.
func acceptHigh(spec MeasuredSpec, drift float64) float64 {
	high := float64(spec.Absolute) / (1 + float64(spec.Meter)) / (1 + drift)
	return math.Floor(high/readingStep+1e-9) / readingSteps
}

// stepped gives a pair of legs its step, with the fewest resistors that together serve every
// reading.
func (d voltageDivider) stepped(spec MeasuredSpec, stock resistors.Stock, k bare,
	choices [][]resistors.Leg) (VoltageNetwork, bool) {
	low := float64(spec.Least) / (1 - float64(spec.Meter))
	s := MeasuredStep{Meter: spec.Meter,
		Before: si.Interval[si.Voltage]{Low: si.Voltage(k.low),
			High: si.Voltage(k.high * (1 + k.drift))},
		Accept: si.Interval[si.Voltage]{
			Low:  si.Voltage(math.Ceil(low/readingStep-1e-9) / readingSteps),
			High: si.Voltage(acceptHigh(spec, k.drift))},
		rise: d.vNom * k.top.Nom,
		spread: spec.Meter +
			si.Ratio(k.top.Hi/k.top.Nom-1+max(d.vHi/d.vNom-1, 1-d.vLo/d.vNom))}
	tn, bn := k.top.Network(stock.Pieces), k.bottom.Network(stock.Pieces)
	left := stock.Without(tn).Without(bn)
	if s.Accept.Low > s.Accept.High || !s.cover(left, choices) ||
		!d.ratings(&k.top, &k.bottom, stock.Pieces) {
		return VoltageNetwork{}, false
	}
	v := d.describe(tn, bn, &untrimmed)
	v.Step = &s
	v.WorstLow = s.Accept.Low * si.Voltage((1-float64(spec.Meter))*(1-k.drift))
	v.WorstHigh = s.Accept.High * si.Voltage((1+float64(spec.Meter))*(1+k.drift))
	v.SetLow, v.SetHigh = s.Accept.Low, s.Accept.High
	v.ReachLow, v.ReachHigh = v.SetLow, v.SetHigh
	v.Untrimmed = si.Interval[si.Voltage]{Low: v.WorstLow, High: v.WorstHigh}
	v.Statistical = v.Untrimmed
	return v, true
}

// mostChoices bounds how many resistors a step chooses from.
const mostChoices = 12

// cover chooses the resistors, the one that reaches lowest first at each point: the readings from
// the lowest there may be up to the accepted ones have to lie in what one of them serves.
func (s *MeasuredStep) cover(left resistors.Stock, lists [][]resistors.Leg) bool {
	s.Choices = nil
	want, lowest := float64(s.Accept.Low), float64(s.Before.Low)*(1-float64(s.Meter))
	for want > lowest {
		var best *resistors.Leg
		reach := want
		for _, list := range lists {
			// what adds so much that it serves no reading that is left, or so little that it
			// reaches no lower, is passed over
			most := s.rise / max(0.01, float64(s.Accept.Low)-want)
			from, _ := slices.BinarySearchFunc(list, s.rise/float64(s.Accept.High),
				func(l resistors.Leg, r float64) int { return cmp.Compare(l.Nom, r) })
			for i := from; i < len(list) && list[i].Nom < 2*most; i++ {
				l := &list[i]
				if a, z := s.serves(l); z < want || a >= reach || l.Hi > 1.05*l.Nom ||
					!resistors.Covered(left.Pieces, l, nil) {
					continue
				}
				best = l
				reach, _ = s.serves(l)
			}
		}
		if best == nil || len(s.Choices) == mostChoices {
			return false
		}
		s.Choices = append(s.Choices, SetChoice{best.Network(left.Pieces), si.Voltage(reach),
			si.Voltage(want)})
		want = reach
	}
	slices.Reverse(s.Choices)
	return true
}
