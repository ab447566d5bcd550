package substitute

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/substitute/compensation"
	"sparewright/substitute/regulation"
)

// What may be a part of a loop. Common practice, no source.
const (
	loopCapacityLow  = 20e-9 // F
	loopCapacityHigh = 1e-6
	loopPieces       = 5 // equal capacitors side by side
	dampingLeast     = 470.0
	dampingMost      = 100e3 // ohm
	dampingStep      = 1.3   // between values that are tried
	leadLow          = 470e-12
	leadHigh         = 47e-9
)

// roles of the parts of a loop
const (
	roleVoltageCapacitor = "loop capacitor, voltage"
	roleCurrentCapacitor = "loop capacitor, current"
	roleVoltageDamping   = "loop damping, voltage"
	roleCurrentDamping   = "loop damping, current"
	roleLead             = "lead capacitor"
	roleChoke            = "output choke"
	roleBehind           = "output capacitor behind the choke"
	rolePinSeries        = "series resistor at the control pin"
)

// capacitorChoice is a number of equal small capacitors.
type capacitorChoice struct {
	stock  int
	pieces int
}

// loopCapacitors are the values that one to five equal capacitors on hand make, each with the fewest pieces, in rising order.
func (j *job) loopCapacitors(b *basket) ([]si.Capacitance, map[si.Capacitance]capacitorChoice) {
	how := map[si.Capacitance]capacitorChoice{}
	for i, s := range j.drawer.capacitors {
		if !smallCapacitor(s.part) {
			continue
		}
		for n := 1; n <= loopPieces && float64(n) <= left(b, s); n++ {
			c := si.Capacitance(float64(n) * float64(s.part.Capacitance.Value))
			if old, seen := how[c]; c < loopCapacityLow || c > loopCapacityHigh || seen && old.pieces <= n {
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
		p.Capacitance.Value <= loopCapacityHigh
}

// dampings are the resistors on hand, a third apart, that may stand in series with a loop capacitor; 0 is a wire.
func (j *job) dampings(b *basket) []si.Resistance {
	out, last := []si.Resistance{0}, si.Resistance(0)
	for _, s := range j.dampers {
		r := s.part.Resistance.Value
		if left(b, *s) >= 1 && s != j.bleedStock && r >= last*dampingStep {
			out, last = append(out, r), r
		}
	}
	return out
}

// damperOf is the resistor of that value.
func (j *job) damperOf(b *basket, r si.Resistance) *stock[catalog.Resistor] {
	for _, s := range j.dampers {
		if s.part.Resistance.Value == r && left(b, *s) >= 1 && s != j.bleedStock {
			return s
		}
	}
	return nil
}

// dampersOf lists the resistors that may damp a loop, in rising order.
func dampersOf(d *drawer) []*stock[catalog.Resistor] {
	var out []*stock[catalog.Resistor]
	for i := range d.resistors {
		p := d.resistors[i].part
		if p.Resistance.Value >= dampingLeast && p.Resistance.Value <= dampingMost && p.Type != "fusible" && p.Rating.Or(0.25) < 1 && !d.resistors[i].buy {
			out = append(out, &d.resistors[i])
		}
	}
	slices.SortStableFunc(out, func(a, b *stock[catalog.Resistor]) int {
		return cmp.Compare(a.part.Resistance.Value, b.part.Resistance.Value)
	})
	return out
}

// leads are the capacitors that may bridge the upper leg of the voltage divider; 0 is none.
func (j *job) leads(b *basket) []si.Capacitance {
	out := []si.Capacitance{0}
	for _, s := range j.drawer.capacitors {
		if leadCapacitor(s.part, j.target) && left(b, s) >= 1 && !slices.Contains(out, s.part.Capacitance.Value) {
			out = append(out, s.part.Capacitance.Value)
		}
	}
	slices.Sort(out)
	return out
}

func leadCapacitor(p catalog.Capacitor, t Target) bool {
	return p.Dielectric != "electrolytic" && p.Safety == "" && p.Volts.Value >= 1.2*t.Absolute && p.Capacitance.Value >= leadLow &&
		p.Capacitance.Value <= leadHigh
}

// loopTrade is what shops sell everywhere: the E6 series.
func loopTrade(in si.Resistance, lead bool) compensation.Values {
	v := compensation.Values{Inputs: []si.Resistance{in}, Dampings: append([]si.Resistance{0}, sixes[si.Resistance](dampingLeast, dampingMost)...),
		Capacitors: sixes[si.Capacitance](22e-9, loopCapacityHigh), Leads: []si.Capacitance{0}}
	if lead {
		v.Leads = append(v.Leads, sixes[si.Capacitance](leadLow, leadHigh)...)
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
func (j *job) takeLoop(b *basket, p compensation.Parts, capacitor, damping string) {
	_, how := j.loopCapacitors(b)
	if h, ok := how[p.Capacitor]; ok {
		take(b, capacitor, j.drawer.capacitors[h.stock], float64(h.pieces))
	} else {
		want := "ceramic " + si.Format(p.Capacitor, 2) + " 50 V"
		b.buy(capacitor, want, 1, "piece", want)
	}
	if p.Damping > 0 {
		if s := j.damperOf(b, p.Damping); s != nil {
			take(b, damping, *s, 1)
		} else {
			b.buy(damping, "resistor "+si.RKM(p.Damping)+" 0.25 W", 1, string(inventory.Pieces), "5 %")
		}
	}
	if p.Lead > 0 {
		pick(b, roleLead, j.drawer.capacitors, 1, func(c catalog.Capacitor) bool {
			return leadCapacitor(c, j.target) && c.Capacitance.Value == p.Lead
		}, func(catalog.Capacitor) float64 { return 0 }, "ceramic "+si.Format(p.Lead, 2)+" 50 V")
	}
}

// exit is what lies between the output capacitor and OUT.
type exit struct {
	choke  si.Inductance // 0: none
	ohm    si.Resistance
	behind si.Capacitance
}

// takeExit takes the choke at the output with the capacitor behind it: what its current does when a pack comes off has to go somewhere.
// Without such a capacitor on hand there is no choke. An adapter keeps its output as it is.
func (j *job) takeExit(b *basket, m *measured) exit {
	if m.plan == nil && m.donor == nil {
		return exit{}
	}
	holds := func(p catalog.Capacitor) bool {
		return p.Dielectric == "electrolytic" && p.Volts.Value >= j.target.Absolute*outputFault && p.Volts.Value < 200 &&
			p.Capacitance.Value >= 4.7e-6 && p.Capacitance.Value <= 47e-6
	}
	if !slices.ContainsFunc(j.drawer.capacitors, func(s stock[catalog.Capacitor]) bool { return left(b, s) >= 3 && holds(s.part) }) {
		return exit{}
	}
	choke, ok := pick(b, roleChoke, j.drawer.chokes, 1, func(p catalog.Choke) bool {
		return p.Use == "output" && p.Current.Value >= 1.3*j.target.Current && p.Inductance.Value <= 47e-6
	}, func(p catalog.Choke) float64 { return float64(p.Inductance.Value) }, "")
	if !ok {
		return exit{}
	}
	near := func(p catalog.Capacitor) float64 { return math.Abs(math.Log(float64(p.Capacitance.Value) / 10e-6)) }
	c, _ := pick(b, roleBehind, j.drawer.capacitors, 1, holds, near, fmt.Sprintf("electrolytic 10 uF %.0f V", float64(j.target.Absolute)*outputFault))
	return exit{choke.Inductance.Value, choke.Resistance.Or(20e-3), c.Capacitance.Value}
}

// kick is how far the current of the choke lifts OUT at the moment a pack comes off: at most I sqrt(R^2 + L/C), for the energy in
// the coil is all there is to charge the capacitor.
func (e exit) kick(i si.Current) si.Voltage {
	if e.choke == 0 {
		return 0
	}
	return si.Voltage(float64(i) * math.Sqrt(behindSeries*behindSeries+float64(e.choke)/float64(e.behind)))
}

// takeInputs takes the resistors between REF and LEVEL and the amplifiers that drive up; pulling down, the divider itself and the
// resistor at SENSE are what the loops work against.
func (j *job) takeInputs(b *basket, c *control) {
	if c.drive == regulation.PullDown {
		return
	}
	const role = "loop resistor, one a loop"
	if j.loopInput == nil {
		b.buy(role, "resistor 2k2 0.25 W", 2, string(inventory.Pieces), "1 to 4.7 kohm")
		return
	}
	take(b, role, *j.loopInput, 2)
}
