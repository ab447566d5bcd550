package loops

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/compensation"
	"sparewright/substitute/control"
	"sparewright/substitute/regulation"
	"sparewright/substitute/seats"
	"sparewright/substitute/stage"
	"sparewright/substitute/stock"
)

// capacitorChoice is a number of equal small capacitors.
type capacitorChoice struct {
	stock  int
	pieces int
}

// taking takes the parts of the loops from the drawer.
type taking struct{ *Looper }

// loopCapacitors are the values that one to five equal capacitors on hand make, each with the
// fewest pieces, in rising order.
func (j taking) loopCapacitors(b *stock.Basket) ([]si.Capacitance,
	map[si.Capacitance]capacitorChoice) {
	how := map[si.Capacitance]capacitorChoice{}
	asked := j.Circuit()
	suits := stock.Suits[catalog.Capacitor](seats.VoltageCapacitor, &asked)
	for i, s := range j.Drawer.Capacitors {
		if !suits(&s) {
			continue
		}
		for n := 1; n <= control.LoopPieces && float64(n) <= stock.Left(b, s); n++ {
			c := si.Capacitance(float64(n) * float64(s.Part.Capacitance.Value))
			if old, seen := how[c]; c < control.LoopCapacityLow || c > seats.LoopCapacityHigh ||
				seen && old.pieces <= n {
				continue
			}
			how[c] = capacitorChoice{i, n}
		}
	}
	var values []si.Capacitance
	for c := range how {
		values = append(values, c)
	}
	slices.Sort(values)
	return values, how
}

// dampings are the resistors on hand, a third apart, that may stand in series with a loop
// capacitor; 0 is a wire.
func (j taking) dampings(b *stock.Basket) []si.Resistance {
	out, last := []si.Resistance{0}, si.Resistance(0)
	for _, s := range j.Dampers {
		r := s.Part.Resistance.Value
		if stock.Left(b, *s) >= 1 && s != j.BleedStock && r >= last*control.DampingStep {
			out, last = append(out, r), r
		}
	}
	return out
}

// damperOf is the resistor of that value.
func (j taking) damperOf(b *stock.Basket, r si.Resistance) *stock.Stock[catalog.Resistor] {
	for _, s := range j.Dampers {
		if s.Part.Resistance.Value == r && stock.Left(b, *s) >= 1 && s != j.BleedStock {
			return s
		}
	}
	return nil
}

// leads are the capacitors that may bridge the upper leg of the voltage divider; 0 is none.
func (j taking) leads(b *stock.Basket) []si.Capacitance {
	out := []si.Capacitance{0}
	asked := j.Circuit()
	suits := stock.Suits[catalog.Capacitor](seats.FeedForward, &asked)
	for _, s := range j.Drawer.Capacitors {
		if suits(&s) && stock.Left(b, s) >= 1 && !slices.Contains(out, s.Part.Capacitance.Value) {
			out = append(out, s.Part.Capacitance.Value)
		}
	}
	slices.Sort(out)
	return out
}

// LoopTrade is what shops sell everywhere: the E6 series.
func LoopTrade(in si.Resistance, lead bool) compensation.Values {
	v := compensation.Values{Inputs: []si.Resistance{in},
		Dampings:   append([]si.Resistance{0}, sixes(seats.DampingLeast, seats.DampingMost)...),
		Capacitors: sixes(22e-9, seats.LoopCapacityHigh), Leads: []si.Capacitance{0}}
	if lead {
		v.Leads = append(v.Leads, sixes(seats.LeadLow, seats.LeadHigh)...)
	}
	return v
}

// sixes are the values of the E6 series (IEC 60063) between two ends.
func sixes[Q si.Quantity](low, high Q) []Q {
	var out []Q
	for exponent := -12; exponent < 6; exponent++ {
		for _, m := range []float64{1, 1.5, 2.2, 3.3, 4.7, 6.8} {
			// the value as it is read, not as a product
			q, _ := strconv.ParseFloat(fmt.Sprintf("%ge%d", m, exponent), 64)
			if v := Q(q); v >= low && v <= high {
				out = append(out, v)
			}
		}
	}
	return out
}

// takeLoop takes the parts of one loop.
func (j taking) takeLoop(b *stock.Basket, p compensation.Parts, capacitor, damping seats.ID) {
	_, how := j.loopCapacitors(b)
	asked := j.Circuit()
	if h, ok := how[p.Capacitor]; ok {
		stock.Take(b, capacitor, j.Drawer.Capacitors[h.stock], float64(h.pieces))
	} else {
		asked.Farad = p.Capacitor
		b.BuyFor(capacitor, &asked)
	}
	if p.Damping > 0 {
		if s := j.damperOf(b, p.Damping); s != nil {
			stock.Take(b, damping, *s, 1)
		} else {
			asked.Ohm = p.Damping
			b.BuyFor(damping, &asked)
		}
	}
	if p.Lead > 0 {
		asked.Farad = p.Lead
		stock.Fill(b, seats.FeedForward, j.Drawer.Capacitors, &asked)
	}
}

// takeExit takes the choke at the output with the capacitor behind it: what its current does when a
// pack comes off has to go somewhere. Without such a capacitor on hand there is no choke. An
// adapter keeps its output as it is.
func (j taking) takeExit(b *stock.Basket, m *stage.Measured) stage.Exit {
	if m.Plan == nil && m.Donor == nil {
		return stage.Exit{}
	}
	asked := j.Circuit()
	suits := stock.Suits[catalog.Capacitor](seats.BehindChoke, &asked)
	if !slices.ContainsFunc(j.Drawer.Capacitors,
		func(s stock.Stock[catalog.Capacitor]) bool { return stock.Left(b, s) >= 3 && suits(&s) }) {
		return stage.Exit{}
	}
	choke, ok := stock.Fill(b, seats.OutputChoke, j.Drawer.Chokes, &asked)
	if !ok {
		return stage.Exit{}
	}
	c, _ := stock.Fill(b, seats.BehindChoke, j.Drawer.Capacitors, &asked)
	return stage.Exit{Choke: choke.Inductance.Value, Ohm: choke.Resistance.Value,
		Behind: c.Capacitance.Value}
}

// kick is how far the current of the choke lifts OUT at the moment a pack comes off: at most I
// sqrt(R^2 + L/C), for the energy in the coil is all there is to charge the capacitor.
func kick(e stage.Exit, i si.Current) si.Voltage {
	if e.Choke == 0 {
		return 0
	}
	return si.Voltage(float64(i) * math.Sqrt(behindSeries*behindSeries+
		float64(e.Choke)/float64(e.Behind)))
}

// takeInputs takes the resistors between REF and LEVEL and the amplifiers that drive up; pulling
// down, the divider itself and the resistor at SENSE are what the loops work against.
func (j taking) takeInputs(b *stock.Basket, c *control.Control) {
	if c.Drive == regulation.PullDown {
		return
	}
	if j.LoopInput == nil {
		asked := j.Circuit()
		b.BuyFor(seats.LoopInput, &asked)
		return
	}
	stock.Take(b, seats.LoopInput, *j.LoopInput, float64(seats.LoopInput.Pieces()))
}
