package stage

import (
	"math"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/flyback"
)

// Turns beyond these do not fit any former the tables hold at wire that can be handled.
const (
	MaxSecondaryTurns = 60
	MaxPrimaryTurns   = 250
)

// ChooseRectifier picks the output rectifier for a ratio of turns: the one with the most margin
// towards its reverse voltage and its heat, more than a quarter counting as a quarter; with equal
// margin the one with the lower drop, then the first.
func (j *Chooser) ChooseRectifier(np, ns int) int {
	best, bestMargin := -1, math.Inf(-1)
	reverse := flyback.RectifierReverse(j.Target.Absolute, j.BusMax,
		si.Ratio(float64(np)/float64(ns)))
	for i := range j.Rectifiers {
		r := min(0.25, substitute.Percent(
			min(substitute.Most(substitute.ChkReverse, reverse, j.Rectifiers[i].Reverse).Margin(),
				j.rectifierMargin(&j.Rectifiers[i]))))
		if best < 0 || r > bestMargin ||
			r == bestMargin && j.Rectifiers[i].Drop < j.Rectifiers[best].Drop {
			best, bestMargin = i, r
		}
	}
	return best
}
