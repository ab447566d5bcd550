package substitute

import (
	"math"

	"sparewright/catalog/si"
)

// Window is the inductance with which every hard limit of the power stage holds: from the wall of power to the wall of
// saturation, or less where another limit goes first. LowBy and HighBy name that limit.
type Window struct {
	Low    si.Inductance `json:"low_h"`
	High   si.Inductance `json:"high_h"`
	LowBy  string        `json:"low_by,omitempty"`
	HighBy string        `json:"high_by,omitempty"`
}

func (w Window) ends() si.Interval[si.Inductance] {
	return si.Interval[si.Inductance]{Low: w.Low, High: w.High}
}

// windowStep is the precision to which the ends are found.
const windowStep = 1e-4

// openWindow halves from the inductance of a design, with which all limits hold, towards either wall.
func (j *measurer) openWindow(m *measured) Window {
	var w Window
	w.Low, w.LowBy = j.lastHolding(m, m.wallPower)
	w.High, w.HighBy = j.lastHolding(m, m.wallFlux)
	return w
}

// lastHolding is the inductance nearest to the wall with which everything holds, and the limit that fails beyond it; none at
// the wall itself.
func (j *measurer) lastHolding(m *measured, wall si.Inductance) (si.Inductance, string) {
	good, bad := float64(m.inductance), float64(wall)
	turns2 := float64(m.np) * float64(m.np)
	holds := func(l float64) (string, bool) {
		g, room := j.worstAt(m.design, si.InductanceFactor(l/turns2))
		return checkNames[g.id].name, room >= 0
	}
	// the walls were reckoned with the losses at the inductance of the build: a hair inside counts as at the wall
	if _, ok := holds(bad + 0.005*(good-bad)); ok {
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

// holdsAt reports whether every hard limit holds for a design with an inductance factor.
func (u *Tuner) holdsAt(d design, al si.InductanceFactor) bool {
	_, room := u.bench.worstAt(d, al)
	return room >= 0
}

// worstAt is the hard limit with the least room when a design has exactly this inductance factor.
func (j *measurer) worstAt(d design, al si.InductanceFactor) (gauge, float64) {
	gap := *d.gap
	gap.al, gap.band = al, si.Exactly(al)
	d.gap = &gap
	m := j.measure(d)
	return m.worst()
}
