package substitute_test

import (
	"math"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
)

func auditSwitcher(a audit) {
	f, s := a.figures(), a.build.Switcher
	a.isTrue(s.Control == f.sw.Control && (f.gated || s.Control == "fixed-frequency"),
		"control %q", s.Control)
	agrees(a, s.Frequency, f.f, exact, "frequency")
	agrees(a, s.LimitMin, f.limitLow, exact, "lowest current limit")
	agrees(a, s.LimitMax, f.limitHigh, exact, "highest current limit")
	agrees(a, s.Breakdown, f.sw.Breakdown.Value, exact, "breakdown")
	agrees(a, s.FeedbackStop, f.sw.FeedbackStop.Value, exact,
		"feedback current that stops the switcher")
	if class, known := powerClass(a, f.sw); known {
		judged(a, "output power", f.set*f.current, class, exact)
	}
}

// powerClass is the maker's ceiling: the row of the mains range, the column of the case; a closed
// case is 0.6 of an open frame where only that is printed, a figure from memory counts 0.9. A chip
// that feeds itself has no bias winding, so a class printed for that is its class; one printed with
// a bias winding is cut as NCP1014's is, 14 of 19 W (from memory). An on/off chip is printed as it
// feeds itself.
func powerClass(a audit, p catalog.Switcher) (float64, bool) {
	sealed, open := p.SealedWide, p.OpenWide
	alone := p.SelfSupply == "yes" && p.SelfWide.Known()
	if alone && a.target.MainsMin >= 180 && p.SelfNarrow.Known() {
		sealed, open = catalog.Datum[si.Power]{}, p.SelfNarrow
	} else if alone {
		sealed, open = catalog.Datum[si.Power]{}, p.SelfWide
	} else if a.target.MainsMin >= 180 && (p.SealedNarrow.Known() || p.OpenNarrow.Known()) {
		sealed, open = p.SealedNarrow, p.OpenNarrow
	}
	d, share := sealed, 1.0
	if a.target.Case == substitute.Open && open.Known() {
		d = open
	} else if !sealed.Known() {
		d, share = open, 0.6
	}
	if !d.Firm() {
		share *= 0.9
	}
	if p.SelfSupply == "yes" && !alone && p.Control != "on-off" {
		share *= 14.0 / 19
	}
	return float64(d.Value) * share, d.Known()
}

func auditMains(a audit) {
	f, b := a.figures(), a.build
	agrees(a, b.Stage.BusMax, f.busMax, exact, "highest bus voltage")
	agrees(a, b.Stage.BulkCapacity, f.bulk, exact, "least bulk capacitance")
	// the power that leaves the bus: all that enters less what the bridge burns
	m := mains{vac: float64(a.target.MainsMin), line: float64(a.target.Line),
		drop: f.drop, c: f.bulk,
		power: float64(b.Stage.InputPower - b.Losses.Bridge)}
	w := m.halfWave()
	agrees(a, b.Stage.BusMin, w.valley, steady, "valley of the bus")
	judged(a, "bulk capacitor voltage at highest mains", f.busMax, partOf[catalog.Capacitor](a,
		"bulk capacitor").Volts.Value, exact)
	crest := math.Sqrt2*float64(a.target.MainsMin) - 2*f.drop
	valleys, _ := a.corners(&f)
	judged(a, "valley of the bulk voltage at lowest mains",
		-worst(valleys, func(s settled) float64 { return -s.s.bus }), 0.55*crest, cornered)
	judged(a, "reverse voltage of the bridge", f.busMax, 0.7*f.bridge.Reverse.Value, exact)
	judged(a, "bridge current", m.power/w.valley, 0.5*f.bridge.Average.Value, steady)
	// ripple at the line frequency and at the switching frequency add as squares; 1.5 x the rating
	// below 75 C (from memory)
	capacitor := partOf[catalog.Capacitor](a, "bulk capacitor")
	pieces := 0.0
	for _, u := range a.uses("bulk capacitor") {
		pieces += u.Quantity
	}
	ripple := worst(valleys, func(s settled) float64 {
		m.power = s.input
		fast := s.share*s.i.rms*s.i.rms - s.share*s.share*s.i.mean*s.i.mean
		return math.Sqrt(math.Pow(m.halfWave().capacitorRMS, 2) + fast)
	})
	judged(a, "ripple current of the bulk capacitor", ripple,
		1.5*pieces*float64(capacitor.Ripple.Value), cornered)
}

// working is the settled cycle at lowest mains, full pack; an on/off switcher runs every pulse to
// the middle of its limits.
func (a audit) working(f figures) cycle {
	s := f.stageAt(a.build, f.l, f.f)
	if f.gated {
		return s.settled((f.limitLow+f.limitHigh)/2, 1)
	}
	return s.carrying(float64(a.build.Stage.Throughput))
}

// share is the part of the clock cycles in which an on/off switcher switches.
func (a audit) share(f figures) float64 {
	if !f.gated {
		return 1
	}
	s := f.stageAt(a.build, f.l, f.f)
	return float64(a.build.Stage.Throughput) / s.power(a.working(f))
}

// auditCurrents: the engine's currents belong to the throughput of its last round but one, hence
// steady.
func auditCurrents(a audit) {
	f, b := a.figures(), a.build
	agrees(a, b.Transformer.Reflected, f.reflected(f.set), exact, "reflected voltage")
	s, c, share := f.stageAt(b, f.l, f.f), a.working(f), a.share(f)
	i := s.currents(c)
	root := math.Sqrt(share)
	agrees(a, b.Stage.PrimaryPeak, c.peak, steady, "primary peak")
	agrees(a, b.Stage.PrimaryRMS, i.rms*root, steady, "primary rms")
	agrees(a, b.Stage.SecondaryPeak, c.peak*f.n, steady, "secondary peak")
	agrees(a, b.Stage.SecondaryRMS, i.secondRMS*f.n*root, steady, "secondary rms")
	// the capacitor carries what is left of the secondary current once the charging current is gone
	agrees(a, b.Stage.CapacitorRipple, math.Sqrt(i.secondRMS*i.secondRMS*f.n*f.n*share-
		f.current*f.current), 2*steady,
		"capacitor ripple")
	want := "discontinuous"
	if c.start > exact*c.peak {
		want = "continuous"
	}
	if border := s.bus * s.reflected / (s.bus +
		s.reflected) / (s.l * s.f); math.Abs(c.peak/border-1) > steady {
		a.isTrue(b.Stage.Mode == want, "mode %q, recomputed %q", b.Stage.Mode, want)
	}
	agrees(a, b.Stage.PulseShare, share, exactOr(f), "share of the clock cycles used")
	agrees(a, b.Stage.RectifierDrop, f.rectDrop, exact, "rectifier drop")
	auditPeaks(a, f)
}

// auditPeaks: the peak needed with the lowest frequency at either end of the inductance, full and
// empty, and the longest duty.
func auditPeaks(a audit, f figures) {
	b := a.build
	valleys, all := a.corners(&f)
	if f.gated {
		judged(a, "share of pulses used at lowest mains",
			worst(valleys, func(s settled) float64 { return f.pulses(s) }), 0.95, cornered)
		return
	}
	full := func(s settled) cycle { return f.hardest(s).carrying(s.through) }
	judged(a, "peak current needed at lowest mains, full pack",
		worst(valleys, func(s settled) float64 { return full(s).peak }), f.usable, cornered)
	duty := worst(valleys, func(s settled) float64 { return full(s).on * f.fLow })
	judged(a, "duty at lowest mains", duty, f.longest, cornered)
	agrees(a, b.Stage.DutyMax, duty, cornered, "duty")
	judged(a, "peak current needed at lowest mains, empty pack",
		worst(valleys, func(s settled) float64 {
			return f.emptyPack(f.hardest(s), s.through).peak
		}), f.usable, cornered)
	shortest := -worst(all, func(s settled) float64 {
		if s.s.bus != f.busMax {
			return math.Inf(-1)
		}
		return -f.emptyPack(s.s, s.through).on
	})
	// from memory, as the 2.7 %, the largest least duty of the TOP221-227 family
	least := 0.3e-6 + f.delay
	switch {
	case f.sw.LeastOn.Known():
		least = float64(f.sw.LeastOn.Value)
	case f.sw.Law == "duty":
		least = 0.027 / f.f
	}
	judged(a, "on-time at highest mains, empty pack", shortest, least, cornered)
}

// hardest is the stage of a state at the lowest frequency.
func (f *figures) hardest(s settled) powerCycle {
	s.s.f = f.fLow
	return s.s
}

// pulses is the share of pulses at the lowest limit and frequency, into a full or an empty pack,
// whichever is more.
func (f *figures) pulses(s settled) float64 {
	h := f.hardest(s)
	share := s.through / h.power(h.settled(f.limitLow, 1))
	h.reflected = f.reflected(f.empty)
	return max(share, s.through*f.reflected(f.empty)/f.reflected(f.set)/
		h.power(h.settled(f.limitLow, 1)))
}

// emptyPack is the cycle into an empty pack: the same current at a lower voltage.
func (f *figures) emptyPack(s powerCycle, through float64) cycle {
	power := through * f.reflected(f.empty) / f.reflected(f.set)
	s.reflected = f.reflected(f.empty)
	return s.carrying(power)
}

// auditFlux: the current goes on rising for the turn-off delay at the highest bus voltage.
func auditFlux(a audit) {
	f, b := a.figures(), a.build
	turns := float64(b.Transformer.PrimaryTurns)
	peak := f.limitHigh + f.busMax*f.delay/f.lHigh
	flux := f.lHigh * peak / (turns * float64(b.Core.AreaMin))
	agrees(a, b.Transformer.FluxPeak, flux, exact, "flux peak")
	judged(a, "flux density at the highest current limit", flux, float64(b.Core.FluxLimit), exact)
	c := a.working(f)
	agrees(a, b.Transformer.FluxSwing, f.l*(c.peak-c.start)/(turns*float64(b.Core.Area)),
		steady, "flux swing")
}

// auditWalls: the power wall by simulating ever larger inductances, the saturation wall by the flux
// at the highest limit. An on/off switcher keeps 5 % of its pulses in hand.
func auditWalls(a audit) {
	f, b := a.figures(), a.build
	through := float64(b.Stage.Throughput)
	if f.gated {
		through /= 0.95
	}
	s := f.stageAt(b, 0, f.fLow)
	full := leastInductance(s, through, f.usable, f.longest)
	s.reflected = f.reflected(f.empty)
	empty := leastInductance(s, through*f.reflected(f.empty)/f.reflected(f.set),
		f.usable, f.longest)
	agrees(a, b.Transformer.WallPower, max(full, empty), steady, "power wall")
	turns := float64(b.Transformer.PrimaryTurns)
	wall := (float64(b.Core.FluxLimit)*turns*float64(b.Core.AreaMin) - f.busMax*f.delay) /
		f.limitHigh
	agrees(a, b.Transformer.WallSaturation, wall, exact, "saturation wall")
	a.isTrue(float64(b.Transformer.WallPower) <= f.lLow*(1+exact),
		"the predicted band begins below the power wall")
	a.isTrue(f.lHigh <= wall*(1+exact), "the predicted band ends above the saturation wall")
}

// auditStresses. Rectifier: output plus the highest bus over the turns ratio (SLUS223E eq. 15), 0.8
// of the rating (AN-23 step 6).
func auditStresses(a audit) {
	f, b := a.figures(), a.build
	hot := 25.0
	if f.clamp.ohm == 0 {
		hot = a.check("suppressor junction temperature").Value
	}
	top := f.clampTop(a, hot)
	agrees(a, b.Stage.Clamp, top, exact, "clamp voltage")
	agrees(a, b.Stage.DrainPeak, f.busMax+top, exact, "drain peak")
	part := 0.85
	if f.sw.Breakdown.Firm() {
		part = 0.90
	}
	judged(a, "drain voltage at highest mains", f.busMax+top,
		part*float64(f.sw.Breakdown.Value), exact)
	reverse := f.absolute + f.busMax/f.n
	agrees(a, b.Stage.ReverseVoltage, reverse, exact, "rectifier reverse voltage")
	judged(a, "reverse voltage of the output rectifier", reverse, 0.8*f.rect.Reverse.Value, exact)
	judged(a, "average current of the output rectifier", f.current,
		0.7*float64(f.rect.Average.Value*si.Current(f.rect.Legs.Value)), exact)
	capacitor := partOf[catalog.Capacitor](a, "output capacitor")
	judged(a, "output capacitor voltage", b.Regulation.WorstHigh, capacitor.Volts.Value/1.2, exact)
	pieces := 0.0
	for _, u := range a.uses("output capacitor") {
		pieces += u.Quantity
	}
	_, all := a.corners(&f)
	judged(a, "ripple current of the output capacitor", worst(all, func(s settled) float64 {
		return math.Sqrt(max(0, s.i.secondRMS*s.i.secondRMS*f.n*f.n*s.share-f.current*f.current))
	}), pieces*float64(capacitor.Ripple.Value), cornered)
	if b.Transformer.BiasTurns > 0 {
		agrees(a, b.Stage.BiasMin, f.bias[0], exact, "chip supply, empty pack")
		agrees(a, b.Stage.BiasMax, f.bias[1], exact, "chip supply, full pack")
		judged(a, "chip supply from the bias winding, empty pack", f.bias[0],
			1.05*f.sw.SupplyMin.Or(10), exact)
		judged(a, "chip supply from the bias winding, full pack", 1.2*f.bias[1],
			f.sw.SupplyMax.Or(20), exact)
	}
	a.isTrue(f.sw.SelfSupply == "yes" || b.Transformer.BiasTurns > 0,
		"a chip without self-supply has no bias winding")
}

// auditClamp. A lower clamp voltage lets the leakage current flow longer and takes more of the
// magnetising energy with it, so the limit must be held against the lowest one, with the highest
// leakage.
func auditClamp(a audit) {
	f, b := a.figures(), a.build
	judged(a, "clamp voltage above the reflected voltage", f.clamp.low,
		1.3*f.reflected(f.set), exact)
	burnt := f.clampPower(float64(b.Stage.PrimaryPeak), f.clamp.low, f.f, f.leak) * a.share(f)
	agrees(a, b.Losses.Clamp, burnt, steady, "clamp loss at the lowest voltage of the clamp")
	_, all := a.corners(&f)
	judged(a, "clamp power", worst(all, func(s settled) float64 {
		return f.clampBurns(s.c.peak, s.s.f*s.share, f.leakHigh(a, s.s.l))
	}),
		f.clamp.steady, cornered)
}
