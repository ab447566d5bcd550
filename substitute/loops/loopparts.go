package loops

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/substitute"
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

// loopCapacitors are the values that one to five equal capacitors on hand make, each with the fewest pieces, in rising order.
func (j *Looper) loopCapacitors(b *stock.Basket) ([]si.Capacitance, map[si.Capacitance]capacitorChoice) {
	how := map[si.Capacitance]capacitorChoice{}
	for i, s := range j.Drawer.Capacitors {
		if !smallCapacitor(s.Part) {
			continue
		}
		for n := 1; n <= control.LoopPieces && float64(n) <= stock.Left(b, s); n++ {
			c := si.Capacitance(float64(n) * float64(s.Part.Capacitance.Value))
			if old, seen := how[c]; c < control.LoopCapacityLow || c > control.LoopCapacityHigh || seen && old.pieces <= n {
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

// smallCapacitor is what may bridge an amplifier.
func smallCapacitor(p catalog.Capacitor) bool {
	return p.Dielectric != "electrolytic" && p.Safety == "" && p.Volts.Value >= 25 && p.Capacitance.Value >= 10e-9 &&
		p.Capacitance.Value <= control.LoopCapacityHigh
}

// dampings are the resistors on hand, a third apart, that may stand in series with a loop capacitor; 0 is a wire.
func (j *Looper) dampings(b *stock.Basket) []si.Resistance {
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
func (j *Looper) damperOf(b *stock.Basket, r si.Resistance) *stock.Stock[catalog.Resistor] {
	for _, s := range j.Dampers {
		if s.Part.Resistance.Value == r && stock.Left(b, *s) >= 1 && s != j.BleedStock {
			return s
		}
	}
	return nil
}

// leads are the capacitors that may bridge the upper leg of the voltage divider; 0 is none.
func (j *Looper) leads(b *stock.Basket) []si.Capacitance {
	out := []si.Capacitance{0}
	for _, s := range j.Drawer.Capacitors {
		if leadCapacitor(s.Part, j.Target) && stock.Left(b, s) >= 1 && !slices.Contains(out, s.Part.Capacitance.Value) {
			out = append(out, s.Part.Capacitance.Value)
		}
	}
	slices.Sort(out)
	return out
}

func leadCapacitor(p catalog.Capacitor, t substitute.Target) bool {
	return p.Dielectric != "electrolytic" && p.Safety == "" && p.Volts.Value >= 1.2*t.Absolute && p.Capacitance.Value >= control.LeadLow &&
		p.Capacitance.Value <= control.LeadHigh
}

// LoopTrade is what shops sell everywhere: the E6 series.
func LoopTrade(in si.Resistance, lead bool) compensation.Values {
	v := compensation.Values{Inputs: []si.Resistance{in}, Dampings: append([]si.Resistance{0}, sixes[si.Resistance](control.DampingLeast, control.DampingMost)...),
		Capacitors: sixes[si.Capacitance](22e-9, control.LoopCapacityHigh), Leads: []si.Capacitance{0}}
	if lead {
		v.Leads = append(v.Leads, sixes[si.Capacitance](control.LeadLow, control.LeadHigh)...)
	}
	return v
}

// sixes are the values of the E6 series (IEC 60063) between two ends.
func sixes[Q si.Quantity](low, high Q) []Q {
	var out []Q
	for exponent := -12; exponent < 6; exponent++ {
		for _, m := range []float64{1, 1.5, 2.2, 3.3, 4.7, 6.8} {
			q, _ := strconv.ParseFloat(fmt.Sprintf("%ge%d", m, exponent), 64) // the value as it is read, not as a product
			if v := Q(q); v >= low && v <= high {
				out = append(out, v)
			}
		}
	}
	return out
}

// takeLoop takes the parts of one loop.
func (j *Looper) takeLoop(b *stock.Basket, p compensation.Parts, capacitor, damping seats.ID) {
	_, how := j.loopCapacitors(b)
	if h, ok := how[p.Capacitor]; ok {
		stock.Take(b, capacitor, j.Drawer.Capacitors[h.stock], float64(h.pieces))
	} else {
		want := "ceramic " + si.Format(p.Capacitor, 2) + " 50 V"
		b.Buy(capacitor, want, 1, "piece", want)
	}
	if p.Damping > 0 {
		if s := j.damperOf(b, p.Damping); s != nil {
			stock.Take(b, damping, *s, 1)
		} else {
			b.Buy(damping, "resistor "+si.RKM(p.Damping)+" 0.25 W", 1, string(inventory.Pieces), "5 %")
		}
	}
	if p.Lead > 0 {
		stock.Pick(b, seats.FeedForward, j.Drawer.Capacitors, 1, func(c catalog.Capacitor) bool {
			return leadCapacitor(c, j.Target) && c.Capacitance.Value == p.Lead
		}, func(catalog.Capacitor) float64 { return 0 }, "ceramic "+si.Format(p.Lead, 2)+" 50 V")
	}
}

// takeExit takes the choke at the output with the capacitor behind it: what its current does when a pack comes off has to go somewhere.
// Without such a capacitor on hand there is no choke. An adapter keeps its output as it is.
func (j *Looper) takeExit(b *stock.Basket, m *stage.Measured) stage.Exit {
	if m.Plan == nil && m.Donor == nil {
		return stage.Exit{}
	}
	holds := func(p catalog.Capacitor) bool {
		return p.Dielectric == "electrolytic" && p.Volts.Value >= j.Target.Absolute*stage.OutputFault && p.Volts.Value < 200 &&
			p.Capacitance.Value >= 4.7e-6 && p.Capacitance.Value <= 47e-6
	}
	if !slices.ContainsFunc(j.Drawer.Capacitors, func(s stock.Stock[catalog.Capacitor]) bool { return stock.Left(b, s) >= 3 && holds(s.Part) }) {
		return stage.Exit{}
	}
	choke, ok := stock.Pick(b, seats.OutputChoke, j.Drawer.Chokes, 1, func(p catalog.Choke) bool {
		return p.Use == "output" && p.Current.Value >= 1.3*j.Target.Current && p.Inductance.Value <= 47e-6
	}, func(p catalog.Choke) float64 { return float64(p.Inductance.Value) }, "")
	if !ok {
		return stage.Exit{}
	}
	near := func(p catalog.Capacitor) float64 { return math.Abs(math.Log(float64(p.Capacitance.Value) / 10e-6)) }
	c, _ := stock.Pick(b, seats.BehindChoke, j.Drawer.Capacitors, 1, holds, near, fmt.Sprintf("electrolytic 10 uF %.0f V", float64(j.Target.Absolute)*stage.OutputFault))
	return stage.Exit{Choke: choke.Inductance.Value, Ohm: choke.Resistance.Or(20e-3), Behind: c.Capacitance.Value}
}

// kick is how far the current of the choke lifts OUT at the moment a pack comes off: at most I sqrt(R^2 + L/C), for the energy in
// the coil is all there is to charge the capacitor.
func kick(e stage.Exit, i si.Current) si.Voltage {
	if e.Choke == 0 {
		return 0
	}
	return si.Voltage(float64(i) * math.Sqrt(behindSeries*behindSeries+float64(e.Choke)/float64(e.Behind)))
}

// takeInputs takes the resistors between REF and LEVEL and the amplifiers that drive up; pulling down, the divider itself and the
// resistor at SENSE are what the loops work against.
func (j *Looper) takeInputs(b *stock.Basket, c *control.Control) {
	if c.Drive == regulation.PullDown {
		return
	}
	const role = seats.LoopInput
	if j.LoopInput == nil {
		b.Buy(role, "resistor 2k2 0.25 W", 2, string(inventory.Pieces), "1 to 4.7 kohm")
		return
	}
	stock.Take(b, role, *j.LoopInput, 2)
}
