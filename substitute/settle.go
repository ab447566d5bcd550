package substitute

import (
	"math"

	"sparewright/catalog/si"
	"sparewright/substitute/flyback"
)

// settle computes what the bounds of this target need, once the control networks are known; it enters in every variant what
// its control circuit takes.
func (j *job) settle(variants []*variant) {
	j.auxLeast = si.Power(math.Inf(1))
	for _, v := range variants {
		ctl := j.controlFor(v.stock.part.FeedbackStop.Or(stopGuess))
		j.sense = ctl.current.Sense
		v.aux = si.Power(float64(ctl.own) * float64(j.target.Set))
		j.auxLeast = min(j.auxLeast, v.aux)
	}
	useful := si.Power(float64(j.target.Set) * float64(j.target.Current))
	j.bestBus, _ = flyback.BusValley(j.target.MainsMin, j.target.Line, j.bulkLow, useful*1.05, j.bridgeDrop)
	// with less than 60 % efficiency nothing passes the heat anyway
	j.worstBus, _ = flyback.BusValley(j.target.MainsMin, j.target.Line, j.bulkLow, useful/0.6, j.bridgeDrop)
	j.valleyFrom, j.valleyStep = useful*1.05, useful/80
	for i := range j.valleys {
		j.valleys[i], _ = flyback.BusValley(j.target.MainsMin, j.target.Line, j.bulkLow, j.valleyFrom+si.Power(i)*j.valleyStep, j.bridgeDrop)
	}
	least := math.Inf(1)
	for i := range j.rectifiers {
		least = min(least, float64(j.rectifiers[i].drop)*float64(j.target.Current))
	}
	j.always = si.Power(least+float64(j.sense)*float64(j.target.Current)+float64(j.auxLeast)) +
		si.Power(float64(j.worstBus)*float64(j.worstBus)/float64(j.bleed)) + flyback.BridgeLoss(useful, j.bestBus, j.bridgeDrop)
	for i := range j.air {
		j.air[i] = j.inside(si.Power(i) * airStep)
	}
	j.coolest = j.leastInside(j.always)
}
