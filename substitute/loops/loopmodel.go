package loops

import (
	"math"

	"sparewright/catalog/si"
	"sparewright/substitute/compensation"
	"sparewright/substitute/control"
	"sparewright/substitute/flyback"
	"sparewright/substitute/regulation"
	"sparewright/substitute/stage"
)

// What the loops are made of, as far as no part states it. Sources beside the figures.
const (
	// F, of the optocoupler's transistor at a pulled pin: 19 nF at 100 ohm, 6.4 nF at 1 kohm, 4.4
	// nF at 10 kohm and 2 mA, more at less current (PC817 data sheet, Fig. 11)
	transistorStore = 10e-9
	// Hz, with 100 ohm (PC817 data sheet): what that figure belongs to, and the pole at a fed pin
	transistorPole = 80e3
	pulledSpan     = 0.17e-3 // A from full power to none there, the least usual (from memory)
	controlFilter  = 7e3     // Hz, the pole inside it (the same)
	controlSeries  = 1.0     // ohm, of the electrolytic there; common practice, no source
	// from the least change of feedback current that stops the chip to the most; from memory
	spanSpread = 1.5
	// the same where only a current is stated that surely stops; from memory
	stopSpread = 2.0
	// V: LED or diode have this over their current as slope, emission coefficient 2; from memory
	thermalSlope   = 52e-3
	amplifierSpeed = 0.7e6 // Hz at gain 1 (LM358: TI SLOS068W 7.7; others are faster)
	cellHigh       = 60e-3 // ohm a cell, a tired one with its leads; common practice, no source
	seriesGuess    = 50e-3 // ohm, of an output capacitor that does not say; from memory
	seriesFresh    = 0.25  // of the stated series resistance, warm; from memory
	seriesAged     = 2.0   // the same at the end of its life; common practice, no source
	behindSeries   = 1.0   // ohm, of a small electrolytic; from memory
	lowShare       = 0.1   // of the full current, light load; common practice, no source
	ChipStore      = 22e-6 // F, at the supply pin of the chip; common practice, no source
)

// end is one of the two ends of everything that moves the gain of a loop.
type end struct {
	gain  si.Ratio      // of the converter, at full current
	ratio si.Ratio      // of the optocoupler
	led   si.Resistance // of the resistor alone
	span  si.Current    // from full power to none
}

// loopModel is the small-signal model of the loops of a design, in every corner.
type loopModel struct{ *Looper }

// loopEnds are highest and lowest gain with the part tolerances that make them, and the middle of
// both.
func (j loopModel) loopEnds(m *stage.Measured, c *control.Control) (high, low, mid end) {
	o := c.Opto.Part
	spanLow, spanHigh := feedbackSpan(&m.V.Feedback)
	slow, fast := j.stageGain(m)
	r := c.LED.Resistor
	high = end{fast / si.Ratio(spanLow), o.RatioMax.Value, r.Low, spanLow}
	low = end{slow / si.Ratio(spanHigh), o.RatioMin.Value * control.RatioAged, r.High, spanHigh}
	mid = end{geometric(high.gain, low.gain), geometric(high.ratio, o.RatioMin.Value), r.Ohm,
		geometric(spanLow, spanHigh)}
	return high, low, mid
}

func geometric[Q si.Quantity](a, b Q) Q { return Q(math.Sqrt(float64(a) * float64(b))) }

// feedbackSpan is the least and the most change of feedback current that takes the chip from full
// power to none.
func feedbackSpan(p *stage.Feedback) (low, high si.Current) {
	if p.Span.Known() {
		return p.Span.Value, p.Span.Value * spanSpread
	}
	if p.Kind == "pulls-down" || p.Kind == "" {
		return min(pulledSpan, p.Stop/stopSpread), p.Stop
	}
	return p.Stop / stopSpread, p.Stop
}

// stageGain is the least and the most output current that the whole span of feedback moves, at full
// load. Peak control: the peak falls from the limit to nothing; the output current follows it by 2
// I/Ipk in discontinuous mode and by n (1 - D) in continuous mode (SLUS223E 9.2.2.10, mean of the
// secondary current). Duty control: the output current goes with the square of the duty, which is
// least at highest mains. A gated chip loses pulses in proportion.
func (j loopModel) stageGain(m *stage.Measured) (slow, fast si.Ratio) {
	i := float64(j.Target.Current)
	if m.V.Gated {
		full := si.Ratio(i / math.Max(0.05, float64(m.Share)))
		return full, full
	}
	if m.V.SetsDuty {
		d, most := float64(m.Duty), float64(m.V.Duty)
		return si.Ratio(2 * i * most / d), si.Ratio(2 * i * most / d * float64(j.BusMax/m.BusMin))
	}
	// the peak falls as the root of the power
	empty := math.Sqrt(float64(j.Target.Set / j.Target.Empty))
	move := 2 * i / float64(m.Op.Peak)
	hard := move * empty
	if m.Op.Mode == flyback.Continuous {
		n := float64(m.Np) / float64(m.Ns)
		hard = math.Max(hard, n*float64(j.BusMax)/float64(m.Reflected+j.BusMax))
		move = math.Min(move, n*float64(m.BusMin)/float64(m.Reflected+m.BusMin))
	}
	return si.Ratio(move * float64(m.V.Limit.Low)), si.Ratio(hard * float64(m.V.Limit.High))
}

// ledSlope is what LED and joining diode add to the LED resistor at a share of the full current:
// thermal slopes at the current that the feedback then takes.
func (j loopModel) ledSlope(m *stage.Measured, e end, share float64) si.Resistance {
	used := float64(m.Op.Peak) / float64(m.V.Limit.Mid()) * math.Sqrt(share)
	whole := e.span
	if m.V.Feedback.Kind == "feeds-control" {
		whole = m.V.Feedback.Stop
	}
	i := float64(whole) - used*float64(e.span)
	if m.V.Gated {
		i = float64(whole) * 0.5
	}
	i = math.Max(i, 0.1*float64(e.span))
	return si.Resistance(2 * thermalSlope * float64(e.ratio) / i)
}

// pinOf is the pin that the optocoupler works into.
func (j loopModel) pinOf(m *stage.Measured, c *control.Control) compensation.Pin {
	p := &m.V.Feedback
	slower := si.Ratio(transistorPole) / si.Ratio(c.Opto.Part.CutOff.Value)
	pin := compensation.Pin{Capacitance: transistorStore*si.Capacitance(slower) + m.Filter}
	switch p.Kind {
	case "feeds-control":
		return compensation.Pin{Resistance: p.Resistance, Store: ChipStore,
			StoreSeries: controlSeries + m.PinSeries,
			Transistor:  si.Frequency(transistorPole / slower), Filter: controlFilter}
	case "feeds-in":
		pin.Resistance = p.Resistance
	case "pulls-enable":
		pin.Resistance = p.Resistance
	default:
		pin.Resistance = p.Resistance
	}
	return pin
}

// base is what all corners of both loops share but for the amplifier.
func (j loopModel) base(m *stage.Measured, c *control.Control, e end,
	share float64) compensation.Loop {
	l := compensation.Loop{LED: e.led + j.ledSlope(m, e, share), Ratio: e.ratio,
		Pin: j.pinOf(m, c), Gain: e.gain,
		Delay: si.Time(0.5 / float64(m.V.Freq.Low))}
	if m.V.Gated {
		l.Delay *= 2
	}
	if share < 1 && !m.V.Gated {
		l.Gain *= si.Ratio(math.Sqrt(share)) // peak and duty fall as the root of the power
	}
	l.Output = compensation.Output{Choke: m.Exit.Choke, ChokeOhm: m.Exit.Ohm, Behind: m.Exit.Behind,
		BehindSeries: behindSeries}
	full := si.Resistance(float64(j.Target.Set) / float64(j.Target.Current))
	continuous := m.Op.Mode == flyback.Continuous
	if !continuous || share < 1 {
		l.Output.Stage = full / si.Resistance(share)
	}
	if continuous && share == 1 {
		l.Right = flyback.Plant{Load: full, Inductance: m.Band.High,
			TurnsRatio: si.Ratio(float64(m.Np) / float64(m.Ns)),
			Duty:       flyback.ContinuousDuty(m.BusMin, m.Reflected)}.RightHalfPlaneZero()
	}
	return l
}

// outputEnds are least and most capacitance, and the series resistance fresh and aged.
func (j loopModel) outputEnds() (c [2]si.Capacitance, r [2]si.Resistance, series si.Resistance) {
	c = [2]si.Capacitance{j.Output.Least, j.Output.Most()}
	series = seriesGuess
	if s := j.Output.Stock; s != nil {
		series = s.Part.ESR.Value / si.Resistance(j.Output.N)
	}
	return c, [2]si.Resistance{series * seriesFresh, series * seriesAged}, series
}

// voltageCorners are all corners of the voltage loop, at full, light and no load but its own
// circuit, and its nominal ones.
func (j loopModel) voltageCorners(m *stage.Measured, c *control.Control) (corners,
	nominal []compensation.Loop) {
	high, low, mid := j.loopEnds(m, c)
	caps, rs, series := j.outputEnds()
	amp := voltageAmplifier(c)
	idle := min(lowShare, float64(c.Own/j.Target.Current))
	at := func(e end, share float64, k si.Capacitance, r si.Resistance) compensation.Loop {
		l := j.base(m, c, e, share)
		l.Amplifier, l.Output.Capacitance, l.Output.Series = amp, k, r
		l.Output.Load = si.Resistance(float64(j.Target.Set) / float64(j.Target.Current) / share)
		return l
	}
	for _, e := range []end{high, low} {
		for _, share := range []float64{1, lowShare, idle} {
			for _, k := range caps {
				for _, r := range rs {
					corners = append(corners, at(e, share, k, r))
				}
			}
		}
	}
	for _, share := range []float64{1, lowShare} {
		nominal = append(nominal, at(mid, share, geometric(caps[0], caps[1]), series))
	}
	return corners, nominal
}

// currentCorners are those of the current loop, into a strong and into a tired pack.
func (j loopModel) currentCorners(m *stage.Measured, c *control.Control) (corners,
	nominal []compensation.Loop) {
	high, low, mid := j.loopEnds(m, c)
	caps, rs, series := j.outputEnds()
	amp := currentAmplifier(c)
	at := func(e end, cell si.Resistance, k si.Capacitance, r si.Resistance) compensation.Loop {
		l := j.base(m, c, e, 1)
		l.Amplifier, l.Output.Capacitance, l.Output.Series = amp, k, r
		l.Output.Battery, l.Output.Shunt = cell*si.Resistance(j.Target.Cells), c.Current.Shunt.Ohm
		return l
	}
	for _, e := range []end{high, low} {
		for _, cell := range []si.Resistance{control.CellLow, cellHigh} {
			for _, k := range caps {
				for _, r := range rs {
					corners = append(corners, at(e, cell, k, r))
				}
			}
		}
	}
	return corners, append(nominal, at(mid, geometric[si.Resistance](control.CellLow, cellHigh),
		geometric(caps[0], caps[1]), series))
}

// voltageAmplifier looks at the divider of the output.
func voltageAmplifier(c *control.Control) compensation.Amplifier {
	return compensation.Amplifier{Inverting: c.Drive == regulation.PullDown, Top: c.Voltage.Top.Ohm,
		Bottom: c.Voltage.Bottom.Ohm + c.Voltage.Trimmer.Ohm/2, Bandwidth: amplifierSpeed}
}

// currentAmplifier looks at the shunt; driving up, its capacitor works against the divider of the
// level.
func currentAmplifier(c *control.Control) compensation.Amplifier {
	a := compensation.Amplifier{Inverting: c.Drive == regulation.PullDown,
		Bandwidth: amplifierSpeed}
	if !a.Inverting {
		a.Behind = si.Resistance(1 / (1/float64(c.Current.Top.Ohm) +
			1/float64(c.Current.Bottom.Ohm)))
	}
	return a
}
