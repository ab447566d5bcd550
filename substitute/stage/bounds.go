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
