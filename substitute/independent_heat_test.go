package substitute_test

import (
	"math"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
)

// spent is a loss budget in W.
type spent struct{ sw, core, copper, clamp, rectifier, shunt, bridge, other float64 }

func (s spent) total() float64 {
	return s.sw + s.core + s.copper + s.clamp + s.rectifier + s.shunt + s.bridge + s.other
}

// auditLosses recomputes each loss from the printed currents and voltages: exact, apart from copper, whose temperature is
// settled once more after the budget.
func auditLosses(a audit) {
	f, b := a.figures(), a.build
	l, st := b.Losses, b.Stage
	sw := f.switchLoss(b, float64(st.BusMin), float64(st.PrimaryPeak), float64(st.PrimaryRMS), a.share(f))
	agrees(a, l.Switch, sw, exactOr(f), "switch loss")
	agrees(a, l.Core, f.coreLoss(b, float64(b.Transformer.FluxSwing), float64(b.Transformer.PrimaryTurns), float64(st.BusMin))*a.share(f), exactOr(f), "core loss")
	agrees(a, l.Copper, copperLoss(b), steady, "copper loss")
	agrees(a, l.Rectifier, f.current*f.rectDrop, exact, "rectifier loss")
	agrees(a, l.Shunt, f.current*f.sense, exact, "shunt loss")
	agrees(a, l.Bridge, 2*f.drop*float64(st.InputPower-l.Bridge)/float64(st.BusMin), exact, "bridge loss")
	agrees(a, l.Other, f.own*f.set+f.chip+math.Pow(float64(st.BusMin), 2)/f.bleed, exact,
		"other losses: secondary circuit, chip supply and bleed of this very build")
	total := l.Switch + l.Core + l.Copper + l.Clamp + l.Rectifier + l.Shunt + l.Bridge + l.Other
	agrees(a, b.Efficiency, f.set*f.current/(f.set*f.current+float64(total)), exact, "efficiency")
	agrees(a, b.Score.Loss, math.Round(float64(total)*1e3)/1e3, exact, "loss that is ranked by")
	// energy is conserved: what enters leaves as charge or as heat
	agrees(a, st.InputPower, f.set*f.current+float64(total), steady, "power in")
}

// exactOr is exact; the pulse share of an on/off switcher belongs to the round before the printed throughput.
func exactOr(f figures) float64 {
	if f.gated {
		return steady
	}
	return exact
}

// switchLoss: conduction with the hot resistance; drain and winding capacitance (20 pF from memory), discharged from the
// bus in discontinuous mode and from bus plus reflected in continuous; crossover V I t f/6 (ON Semiconductor NCP1028 p. 25)
// with 40 ns from memory; a chip that feeds itself from the drain.
func (f *figures) switchLoss(b *substitute.Build, bus, peak, rms, share float64) float64 {
	hz, vr := f.f*share, f.reflected(f.set)
	turnOn := bus
	if b.Stage.Mode == "continuous" {
		turnOn = bus + vr
	}
	p := rms*rms*float64(f.sw.OnHot.Value) + 0.5*(float64(f.sw.Coss.Value)+20e-12)*turnOn*turnOn*hz + (bus+vr)*peak*40e-9*hz/6
	if f.sw.SelfSupply == "yes" {
		p += bus * float64(f.sw.SupplyCurrent.Value)
	}
	return p
}

// coreLoss is that of a flux with straight flanks by the improved generalized Steinmetz equation, from k, alpha and beta of the
// grade's row at 60 or 100 degC, whichever loses more: the mean over a period of ki |dB/dt|^alpha swing^(beta-alpha). A voltage on
// the turns changes the flux by dB/dt = V/(N A): bus on the way up, reflected voltage on the way down.
func (f *figures) coreLoss(b *substitute.Build, swing, turns, bus float64) float64 {
	row, _ := catalog.FerriteNamed(f.core.Ferrite)
	at := func(t float64) float64 { return row.CT0 - row.CT1*t + row.CT2*t*t }
	worst := max(at(60), at(100))
	if row.CT1 == 0 && row.CT2 == 0 {
		worst = 1.35 // only the hot loss is known; PC44 prints 400 kW/m3 at 60 degC against 300 at 100 degC
	}
	turn, steps := 0.0, 4000 // integral of |cos|^alpha over a full turn
	for i := range steps {
		turn += math.Pow(math.Abs(math.Cos(2*math.Pi*(float64(i)+0.5)/float64(steps))), row.Alpha) * 2 * math.Pi / float64(steps)
	}
	ki := row.K * worst / (math.Pow(2*math.Pi, row.Alpha-1) * math.Pow(2, row.Beta-row.Alpha) * turn)
	var energy float64
	for _, volts := range []float64{bus, f.reflected(f.set)} {
		slope := volts / (turns * float64(b.Core.Area))
		energy += ki * math.Pow(slope, row.Alpha) * math.Pow(swing, row.Beta-row.Alpha) * swing / slope
	}
	return energy * f.f * float64(b.Core.Volume)
}

// copperLoss is the sum over the windings that carry the charging power, in their printed states.
func copperLoss(b *substitute.Build) (sum float64) {
	for _, w := range b.Windings {
		if w.Name != "bias" {
			sum += float64(w.RMS) * float64(w.RMS) * float64(w.Resistance) * float64(w.ACFactor)
		}
	}
	return sum
}

// auditBalance closes the loop by itself: thirty rounds of valley, currents and losses from nothing but the lots and the
// printed resistances, the clamp at its lowest voltage, where it burns most.
func auditBalance(a audit) {
	f, b := a.figures(), a.build
	s := stage{reflected: f.reflected(f.set), l: f.l, f: f.f}
	through, input := f.set*f.current*1.1, f.set*f.current*1.2
	var c cycle
	var loss spent
	for range 30 {
		m := mains{vac: float64(a.target.MainsMin), line: float64(a.target.Line), drop: f.drop, c: f.bulk, power: input}
		s.bus = m.halfWave().valley
		share := 1.0
		if f.gated {
			c = s.settled((f.limitLow+f.limitHigh)/2, 1)
			share = through / s.power(c)
		} else {
			c = s.carrying(through)
		}
		loss, through, input = f.budget(b, s, c, share)
	}
	agrees(a, b.Stage.BusMin, s.bus, steady, "valley of the bus, balanced")
	agrees(a, b.Stage.PrimaryPeak, c.peak, steady, "primary peak, balanced")
	agrees(a, b.Stage.Throughput, through, steady, "throughput, balanced")
	agrees(a, b.Stage.InputPower, input+loss.bridge, steady, "power in, balanced")
	agrees(a, totalOf(b.Losses), loss.total(), 2*steady, "all losses, balanced")
}

func totalOf(l substitute.Losses) si.Power {
	return l.Switch + l.Core + l.Copper + l.Clamp + l.Rectifier + l.Shunt + l.Bridge + l.Other
}

// budget is one round: the losses of a cycle, what crosses the gap and what leaves the bus.
func (f *figures) budget(b *substitute.Build, s stage, c cycle, share float64) (l spent, through, input float64) {
	i := s.currents(c)
	primary, secondary := copperAt(b, i.rms*math.Sqrt(share), i.secondRMS*f.n*math.Sqrt(share))
	swing := f.l * (c.peak - c.start) / (float64(b.Transformer.PrimaryTurns) * float64(b.Core.Area))
	bleed := s.bus * s.bus / f.bleed
	l = spent{sw: f.switchLoss(b, s.bus, c.peak, i.rms*math.Sqrt(share), share), core: f.coreLoss(b, swing, float64(b.Transformer.PrimaryTurns), s.bus) * share,
		copper: primary + secondary, clamp: f.clampPower(c.peak, f.clamp.low, f.f) * share, rectifier: f.current * f.rectDrop,
		shunt: f.current * f.sense, other: f.own*f.set + f.chip + bleed}
	through = f.set*f.current + l.rectifier + l.shunt + f.own*f.set + secondary + l.core + l.clamp + f.chip
	input = through + l.sw + primary + bleed
	l.bridge = 2 * f.drop * input / s.bus
	return l, through, input
}

// copperAt is the copper loss of both sides with other currents than the printed ones.
func copperAt(b *substitute.Build, rms, second float64) (primary, secondary float64) {
	for _, w := range b.Windings {
		r := float64(w.Resistance) * float64(w.ACFactor)
		switch w.Name {
		case "bias":
		case "secondary":
			secondary += second * second * r
		default:
			primary += rms * rms * r
		}
	}
	return primary, secondary
}

// auditHeat: the air from the case's surface, coil and chip on top of it.
func auditHeat(a audit) {
	f, b := a.figures(), a.build
	ambient := float64(a.target.Ambient)
	inside := ambient
	if loss := float64(totalOf(b.Losses)); a.target.Case != substitute.Open {
		inside = sealedAir(ambient, loss, surface(a.target))
		if a.target.Case == substitute.Vented {
			inside = (inside + ambient) / 2
		}
	}
	agrees(a, float64(b.Inside)-ambient, inside-ambient, steady, "rise of the air inside")
	coil := float64(b.Losses.Core+b.Losses.Copper) * f.rise(b)
	agrees(a, float64(b.CoilHot-b.Inside), coil, steady, "rise of the transformer")
	path := float64(f.sw.JunctionAir.Value)
	if f.sw.JunctionAir.Basis == catalog.Estimated {
		path *= 1.2
	}
	agrees(a, float64(b.Junction-b.Inside), float64(b.Losses.Switch)*path, exact, "rise of the chip")
	judged(a, "transformer temperature", b.CoilHot, 110.0, exact)
	judged(a, "switcher junction temperature", b.Junction, min(110, f.sw.JunctionMax.Value-25), exact)
	judged(a, "air inside the case", b.Inside, 75.0, exact)
}

// rise is the thermal resistance of the wound core: the maker's, but never below 53 Ve^-0.54 K/W with Ve in cm3 (S.
// Maniktala, Switching Power Supplies A-Z, 2nd ed. 2012, p. 155).
func (f *figures) rise(b *substitute.Build) float64 {
	rule := 53 * math.Pow(float64(b.Core.Volume)*1e6, -0.54)
	if f.core.Rise.Known() {
		return max(rule, float64(f.core.Rise.Value))
	}
	return 1.3 * rule
}

// surface of the box in m2; 90 x 55 x 40 mm when none is given.
func surface(t substitute.Target) float64 {
	l, w, h := 0.090, 0.055, 0.040
	if t.Box != nil {
		l, w, h = float64(t.Box.Length), float64(t.Box.Width), float64(t.Box.Height)
	}
	return 2 * (l*w + l*h + w*h)
}

// sealedAir steps the wall temperature up by millikelvins until free convection 1.42 (dT/L)^0.25 dT (McAdams' short form,
// from memory) and radiation (emissivity 0.9, Stefan-Boltzmann constant of CODATA 2018) carry the loss; the air stands
// above the wall by the convection of half the loss, as the engine assumes.
func sealedAir(ambient, loss, surface float64) float64 {
	edge := math.Sqrt(surface / 6)
	convection := func(dt float64) float64 { return surface * 1.42 * math.Pow(dt/edge, 0.25) * dt }
	radiation := func(dt float64) float64 {
		cold := ambient + 273.15
		return surface * 0.9 * 5.670374419e-8 * (math.Pow(cold+dt, 4) - math.Pow(cold, 4))
	}
	wall, air := 0.0, 0.0
	for convection(wall)+radiation(wall) < loss {
		wall += 1e-3
	}
	for convection(air) < loss/2 {
		air += 1e-3
	}
	return ambient + wall + air
}
