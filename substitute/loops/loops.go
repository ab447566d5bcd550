// Package loops chooses what keeps the two loops of a designed charger steady and its output within
// what the parts there bear.
package loops

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/compensation"
	"sparewright/substitute/control"
	"sparewright/substitute/flyback"
	"sparewright/substitute/regulation"
	"sparewright/substitute/regulation/resistors"
	"sparewright/substitute/seats"
	"sparewright/substitute/stage"
	"sparewright/substitute/stock"
)

// tasks says what compensation has to bring about, and what there is for it.
type tasks struct{ *Looper }

// voltageAnswerOf is gain and time constant of the voltage amplifier with a damping resistor: in
// series with the capacitor. Driving up, the divider is at the plus input and the gain never falls
// below 1; pulling down, it is at the minus input and its own resistance is the input resistance.
func (j tasks) voltageAnswerOf(c *control.Control, damping si.Resistance,
	capacity si.Capacitance) (si.Ratio, si.Time) {
	in := float64(j.InputOhm())
	mid := 1 + float64(damping)/in
	if c.Drive == regulation.PullDown {
		low := float64(c.Voltage.Bottom.Ohm) + float64(c.Voltage.Trimmer.Ohm)/2
		in = 1 / (1/float64(c.Voltage.Top.Ohm) + 1/low)
		mid = float64(damping) / in
	}
	return si.Ratio(mid), si.Time(in * float64(capacity))
}

// loopsOut takes what the loops are made of, chooses their compensation and says how they do.
func (j *Looper) loopsOut(m *stage.Measured, c *control.Control,
	b *stock.Basket) substitute.LoopChoice {
	choice := substitute.LoopChoice{Input: j.InputOhm()}
	parts, of := taking{j}, tasks{j}
	parts.takeInputs(b, c)
	parts.takeInputProtection(b, c)
	asked := j.Circuit()
	stock.Fill(b, seats.Bypass, j.Drawer.Capacitors, &asked)
	m.Filter = parts.takeFilter(b, m)
	choice.Filter = m.Filter
	m.Exit = parts.takeExit(b, m)
	m.PinSeries = parts.takePinSeries(b, m)
	volts := of.compensate(&choice.Voltage, m, c, of.voltageTask(m, c, b))
	parts.takeLoop(b, volts.Parts, seats.VoltageCapacitor, seats.VoltageDamping)
	amps := of.compensate(&choice.Current, m, c, of.currentTask(m, c, b))
	parts.takeLoop(b, amps.Parts, seats.CurrentCapacitor, seats.CurrentDamping)
	choice.Damping, choice.Capacitor = volts.Parts.Damping, volts.Parts.Capacitor
	mid, tau := of.voltageAnswerOf(c, choice.Damping, choice.Capacitor)
	choice.Middle = mid
	ofVolts, ofAmps := of.voltageTask(m, c, stock.NewBasket()),
		of.currentTask(m, c, stock.NewBasket())
	choice.Cure = loopCure(ofVolts, volts, "voltage") + loopCure(ofAmps, amps, "current")
	choice.Lack = dampingLacks(ofVolts, volts, ofAmps, amps)
	u := j.unload(m, c, mid, tau)
	choice.UnloadPeak = j.Target.Set + max(u.Rise(), kick(m.Exit, j.Target.Current))
	choice.ChipStore = events{connecting{j}}.storeFor(m, c, choice.UnloadPeak)
	choice.StartPeak = max(choice.UnloadPeak, events{connecting{j}}.startPeak(m, c, choice))
	if bears := j.OutputBears(c); choice.StartPeak > bears {
		holds := j.takeStop(b, c, bears)
		choice.UnloadPeak = min(choice.UnloadPeak, holds)
		choice.StartPeak = min(choice.StartPeak, holds)
	}
	return choice
}

// compensate designs one loop and writes its figures.
func (j tasks) compensate(f *substitute.LoopFigures, m *stage.Measured, c *control.Control,
	t compensation.Task) compensation.Answer {
	a := j.solved.design(c, j.unload(m, c, 0, 0), t, j.brief)
	*f = substitute.LoopFigures{Slow: a.Worst.Slow, Fast: a.Worst.Fast, Margin: a.Worst.Phase,
		Nominal: a.Nominal.Phase, Gain: min(a.Worst.Gain, 1e3),
		Capacitor: a.Parts.Capacitor, Damping: a.Parts.Damping, Lead: a.Parts.Lead}
	return a
}

// voltageTask asks for the compensation that lets the output run up least when a pack comes off.
func (j tasks) voltageTask(m *stage.Measured, c *control.Control,
	b *stock.Basket) compensation.Task {
	t := compensation.Task{OnHand: j.loopValues(b), Trade: LoopTrade(j.InputOhm(), true)}
	t.Corners, t.Nominal = loopModel(j).voltageCorners(m, c)
	t.OnHand.Leads = taking(j).leads(b)
	t.Cost = func(p compensation.Parts) float64 {
		mid, tau := j.voltageAnswerOf(c, p.Damping, p.Capacitor)
		return float64(j.unload(m, c, mid, tau).Rise())
	}
	return t
}

// currentTask asks for the fastest current loop.
func (j tasks) currentTask(m *stage.Measured, c *control.Control,
	b *stock.Basket) compensation.Task {
	t := compensation.Task{OnHand: j.loopValues(b), Trade: LoopTrade(j.InputOhm(), false)}
	t.Corners, t.Nominal = loopModel(j).currentCorners(m, c)
	in := float64(j.InputOhm() + currentAmplifier(c).Behind)
	t.Cost = func(p compensation.Parts) float64 {
		tau, mid := in*float64(p.Capacitor), 1+float64(p.Damping)/in
		return tau * (math.Sqrt(mid*mid+2*control.SurgeHold/tau) - mid)
	}
	return t
}

// loopValues are the parts on hand for a loop; a capacitor of 100 nF is always thought to be there,
// as one is bought otherwise.
func (j tasks) loopValues(b *stock.Basket) compensation.Values {
	parts := taking(j)
	v := compensation.Values{Inputs: []si.Resistance{j.InputOhm()}, Dampings: parts.dampings(b),
		Leads: []si.Capacitance{0}}
	if v.Capacitors, _ = parts.loopCapacitors(b); len(v.Capacitors) == 0 {
		v.Capacitors = []si.Capacitance{seats.BypassFarad}
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
	return fmt.Sprintf("buy for the %s loop %s: it then keeps %.0f degrees", loop,
		strings.Join(want, " and "), a.CureWorst.Phase)
}

// dampingLack is the damping resistor, as Refusal.Lack, whose purchase alone makes a loop steady;
// cured is false where the loop needs something else.
func dampingLack(t compensation.Task, a compensation.Answer) (lack string, cured bool) {
	switch {
	case a.Steady:
		return "", true
	case !a.Cured || !slices.Contains(t.OnHand.Capacitors, a.Cure.Capacitor) ||
		!slices.Contains(t.OnHand.Leads, a.Cure.Lead):
		return "", false
	}
	p := resistors.Piece{Ohm: a.Cure.Damping, Tolerance: dampingTolerance}
	return string(catalog.KindResistor) + ":" + stock.SoldResistance(p, false), true
}

// dampingLacks joins what both loops lack; empty where damping resistors alone do not make both
// steady.
func dampingLacks(volts compensation.Task, ofVolts compensation.Answer, amps compensation.Task,
	ofAmps compensation.Answer) string {
	v, curedVolts := dampingLack(volts, ofVolts)
	i, curedAmps := dampingLack(amps, ofAmps)
	if !curedVolts || !curedAmps {
		return ""
	}
	return strings.Trim(v+";"+i, ";")
}

// dampingTolerance is that of a damping resistor to buy: the usual film resistor (common practice,
// no source).
const dampingTolerance = 0.01

// takePinSeries takes the resistor in series with the capacitor of a control pin that is fed, which
// is part of both loops. It may be missing.
func (j taking) takePinSeries(b *stock.Basket, m *stage.Measured) si.Resistance {
	if m.V.Feedback.Kind != "feeds-control" || m.Plan == nil && m.Donor == nil {
		return 0
	}
	asked := j.Circuit()
	p, _ := stock.Fill(b, seats.PinSeries, j.Drawer.Resistors, &asked)
	return p.Resistance.Value
}

// takeFilter takes the capacitor that a feedback pin with an overload timer needs, of one to three
// equal pieces: a small source charges it, and what does not last longer than the start is shut
// off. An adapter keeps its own, of which nothing is known.
func (j taking) takeFilter(b *stock.Basket, m *stage.Measured) si.Capacitance {
	stated := m.V.Feedback.Store
	if !stated.Known() || m.Plan == nil {
		return 0
	}
	least := max(stated.Value, si.Capacitance(
		control.OverloadSource*control.FilterSpare*float64(j.startTime(m))/control.OverloadRise))
	asked := j.Circuit()
	suits := stock.Suits[catalog.Capacitor](seats.FeedbackCapacitor, &asked)
	best, pieces, total := -1, 0, control.FilterMost*least
	for i, s := range j.Drawer.Capacitors {
		if !suits(&s) {
			continue
		}
		n := math.Ceil(float64(least) / float64(s.Part.Capacitance.Value))
		if c := si.Capacitance(n) * s.Part.Capacitance.Value; n <= stock.MaxParallel &&
			n <= stock.Left(b, s) && c < total {
			best, pieces, total = i, int(n), c
		}
	}
	if best < 0 {
		total = si.Capacitance(math.Ceil(1.4*float64(least)/si.Nano) * si.Nano)
		asked.Farad = total
		b.BuyFor(seats.FeedbackCapacitor, &asked)
		return total
	}
	stock.Take(b, seats.FeedbackCapacitor, j.Drawer.Capacitors[best], float64(pieces))
	return total
}

// startTime is how long the output takes to its set point with no pack on it at the least power
// that the limit passes: C V^2/2 over that power.
func (j taking) startTime(m *stage.Measured) si.Time {
	most := float64(j.Output.Most())
	power := flyback.PowerAtLimit(m.BusMin, m.Reflected, m.Band.Low, m.V.Freq.Low,
		m.V.Limit.Low, m.V.Duty)
	return si.Time(0.5 * most * float64(j.Target.Set) * float64(j.Target.Set) / float64(power))
}

// OutputBears is the most that everything on the output stands for a moment.
func (j *Looper) OutputBears(c *control.Control) si.Voltage {
	return min(j.Output.Volts, c.Amp.Part.SupplyMax.Value)
}

// takeStop takes a suppressor across the output that leaves the pack alone and holds what the parts
// there bear, and says how far it lets the output rise.
func (j *Looper) takeStop(b *stock.Basket, c *control.Control, bears si.Voltage) si.Voltage {
	asked := j.Circuit()
	asked.StopLow, asked.StopHolds, asked.StopHigh = j.Target.Absolute*control.StopAbove, bears,
		bears/control.StopClamps
	p, ok := stock.Fill(b, seats.OutputStop, j.Drawer.Clamps, &asked)
	if !ok {
		return bears
	}
	return p.Breakdown.Value * si.Voltage(1+p.Tolerance.Value) * control.StopClamps
}

// unload is the worst case of taking the pack off: the converter gives what its highest limit
// allows, the amplifier has to come from its rest.
func (j *Looper) unload(m *stage.Measured, c *control.Control, mid si.Ratio,
	tau si.Time) regulation.Unload {
	led := c.Opto.Part.Forward.Value + c.JoinDrop()
	swing := led + si.Voltage(float64(c.Need)*float64(c.LED.Resistor.High))
	if c.Drive == regulation.PullDown {
		swing = si.Voltage(float64(c.Need)*float64(c.LED.Resistor.High)) +
			max(0, led-control.RestHigh)
	}
	return regulation.Unload{Current: j.Unheld(m, j.Target.Set), Capacitance: j.Output.Least,
		Watched: si.Ratio(c.Vref / j.Target.Set), Middle: mid,
		Tau: tau, Swing: swing, Delay: si.Time(float64(loopModel{j}.pinOf(m, c).Resistance) *
			float64(m.Filter))}
}

// Unheld is the output current at an output voltage with nothing holding the converter: its highest
// limit with the highest inductance, at most what continuous mode passes.
func (j *Looper) Unheld(m *stage.Measured, out si.Voltage) si.Current {
	peak := float64(m.V.Limit.High)
	volts := float64(out) + float64(m.Rect.Drop)
	whole := 0.5 * float64(m.Band.High) * peak * peak * float64(m.V.Freq.High) / volts
	reflected := m.Reflected
	if out != j.Target.Set {
		reflected = si.Voltage(float64(m.Np) / float64(m.Ns) * volts)
	}
	d := float64(reflected) / float64(reflected+j.BusMax)
	pass := float64(m.Np) / float64(m.Ns) * (1 - d) * peak
	return si.Current(control.LimitSpare * min(whole, pass))
}

// LoopWarnings says what the builder has to know about the loops.
func LoopWarnings(l substitute.LoopChoice, c *control.Control) []string {
	var out []string
	if worst := min(l.Voltage.Margin, l.Current.Margin); worst < 40 {
		out = append(out, fmt.Sprintf("the loops keep %.0f degrees of phase in their worst "+
			"corner: look for ringing with a resistor as load before any pack", worst))
	}
	if c.Drive == regulation.PullDown {
		out = append(out, "in this amplifier chip the plus input of the voltage side is the "+
			"reference: the divider goes to its minus input and both outputs pull the LED down")
	}
	if v := c.Reversed(l.UnloadPeak); c.Indicator && v > control.LEDReverse {
		out = append(out, fmt.Sprintf("when the pack is taken off under current the LED of the "+
			"other loop sees about %.0f V the wrong way round, "+
			"and LEDs promise 5 V: try each at that voltage through 100 kohm first, "+
			"nothing may flow", float64(v)))
	}
	return out
}
