package stage

import "sparewright/catalog"

// What only tests ask for.

// SwitchOfTransistor is a transistor of its own as the power switch, figures completed, bolted to
// aluminium of 20 K/W through a pad of 1 K/W (from memory), or free in the air where only that is
// known. What is missing is the figure without which it cannot be reckoned with.
func SwitchOfTransistor(p catalog.Transistor) (s Switch, missing string) {
	switch {
	case !p.OnHot.Known():
		return s, "on-resistance"
	case !p.Coss.Known():
		return s, "output capacitance"
	case !p.JunctionCase.Known() && !p.JunctionAir.Known():
		return s, "thermal resistance"
	}
	s = Switch{OnCold: p.OnResistance.Value, OnHot: p.OnHot.Value, Coss: p.Coss.Value,
		Crossover: crossover, PeakMost: p.CurrentHot.Value, JunctionMost: junctionLimit,
		HeatSink: p.JunctionCase.Known()}
	air := p.JunctionAir
	if s.HeatSink {
		air = p.JunctionCase
		air.Value += padAndSink
	}
	s.breaksAt(p.Drain)
	s.warmedBy(air, "110 C")
	return s, ""
}

// padAndSink is what the heat of a part bolted to aluminium passes on its way from case to air, in
// K/W.
const padAndSink = 1 + 20
