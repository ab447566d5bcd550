package substitute

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/substitute/flyback"
	"sparewright/substitute/regulation"
)

// Practice of the loops. Sources beside the figures.
const (
	loopInput      = 2200.0 // ohm, in series with the amplifier's input at REF, LEVEL or SENSE, which are too stiff for a capacitor
	loopInputLow   = 1000.0 // ohm
	loopInputHigh  = 4700.0 // ohm, over which the largest input current of an LM358 drops 1.2 mV
	loopInputs     = 3      // equal ones: at REF, LEVEL and SENSE
	loopCapacity   = 100e-9 // F
	dampingMost    = 220e3  // ohm
	marginAim      = 50.0   // degrees in every corner while choosing
	marginFloor    = 5.0    // degrees in the worst corner, or the loop may oscillate: the build is refused (0 in theory; the rest for what the model leaves out, no source)
	marginLeast    = 30.0   // degrees in the worst corner; 45 is wanted at nominal figures (common practice, no source)
	slopeSpread    = 2.0    // the feedback current works on half of what surely stops the chip, or on all of it; from memory
	ratioSpread    = 2.0    // highest over lowest transfer ratio where the rank does not say; ranks of the PC817 data sheet span a factor of two
	lampPole       = 4e3    // Hz: 80 kHz at 100 ohm (PC817 data sheet), at a feedback pin of some 2 kohm (from memory)
	feedbackPull   = 3e3    // ohm, of a feedback pin with a capacitor: 2.5 R + R of the KA5 and FSDM families, 0.9 mA to 3 V; from memory
	pinResistance  = 15.0   // ohm, of a control pin that is fed (from memory)
	pinSeries      = 1.0    // ohm, of the electrolytic there; common practice, no source
	cellLow        = 5e-3   // ohm a cell, a strong new pack; common practice, no source
	cellHigh       = 60e-3  // ohm a cell, a tired one with its leads; common practice, no source
	seriesGuess    = 50e-3  // ohm, of an output capacitor that does not say; from memory
	lowShare       = 0.1    // of the full current, the lightest load looked at; common practice, no source
	sinkLow        = 1.2    // V, to which an amplifier pulls down a few mA (LM358 class, from memory)
	restHigh       = 1.5    // V below its supply, where an amplifier rests that pulls down (LM358, SLOS068P)
	chipStore      = 22e-6  // F, at the supply pin of the chip; common practice, no source
	stopAbove      = 1.02   // x the highest pack voltage, where a suppressor may begin to conduct; common practice, no source
	stopClamps     = 1.15   // x its highest breakdown voltage, with the current of the converter in it (from memory)
	filterMost     = 4.0    // x the least capacitor at a feedback pin: more only slows the loops; common practice, no source
	filterSpare    = 1.5    // x the time of the start; common practice, no source
	overloadRise   = 3.0    // V from full power to shutdown at such a pin: 3 to 6 V of the FSDM family, 3 to 7.5 V of the KA5; from memory
	overloadSource = 5e-6   // A, which charges it there (KA5x03xx-SERIES Rev 1.0.5, block diagram)
	limitSpare     = 1.1    // what the converter may deliver beyond its reckoned limit while nothing holds it; common practice, no source
)

// LoopChoice is what keeps the two loops from oscillating and from letting the output run up.
type LoopChoice struct {
	Input      si.Resistance  `json:"input_ohm"`
	Damping    si.Resistance  `json:"damping_ohm,omitempty"`
	Capacitor  si.Capacitance `json:"capacitor_f"`
	Voltage    LoopFigures    `json:"voltage"`
	Current    LoopFigures    `json:"current"`
	Middle     si.Ratio       `json:"-"`                    // gain of the voltage amplifier above the corner of its capacitor
	Filter     si.Capacitance `json:"feedback_f,omitempty"` // at the feedback pin of the switcher
	UnloadPeak si.Voltage     `json:"unload_peak_v"`        // output when the pack is taken off at full current
}

// LoopFigures is how a loop does between its corners.
type LoopFigures struct {
	Slow   si.Frequency `json:"crossover_low_hz"`
	Fast   si.Frequency `json:"crossover_high_hz"`
	Margin float64      `json:"phase_margin_deg"` // least of all corners
}

// loopInputAt is the place of the resistor in series with the amplifiers' inputs: the one nearest to 2.2 kohm of which there
// are enough; -1 when there is none and one has to be bought.
func loopInputAt(d *drawer) int {
	best, far := -1, math.Inf(1)
	for i := range d.resistors {
		p := d.resistors[i].part
		r := float64(p.Resistance.Value)
		if r < loopInputLow || r > loopInputHigh || d.resistors[i].count < loopInputs || d.resistors[i].buy || p.Type == "fusible" || p.Rating.Or(0.25) >= 1 {
			continue
		}
		if off := math.Abs(math.Log(r / loopInput)); off < far {
			best, far = i, off
		}
	}
	return best
}

// inputOhm is the resistance in series with each input.
func (w *Workbench) inputOhm() si.Resistance {
	if w.loopInput == nil {
		return loopInput
	}
	return w.loopInput.part.Resistance.Value
}

// corner is one set of extremes that both loops are looked at in.
type corner struct {
	lamp   si.Resistance
	ratio  si.Ratio
	gain   si.Ratio
	output si.Capacitance
	series si.Resistance
	cell   si.Resistance
}

// loopCorners are the fastest and the slowest loop that the parts allow, each with a strong and a tired pack.
func (j *job) loopCorners(m *measured, c *control) []corner {
	o := c.opto.part
	high := o.RatioMax.Or(o.RatioMin.Value * ratioSpread)
	low := o.RatioMin.Value * ratioAged
	slow, fast := j.stageGain(m)
	least := j.output.least
	most := least / 0.8 * 1.2
	series := si.Resistance(seriesGuess)
	if s := j.output.stock; s != nil {
		series = s.part.ESR.Or(seriesGuess) / si.Resistance(j.output.n)
		most = si.Capacitance(float64(j.output.n) * float64(s.part.Capacitance.Value) * (1 + float64(s.part.Tolerance.Or(0.2))))
	}
	r := c.lamp.Resistor
	return []corner{
		{r.Low, high, fast, least, series / 4, cellLow},
		{r.Low, high, fast, most, series, cellHigh},
		{r.High, low, slow, most, 0, cellHigh},
		{r.High, low, slow, least, 0, cellLow},
	}
}

// stageGain is the least and the most output current an ampere of feedback current moves. The peak falls from the limit to
// nothing over the stopping current; the output current follows it by 2 I/Ipk in discontinuous mode and by n (1 - D) in
// continuous mode (SLUS223E 9.2.2.10, mean of the secondary current). A gated chip loses pulses in proportion.
func (j *job) stageGain(m *measured) (slow, fast si.Ratio) {
	stop := float64(m.v.stock.part.FeedbackStop.Or(stopGuess))
	i := float64(j.target.Current)
	if m.v.gated {
		full := i / math.Max(0.05, float64(m.share))
		return si.Ratio(full / stop), si.Ratio(slopeSpread * full / stop)
	}
	move := 2 * i / float64(m.op.Peak)
	hard := move
	if m.op.Mode == flyback.Continuous {
		n := float64(m.np) / float64(m.ns)
		d := float64(m.reflected) / float64(m.reflected+m.busMin)
		hard = n * float64(j.busMax) / float64(m.reflected+j.busMax)
		move = n * (1 - d)
	}
	return si.Ratio(move * float64(m.v.limit.Low) / stop), si.Ratio(slopeSpread * hard * float64(m.v.limit.High) / stop)
}

// voltageLoops are the corners of the voltage loop with full and with light load.
func (j *job) voltageLoops(m *measured, c *control, mid si.Ratio, tau si.Time) []regulation.Loop {
	var out []regulation.Loop
	t := j.target
	for _, k := range j.loopCorners(m, c) {
		l := regulation.Loop{Watched: si.Ratio(c.vref / t.Set), Middle: mid, Tau: tau, Lamp: k.lamp, Ratio: k.ratio,
			Pole: lampPole, Gain: k.gain, Capacitance: k.output, Series: k.series, Load: si.Resistance(float64(t.Set) / float64(t.Current))}
		j.pin(&l, m)
		if m.op.Mode == flyback.Continuous {
			l.Right = flyback.Plant{Load: l.Load, Inductance: m.band.High, TurnsRatio: si.Ratio(float64(m.np) / float64(m.ns)),
				Duty: si.Ratio(float64(m.reflected) / float64(m.reflected+m.busMin))}.RightHalfPlaneZero()
		}
		out = append(out, l)
		l.Load /= lowShare
		l.Right = 0 // light load is discontinuous
		if !m.v.gated {
			l.Gain *= si.Ratio(math.Sqrt(lowShare)) // the peak falls as the root of the power
		}
		out = append(out, l)
	}
	return out
}

// currentLoops are the corners of the current loop.
func (j *job) currentLoops(m *measured, c *control, mid si.Ratio, tau si.Time) []regulation.Loop {
	var out []regulation.Loop
	for _, k := range j.loopCorners(m, c) {
		l := regulation.Loop{Watched: 1, Middle: mid, Tau: tau, Lamp: k.lamp, Ratio: k.ratio, Pole: lampPole, Gain: k.gain,
			Capacitance: k.output, Series: k.series, Battery: k.cell * si.Resistance(j.target.Cells), Shunt: c.current.Shunt.Ohm}
		j.pin(&l, m)
		out = append(out, l)
	}
	return out
}

// pin adds the capacitor of a control pin that is fed, or that of a feedback pin.
func (j *job) pin(l *regulation.Loop, m *measured) {
	if m.filter > 0 {
		l.Filter = si.Frequency(1 / (2 * math.Pi * feedbackPull * float64(m.filter)))
	}
	if m.v.stock.part.Feedback == "feeds-control" {
		l.Pin, l.PinSeries, l.PinStore = pinResistance, pinSeries, chipStore
	}
}

// figuresOf sums up the corners of a loop.
func figuresOf(ls []regulation.Loop) LoopFigures {
	out := LoopFigures{Slow: si.Frequency(math.Inf(1)), Margin: 180}
	for _, l := range ls {
		f, margin := l.Margin()
		out.Slow, out.Fast, out.Margin = min(out.Slow, f), max(out.Fast, f), min(out.Margin, margin)
	}
	return out
}

// voltageAnswerOf is gain and time constant of the voltage amplifier with a damping resistor: in series with the capacitor. Driving
// up, the divider is at the plus input and the gain never falls below 1; pulling down, it is at the minus input and its own
// resistance is the input resistance.
func (j *job) voltageAnswerOf(c *control, damping si.Resistance, capacity si.Capacitance) (si.Ratio, si.Time) {
	in := float64(j.inputOhm())
	mid := 1 + float64(damping)/in
	if c.drive == regulation.PullDown {
		low := float64(c.voltage.Bottom.Ohm) + float64(c.voltage.Trimmer.Ohm)/2
		in = 1 / (1/float64(c.voltage.Top.Ohm) + 1/low)
		mid = float64(damping) / in
	}
	return si.Ratio(mid), si.Time(in * float64(capacity))
}

// loopsOut chooses capacitor and damping, takes the parts and says how the loops do.
func (j *job) loopsOut(m *measured, c *control, b *basket) LoopChoice {
	choice := LoopChoice{Input: j.inputOhm(), Capacitor: loopCapacity}
	const ceramic = "ceramic 100 nF 50 V"
	p, ok := pick(b, "loop capacitor, one a loop", j.drawer.capacitors, 2, smallCapacitor, nearHundred, ceramic)
	if ok {
		choice.Capacitor = p.Capacitance.Value
	}
	pick(b, "supply bypass of the amplifier", j.drawer.capacitors, 1, smallCapacitor, nearHundred, ceramic)
	j.takeInputs(b, c)
	j.takeInputProtection(b, c)
	m.filter = j.takeFilter(b, m)
	choice.Filter = m.filter
	damping := j.chooseDamping(b, m, c, choice.Capacitor)
	if damping != nil {
		choice.Damping = damping.part.Resistance.Value
		take(b, "loop damping, voltage", *damping, 1)
	}
	mid, tau := j.voltageAnswerOf(c, choice.Damping, choice.Capacitor)
	choice.Middle = mid
	choice.Voltage = figuresOf(j.voltageLoops(m, c, mid, tau))
	level := 0.0 // what stands before the resistor at LEVEL
	if c.drive == regulation.DriveUp {
		level = 1 / (1/float64(c.current.Top.Ohm) + 1/float64(c.current.Bottom.Ohm))
	}
	choice.Current = figuresOf(j.currentLoops(m, c, 1, si.Time((float64(choice.Input)+level)*float64(choice.Capacitor))))
	choice.UnloadPeak = j.target.Set + j.unload(m, c, mid, tau).Rise()
	if bears := j.outputBears(c); choice.UnloadPeak > bears {
		choice.UnloadPeak = min(choice.UnloadPeak, j.takeStop(b, c, bears))
	}
	return choice
}

// takeFilter takes the capacitor that a feedback pin with an overload timer needs, of one to three equal pieces: a small source
// charges it, and what does not last longer than the start is shut off. An adapter keeps its own, of which nothing is known.
func (j *job) takeFilter(b *basket, m *measured) si.Capacitance {
	stated := m.v.stock.part.FeedbackStore
	if !stated.Known() || m.plan == nil {
		return 0
	}
	least := max(stated.Value, si.Capacitance(overloadSource*filterSpare*float64(j.startTime(m))/overloadRise))
	const role = "feedback capacitor"
	best, pieces, total := -1, 0, filterMost*least
	for i, s := range j.drawer.capacitors {
		if !smallCapacitor(s.part) {
			continue
		}
		n := math.Ceil(float64(least) / float64(s.part.Capacitance.Value))
		if c := si.Capacitance(n) * s.part.Capacitance.Value; n <= maxParallel && n <= left(b, s) && c < total {
			best, pieces, total = i, int(n), c
		}
	}
	if best < 0 {
		total = si.Capacitance(math.Ceil(1.4*float64(least)/si.Nano) * si.Nano)
		want := fmt.Sprintf("ceramic %.0f nF 50 V", float64(total)/si.Nano)
		b.buy(role, want, 1, "piece", want)
		return total
	}
	take(b, role, j.drawer.capacitors[best], float64(pieces))
	return total
}

// startTime is how long the output takes to its set point with no pack on it at the least power that the limit passes: C V^2/2
// over that power.
func (j *job) startTime(m *measured) si.Time {
	most := float64(j.output.least) / 0.8 * 1.2
	power := flyback.PowerAtLimit(m.busMin, m.reflected, m.band.Low, m.v.freq.Low, m.v.limit.Low, m.v.duty)
	return si.Time(0.5 * most * float64(j.target.Set) * float64(j.target.Set) / float64(power))
}

// outputBears is the most that everything on the output stands for a moment.
func (j *job) outputBears(c *control) si.Voltage {
	return min(j.output.volts, c.amp.part.SupplyMax.Value)
}

// takeStop takes a suppressor across the output that leaves the pack alone and holds what the parts there bear, and says how
// far it lets the output rise.
func (j *job) takeStop(b *basket, c *control, bears si.Voltage) si.Voltage {
	least := j.target.Absolute * stopAbove
	highest := func(p catalog.Clamp) si.Voltage {
		return p.Breakdown.Value * si.Voltage(1+p.Tolerance.Or(0.05)) * stopClamps
	}
	want := fmt.Sprintf("suppressor, conducts above %.1f V, holds %.1f V", float64(least), float64(bears))
	p, ok := pick(b, "output stop", j.drawer.clamps, 1, func(p catalog.Clamp) bool {
		return p.Breakdown.Value*si.Voltage(1-p.Tolerance.Or(0.05)) >= least && highest(p) <= bears
	}, func(p catalog.Clamp) float64 { return float64(p.Breakdown.Value) }, want)
	if !ok {
		return bears
	}
	return highest(p)
}

// smallCapacitor is what may bridge an amplifier.
func smallCapacitor(p catalog.Capacitor) bool {
	return p.Dielectric != "electrolytic" && p.Safety == "" && p.Volts.Value >= 25 && p.Capacitance.Value >= 10e-9 &&
		p.Capacitance.Value <= 220e-9
}

func nearHundred(p catalog.Capacitor) float64 {
	return math.Abs(float64(p.Capacitance.Value) - loopCapacity)
}

// takeInputs takes two equal resistors: driving up, one in series with each input at REF and LEVEL; pulling down, both in the
// current loop, one at SENSE and one in series with its capacitor, so that the amplifier's gain there never falls below 1
// either way.
func (j *job) takeInputs(b *basket, c *control) {
	role := "loop resistor, one a loop"
	if c.drive == regulation.PullDown {
		role = "loop resistor, two in the current loop"
	}
	if j.loopInput == nil {
		b.buy(role, "resistor 2k2 0.25 W", 2, string(inventory.Pieces), "1 to 4.7 kohm")
		return
	}
	take(b, role, *j.loopInput, 2)
}

// chooseDamping picks the resistor in series with the capacitor of the voltage loop: the largest single one that leaves the
// phase margin aimed at in every corner, since a fast loop lets the output run up least when the pack is taken off; else the
// one with the best margin. nil is a wire.
func (j *job) chooseDamping(b *basket, m *measured, c *control, capacity si.Capacitance) *stock[catalog.Resistor] {
	bestMargin := 0.0
	margin := func(ohm si.Resistance) float64 {
		mid, tau := j.voltageAnswerOf(c, ohm, capacity)
		least := 180.0
		for _, l := range j.voltageLoops(m, c, mid, tau) {
			if _, v := l.Margin(); v < least {
				if least = v; least <= bestMargin {
					break // worse than what there is
				}
			}
		}
		return least
	}
	var best *stock[catalog.Resistor]
	bestMargin = margin(0)
	for _, s := range j.dampers {
		if left(b, *s) < 1 || s == j.bleedStock {
			continue
		}
		v := margin(s.part.Resistance.Value)
		if v >= marginAim || v > bestMargin {
			best, bestMargin = s, min(v, marginAim)
		}
	}
	return best
}

// dampersOf lists the resistors that may damp the voltage loop, in rising order.
func dampersOf(d *drawer) []*stock[catalog.Resistor] {
	var out []*stock[catalog.Resistor]
	for i := range d.resistors {
		p := d.resistors[i].part
		if p.Resistance.Value >= loopInputLow && p.Resistance.Value <= dampingMost && p.Type != "fusible" && p.Rating.Or(0.25) < 1 && !d.resistors[i].buy {
			out = append(out, &d.resistors[i])
		}
	}
	slices.SortStableFunc(out, func(a, b *stock[catalog.Resistor]) int {
		return cmp.Compare(a.part.Resistance.Value, b.part.Resistance.Value)
	})
	return out
}

// unload is the worst case of taking the pack off: the converter gives what its highest limit allows, the amplifier has to
// come from its rest.
func (j *job) unload(m *measured, c *control, mid si.Ratio, tau si.Time) regulation.Unload {
	lamp := c.opto.part.Forward.Or(1.4) + c.joinDrop()
	swing := lamp + si.Voltage(float64(c.need)*float64(c.lamp.Resistor.High))
	if c.drive == regulation.PullDown {
		swing = si.Voltage(float64(c.need)*float64(c.lamp.Resistor.High)) + max(0, lamp-restHigh)
	}
	return regulation.Unload{Current: j.runaway(m), Capacitance: j.output.least, Watched: si.Ratio(c.vref / j.target.Set), Middle: mid,
		Tau: tau, Swing: swing, Delay: si.Time(feedbackPull * float64(m.filter))}
}

// runaway is the output current at the set point with nothing holding the converter.
func (j *job) runaway(m *measured) si.Current { return j.unheld(m, j.target.Set) }

// unheld is the output current at an output voltage with nothing holding the converter: its highest limit with the highest
// inductance, at most what continuous mode passes.
func (j *job) unheld(m *measured, out si.Voltage) si.Current {
	peak := float64(m.v.limit.High)
	volts := float64(out) + float64(m.rect.drop)
	whole := 0.5 * float64(m.band.High) * peak * peak * float64(m.v.freq.High) / volts
	reflected := m.reflected
	if out != j.target.Set {
		reflected = si.Voltage(float64(m.np) / float64(m.ns) * volts)
	}
	d := float64(reflected) / float64(reflected+j.busMax)
	pass := float64(m.np) / float64(m.ns) * (1 - d) * peak
	return si.Current(limitSpare * min(whole, pass))
}

// loopWarnings says what the builder has to know about the loops.
func loopWarnings(l LoopChoice, c *control) []string {
	var out []string
	if worst := min(l.Voltage.Margin, l.Current.Margin); worst < 45 {
		out = append(out, fmt.Sprintf("the loops keep %.0f degrees of phase in their worst corner: look for ringing with a resistor as load before any pack", worst))
	}
	if c.drive == regulation.PullDown {
		out = append(out, "in this amplifier chip the plus input of the voltage side is the reference: the divider goes to its minus input and both outputs pull the lamp down")
	}
	if v := c.reversed(l.UnloadPeak); c.indicator && v > lampReverse {
		out = append(out, fmt.Sprintf("when the pack is taken off under current the lamp of the other loop sees about %.0f V the wrong way round, "+
			"and lamps promise 5 V: try each at that voltage through 100 kohm first, nothing may flow", float64(v)))
	}
	return out
}

// lampReverse is what an indicator lamp bears the wrong way round; from memory, the usual rating.
const lampReverse si.Voltage = 5

// reversed is the voltage the wrong way round across the lamp of the loop that rests while the other amplifier stands at its far
// end: the highest output less what that amplifier and its own lamp keep.
func (c *control) reversed(highest si.Voltage) si.Voltage {
	return highest - c.amp.part.Headroom.Or(headroomGuess) - indicatorDrop
}
