package stage

import (
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/flyback"
)

// FirstGap is the place of the first gap whose low end is at or above al.
func (c *BareCore) FirstGap(al float64) int {
	low, high := 0, len(c.Gaps)
	for low < high {
		mid := (low + high) / 2
		if float64(c.Gaps[mid].Al) < al {
			low = mid + 1
		} else {
			high = mid
		}
	}
	return low
}

// ClampAt is what the clamp of a design burns at a peak, so many pulses a second and an air inside,
// the highest that the drain then stands above the bus, and the clamp held against what it bears.
func (d *Design) ClampAt(j *Measurer, g *Gist, peak si.Current, f si.Frequency,
	reflected si.Voltage, air si.Celsius) (
	burns si.Power, top si.Voltage, hot substitute.Gauge) {
	primary := d.Primary(d.Gap.Al)
	leak := g.leakHigh(primary, max(g.Leakage, LeastLeakage*primary), d.Donor)
	burns = d.Clamp.burns(leak, peak, f, reflected)
	junction := flyback.Junction(air, burns, d.Clamp.air)
	top = d.Clamp.top(leak, j.highestPeak(d), d.V.Freq.High, reflected, junction)
	if d.Clamp.R == nil {
		hot = substitute.Most(substitute.ChkClampHot, junction,
			d.Clamp.hottest).From(float64(j.Target.Ambient))
	} else {
		hot = substitute.Most(substitute.ChkClampPower, burns, d.Clamp.Steady)
	}
	return burns, top, hot
}

// OnTime holds the pulse into an empty pack against the least of the switcher, in a steady state at
// the crest of the highest mains while through crosses the gap into a full one.
func (j *Measurer) OnTime(d *Design, through si.Power, p flyback.Point) substitute.Gauge {
	p.Reflected, p.Power = j.empty(d, through)
	op := flyback.Operate(p)
	return substitute.Least(substitute.ChkOnTime,
		si.Time(float64(op.Duty)/float64(p.Frequency)), d.V.LeastOn)
}

// Asked holds what a steady state at the valley of the lowest mains asks of the chip, with a full
// and with an empty pack.
func (j *Measurer) Asked(d *Design, full flyback.Point) [3]substitute.Gauge {
	empty := full
	empty.Reflected, empty.Power = j.empty(d, full.Power)
	need := flyback.Operate(full)
	return [3]substitute.Gauge{substitute.Most(substitute.ChkPower, need.Peak, d.V.Usable),
		substitute.Most(substitute.ChkDuty, need.Duty, d.V.Duty),
		substitute.Most(substitute.ChkPowerEmpty, flyback.Operate(empty).Peak, d.V.Usable)}
}

// empty is the reflected voltage and the throughput into an empty pack at full current where
// through crosses the gap into a full one.
func (j *Measurer) empty(d *Design, through si.Power) (si.Voltage, si.Power) {
	out := j.SecondaryVolts(j.Target.Empty, d.Rect)
	return flyback.Reflected(si.Ratio(float64(d.Np)/float64(d.Ns)), out),
		through * si.Power(out/j.SecondaryVolts(j.Target.Set, d.Rect))
}
