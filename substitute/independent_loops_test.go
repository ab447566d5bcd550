package substitute_test

import (
	"math"
	"math/cmplx"

	"sparewright/catalog"
)

// auditLoops takes both loops apart into the parts of the list and solves the nodes of the whole
// circuit, cut at the LED of the optocoupler, for every corner: nothing of the engine's chain of
// gains enters.
func auditLoops(a audit) {
	l := a.build.Regulation.Loops
	w := a.walk()
	agrees(a, l.Input, w.input, exact, "resistor at the amplifier's inputs")
	agrees(a, l.Damping, w.damping[0], exact, "damping stated for the amplifier's answer")
	agrees(a, l.Capacitor, w.capacity[0], 1e-9, "capacitor stated for the amplifier's answer")
	agrees(a, l.Voltage.Damping, w.damping[0], exact, "damping of the voltage loop")
	agrees(a, l.Current.Damping, w.damping[1], exact, "damping of the current loop")
	agrees(a, l.Voltage.Capacitor, w.capacity[0], 1e-9, "capacitor of the voltage loop")
	agrees(a, l.Current.Capacitor, w.capacity[1], 1e-9, "capacitor of the current loop")
	agrees(a, l.Voltage.Lead, w.lead, exact, "lead capacitor")
	ends := a.loopEnds(w)
	volt, amps := newLoopSpan(), newLoopSpan()
	for _, c := range ends {
		for _, share := range []float64{1, 0.1, math.Min(0.1, w.own/w.amperes)} {
			volt.see(func(f float64) complex128 { return c.voltage(w, f, share) }, c.top)
		}
		for _, cell := range []float64{5e-3, 60e-3} {
			amps.see(func(f float64) complex128 { return c.current(w, f, cell) }, c.top)
		}
	}
	agrees(a, l.Voltage.Slow, volt.slow, 1e-3, "slowest voltage loop")
	agrees(a, l.Voltage.Fast, volt.fast, 1e-3, "fastest voltage loop")
	agrees(a, l.Current.Slow, amps.slow, 1e-3, "slowest current loop")
	agrees(a, l.Current.Fast, amps.fast, 1e-3, "fastest current loop")
	agrees(a, l.Voltage.Margin, volt.margin, 2e-3, "phase margin of the voltage loop")
	agrees(a, l.Current.Margin, amps.margin, 2e-3, "phase margin of the current loop")
	agrees(a, l.Voltage.Gain, math.Min(volt.gain, 1e3), 1e-2, "gain margin of the voltage loop")
	agrees(a, l.Current.Gain, math.Min(amps.gain, 1e3), 1e-2, "gain margin of the current loop")
	a.nominalLoops(w)
	judged(a, "phase margin of the voltage loop, worst corner", volt.margin, 30.0, 2e-3)
	judged(a, "phase margin of the current loop, worst corner", amps.margin, 30.0, 2e-3)
	a.unloading(w)
}

// walk is what both loops share.
type walk struct {
	down                     bool
	input                    float64
	damping, capacity        [2]float64 // voltage, current
	lead                     float64
	set, ref, amperes, shunt float64
	top, bottom, level, own  float64
	fed, gated               bool
	// capacitor and resistance at the feedback pin; pole of the optocoupler at 100 ohm
	filter, pin, series, speed float64
	choke, chokeOhm, behind    float64
	zero                       float64 // rad/s, right half-plane zero at full load; 0: none
	continuous                 bool
	cells                      float64
	ledLow, ledHigh            float64
	midVolts, tauVolts         float64 // voltage amplifier: gain mid + 1/(s tau)
}

// total adds the capacitance of a role.
func (a audit) total(role string) float64 {
	sum := 0.0
	for _, u := range a.uses(role) {
		sum += u.Quantity * float64(a.part(u).(catalog.Capacitor).Capacitance.Value)
	}
	return sum
}

// ohmsOf is the resistor of a role, 0 where there is none.
func (a audit) ohmsOf(role string) float64 {
	if len(a.uses(role)) == 0 {
		return 0
	}
	return float64(partOf[catalog.Resistor](a, role).Resistance.Value)
}

func (a audit) walk() walk {
	b, r, f := a.build, a.build.Regulation, a.figures()
	w := walk{down: partOf[catalog.Amplifier](a, "amplifier").Function == "combined", set: f.set,
		ref:     float64(r.Reference),
		amperes: f.current, shunt: a.network("shunt").nominal(), cells: float64(a.target.Cells),
		fed:   f.sw.Feedback == "feeds-control",
		gated: f.gated, own: f.own, input: a.ohmsOf("input resistor at SENSE"),
		lead:    a.total("lead capacitor"),
		damping: [2]float64{a.ohmsOf("loop damping, voltage"), a.ohmsOf("loop damping, current")},
		capacity: [2]float64{a.total("loop capacitor, voltage"),
			a.total("loop capacitor, current")},
		filter: a.total("feedback capacitor"),
		behind: a.total("output capacitor behind the choke"),
		series: a.ohmsOf("series resistor at the control pin"), continuous: b.Stage.Mode ==
			"continuous"}
	agrees(a, r.Loops.Filter, w.filter, exact, "feedback capacitor")
	if !w.down {
		agrees(a, w.input, a.ohmsOf("loop resistor, one a loop"), exact,
			"equal resistors at LEVEL and SENSE")
	}
	if len(a.uses("output choke")) > 0 {
		p := partOf[catalog.Choke](a, "output choke")
		w.choke, w.chokeOhm = float64(p.Inductance.Value), float64(p.Resistance.Value)
		a.isTrue(w.behind > 0, "a choke at the output without a capacitor behind it")
	}
	// what the pins are like: as stated, else 18 kohm pulled, 1.3 kohm fed in, 10 kohm gated, 15
	// ohm of a control pin (from memory)
	w.pin = map[string]float64{"feeds-control": 15, "feeds-in": 1.3e3, "pulls-enable": 10e3,
		"pulls-down": 18e3, "": 18e3}[f.sw.Feedback]
	if f.sw.FeedbackOhm.Known() {
		w.pin = float64(f.sw.FeedbackOhm.Value)
	}
	w.speed = 80e3
	if o := partOf[catalog.Optocoupler](a, "optocoupler"); o.CutOff.Known() {
		w.speed = float64(o.CutOff.Value)
	}
	trim, _ := a.trimmer("voltage trimmer")
	w.top, w.bottom = a.network("divider top").nominal(),
		a.network("divider bottom").nominal()+trim.ohm/2
	w.midVolts, w.tauVolts = (w.input+w.damping[0])/w.input, w.input*w.capacity[0]
	if w.down { // the divider itself is the input resistance, inverting
		behind := w.top * w.bottom / (w.top + w.bottom)
		w.midVolts, w.tauVolts = w.damping[0]/behind, behind*w.capacity[0]
	}
	t, o := a.network("current divider top").nominal(),
		a.network("current divider bottom").nominal()
	w.level = t * o / (t + o)
	led := newSpan()
	a.network("LED resistor").corners(led.see)
	w.ledLow, w.ledHigh = led.low, led.high
	if w.continuous {
		// R (1-D)^2 n^2 / (L D), Texas Instruments SLUS223E, 9.2.2.10.1, at lowest mains
		vr := f.reflected(f.set)
		d := vr / (vr + float64(b.Stage.BusMin))
		w.zero = f.set / f.current * (1 - d) * (1 - d) * f.n * f.n / (f.lHigh * d)
	}
	return w
}

// loopEnd is one corner of the parts.
type loopEnd struct{ ratio, led, gain, span, whole, used, capacity, series, delay, top float64 }

// loopEnds: LED resistor, transfer ratio, converter, output capacitor and its series resistance at
// their ends. Half the rank for age, twice it where no upper end is stated; a quarter of the series
// resistance when hot, twice it when old (from memory, as the engine states them).
func (a audit) loopEnds(w walk) (out []loopEnd) {
	f := a.figures()
	opto := partOf[catalog.Optocoupler](a, "optocoupler")
	p := partOf[catalog.Capacitor](a, "output capacitor")
	n := a.total("output capacitor") / float64(p.Capacitance.Value)
	tol, nominal := float64(p.Tolerance.Value), a.total("output capacitor")
	esr := 0.05 / n
	if p.ESR.Known() {
		esr = float64(p.ESR.Value) / n
	}
	stop := float64(f.sw.FeedbackStop.Value)
	spanLow, spanHigh := stop/2, stop
	if f.sw.Feedback == "pulls-down" || f.sw.Feedback == "" {
		spanLow = math.Min(0.17e-3, stop/2)
	}
	if f.sw.FeedbackSpan.Known() {
		spanLow, spanHigh = float64(f.sw.FeedbackSpan.Value), 1.5*float64(f.sw.FeedbackSpan.Value)
	}
	high := 2 * float64(opto.RatioMin.Value)
	if opto.RatioMax.Known() {
		high = float64(opto.RatioMax.Value)
	}
	slow, fast := a.moved(f)
	used := float64(a.build.Stage.PrimaryPeak) / ((f.limitLow + f.limitHigh) / 2)
	delay, top := 0.5/f.fLow, f.fLow/2
	if f.gated {
		delay, top = 1/f.fLow, f.fLow/4
	}
	whole := func(span float64) float64 {
		if w.fed {
			return stop
		}
		return span
	}
	for _, k := range []float64{nominal * (1 - tol), nominal * (1 + tol)} {
		for _, r := range []float64{esr / 4, esr * 2} {
			out = append(out, loopEnd{high, w.ledLow, fast / spanLow, spanLow, whole(spanLow), used,
				k, r, delay, top},
				loopEnd{float64(opto.RatioMin.Value) / 2, w.ledHigh, slow / spanHigh, spanHigh,
					whole(spanHigh), used, k, r, delay, top})
		}
	}
	return out
}

// nominalLoops holds the margins with nominal parts: every range at its geometric middle, the
// optocoupler new.
func (a audit) nominalLoops(w walk) {
	l, ends := a.build.Regulation.Loops, a.loopEnds(w)
	high, low, last := ends[0], ends[1], ends[len(ends)-1]
	mid := func(x, y float64) float64 { return math.Sqrt(x * y) }
	n := low
	n.gain, n.span, n.whole = mid(high.gain, low.gain), mid(high.span, low.span),
		mid(high.whole, low.whole)
	// low is half for age
	n.ratio, n.led = mid(high.ratio, 2*low.ratio), a.network("LED resistor").nominal()
	// a quarter when hot
	n.capacity, n.series = mid(ends[0].capacity, last.capacity), 4*ends[0].series
	volt, amps := newLoopSpan(), newLoopSpan()
	for _, share := range []float64{1, 0.1} {
		volt.see(func(f float64) complex128 { return n.voltage(w, f, share) }, n.top)
	}
	amps.see(func(f float64) complex128 { return n.current(w, f, mid(5e-3, 60e-3)) }, n.top)
	agrees(a, l.Voltage.Nominal, volt.margin, 2e-3, "nominal phase margin of the voltage loop")
	agrees(a, l.Current.Nominal, amps.margin, 2e-3, "nominal phase margin of the current loop")
}

// moved is the output current that the whole span of feedback moves: of the mean secondary current
// n Ipk/2 x its share of the cycle, both falling with the peak; in continuous mode the share stays,
// n (1 - D). With duty control it goes with the square of the duty.
func (a audit) moved(f figures) (slow, fast float64) {
	b := a.build
	if f.gated {
		full := f.current / math.Max(0.05, float64(b.Stage.PulseShare))
		return full, full
	}
	if f.sw.Law == "duty" {
		slow = 2 * f.current * f.longest / float64(b.Stage.DutyMax)
		return slow, slow * f.busMax / float64(b.Stage.BusMin)
	}
	slow = 2 * f.current / float64(b.Stage.PrimaryPeak)
	fast = slow * math.Sqrt(f.set/f.empty)
	if b.Stage.Mode == "continuous" {
		vr := f.reflected(f.set)
		slow, fast = math.Min(slow, f.n*float64(b.Stage.BusMin)/(vr+float64(b.Stage.BusMin))),
			math.Max(fast, f.n*f.busMax/(vr+f.busMax))
	}
	return slow * f.limitLow, fast * f.limitHigh
}

// bench is a circuit of admittances between nodes, 0 being ground, with sources of current steered
// by nodes.
type bench struct{ y [][]complex128 }

const benchNodes = 14

func newBench() *bench {
	b := &bench{make([][]complex128, benchNodes)}
	for i := range b.y {
		b.y[i] = make([]complex128, benchNodes)
		b.y[i][i] = 1e-12
	}
	return b
}

func (b *bench) put(i, k int, y complex128) {
	b.y[i][i] += y
	b.y[k][k] += y
	b.y[i][k] -= y
	b.y[k][i] -= y
}

// steer lets g times the voltage of node from against node back flow into node to.
func (b *bench) steer(to, from, back int, g complex128) {
	b.y[to][from] -= g
	b.y[to][back] += g
}

// solve gives all node voltages for 1 A into a node, by elimination with the largest pivot.
func (b *bench) solve(into int) []complex128 {
	n := benchNodes - 1
	m := make([][]complex128, n)
	for i := range m {
		m[i] = append(append([]complex128(nil), b.y[i+1][1:]...), 0)
	}
	m[into-1][n] = 1
	for i := range m {
		best := i
		for k := i; k < n; k++ {
			if cmplx.Abs(m[k][i]) > cmplx.Abs(m[best][i]) {
				best = k
			}
		}
		m[i], m[best] = m[best], m[i]
		for k := range m {
			if k == i || m[k][i] == 0 {
				continue
			}
			x := m[k][i] / m[i][i]
			for c := i; c <= n; c++ {
				m[k][c] -= x * m[i][c]
			}
		}
	}
	out := make([]complex128, benchNodes)
	for i := range m {
		out[i+1] = m[i][n] / m[i][i]
	}
	return out
}

// nodes of the circuit
const (
	ground = iota
	pinAt
	filterAt
	storeAt
	driveAt
	busAt
	plateAt
	outAt
	smallAt
	senseAt
	plusAt
	minusAt
	ampAt
	midAt
)

// around solves the circuit for one ampere in the LED and gives the current that comes back: what
// feeds back falls, hence the sign.
func (c loopEnd) around(w walk, hz, share float64, load func(*bench), loop int) complex128 {
	s := complex(0, 2*math.Pi*hz)
	b := newBench()
	// optocoupler and pin
	feedback := complex(c.ratio, 0)
	b.put(pinAt, ground, complex(1/w.pin, 0))
	if w.fed {
		feedback /= 1 + s/complex(2*math.Pi*w.speed, 0)
		b.put(pinAt, storeAt, complex(1/(1+w.series), 0))
		b.put(storeAt, ground, s*22e-6)
	} else {
		b.put(pinAt, ground, s*complex(10e-9*80e3/w.speed+w.filter, 0))
	}
	// the current through the pin's own resistance, behind a follower the filter of a control pin,
	// then delay and zero
	b.put(filterAt, ground, 1)
	b.steer(filterAt, pinAt, ground, complex(1/w.pin, 0))
	if w.fed {
		b.put(filterAt, ground, s/complex(2*math.Pi*7e3, 0))
	}
	late := cmplx.Exp(-s * complex(c.delay, 0))
	if w.zero > 0 && share == 1 {
		late *= 1 - s/complex(w.zero, 0)
	}
	b.put(driveAt, ground, 1)
	b.steer(driveAt, filterAt, ground, late)
	gain := c.gain
	if share < 1 && !w.gated {
		gain *= math.Sqrt(share)
	}
	b.steer(busAt, driveAt, ground, complex(gain, 0))
	// output
	b.put(busAt, plateAt, complex(1/c.series, 0))
	b.put(plateAt, ground, s*complex(c.capacity, 0))
	if !w.continuous || share < 1 {
		b.put(busAt, ground, complex(w.amperes*share/w.set, 0))
	}
	if w.choke > 0 {
		b.put(busAt, outAt, 1/(complex(w.chokeOhm, 0)+s*complex(w.choke, 0)))
		b.put(outAt, smallAt, 1)
		b.put(smallAt, ground, s*complex(w.behind, 0))
	} else {
		b.put(busAt, outAt, 1e9)
	}
	load(b)
	c.amplifier(b, w, s, loop)
	v := b.solve(pinAt)
	// LED or LED and diode: 52 mV over their current each, at what the feedback takes there, from
	// memory
	taken := c.whole - c.used*math.Sqrt(share)*c.span
	if w.gated {
		taken = c.whole / 2
	}
	led := c.led + 2*52e-3*c.ratio/math.Max(taken, 0.1*c.span)
	back := v[ampAt]
	if w.down {
		back = v[outAt] - v[ampAt]
	}
	return feedback * back / complex(led, 0)
}

// amplifier of 0.7 MHz and 100 dB with the parts of its loop; it hangs on nodes that take no
// current from it.
func (c loopEnd) amplifier(b *bench, w walk, s complex128, loop int) {
	open := 1e5 / (1 + s*complex(1e5/(2*math.Pi*0.7e6), 0))
	b.put(ampAt, ground, 1)
	b.steer(ampAt, plusAt, minusAt, open)
	// the network round it, buffered so that it does not load the amplifier: a current of the
	// amplifier's voltage
	back := complex(w.damping[loop], 0) + 1/(s*complex(w.capacity[loop], 0))
	if loop == 0 && !w.down || loop == 1 && !w.down {
		in := w.input
		if loop == 1 {
			in += w.level
		}
		b.put(minusAt, ground, complex(1/in, 0))
	}
	b.put(minusAt, ground, 1/back)
	b.steer(minusAt, ampAt, ground, 1/back)
	seen, node := outAt, plusAt
	if loop == 1 {
		seen = senseAt
	}
	if w.down {
		node = minusAt
		b.put(plusAt, ground, 1)
	}
	way := 1 / complex(w.input, 0)
	if loop == 0 {
		way = complex(1/w.top, 0) + s*complex(w.lead, 0)
		b.put(node, ground, complex(1/w.bottom, 0))
	}
	b.put(node, ground, way)
	b.steer(node, seen, ground, way)
	if loop == 1 && !w.down {
		b.steer(node, seen, ground, 0)
	}
}

func (c loopEnd) voltage(w walk, f, share float64) complex128 {
	return c.around(w, f, share, func(b *bench) {
		b.put(outAt, ground, complex(w.amperes*share/w.set, 0))
	}, 0)
}

func (c loopEnd) current(w walk, f, cell float64) complex128 {
	return c.around(w, f, 1, func(b *bench) {
		b.put(outAt, senseAt, complex(1/(cell*w.cells), 0))
		b.put(senseAt, ground, complex(1/w.shunt, 0))
	}, 1)
}

// loopSpan is the worst of several loops.
type loopSpan struct{ slow, fast, margin, gain float64 }

func newLoopSpan() *loopSpan { return &loopSpan{math.Inf(1), 0, 180, math.Inf(1)} }

// see follows a loop from 0.1 Hz upwards in steps of 8 % with its phase as it turns on: Bode's
// rule, which holds as long as the gain is never in step above 1. Crossings are found by halving.
func (s *loopSpan) see(gain func(float64) complex128, top float64) {
	last, at := gain(0.1), 0.1
	turned := cmplx.Phase(last)
	for at < top {
		next := math.Min(at*1.08, top)
		g := gain(next)
		before := turned
		turned += cmplx.Phase(g / last)
		if (cmplx.Abs(last) >= 1) != (cmplx.Abs(g) >= 1) {
			f := halve(at, next, func(f float64) bool { return cmplx.Abs(gain(f)) >= 1 })
			left := 180 + (before+cmplx.Phase(gain(f)/last))*180/math.Pi
			s.slow, s.fast, s.margin = math.Min(s.slow, f), math.Max(s.fast, f),
				math.Min(s.margin, left)
		}
		if (before+math.Pi > 0) != (turned+math.Pi > 0) {
			f := halve(at, next, func(f float64) bool {
				return before+cmplx.Phase(gain(f)/last)+math.Pi > 0
			})
			k := cmplx.Abs(gain(f))
			s.gain = math.Min(s.gain, math.Max(k, 1/k))
		}
		last, at = g, next
	}
}

// halve finds where a property changes between two frequencies.
func halve(low, high float64, is func(float64) bool) float64 {
	first := is(low)
	for high/low > 1+1e-7 {
		if mid := math.Sqrt(low * high); is(mid) == first {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}

// unloading steps through the time after the pack is taken off: the output climbs with the most the
// converter can give, the amplifier integrates what it sees, until it stops the converter or a
// suppressor conducts.
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
	led := float64(partOf[catalog.Optocoupler](a, "optocoupler").Forward.Value) + a.joining()
	swing := float64(r.LEDNeed) * w.ledHigh
	if w.down {
		swing += math.Max(0, led-1.5) // at rest an amplifier stands 1.5 V below its supply
	} else {
		swing += led
	}
	k := w.ref / w.set
	t, step, sum := 0.0, w.tauVolts*1e-4, 0.0
	answer := func() float64 { return w.midVolts*k*slope*t + sum/w.tauVolts }
	for answer() < swing {
		sum += k * slope * (t + step/2) * step
		t += step
	}
	peak := f.set + slope*(t+w.pin*w.filter) // the feedback pin follows within its time constant
	if w.choke > 0 {
		// all that the coil holds goes into the small capacitor behind it, of 1 ohm (from memory)
		peak = math.Max(peak, f.set+f.current*math.Sqrt(1+w.choke/w.behind))
	}
	amp := float64(partOf[catalog.Amplifier](a, "amplifier").SupplyMax.Value)
	bears := math.Min(float64(out.Volts.Value), amp)
	start := math.Max(peak, f.set+slope*(t+w.pin*w.filter+a.refills(w.ledHigh)))
	if stops := a.uses("output stop"); start > bears {
		a.isTrue(len(stops) > 0, "the output runs up to %g V, parts bear %g V, and "+
			"nothing stops it", start, bears)
		if len(stops) > 0 && stops[0].Source == "drawer" {
			p := partOf[catalog.Clamp](a, "output stop")
			v, tol := float64(p.Breakdown.Value), float64(p.Tolerance.Value)
			a.isTrue(v*(1-tol) >= 1.02*f.absolute, "the output stop conducts at %g V", v*(1-tol))
			peak, start = math.Min(peak, v*(1+tol)*1.15), math.Min(start, v*(1+tol)*1.15)
		} else {
			peak, start = math.Min(peak, bears), bears
		}
	} else {
		a.isTrue(len(stops) == 0, "an output stop that is not needed")
	}
	// steps of 1e-4 tau
	agrees(a, r.Loops.UnloadPeak, peak, 2e-4, "output after the pack is taken off")
	judged(a, "output when the pack is taken off at full current", peak, bears, 2e-4)
	agrees(a, r.Loops.StartPeak, start, 2e-4, "output after the mains has come on")
	judged(a, "output when the mains comes on without a pack", start, bears, 2e-4)
}

// refills is how long the optocoupler takes to bring a fed control pin with 22 uF back up by 1 V
// (5.8 V to 4.8 V, TOP242-250 sheet p.37) after a start, beyond what the chip takes, in s.
func (a audit) refills(ledHigh float64) float64 {
	r, f := a.build.Regulation, a.figures()
	if f.sw.Feedback != "feeds-control" {
		return 0
	}
	c := r.Circuit
	light := (f.set - float64(c.Headroom+c.JoinDrop+c.Forward)) /
		ledHigh
	return 22e-6 / (light*float64(c.Ratio) - float64(f.sw.SupplyCurrent.Value))
}
