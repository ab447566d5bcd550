package substitute_test

import (
	"math"
	"math/cmplx"

	"sparewright/catalog"
)

// auditLoops opens both loops at their amplifiers and walks round them with plain impedances, from nothing but the lots and the
// figures that other topics hold: the fastest and the slowest corner of the parts, full and light load, strong and tired pack.
func auditLoops(a audit) {
	b := a.build
	l := b.Regulation.Loops
	w := a.walk()
	agrees(a, l.Input, w.input, exact, "loop resistor")
	agrees(a, l.Damping, w.damping, exact, "loop damping")
	agrees(a, l.Capacitor, w.capacity, exact, "loop capacitor")
	volt, amps := newSpan(), newSpan()
	voltMargin, ampsMargin := 180.0, 180.0
	for _, c := range a.loopEnds(w) {
		for _, light := range []bool{false, true} {
			f, margin := crossing(func(f float64) complex128 { return c.voltage(w, f, light) })
			volt.see(f)
			voltMargin = min(voltMargin, margin)
		}
		f, margin := crossing(func(f float64) complex128 { return c.current(w, f) })
		amps.see(f)
		ampsMargin = min(ampsMargin, margin)
	}
	agrees(a, l.Voltage.Slow, volt.low, 1e-6, "slowest voltage loop")
	agrees(a, l.Voltage.Fast, volt.high, 1e-6, "fastest voltage loop")
	agrees(a, l.Current.Slow, amps.low, 1e-6, "slowest current loop")
	agrees(a, l.Current.Fast, amps.high, 1e-6, "fastest current loop")
	agrees(a, l.Voltage.Margin, voltMargin, 1e-6, "phase margin of the voltage loop")
	agrees(a, l.Current.Margin, ampsMargin, 1e-6, "phase margin of the current loop")
	judged(a, "phase margin of the voltage loop, worst corner", voltMargin, 30.0, 1e-6)
	judged(a, "phase margin of the current loop, worst corner", ampsMargin, 30.0, 1e-6)
	a.unloading(w)
}

// walk is what both loops share.
type walk struct {
	down                     bool
	input, damping, capacity float64
	set, ref, load, shunt    float64
	midVolts, tauVolts       float64 // voltage amplifier: gain mid + 1/(s tau)
	tauAmps                  float64
	fed                      bool
	filter                   float64 // at the feedback pin
	zero                     float64 // rad/s, right half-plane zero at full load; 0: none
	cells                    float64
	lampLow, lampHigh        float64
}

func (a audit) walk() walk {
	b, r, f := a.build, a.build.Regulation, a.figures()
	w := walk{down: partOf[catalog.Amplifier](a, "amplifier").Function == "combined", set: f.set, ref: float64(r.Reference),
		load: f.set / f.current, shunt: a.network("shunt").nominal(), cells: float64(a.target.Cells), fed: f.sw.Feedback == "feeds-control"}
	for _, u := range a.uses("feedback capacitor") {
		w.filter += u.Quantity * float64(partOf[catalog.Capacitor](a, "feedback capacitor").Capacitance.Value)
	}
	agrees(a, r.Loops.Filter, w.filter, exact, "feedback capacitor")
	role := "loop resistor, one a loop"
	if w.down {
		role = "loop resistor, two in the current loop"
	}
	w.input = float64(partOf[catalog.Resistor](a, role).Resistance.Value)
	w.capacity = float64(partOf[catalog.Capacitor](a, "loop capacitor, one a loop").Capacitance.Value)
	if len(a.uses("loop damping, voltage")) > 0 {
		w.damping = float64(partOf[catalog.Resistor](a, "loop damping, voltage").Resistance.Value)
	}
	trim, _ := a.trimmer("voltage trimmer")
	top, bottom := a.network("divider top").nominal(), a.network("divider bottom").nominal()+trim.ohm/2
	w.midVolts, w.tauVolts = (w.input+w.damping)/w.input, w.input*w.capacity
	w.tauAmps = w.tauVolts
	if w.down { // the divider itself is the input resistance, inverting
		behind := top * bottom / (top + bottom)
		w.midVolts, w.tauVolts = w.damping/behind, behind*w.capacity
	} else {
		t, o := a.network("current divider top").nominal(), a.network("current divider bottom").nominal()
		w.tauAmps = (w.input + t*o/(t+o)) * w.capacity
	}
	lamp := newSpan()
	a.network("lamp resistor").corners(lamp.see)
	w.lampLow, w.lampHigh = lamp.low, lamp.high
	if b.Stage.Mode == "continuous" {
		// R (1-D)^2 n^2 / (L D), Texas Instruments SLUS223E, 9.2.2.10.1, at lowest mains
		vr := f.reflected(f.set)
		d := vr / (vr + float64(b.Stage.BusMin))
		w.zero = w.load * (1 - d) * (1 - d) * f.n * f.n / (f.lHigh * d)
	}
	return w
}

// loopEnd is one corner of the parts.
type loopEnd struct{ perVolt, gain, capacity, series, cell, light float64 }

// loopEnds: lamp resistor, transfer ratio, converter and output capacitor at their ends. Half the rank for age, twice it where no
// upper end is stated; a quarter of the series resistance when hot (from memory, as the engine states them).
func (a audit) loopEnds(w walk) []loopEnd {
	b, f := a.build, a.figures()
	opto := partOf[catalog.Optocoupler](a, "optocoupler")
	out := partOf[catalog.Capacitor](a, "output capacitor")
	n := 0.0
	for _, u := range a.uses("output capacitor") {
		n += u.Quantity
	}
	tol, nominal := float64(out.Tolerance.Value), n*float64(out.Capacitance.Value)
	esr := 0.05 / n
	if out.ESR.Known() {
		esr = float64(out.ESR.Value) / n
	}
	stop := float64(f.sw.FeedbackStop.Value)
	// mean secondary current for an A of peak: discontinuous i = n Ipk/2 x share of the cycle, both falling with the peak;
	// continuous the share stays, n (1 - D)
	slow := 2 * f.current / float64(b.Stage.PrimaryPeak)
	fast := slow
	if b.Stage.Mode == "continuous" {
		vr := f.reflected(f.set)
		slow, fast = f.n*float64(b.Stage.BusMin)/(vr+float64(b.Stage.BusMin)), f.n*f.busMax/(vr+f.busMax)
	}
	slow, fast = slow*f.limitLow/stop, 2*fast*f.limitHigh/stop
	light := math.Sqrt(0.1)
	if f.gated {
		slow = f.current / math.Max(0.05, float64(b.Stage.PulseShare)) / stop
		fast, light = 2*slow, 1
	}
	high := 2 * float64(opto.RatioMin.Value)
	if opto.RatioMax.Known() {
		high = float64(opto.RatioMax.Value)
	}
	quick, lazy := high/w.lampLow, float64(opto.RatioMin.Value)/2/w.lampHigh
	return []loopEnd{
		{quick, fast, nominal * (1 - tol), esr / 4, 5e-3, light},
		{quick, fast, nominal * (1 + tol), esr, 60e-3, light},
		{lazy, slow, nominal * (1 + tol), 0, 60e-3, light},
		{lazy, slow, nominal * (1 - tol), 0, 5e-3, light},
	}
}

// common is the way from an amplifier's output to the converter's current: optocoupler with a pole at 4 kHz, and at a fed control
// pin of 15 ohm the 22 uF with 1 ohm beside it; a feedback pin of 3 kohm has its capacitor across it (from memory, as the engine
// states it).
func (c loopEnd) common(w walk, s complex128) complex128 {
	g := complex(c.perVolt*c.gain, 0) / (1 + s/complex(2*math.Pi*4e3, 0))
	g /= 1 + s*complex(3e3*w.filter, 0)
	if w.fed {
		beside := 1 + 1/(s*22e-6)
		g *= beside / (beside + 15)
	}
	return g
}

func (c loopEnd) voltage(w walk, f float64, light bool) complex128 {
	s := complex(0, 2*math.Pi*f)
	amplifier := complex(w.midVolts, 0) + 1/(s*complex(w.tauVolts, 0))
	load, share, zero := w.load, 1.0, w.zero
	if light {
		load, share, zero = 10*w.load, c.light, 0
	}
	// the load, the same again for a source of constant power, and the capacitor in parallel
	admittance := complex(2/load, 0) + s*complex(c.capacity, 0)/(1+s*complex(c.series*c.capacity, 0))
	g := complex(w.ref/w.set*share, 0) * amplifier * c.common(w, s) / admittance
	if zero > 0 {
		g *= 1 - s/complex(zero, 0)
	}
	return g
}

func (c loopEnd) current(w walk, f float64) complex128 {
	s := complex(0, 2*math.Pi*f)
	amplifier := 1 + 1/(s*complex(w.tauAmps, 0))
	// share of the converter's current that goes through pack and shunt instead of the capacitor
	lead := complex(w.cells*c.cell+w.shunt, 0)
	share := 1 / (1 + lead*s*complex(c.capacity, 0)/(1+s*complex(c.series*c.capacity, 0)))
	return complex(w.shunt, 0) * amplifier * c.common(w, s) * share
}

// crossing finds the highest frequency at which a gain is 1, in steps of 2 % from above and then by halving, and the phase left.
func crossing(gain func(float64) complex128) (hz, margin float64) {
	f := 1e6
	for ; cmplx.Abs(gain(f)) < 1; f /= 1.02 {
		if f < 0.1 {
			return 0, 180
		}
	}
	low, high := f, f*1.02
	for high/low > 1+1e-12 {
		mid := (low + high) / 2
		if cmplx.Abs(gain(mid)) < 1 {
			high = mid
		} else {
			low = mid
		}
	}
	// the phase falls steadily from -90 or -180 degrees: what lies above zero has gone round
	phase := cmplx.Phase(gain(low)) * 180 / math.Pi
	if phase > 0 {
		phase -= 360
	}
	return low, 180 + phase
}

// unloading steps through the time after the pack is taken off: the output climbs with the most the converter can give, the
// amplifier integrates what it sees, until it stops the converter or a suppressor conducts.
func (a audit) unloading(w walk) {
	r, f := a.build.Regulation, a.figures()
	out := partOf[catalog.Capacitor](a, "output capacitor")
	n := 0.0
	for _, u := range a.uses("output capacitor") {
		n += u.Quantity
	}
	least := n * float64(out.Capacitance.Value) * (1 - float64(out.Tolerance.Value))
	vr := f.reflected(f.set)
	fHigh := float64(f.sw.FrequencyMax.Value)
	whole := f.lHigh * f.limitHigh * f.limitHigh / 2 * fHigh / (f.set + f.rectDrop)
	pass := f.n * f.busMax / (vr + f.busMax) * f.limitHigh
	slope := 1.1 * math.Min(whole, pass) / least
	lamp := float64(partOf[catalog.Optocoupler](a, "optocoupler").Forward.Value) + a.joining()
	swing := float64(r.LampNeed) * w.lampHigh
	if w.down {
		swing += math.Max(0, lamp-1.5) // at rest an amplifier stands 1.5 V below its supply
	} else {
		swing += lamp
	}
	k := w.ref / w.set
	t, step, sum := 0.0, w.tauVolts*1e-4, 0.0
	answer := func() float64 { return w.midVolts*k*slope*t + sum/w.tauVolts }
	for answer() < swing {
		sum += k * slope * (t + step/2) * step
		t += step
	}
	peak := f.set + slope*(t+3e3*w.filter) // the feedback pin follows within its time constant
	amp := float64(partOf[catalog.Amplifier](a, "amplifier").SupplyMax.Value)
	bears := math.Min(float64(out.Volts.Value), amp)
	if stops := a.uses("output stop"); peak > bears {
		a.isTrue(len(stops) > 0, "the output runs up to %g V, parts bear %g V, and nothing stops it", peak, bears)
		if len(stops) > 0 && stops[0].Source == "drawer" {
			p := partOf[catalog.Clamp](a, "output stop")
			v, tol := float64(p.Breakdown.Value), float64(p.Tolerance.Value)
			a.isTrue(v*(1-tol) >= 1.02*f.absolute, "the output stop conducts at %g V", v*(1-tol))
			peak = math.Min(peak, v*(1+tol)*1.15)
		} else {
			peak = bears
		}
	} else {
		a.isTrue(len(stops) == 0, "an output stop that is not needed")
	}
	agrees(a, r.Loops.UnloadPeak, peak, 2e-4, "output after the pack is taken off") // steps of 1e-4 tau
	judged(a, "output when the pack is taken off at full current", peak, bears, 2e-4)
}
