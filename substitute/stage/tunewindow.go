package stage

import (
	"math"

	"sparewright/catalog/si"
	"sparewright/substitute"
)

// windowStep is the precision to which the ends are found.
const windowStep = 1e-4

// WallHair is the share of the way from a wall to the inductance of the build at which a window is
// held that ends at the wall.
const WallHair = 1e-6

// OpenWindow halves from the inductance of a design, with which all limits hold, towards either
// wall.
func (j *Measurer) OpenWindow(m *Measured) substitute.Window {
	var w substitute.Window
	w.Low, w.LowBy = j.lastHolding(m, m.WallPower)
	w.High, w.HighBy = j.lastHolding(m, m.WallFlux)
	return w
}

// lastHolding is the inductance nearest to the wall with which everything holds, and the limit that
// fails beyond it; none at the wall itself.
func (j *Measurer) lastHolding(m *Measured, wall si.Inductance) (si.Inductance, string) {
	good, bad := float64(m.Inductance), float64(wall)
	turns2 := float64(m.Np) * float64(m.Np)
	holds := func(l float64) (string, bool) {
		g, margin := j.WorstAt(m.Design, si.InductanceFactor(l/turns2))
		return substitute.CheckNames[g.Id].Name, margin >= 0
	}
	// no more than what the last bits of the wall leave open: its losses are those at the
	// inductance of the build, others at the wall
	if _, ok := holds(bad + WallHair*(good-bad)); ok {
		return wall, ""
	}
	by := ""
	for math.Abs(good-bad) > windowStep*good {
		mid := (good + bad) / 2
		if name, ok := holds(mid); ok {
			good = mid
		} else {
			bad, by = mid, name
		}
	}
	return si.Inductance(good), by
}

// WorstAt is the hard limit with the least margin when a design has exactly this inductance factor.
func (j *Measurer) WorstAt(d Design, al si.InductanceFactor) (substitute.Gauge, float64) {
	gap := *d.Gap
	gap.Al, gap.Band = al, si.Exactly(al)
	d.Gap = &gap
	m := j.Measure(d)
	return m.Worst()
}
