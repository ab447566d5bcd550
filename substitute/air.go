package substitute

import (
	"sparewright/catalog/si"
)

// bounder knows what no design of a target can do without: bounds of bus, losses and air.
type bounder struct {
	*measurer
	auxLeast   si.Power       // what every secondary circuit takes
	bestBus    si.Voltage     // valley at lowest mains if nothing were lost
	worstBus   si.Voltage     // valley at the worst efficiency that can pass
	valleys    [64]si.Voltage // at lowest mains, from valleyFrom in steps
	valleyFrom si.Power
	valleyStep si.Power
	air        [128]si.Celsius
	always     si.Power // those losses
}

// airStep is the step of the table of inside air, in W.
const airStep si.Power = 0.25

// leastInside is inside by straight lines between the points of a table: never above it, since the rise bends downwards.
func (j *bounder) leastInside(loss si.Power) si.Celsius {
	x := float64(loss / airStep)
	i := int(x)
	if i < 0 || i >= len(j.air)-1 {
		return j.inside(loss)
	}
	return j.air[i] + (j.air[i+1]-j.air[i])*si.Celsius(x-float64(i))
}
