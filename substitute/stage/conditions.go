package stage

import (
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/flyback"
)

// Conditions are what every design of a target works under: its frame, the shunt, the air inside.
type Conditions struct {
	*Frame
	Sense   si.Voltage // across the shunt at full current
	surface si.Area    // of the case
	Coolest si.Celsius // air inside with only the losses all designs have
}

// Inside is the air in the case with these losses.
func (j *Conditions) Inside(loss si.Power) si.Celsius {
	switch j.Target.Case {
	case substitute.Sealed:
		return flyback.SealedAir(j.Target.Ambient, loss, j.surface)
	case substitute.Vented:
		return (j.Target.Ambient + flyback.SealedAir(j.Target.Ambient, loss, j.surface)) / 2
	}
	return j.Target.Ambient
}

// SecondaryVolts is what the secondary winding carries while the rectifier conducts.
func (j *Conditions) SecondaryVolts(out si.Voltage, r *RectifierChoice) si.Voltage {
	return out + r.Drop + j.Sense
}

// ChipPower is what a switcher fed by a bias winding takes through the core.
func (j *Conditions) ChipPower(d Design) si.Power {
	if d.V.Supply.Self {
		return 0
	}
	return si.Power(float64(d.V.Supply.Current) * float64(j.BiasSupply(d).High))
}

// throughEmpty is the power that crosses the gap into an empty pack at full current, in proportion
// to the secondary voltage.
func (j *Conditions) throughEmpty(m *Measured) si.Power {
	return m.Through * si.Power(j.SecondaryVolts(j.Target.Empty, m.Rect)/
		j.SecondaryVolts(j.Target.Set, m.Rect))
}

// BiasSupply is the chip supply over the sweep of the pack, from empty to the highest voltage the
// network allows.
func (j *Conditions) BiasSupply(d Design) si.Interval[si.Voltage] {
	at := func(output si.Voltage) si.Voltage {
		return flyback.WindingVoltage(j.SecondaryVolts(output, d.Rect),
			si.Ratio(float64(d.Nb)/float64(d.Ns)), BiasDiode)
	}
	return si.Interval[si.Voltage]{Low: at(j.Target.Empty), High: at(j.Target.Absolute)}
}

// Starves is the output below which a chip fed by a bias winding loses its supply and only tries to
// start again and again.
func (j *Conditions) Starves(m *Measured) si.Voltage {
	if m.Nb == 0 {
		return 0
	}
	stop := m.V.Supply.Min.Value + BiasDiode
	return stop*si.Voltage(float64(m.Ns)/float64(m.Nb)) - m.Rect.Drop - j.Sense
}

// BiasTurns picks the bias turns whose smaller margin, towards stop and highest supply voltage, is
// greatest.
func (j *Conditions) BiasTurns(d Design) int {
	if d.V.Supply.Self {
		return 0
	}
	margin := func(nb int) (low, high float64) {
		d.Nb = nb
		g := d.V.Supply.Gauges(j.BiasSupply(d))
		return g[0].Margin(), g[1].Margin()
	}
	// more turns help the low end and hurt the high end: the best lies where the two cross
	few, many := 1, 3*d.Ns+20
	for few < many {
		mid := (few + many) / 2
		if low, high := margin(mid); low < high {
			few = mid + 1
		} else {
			many = mid
		}
	}
	if few > 1 {
		low, high := margin(few)
		lowBefore, highBefore := margin(few - 1)
		if min(lowBefore, highBefore) >= min(low, high) {
			return few - 1
		}
	}
	return few
}

// empty is the reflected voltage and the throughput into an empty pack at full current where
// through crosses the gap into a full one.
func (j *Conditions) empty(d *Design, through si.Power) (si.Voltage, si.Power) {
	out := j.SecondaryVolts(j.Target.Empty, d.Rect)
	return flyback.Reflected(si.Ratio(float64(d.Np)/float64(d.Ns)), out),
		through * si.Power(out/j.SecondaryVolts(j.Target.Set, d.Rect))
}

// OnTime holds the pulse into an empty pack against the least of the switcher, in a steady state at
// the crest of the highest mains while through crosses the gap into a full one.
func (j *Conditions) OnTime(d *Design, through si.Power, p flyback.Point) substitute.Gauge {
	p.Reflected, p.Power = j.empty(d, through)
	op := flyback.Operate(p)
	return substitute.Least(substitute.ChkOnTime,
		si.Time(float64(op.Duty)/float64(p.Frequency)), d.V.LeastOn)
}

// Asked holds what a steady state at the valley of the lowest mains asks of the chip, with a full
// and with an empty pack.
func (j *Conditions) Asked(d *Design, full flyback.Point) [3]substitute.Gauge {
	empty := full
	empty.Reflected, empty.Power = j.empty(d, full.Power)
	need := flyback.Operate(full)
	return [3]substitute.Gauge{substitute.Most(substitute.ChkPower, need.Peak, d.V.Usable),
		substitute.Most(substitute.ChkDuty, need.Duty, d.V.Duty),
		substitute.Most(substitute.ChkPowerEmpty, flyback.Operate(empty).Peak, d.V.Usable)}
}

// highestPeak is the drain current at the chip's highest limit, which rises fastest at the highest
// bus with the lowest inductance.
func (j *Conditions) highestPeak(d *Design) si.Current {
	return d.V.Limit.High + flyback.Overshoot(j.BusMax, d.Primary(d.Gap.Band.Low), d.V.Delay)
}
