package substitute_test

import (
	"math"
	"strings"
	"sync"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
)

// spent is a loss budget in W.
type spent struct{ sw, core, copper, clamp, rectifier, shunt, bridge, other float64 }

func (s spent) total() float64 {
	return s.sw + s.core + s.copper + s.clamp + s.rectifier + s.shunt + s.bridge + s.other
}

// auditLosses recomputes each loss from the printed currents and voltages: exact, apart from
// copper, whose temperature is settled once more after the budget.
func auditLosses(a audit) {
	f, b := a.figures(), a.build
	l, st := b.Losses, b.Stage
	sw := f.switchLoss(float64(st.BusMin), float64(st.PrimaryPeak), float64(st.PrimaryRMS),
		f.f*a.share(f), st.Mode == "continuous")
	agrees(a, l.Switch, sw, exactOr(f), "switch loss")
	agrees(a, l.Core, f.coreLoss(b, float64(b.Transformer.FluxSwing),
		float64(b.Transformer.PrimaryTurns), float64(st.BusMin), f.f)*a.share(f),
		exactOr(f), "core loss")
	agrees(a, l.Copper, copperLoss(b), steady, "copper loss")
	agrees(a, l.Rectifier, f.current*f.rectDrop, exact, "rectifier loss")
	agrees(a, l.Shunt, f.current*f.sense, exact, "shunt loss")
	agrees(a, l.Bridge, 2*f.drop*float64(st.InputPower-l.Bridge)/float64(st.BusMin),
		exact, "bridge loss")
	agrees(a, l.Other, f.own*f.set+f.chip+math.Pow(float64(st.BusMin), 2)/f.bleed, exact,
		"other losses: secondary circuit, chip supply and bleed of this very build")
	total := l.Switch + l.Core + l.Copper + l.Clamp + l.Rectifier + l.Shunt + l.Bridge + l.Other
	agrees(a, b.Efficiency, f.set*f.current/(f.set*f.current+float64(total)), exact, "efficiency")
	agrees(a, b.Score.Loss, math.Round(float64(total)*1e3)/1e3, exact, "loss that is ranked by")
	// energy is conserved: what enters leaves as charge or as heat
	agrees(a, st.InputPower, f.set*f.current+float64(total), steady, "power in")
}

// exactOr is exact; the pulse share of an on/off switcher belongs to the round before the printed
// throughput.
func exactOr(f figures) float64 {
	if f.gated {
		return steady
	}
	return exact
}

// switchLoss: conduction with the hot resistance; drain and winding capacitance (20 pF from
// memory), discharged from the bus in discontinuous mode and from bus plus reflected in continuous;
// crossover V I t f/6 (ON Semiconductor NCP1028 p. 25) with 40 ns from memory; a chip that feeds
// itself from the drain.
func (f *figures) switchLoss(bus, peak, rms, hz float64, continuous bool) float64 {
	vr := f.reflected(f.set)
	turnOn := bus
	if continuous {
		turnOn = bus + vr
	}
	p := rms*rms*float64(f.sw.OnHot.Value) +
		0.5*(float64(f.sw.Coss.Value)+20e-12)*turnOn*turnOn*hz + (bus+vr)*peak*40e-9*hz/6
	if f.sw.SelfSupply == "yes" {
		p += bus * float64(f.sw.SupplyCurrent.Value)
	}
	return p
}

// coreLoss is that of a flux with straight flanks by the improved generalized Steinmetz equation,
// from k, alpha and beta of the grade's row at 60 or 100 degC, whichever loses more: the mean over
// a period of ki |dB/dt|^alpha swing^(beta-alpha). A voltage on the turns changes the flux by dB/dt
// = V/(N A): bus on the way up, reflected voltage on the way down.
func (f *figures) coreLoss(b *substitute.Build, swing, turns, bus, hz float64) float64 {
	row, _ := catalog.FerriteNamed(f.core.Ferrite)
	at := func(t float64) float64 { return row.CT0 - row.CT1*t + row.CT2*t*t }
	worst := max(at(60), at(100))
	if row.CT1 == 0 && row.CT2 == 0 {
		// only the hot loss is known; PC44 prints 400 kW/m3 at 60 degC against 300 at 100 degC
		worst = 1.35
	}
	turn, steps := 0.0, 4000 // integral of |cos|^alpha over a full turn
	for i := range steps {
		turn += math.Pow(math.Abs(math.Cos(2*math.Pi*(float64(i)+0.5)/float64(steps))), row.Alpha) *
			2 * math.Pi / float64(steps)
	}
	ki := row.K * worst / (math.Pow(2*math.Pi, row.Alpha-1) *
		math.Pow(2, row.Beta-row.Alpha) * turn)
	var energy float64
	for _, volts := range []float64{bus, f.reflected(f.set)} {
		slope := volts / (turns * float64(b.Core.Area))
		energy += ki * math.Pow(slope, row.Alpha) *
			math.Pow(swing, row.Beta-row.Alpha) * swing / slope
	}
	return energy * hz * float64(b.Core.Volume)
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

// settled is a balanced state of the stage.
type settled struct {
	s                     powerCycle
	c                     cycle
	i                     currents
	share, through, input float64
	loss                  spent
	inside, coil          float64
	// of primary and secondary, x what is printed for the middle of all ranges
	copper [2]float64
}

// balanced closes the loop by itself: twelve rounds of bus, currents and losses from nothing but
// the lots and the printed resistances, the clamp at its lowest voltage, where it burns most. Bus
// zero is the valley at lowest mains.
func (a audit) balanced(f *figures, l, hz, limit, bus float64) settled {
	return a.balancedFrom(f, l, hz, limit, bus, nil)
}

// balancedFrom is balanced for a corner: copper as warm and with the layer factor of the current as
// it is there, each in proportion to the middle of all ranges, which what is printed belongs to;
// nil stands for the middle itself.
func (a audit) balancedFrom(f *figures, l, hz, limit, bus float64, middle *settled) (r settled) {
	b := a.build
	r.copper = [2]float64{1, 1}
	r.s = powerCycle{reflected: f.reflected(f.set), l: l, f: hz}
	r.through, r.input = f.set*f.current*1.1, f.set*f.current*1.2
	for round := range 12 {
		if r.s.bus = bus; bus == 0 {
			m := mains{vac: float64(a.target.MainsMin), line: float64(a.target.Line), drop: f.drop,
				c: f.bulk, power: r.input}
			r.s.bus = m.halfWave().valley
		}
		r.share = 1
		if f.gated {
			r.c = r.s.settled(limit, 1)
			r.share = r.through / r.s.power(r.c)
		} else {
			r.c = r.s.carrying(r.through)
		}
		r.loss, r.through, r.input = f.budget(b, r.s, r.c, r.share, r.copper)
		if middle != nil && round%4 == 3 {
			a.hold(f, &r)
			r.copper = a.copperBeside(f, &r, middle)
		}
	}
	r.i = r.s.currents(r.c)
	a.hold(f, &r)
	return r
}

// hold writes the temperatures of a state.
func (a audit) hold(f *figures, r *settled) {
	r.inside = a.inside(r.loss.total())
	r.coil = r.inside + (r.loss.core+r.loss.copper)*f.rise(a.build)
}

// copperBeside is the resistance of both windings in a state over that in another: copper by IEC
// 60028, and Dowell's layers with the harmonics of either current.
func (a audit) copperBeside(f *figures, r, middle *settled) [2]float64 {
	warm := (1 + 3.93e-3*(r.coil-20)) / (1 + 3.93e-3*(middle.coil-20))
	here, there := a.layerFactors(f, r), a.layerFactors(f, middle)
	return [2]float64{warm * here[0] / there[0], warm * here[1] / there[1]}
}

// layerFactors are those of primary and secondary, their layers spread over the width, as in
// auditLayerFactor.
func (a audit) layerFactors(f *figures, r *settled) [2]float64 {
	b := a.build
	width := f.window().width - 2*float64(b.Transformer.Margin)
	windings, _ := a.lay()
	out, halves := [2]float64{1, 1}, 1.0
	for _, w := range b.Windings {
		if strings.HasSuffix(w.Name, "half") {
			halves = 2
		}
	}
	for i, w := range b.Windings {
		side, layers, shape := 0, float64(windings[i].layers), rise
		switch w.Name {
		case "bias", "primary 2nd half":
			continue
		case "secondary":
			side, layers, shape = 1, max(1, layers/halves), fall
		}
		spread := float64(w.WireD) * float64(w.Strands) *
			float64(min(w.Turns, windings[i].across)) / width
		out[side] = layerFactor(sampled(r.c, r.s.f, shape), r.s.f, float64(w.WireD), spread, layers)
	}
	return out
}

// inside is the air in the case with a loss.
func (a audit) inside(loss float64) float64 {
	ambient := float64(a.target.Ambient)
	switch a.target.Case {
	case substitute.Open:
		return ambient
	case substitute.Vented:
		return (sealedAir(ambient, loss, surface(a.target)) + ambient) / 2
	}
	return sealedAir(ambient, loss, surface(a.target))
}

// corners are the balanced states at both ends of inductance and frequency (limit, where pulses are
// gated), each at the valley of the lowest mains, at the crest of the highest and, in the middle of
// both ends of the bus, where the stage leaves continuous mode.
func (a audit) corners(f *figures) (valleys, all []settled) {
	if known, seen := cornersOf.Load(a.build); seen {
		k := known.([2][]settled)
		return k[0], k[1]
	}
	valleys, all = a.findCorners(f)
	cornersOf.Store(a.build, [2][]settled{valleys, all})
	return valleys, all
}

// cornersOf keeps the corners of a build, which several topics ask for.
var cornersOf sync.Map

func (a audit) findCorners(f *figures) (valleys, all []settled) {
	middle := a.balanced(f, f.l, f.f, (f.limitLow+f.limitHigh)/2, 0)
	all = append(all, middle)
	for _, high := range []bool{false, true} {
		hz, limit := f.fLow, f.limitLow
		if high {
			hz, limit = f.fHigh, f.limitHigh
		}
		if f.gated {
			hz = f.f
		}
		at := func(l, bus float64) settled { return a.balancedFrom(f, l, hz, limit, bus, &middle) }
		var lows, tops [2]settled
		for i, l := range []float64{f.lLow, f.lHigh} {
			low, top := at(l, 0), at(l, f.busMax)
			lows[i], tops[i] = low, top
			all = append(all, low, top)
			if !high {
				valleys = append(valleys, low)
			}
			if low.c.flows() && !top.c.flows() {
				all = append(all, atBorder(low.s.bus, f.busMax,
					func(bus float64) settled { return at(l, bus) }))
			}
		}
		// the border may also cross the valley or the crest between both inductances
		for i, bus := range []float64{0, f.busMax} {
			ends := [][2]settled{lows, tops}[i]
			if !ends[0].c.flows() && ends[1].c.flows() {
				all = append(all, atBorder(f.lHigh, f.lLow,
					func(l float64) settled { return at(l, bus) }))
			}
		}
	}
	return append(valleys, all[0]), all
}

// flows reports that the current never rests, so that the drain is charged to bus and reflected
// voltage at turn-on.
func (c cycle) flows() bool { return c.start > exact*c.peak }

// atBorder halves between an end at which the current flows all the time and one at which it does
// not; it returns the last state in which it does.
func atBorder(flows, rests float64, at func(float64) settled) settled {
	out := at(flows)
	for range 10 {
		mid := (flows + rests) / 2
		if s := at(mid); s.c.flows() {
			flows, out = mid, s
		} else {
			rests = mid
		}
	}
	return out
}

// worst is the highest of a figure over states.
func worst(all []settled, of func(settled) float64) float64 {
	out := math.Inf(-1)
	for _, s := range all {
		out = max(out, of(s))
	}
	return out
}

// auditBalance holds the state in the middle of all ranges, at lowest mains.
func auditBalance(a audit) {
	f, b := a.figures(), a.build
	r := a.balanced(&f, f.l, f.f, (f.limitLow+f.limitHigh)/2, 0)
	agrees(a, b.Stage.BusMin, r.s.bus, steady, "valley of the bus, balanced")
	agrees(a, b.Stage.PrimaryPeak, r.c.peak, steady, "primary peak, balanced")
	agrees(a, b.Stage.Throughput, r.through, steady, "throughput, balanced")
	agrees(a, b.Stage.InputPower, r.input+r.loss.bridge, steady, "power in, balanced")
	agrees(a, totalOf(b.Losses), r.loss.total(), 2*steady, "all losses, balanced")
}

func totalOf(l substitute.Losses) si.Power {
	return l.Switch + l.Core + l.Copper + l.Clamp + l.Rectifier + l.Shunt + l.Bridge + l.Other
}

// budget is one round: the losses of a cycle, what crosses the gap and what leaves the bus.
func (f *figures) budget(b *substitute.Build, s powerCycle, c cycle, share float64,
	copper [2]float64) (l spent, through, input float64) {
	i := s.currents(c)
	primary, secondary := copperAt(b, i.rms*math.Sqrt(share), i.secondRMS*f.n*math.Sqrt(share))
	primary, secondary = primary*copper[0], secondary*copper[1]
	swing := s.l * (c.peak - c.start) / (float64(b.Transformer.PrimaryTurns) * float64(b.Core.Area))
	bleed := s.bus * s.bus / f.bleed
	l = spent{sw: f.switchLoss(s.bus, c.peak, i.rms*math.Sqrt(share), s.f*share, c.flows()),
		core:   f.coreLoss(b, swing, float64(b.Transformer.PrimaryTurns), s.bus, s.f) * share,
		copper: primary + secondary, clamp: f.clampPower(c.peak, f.clamp.low, s.f, f.leak) *
			share, rectifier: f.current * f.rectDrop,
		shunt: f.current * f.sense, other: f.own*f.set + f.chip + bleed}
	through = f.set*f.current + l.rectifier + l.shunt + f.own*f.set + secondary + l.core +
		l.clamp + f.chip
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

// cornered is the tolerance of what is reckoned at a corner: the layer factors of both sides agree
// to 3 %, see auditLayerFactor, and the copper is a third of the losses at most.
const cornered = 0.02

// auditHeat: the air from the case's surface, coil, chip, rectifier and clamp on top of it, all
// where they are hottest.
func auditHeat(a audit) {
	f, b := a.figures(), a.build
	ambient := float64(a.target.Ambient)
	_, all := a.corners(&f)
	path := float64(f.sw.JunctionAir.Value)
	if f.sw.JunctionAir.Basis == catalog.Estimated {
		path *= 1.2
	}
	rise := func(got, want float64, what string) {
		agrees(a, got-ambient, want-ambient, cornered, "rise of "+what)
	}
	rise(float64(b.Inside), worst(all, func(s settled) float64 { return s.inside }),
		"the air inside")
	rise(float64(b.CoilHot), worst(all, func(s settled) float64 { return s.coil }),
		"the transformer")
	rise(float64(b.Junction), worst(all,
		func(s settled) float64 { return s.inside + s.loss.sw*path }), "the chip")
	judged(a, "transformer temperature", b.CoilHot, 110.0, exact)
	judged(a, "switcher junction temperature", b.Junction,
		min(110, f.sw.JunctionMax.Value-25), exact)
	judged(a, "air inside the case", b.Inside, 75.0, exact)
	rectifier := a.check("output rectifier junction temperature")
	rise(rectifier.Value, float64(b.Inside)+f.current*f.rectDrop*f.rectifierAir(), "the rectifier")
	a.isTrue(rectifier.Passed, "rectifier at %.4g C", rectifier.Value)
	if f.clamp.ohm == 0 {
		judged(a, "suppressor junction temperature", a.clampHot(&f, all), 150.0, cornered)
	}
}

// clampHot is a suppressor as hot as it gets: 75 K/W from junction to air (Good-Ark P6KE6.8 thru
// P6KE550CA).
func (a audit) clampHot(f *figures, all []settled) float64 {
	return worst(all, func(s settled) float64 {
		return s.inside + f.clamp.air*f.clampBurns(s.c.peak, s.s.f*s.share, f.leakHigh(a, s.s.l))
	})
}

// rectifierAir: a tab on aluminium of 20 K/W with 4 K/W to it; an axial body what its sheet says,
// from 15 K/W up, else 40 K/W, one below 2.5 A 100 K/W (from memory).
func (f *figures) rectifierAir() float64 {
	p := f.rect
	switch {
	case p.Legs.Value >= 2 || p.Average.Value >= 6:
		return 24
	case p.JunctionAir.Known() && p.JunctionAir.Value >= 15:
		return float64(p.JunctionAir.Value)
	case p.Average.Value < 2.5:
		return 100
	}
	return 40
}

// rise is the thermal resistance of the wound core: the maker's, but never below 53 Ve^-0.54 K/W
// with Ve in cm3 (S. Maniktala, Switching Power Supplies A-Z, 2nd ed. 2012, p. 155).
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

// sealedAir steps the wall temperature up by millikelvins until free convection 1.42 (dT/L)^0.25 dT
// (McAdams' short form, from memory) and radiation (emissivity 0.9, Stefan-Boltzmann constant of
// CODATA 2018) carry the loss; the air stands above the wall by the convection of half the loss, as
// the engine assumes.
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
