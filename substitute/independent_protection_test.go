package substitute_test

import (
	"sparewright/catalog"
	"sparewright/catalog/si"
)

// guardLeg is a leg of the overvoltage protection; one that is bought is a resistor of 0.1 %.
func (a audit) guardLeg(role string, ohm si.Resistance) network {
	for _, n := range a.build.Regulation.Networks {
		if n.Role.String() == role {
			return a.network(role)
		}
	}
	return network{wiring: "1R", pieces: []piece{{float64(ohm), 1e-3}}}
}

// fitted is the value of the resistor in a role; one that is bought has the value that the build
// says.
func (a audit) fitted(role string, said si.Resistance) float64 {
	for _, n := range a.build.Regulation.Networks {
		if n.Role.String() == role {
			return a.network(role).nominal()
		}
	}
	for _, u := range a.uses(role) {
		if r, is := a.part(u).(catalog.Resistor); is {
			return float64(r.Resistance.Value)
		}
	}
	return float64(said)
}

// auditProtection: trip over all corners of the divider or, with a trimmer, where it is set and how
// far the reference drifts from there over 50 K; what the LED gets and needs; what the open switch
// stands and the closed one burns.
func auditProtection(a audit) {
	p, t := a.build.Regulation.Protection, a.target
	ref := partOf[catalog.Reference](a, "protection reference")
	top, bottom := a.guardLeg("protection divider top", p.Top),
		a.guardLeg("protection divider bottom", p.Bottom)
	agrees(a, p.Reference, ref.Vref.Value, exact, "reference of the protection")
	agrees(a, p.Top, top.nominal(), exact, "top of the protection")
	agrees(a, p.Bottom, bottom.nominal(), exact, "bottom of the protection")
	drift := 50 * float64(ref.Drift.Value)
	trips := newSpan()
	if p.Trimmer > 0 {
		track := partOf[catalog.Trimmer](a, "protection trimmer")
		agrees(a, p.Trimmer, track.Resistance.Value, exact, "trimmer of the protection")
		below := bottom.nominal() + float64(p.Position)*float64(p.Trimmer)
		agrees(a, p.Trip, float64(ref.Vref.Value)*(1+top.nominal()/below), 1e-6,
			"trip at the trimmer's position")
		most := float64(t.Absolute) / (1 + drift)
		between(a, p.Trip, min(0.999*most, float64(t.Set)*(1+2*drift)), most, "trip")
		trips.see(float64(p.Trip))
	} else {
		fall := 2.7e-3 * (float64(t.Absolute) - 1 - float64(ref.VrefMin.Value)) // TI SLVS543S
		input := float64(ref.InputCurrent.Value)
		top.corners(func(high float64) {
			bottom.corners(func(low float64) {
				trips.see(float64(ref.VrefMax.Value)*(1+high/low) + input*high)
				trips.see((float64(ref.VrefMin.Value)-fall)*(1+high/low) - input*high)
			})
		})
		agrees(a, p.Trip, float64(ref.Vref.Value)*(1+top.nominal()/bottom.nominal()), exact, "trip")
	}
	agrees(a, p.TripLow, trips.low*(1-drift), exact, "lowest trip")
	agrees(a, p.TripHigh, trips.high*(1+drift), exact, "highest trip")
	a.guardLED()
	a.packSwitch()
}

// guardLED: the transistor takes what the gate resistor brings, by the lowest ratio halved for age.
func (a audit) guardLED() {
	p := a.build.Regulation.Protection
	opto := partOf[catalog.Optocoupler](a, "protection optocoupler")
	agrees(a, p.Gate, a.fitted("gate resistor", p.Gate), exact, "gate resistor")
	agrees(a, p.Series, a.fitted("protection LED resistor", p.Series), exact,
		"resistor in series with the protection's LED")
	agrees(a, p.Bypass, a.fitted("protection LED bypass", p.Bypass), exact,
		"resistor across the protection's LED")
	agrees(a, p.Ratio, 0.5*float64(opto.RatioMin.Value), exact, "transfer ratio of the protection")
	agrees(a, p.LEDNeed, float64(p.TripHigh)/float64(p.Gate)/float64(p.Ratio), exact,
		"LED current the protection needs")
	led := float64(opto.Forward.Value)
	have := (float64(p.TripLow)-float64(p.Reference)-led)/float64(p.Series) - led/float64(p.Bypass)
	agrees(a, p.LEDHave, have, exact, "LED current the protection has")
	judged(a, "LED current of the overvoltage protection", p.LEDHave, p.LEDNeed, exact)
	judged(a, "pack voltage after the worst single fault", p.TripHigh, a.target.Absolute, exact)
	judged(a, "lowest trip of the overvoltage protection", p.TripLow, a.target.Set, exact)
}

// packSwitch: without feedback the output ends where the reflected voltage reaches the clamp.
func (a audit) packSwitch() {
	p, t, b := a.build.Regulation.Protection, a.target, a.build
	ceiling := float64(b.Stage.Clamp)*float64(b.Transformer.SecondaryTurns)/
		float64(b.Transformer.PrimaryTurns) - float64(b.Stage.RectifierDrop)
	agrees(a, p.Ceiling, max(float64(t.Absolute), ceiling), exact, "output with nothing holding it")
	agrees(a, p.SwitchOpen, max(float64(p.Ceiling)-float64(t.Empty), 2*float64(t.Absolute)), exact,
		"voltage across the open pack switch")
	gate := float64(t.Empty)
	if p.Divider > 0 {
		agrees(a, p.Divider, a.fitted("gate divider", p.Divider), exact, "gate divider")
		gate *= float64(p.Divider) / float64(p.Gate+p.Divider)
	}
	weak := 1.0
	if gate < 10 { // where makers state the resistance
		weak = 2
	}
	heat, rating := 0.5, float64(p.SwitchOpen)/0.8
	for _, u := range a.uses("pack switch") {
		if q, is := a.part(u).(catalog.Transistor); is {
			heat, rating = weak*float64(q.OnHot.Value)*float64(t.Current*t.Current),
				float64(q.Drain.Value)
			a.isTrue(gate >= float64(q.ThresholdMax.Value)+2-1e-9,
				"gate of the pack switch at %g V with an empty pack, "+
					"threshold up to %g V", gate, float64(q.ThresholdMax.Value))
		}
	}
	agrees(a, p.SwitchHeat, heat, exact, "power in the closed pack switch")
	judged(a, "voltage across the open pack switch", p.SwitchOpen, 0.8*rating, exact)
}
