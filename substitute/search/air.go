package search

import (
	"sort"

	"sparewright/catalog/si"
	"sparewright/substitute/stage"
)

// Bounder knows what no design of a target can do without: bounds of bus, losses and air.
type Bounder struct {
	*stage.Measurer
	auxLeast si.Power // what every secondary circuit takes
	busValleys
	Air         [128]si.Celsius
	always      si.Power   // losses that all designs have, at the best of buses
	alwaysCrest si.Power   // the same at the crest of the highest mains
	leastDrop   si.Voltage // of all rectifiers
}

// busValleys is how deep the bus falls at the lowest mains.
type busValleys struct {
	bestBus    si.Voltage     // valley if nothing were lost
	worstBus   si.Voltage     // valley at the worst efficiency that can pass
	valleys    [64]si.Voltage // from valleyFrom in steps
	valleyFrom si.Power
	valleyStep si.Power
}

// AirStep is the step of the table of inside air, in W.
const AirStep si.Power = 0.25

// LeastInside is inside by straight lines between the points of a table: never above it, since the
// rise bends downwards.
func (j *Bounder) LeastInside(loss si.Power) si.Celsius {
	x := float64(loss / AirStep)
	i := int(x)
	if i < 0 || i >= len(j.Air)-1 {
		return j.Inside(loss)
	}
	return j.Air[i] + (j.Air[i+1]-j.Air[i])*si.Celsius(x-float64(i))
}

// mostLoss is a loss with which the air inside is hotter than hot; it is false where no table
// reaches it.
func (j *Bounder) mostLoss(hot si.Celsius) (si.Power, bool) {
	i := sort.Search(len(j.Air), func(i int) bool { return j.Air[i] > hot })
	return si.Power(i) * AirStep, i < len(j.Air)
}
