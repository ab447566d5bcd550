package substitute

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/compensation"
	"sparewright/substitute/flyback"
	"sparewright/substitute/regulation"
)

// Practice of the loops. Sources beside the figures.
const (
	loopInput      = 2200.0 // ohm, in series with the amplifier's inputs at REF, LEVEL and SENSE
	loopInputLow   = 1000.0 // ohm
	loopInputHigh  = 4700.0 // ohm, over which the largest input current of an LM358 drops 1.2 mV
	loopInputs     = 3      // equal ones: at REF, LEVEL and SENSE
	bypass         = 100e-9 // F, at the supply of the amplifier
	sinkLow        = 1.2    // V, to which an amplifier pulls down a few mA (LM358 class, from memory)
	restHigh       = 1.5    // V below its supply, where an amplifier rests that pulls down (LM358, SLOS068P)
	stopAbove      = 1.02   // x the highest pack voltage, where a suppressor may begin to conduct; common practice, no source
	stopClamps     = 1.15   // x its highest breakdown voltage, with the current of the converter in it (from memory)
	filterMost     = 4.0    // x the least capacitor at a feedback pin: more only slows the loops; common practice, no source
	filterSpare    = 1.5    // x the time of the start; common practice, no source
	overloadRise   = 3.0    // V from full power to shutdown at such a pin: 3 to 6 V of the FSDM family, 3 to 7.5 V of the KA5; from memory
	overloadSource = 5e-6   // A, which charges it there (KA5x03xx-SERIES Rev 1.0.5, block diagram)
	limitSpare     = 1.1    // what the converter may deliver beyond its reckoned limit while nothing holds it; common practice, no source
	surgeHold      = 5e-3   // s-like weight of the amplifier's integral against its gain where the fastest current loop is chosen; no source, it only orders
)

// LoopChoice is what keeps the two loops from oscillating and from letting the output run up.
type LoopChoice struct {
	Input      si.Resistance  `json:"input_ohm"`
	Damping    si.Resistance  `json:"damping_ohm,omitempty"` // of the voltage loop
	Capacitor  si.Capacitance `json:"capacitor_f"`           // of the voltage loop
	Voltage    LoopFigures    `json:"voltage"`
	Current    LoopFigures    `json:"current"`
	Middle     si.Ratio       `json:"-"`                    // gain of the voltage amplifier above the corner of its capacitor
	Filter     si.Capacitance `json:"feedback_f,omitempty"` // at the feedback pin of the switcher
	UnloadPeak si.Voltage     `json:"unload_peak_v"`        // output when the pack is taken off at full current

	cure string // what to buy where a loop is not steady
}

// LoopFigures is how a loop is compensated and does between its corners.
type LoopFigures struct {
	Slow      si.Frequency   `json:"crossover_low_hz"`
	Fast      si.Frequency   `json:"crossover_high_hz"`
	Margin    float64        `json:"phase_margin_deg"`         // least of all corners
	Nominal   float64        `json:"nominal_phase_margin_deg"` // with nominal parts
	Gain      si.Ratio       `json:"gain_margin"`              // by which the gain may rise or fall in the worst corner
	Capacitor si.Capacitance `json:"capacitor_f"`
	Damping   si.Resistance  `json:"damping_ohm,omitempty"`
	Lead      si.Capacitance `json:"lead_f,omitempty"` // over the upper leg of the divider
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

// loopsOut takes what the loops are made of, chooses their compensation and says how they do.
func (j *job) loopsOut(m *measured, c *control, b *basket) LoopChoice {
	choice := LoopChoice{Input: j.inputOhm()}
	j.takeInputs(b, c)
	j.takeInputProtection(b, c)
	pick(b, "supply bypass of the amplifier", j.drawer.capacitors, 1, smallCapacitor, nearHundred, "ceramic 100 nF 50 V")
	m.filter = j.takeFilter(b, m)
	choice.Filter = m.filter
	m.exit = j.takeExit(b, m)
	m.pinSeries = j.takePinSeries(b, m)
	volts := j.compensate(&choice.Voltage, j.voltageTask(m, c, b))
	j.takeLoop(b, volts.Parts, roleVoltageCapacitor, roleVoltageDamping)
	amps := j.compensate(&choice.Current, j.currentTask(m, c, b))
	j.takeLoop(b, amps.Parts, roleCurrentCapacitor, roleCurrentDamping)
	choice.Damping, choice.Capacitor = volts.Parts.Damping, volts.Parts.Capacitor
	mid, tau := j.voltageAnswerOf(c, choice.Damping, choice.Capacitor)
	choice.Middle = mid
	choice.cure = loopCure(j.voltageTask(m, c, newBasket()), volts, "voltage") + loopCure(j.currentTask(m, c, newBasket()), amps, "current")
	u := j.unload(m, c, mid, tau)
	choice.UnloadPeak = j.target.Set + max(u.Rise(), m.exit.kick(j.target.Current))
	if bears := j.outputBears(c); choice.UnloadPeak > bears {
		choice.UnloadPeak = min(choice.UnloadPeak, j.takeStop(b, c, bears))
	}
	return choice
}

// compensate designs one loop and writes its figures.
func (j *job) compensate(f *LoopFigures, t compensation.Task) compensation.Answer {
	a := compensation.Design(t)
	*f = LoopFigures{Slow: a.Worst.Slow, Fast: a.Worst.Fast, Margin: a.Worst.Phase, Nominal: a.Nominal.Phase, Gain: min(a.Worst.Gain, 1e3),
		Capacitor: a.Parts.Capacitor, Damping: a.Parts.Damping, Lead: a.Parts.Lead}
	return a
}

// voltageTask asks for the compensation that lets the output run up least when a pack comes off.
func (j *job) voltageTask(m *measured, c *control, b *basket) compensation.Task {
	t := compensation.Task{OnHand: j.loopValues(b), Trade: loopTrade(j.inputOhm(), true)}
	t.Corners, t.Nominal = j.voltageCorners(m, c)
	t.OnHand.Leads = j.leads(b)
	t.Cost = func(p compensation.Parts) float64 {
		mid, tau := j.voltageAnswerOf(c, p.Damping, p.Capacitor)
		return float64(j.unload(m, c, mid, tau).Rise())
	}
	return t
}

// currentTask asks for the fastest current loop.
func (j *job) currentTask(m *measured, c *control, b *basket) compensation.Task {
	t := compensation.Task{OnHand: j.loopValues(b), Trade: loopTrade(j.inputOhm(), false)}
	t.Corners, t.Nominal = j.currentCorners(m, c)
	in := float64(j.inputOhm() + j.currentAmplifier(c).Behind)
	t.Cost = func(p compensation.Parts) float64 {
		tau, mid := in*float64(p.Capacitor), 1+float64(p.Damping)/in
		return tau * (math.Sqrt(mid*mid+2*surgeHold/tau) - mid)
	}
	return t
}

// loopValues are the parts on hand for a loop; a capacitor of 100 nF is always thought to be there, as one is bought otherwise.
func (j *job) loopValues(b *basket) compensation.Values {
	v := compensation.Values{Inputs: []si.Resistance{j.inputOhm()}, Dampings: j.dampings(b), Leads: []si.Capacitance{0}}
	if v.Capacitors, _ = j.loopCapacitors(b); len(v.Capacitors) == 0 {
		v.Capacitors = []si.Capacitance{bypass}
	}
	return v
}

// loopCure names what to buy for a loop that is not steady.
func loopCure(t compensation.Task, a compensation.Answer, loop string) string {
	if a.Steady || !a.Cured {
		return ""
	}
	var want []string
	if !slices.Contains(t.OnHand.Capacitors, a.Cure.Capacitor) {
		want = append(want, "a loop capacitor of "+si.Format(a.Cure.Capacitor, 2))
	}
	if !slices.Contains(t.OnHand.Dampings, a.Cure.Damping) {
		want = append(want, "a damping resistor of "+si.Format(a.Cure.Damping, 2))
	}
	if !slices.Contains(t.OnHand.Leads, a.Cure.Lead) {
		want = append(want, "a capacitor of "+si.Format(a.Cure.Lead, 2)+" over the divider top")
	}
	if len(want) == 0 {
		return ""
	}
	return fmt.Sprintf("buy for the %s loop %s: it then keeps %.0f degrees", loop, strings.Join(want, " and "), a.CureWorst.Phase)
}

// takePinSeries takes the resistor in series with the capacitor of a control pin that is fed, which is part of both loops. It may be
// missing.
func (j *job) takePinSeries(b *basket, m *measured) si.Resistance {
	if m.v.stock.part.Feedback != "feeds-control" || m.plan == nil && m.donor == nil {
		return 0
	}
	p, _ := pick(b, rolePinSeries, j.drawer.resistors, 1, func(p catalog.Resistor) bool {
		return p.Resistance.Value >= 4.7 && p.Resistance.Value <= 15 && p.Type != "fusible"
	}, func(p catalog.Resistor) float64 { return math.Abs(math.Log(float64(p.Resistance.Value) / 6.8)) }, "")
	return p.Resistance.Value
}

func nearHundred(p catalog.Capacitor) float64 { return math.Abs(float64(p.Capacitance.Value) - bypass) }

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

// unload is the worst case of taking the pack off: the converter gives what its highest limit allows, the amplifier has to
// come from its rest.
func (j *job) unload(m *measured, c *control, mid si.Ratio, tau si.Time) regulation.Unload {
	lamp := c.opto.part.Forward.Or(1.4) + c.joinDrop()
	swing := lamp + si.Voltage(float64(c.need)*float64(c.lamp.Resistor.High))
	if c.drive == regulation.PullDown {
		swing = si.Voltage(float64(c.need)*float64(c.lamp.Resistor.High)) + max(0, lamp-restHigh)
	}
	return regulation.Unload{Current: j.runaway(m), Capacitance: j.output.least, Watched: si.Ratio(c.vref / j.target.Set), Middle: mid,
		Tau: tau, Swing: swing, Delay: si.Time(float64(j.pinOf(m, c).Resistance) * float64(m.filter))}
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
	if worst := min(l.Voltage.Margin, l.Current.Margin); worst < 40 {
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
