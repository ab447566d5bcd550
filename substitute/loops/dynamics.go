package loops

import (
	"fmt"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/control"
	"sparewright/substitute/seats"
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
	loadSpare    = 2.0 // x the load that just keeps a chip supplied; common practice, no source
)

// DynamicsOf collects what a simulation in time needs of a measured design: the chip as its loops
// see it, and what its output is made of. Compensation and exit are chosen before.
func DynamicsOf(j *Looper, m *stage.Measured, c *control.Control) substitute.Dynamics {
	f, s := &m.V.Feedback, &m.V.Supply
	_, _, mid := loopModel{j}.loopEnds(m, c)
	pin := loopModel{j}.pinOf(m, c)
	d := substitute.Dynamics{Frequency: m.V.Freq, Duty: m.V.Duty, LeastOn: m.V.LeastOn,
		Inductance: m.Band, Law: lawOf(&m.V.Drive), Stop: f.Stop, Span: min(mid.span, f.Stop),
		PinResistance: f.Resistance, PinCapacitance: pin.Capacitance,
		Store: pin.Store, StoreSeries: pin.StoreSeries, Transistor: pin.Transistor,
		Supply: si.Interval[si.Voltage]{Low: s.Min.Value, High: s.Min.Value * startsAbove},
		Draw:   s.Current, SoftStart: max(s.SoftStart.Value, fastStart), ChipStore: storeOf(m),
		Most: j.Output.Most(), Series: seriesGuess,
		Choke: m.Exit.Choke, ChokeOhm: m.Exit.Ohm, Behind: m.Exit.Behind,
		BehindSeries: behindSeries,
		Amplifier:    amplifierSpeed, Cells: control.CellLow, Leads: j.Connection(c).Leads,
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

// startMost is how long a start through the capacitor at the supply pin may take, in s; common
// practice, no source.
const startMost = 3.0

// storeOf is the capacitor at the supply pin.
func storeOf(m *stage.Measured) si.Capacitance {
	if m.Store > 0 {
		return m.Store
	}
	return ChipStore
}

// fall is how long OUT, with no pack on it, takes to fall back from a peak to the set point while
// the converter stands still: the little that the circuit takes has to empty the output capacitor
// as far. spare and draw are what the supply of the chip may lose meanwhile and what it takes;
// spare is 0 for a chip that cannot starve.
func (j events) fall(m *stage.Measured, c *control.Control, peak si.Voltage) (charge float64,
	falls si.Time, spare, draw float64) {
	s := &m.V.Supply
	charge = float64(j.Output.Most()) * float64(peak-j.Target.Set) // C, above the set voltage
	falls = si.Time(charge / float64(c.Own))
	spare = float64(m.Bias.High - s.Min.Value)
	if s.Self || m.Nb == 0 || m.V.Feedback.Kind == "feeds-control" || spare <= 0 {
		return charge, falls, 0, 0
	}
	draw = float64(s.Current)
	if m.V.Feedback.Kind == "feeds-in" { // the optocoupler then takes from the supply too
		draw += float64(c.LED.Most) * float64(c.Opto.Part.RatioMin.Value)
	}
	return charge, falls, spare, draw
}

// storeFor is the capacitor at the supply pin with which the chip outlasts a fall of OUT, as far as
// the start is not delayed by too much.
func (j events) storeFor(m *stage.Measured, c *control.Control, peak si.Voltage) si.Capacitance {
	_, falls, spare, draw := j.fall(m, c, peak)
	if spare == 0 {
		return ChipStore
	}
	s := &m.V.Supply
	starts := float64(s.Min.Value) * startsAbove
	if s.StartVolts.Known() {
		starts = float64(s.StartVolts.Value)
	}
	most := startMost * float64(startsWith(s)) / starts
	want := draw * float64(falls) / spare / seats.StoreLeast
	return max(ChipStore, si.Capacitance(min(want, most/seats.StoreSteps)))
}

// StarvingWarning says when a chip may lose its supply while OUT, with no pack on it, falls back
// from the peak that a start or the taking off of a pack leaves.
func StarvingWarning(j *Looper, m *stage.Measured, c *control.Control,
	peak si.Voltage) []string {
	charge, falls, spare, draw := events{connecting{j}}.fall(m, c, peak)
	if spare == 0 {
		return nil
	}
	lasts := seats.StoreLeast * float64(storeOf(m)) * spare / draw
	if float64(falls) <= lasts*(1+1e-9) {
		return nil
	}
	load := loadSpare*charge/lasts - float64(c.Own)
	set := float64(j.Target.Set)
	return []string{fmt.Sprintf("with no pack on it OUT may run up to %.1f V and take %.0f ms to "+
		"fall back, the chip's supply lasts %.0f ms: it then stops and starts again and again, "+
		"and OUT swings. Put %s, %s across OUT as a load while it is set up",
		float64(peak), 1e3*float64(falls), 1e3*lasts, si.Format(si.Resistance(set/load), 2),
		si.Format(si.Power(set*load), 2))}
}
