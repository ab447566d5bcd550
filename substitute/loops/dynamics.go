package loops

import (
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/control"
	"sparewright/substitute/stage"
)

// Figures of chips that no part states.
const (
	// V at the supply pin where a chip starts, over the highest at which it stops: 12 over 8 V of
	// the FSDM family, 14.5 over 9 V of the VIPer12; from memory
	startsAbove = 1.4
	// V at which a fed control pin starts and stops the chip (TOP242-250 sheet, p.37)
	controlStart = 5.8
	controlStop  = 4.8
	fastStart    = 0.2e-3
)

// Dynamics collects what a simulation in time needs of a measured design: the chip as its loops see
// it, and what its output is made of. Compensation and exit are chosen before.
func (j *Looper) Dynamics(m *stage.Measured, c *control.Control) substitute.Dynamics {
	f, s := &m.V.Feedback, &m.V.Supply
	_, _, mid := j.loopEnds(m, c)
	pin := j.pinOf(m, c)
	d := substitute.Dynamics{Frequency: m.V.Freq, Duty: m.V.Duty, LeastOn: m.V.LeastOn,
		Inductance: m.Band, Law: lawOf(&m.V.Drive), Stop: f.Stop, Span: min(mid.span, f.Stop),
		PinResistance: f.Resistance, PinCapacitance: pin.Capacitance,
		Store: pin.Store, StoreSeries: pin.StoreSeries, Transistor: pin.Transistor,
		Supply: si.Interval[si.Voltage]{Low: s.Min.Value, High: s.Min.Value * startsAbove},
		Draw:   s.Current, SoftStart: max(s.SoftStart.Value, fastStart), ChipStore: ChipStore,
		Most: j.Output.Most(), Series: seriesGuess,
		Choke: m.Exit.Choke, ChokeOhm: m.Exit.Ohm, Behind: m.Exit.Behind, BehindSeries: behindSeries,
		Amplifier: amplifierSpeed, Cells: control.CellLow, Leads: j.Connection(c).Leads,
		Spare: control.LimitSpare}
	if s.StartVolts.Known() {
		d.Supply.High = s.StartVolts.Value
	}
	if f.Kind == "feeds-control" {
		d.Supply = si.Interval[si.Voltage]{Low: controlStop, High: controlStart}
	}
	d.Supply.Low = min(d.Supply.Low, 0.95*d.Supply.High)
	if f.Overload == "timed" {
		d.Timer, d.TimerSource, d.TimerRise = m.Filter, control.OverloadSource, control.OverloadRise
	}
	if o := j.Output.Stock; o != nil {
		d.Series = o.Part.ESR.Value / si.Resistance(j.Output.N)
	}
	return d
}

// lawOf is what the feedback sets, as the catalog says it.
func lawOf(d *stage.Drive) string {
	switch {
	case d.Gated:
		return "gated"
	case d.SetsDuty:
		return "duty"
	}
	return "peak-current"
}
