package search

import (
	"math"

	"sparewright/catalog/si"
	"sparewright/substitute/flyback"
	"sparewright/substitute/stage"
)

// Settle computes what the bounds of this target need, once the control networks are known; it
// enters in every variant what its control circuit takes.
func (j *Job) Settle(variants []*stage.Variant) {
	j.auxLeast = si.Power(math.Inf(1))
	for _, v := range variants {
		ctl := j.ControlFor(v.Feedback.Stop)
		j.Sense = ctl.Current.Sense
		v.Aux = si.Power(float64(ctl.Own) * float64(j.Target.Set))
		j.auxLeast = min(j.auxLeast, v.Aux)
	}
	useful := si.Power(float64(j.Target.Set) * float64(j.Target.Current))
	j.bestBus, _ = flyback.BusValley(j.Target.MainsMin, j.Target.Line, j.BulkLow,
		useful*1.05, j.BridgeDrop)
	// with less than 60 % efficiency nothing passes the heat anyway
	j.worstBus, _ = flyback.BusValley(j.Target.MainsMin, j.Target.Line, j.BulkLow,
		useful/0.6, j.BridgeDrop)
	j.valleyFrom, j.valleyStep = useful*1.05, useful/80
	for i := range j.valleys {
		j.valleys[i], _ = flyback.BusValley(j.Target.MainsMin, j.Target.Line, j.BulkLow,
			j.valleyFrom+si.Power(i)*j.valleyStep, j.BridgeDrop)
	}
	least := math.Inf(1)
	for i := range j.Rectifiers {
		least = min(least, float64(j.Rectifiers[i].Drop)*float64(j.Target.Current))
	}
	j.leastDrop = si.Voltage(least / float64(j.Target.Current))
	anywhere := si.Power(least + float64(j.Sense)*float64(j.Target.Current) + float64(j.auxLeast))
	j.always = anywhere + si.Power(float64(j.worstBus)*float64(j.worstBus)/float64(j.Bleed)) +
		flyback.BridgeLoss(useful, j.bestBus, j.BridgeDrop)
	j.alwaysCrest = anywhere + si.Power(float64(j.BusMax)*float64(j.BusMax)/float64(j.Bleed)) +
		flyback.BridgeLoss(useful, j.BusMax, j.BridgeDrop)
	for i := range j.Air {
		j.Air[i] = j.Inside(si.Power(i) * AirStep)
	}
	j.Coolest = j.LeastInside(j.always)
}
