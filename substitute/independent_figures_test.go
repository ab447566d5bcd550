package substitute_test

import (
	"math"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/complete"
	"sparewright/substitute"
)

// figures are what the lots of a build say of it, in plain SI units.
type figures struct {
	sw     catalog.Switcher
	core   catalog.Core
	rect   catalog.Rectifier
	bridge catalog.Bridge

	gated                bool
	f, fLow, fHigh       float64
	limitLow, limitHigh  float64
	usable               float64 // peak to design for
	longest, delay       float64
	busMax, drop, bulk   float64 // bus at highest mains, one bridge diode, least bulk capacitance
	rectDrop             float64
	n                    float64 // primary turns over secondary turns
	l, lLow, lHigh       float64
	set, empty, absolute float64
	current, sense       float64
	own                  float64 // what the secondary circuit takes from the output
	bleed                float64
	bias                 [2]float64 // chip supply, empty and full pack
	chip                 float64    // what the chip takes through the core
	leak                 float64
	halves               bool // the primary is split
	clamp                clampFigures
}

// clampFigures: lowest voltage above the bus at working load; highest breakdown and dynamic
// resistance of a suppressor; what it may burn; ohms of a resistor.
type clampFigures struct{ low, breakdown, dynamic, steady, ohm, air, drift float64 }

func (a audit) figures() figures {
	b, t := a.build, a.target
	f := figures{sw: partOf[catalog.Switcher](a, "switcher"), core: a.outline(),
		rect: partOf[catalog.Rectifier](a,
			"output rectifier"), bridge: partOf[catalog.Bridge](a, "bridge")}
	f.gated = f.sw.Control == "on-off"
	f.f, f.fLow, f.fHigh = float64(f.sw.Frequency.Value), float64(f.sw.FrequencyMin.Value),
		float64(f.sw.FrequencyMax.Value)
	f.setLimit(a)
	f.longest, f.delay = float64(f.sw.DutyMax.Value), float64(f.sw.Delay.Value)
	f.busMax = math.Sqrt2*float64(t.MainsMax) - 1.4 // crest less two silicon diodes at low current
	f.drop = float64(f.bridge.Forward.Value)
	for _, u := range a.uses("bulk capacitor") {
		c := partOf[catalog.Capacitor](a, "bulk capacitor")
		f.bulk += u.Quantity * float64(c.Capacitance.Value) * (1 - float64(c.Tolerance.Value))
	}
	f.rectDrop = rectifierDrop(f.rect, float64(t.Current))
	f.n = float64(b.Transformer.PrimaryTurns) / float64(b.Transformer.SecondaryTurns)
	f.l, f.lLow, f.lHigh = float64(b.Transformer.Inductance), float64(b.Transformer.InductanceLow),
		float64(b.Transformer.InductanceHigh)
	f.set, f.empty, f.absolute, f.current = float64(t.Set), float64(t.Empty), float64(t.Absolute),
		float64(t.Current)
	f.sense = f.current * float64(b.Regulation.Shunt)
	bleed := partOf[catalog.Resistor](a, "bulk bleed, two in series")
	f.bleed = 2 * float64(bleed.Resistance.Value)
	f.setSupplies(a)
	f.setClamp(a)
	return f
}

// outline is the core of the build; of an unopened transformer its outline, the ferrite not known.
func (a audit) outline() catalog.Core {
	if a.build.Donor == nil {
		return partOf[catalog.Core](a, "core pair")
	}
	p := partOf[catalog.Transformer](a, "transformer, unopened")
	return complete.Part(catalog.Core{Named: p.Named, Shape: p.Shape,
		Ferrite: catalog.UnknownPower}).(catalog.Core)
}

// setLimit reads the current limit; an external one is the threshold over the resistor, both at
// their ends. The lowest limit is used to 96 % (Power Integrations AN-30 eq. 17) where it is
// published, to 90 % (AN-23 step 8) where it is from memory; an on/off switcher runs at its limit.
func (f *figures) setLimit(a audit) {
	f.limitLow, f.limitHigh = float64(f.sw.LimitMin.Value), float64(f.sw.LimitMax.Value)
	firm := f.sw.LimitMin.Firm()
	if f.sw.Setting == "external" {
		r := partOf[catalog.Resistor](a, "limit resistor")
		ohm, tol := float64(r.Resistance.Value), float64(r.Tolerance.Value)
		f.limitLow, f.limitHigh = float64(f.sw.SenseMin.Value)/(ohm*(1+tol)),
			float64(f.sw.SenseMax.Value)/(ohm*(1-tol))
		firm = f.sw.SenseMin.Firm()
	}
	f.usable = 0.90 * f.limitLow
	if firm {
		f.usable = 0.96 * f.limitLow
	}
	if f.gated {
		f.usable = f.limitLow
	}
}

// rectifierDrop scales a stated forward voltage to another current: 60 mV a factor of ten, and 30 %
// of the stated drop in proportion to the current; from memory, as the engine states it.
func rectifierDrop(p catalog.Rectifier, i float64) float64 {
	x := i / float64(p.Legs.Value) / float64(p.ForwardAt.Value)
	return max(0.2, float64(p.Forward.Value)*(0.7+0.3*x)+0.06*math.Log10(x))
}

// setSupplies reckons what secondary circuit and chip take. A bias winding gives the secondary's
// voltage times the turns ratio less a silicon diode (M. Brown, Power Supply Cookbook, 2nd ed.
// 2001, section 3.15.3).
func (f *figures) setSupplies(a audit) {
	b := a.build
	r := b.Regulation
	amp := partOf[catalog.Amplifier](a, "amplifier")
	draw := f.sense / float64(r.SenseBottom)
	divider := (f.set - float64(r.Reference)) / float64(r.Top)
	f.own = float64(r.BiasMax) + draw + divider + float64(amp.SupplyCurrent.Value) +
		float64(r.LEDHave)
	if b.Transformer.BiasTurns == 0 {
		return
	}
	ratio := float64(b.Transformer.BiasTurns) / float64(b.Transformer.SecondaryTurns)
	for i, out := range []float64{f.empty, f.absolute} {
		f.bias[i] = (out+f.rectDrop+f.sense)*ratio - 0.7
	}
	if f.sw.SelfSupply != "yes" {
		f.chip = float64(f.sw.SupplyCurrent.Value) * f.bias[1]
	}
}

// reflected is the secondary's voltage seen from the primary at an output voltage.
func (f *figures) reflected(out float64) float64 { return f.n * (out + f.rectDrop + f.sense) }

// stageAt is the stage at the printed valley, full pack, with an inductance and a frequency.
func (f *figures) stageAt(b *substitute.Build, l, hz float64) powerCycle {
	return powerCycle{bus: float64(b.Stage.BusMin), reflected: f.reflected(f.set), l: l, f: hz}
}

// setClamp reads the drain clamp. A suppressor's breakdown goes from its tolerance below to its
// tolerance above at 25 C; dynamic resistance, drift and heat are those of its row, which the tests
// of the tables hold against printed sheets. It is trusted with 80 % of its steady rating, a
// resistor with half of it.
func (f *figures) setClamp(a audit) {
	f.leak = float64(a.build.Transformer.Leakage)
	for _, w := range a.build.Windings {
		f.halves = f.halves || strings.HasSuffix(w.Name, "half")
	}
	if len(a.uses("drain clamp")) > 0 {
		p := partOf[catalog.Clamp](a, "drain clamp")
		v, tol := float64(p.Breakdown.Value), float64(p.Tolerance.Value)
		high := v * (1 + tol)
		f.clamp = clampFigures{low: v / (1 + tol), breakdown: high,
			dynamic: float64(p.Resistance.Value), drift: float64(p.Drift.Value),
			air: float64(p.JunctionAir.Value), steady: 0.8 * float64(p.Steady.Value)}
		return
	}
	p := partOf[catalog.Resistor](a, "clamp resistor")
	ohm := float64(p.Resistance.Value)
	f.clamp = clampFigures{low: f.resistorClamp(ohm, f.usable, f.leak, f.f),
		steady: float64(p.Rating.Value) / 2, ohm: ohm}
}

// leakHigh: half as much again as estimated (magnetics.Leakage states -20 to +50 %), and 3 % of the
// primary for a single primary wound by hand (from memory); the reading of a closed transformer
// with the error of its meter.
func (f *figures) leakHigh(a audit, l float64) float64 {
	switch {
	case a.build.Donor != nil:
		return f.leak * (1 + float64(partOf[catalog.Transformer](a,
			"transformer, unopened").Meter.Value))
	case f.halves:
		return 1.5 * f.leak
	}
	return max(1.5*f.leak, 0.03*l)
}

// clampTop is the clamp at the highest limit of the chip with what the current still rises in its
// delay, as hot as it gets; 13 V more for the diode and stray inductance (from memory).
func (f *figures) clampTop(a audit, hot float64) float64 {
	peak := f.limitHigh + f.busMax*f.delay/f.lLow
	if f.clamp.ohm > 0 {
		return f.resistorClamp(f.clamp.ohm, peak, f.leakHigh(a, f.l), f.fHigh) + 13
	}
	return f.clamp.breakdown*(1+f.clamp.drift*(hot-25)) + f.clamp.dynamic*peak + 13
}

// resistorClamp is the voltage at which resistor and leakage balance, found by halving.
func (f *figures) resistorClamp(ohm, peak, leak, hz float64) float64 {
	low, high := f.reflected(f.set), 1e4
	for range 80 {
		v := (low + high) / 2
		if v*v/ohm < f.clampPower(peak, v, hz, leak) {
			low = v
		} else {
			high = v
		}
	}
	return high
}

// clampBurns is what the clamp burns at a peak with a leakage.
func (f *figures) clampBurns(peak, hz, leak float64) float64 {
	if f.clamp.ohm > 0 {
		v := f.resistorClamp(f.clamp.ohm, peak, leak, hz)
		return v * v / f.clamp.ohm
	}
	return f.clampPower(peak, f.clamp.low, hz, leak)
}

// clampPower is the power of a clamp at v above the bus. The leakage current falls from peak in a
// straight line by (v - VR)/leak; all that time the clamp takes it at v.
func (f *figures) clampPower(peak, v, hz, leak float64) float64 {
	slope := (v - f.reflected(f.set)) / leak
	if slope <= 0 {
		return math.Inf(1)
	}
	return hz * integral(peak/slope, func(t float64) float64 { return v * (peak - slope*t) })
}
