package substitute

import (
	"math"

	"sparewright/catalog/si"
)

// window is the inductance with which every hard limit of the power stage holds: from the wall of power to the wall of
// saturation, or less where another limit goes first. LowBy and HighBy name that limit.
type window struct {
	Low    si.Inductance `json:"low_h"`
	High   si.Inductance `json:"high_h"`
	LowBy  string        `json:"low_by,omitempty"`
	HighBy string        `json:"high_by,omitempty"`
}

func (w window) ends() si.Interval[si.Inductance] {
	return si.Interval[si.Inductance]{Low: w.Low, High: w.High}
}

// windowStep is the precision to which the ends are found.
const windowStep = 1e-4

// openWindow halves from the inductance of the build, with which all limits hold, towards either wall.
func (u *Tuner) openWindow() window {
	var w window
	w.Low, w.LowBy = u.lastHolding(u.m.wallPower)
	w.High, w.HighBy = u.lastHolding(u.m.wallFlux)
	return w
}

// lastHolding is the inductance nearest to the wall with which everything holds, and the limit that fails beyond it; none at
// the wall itself.
func (u *Tuner) lastHolding(wall si.Inductance) (si.Inductance, string) {
	good, bad := float64(u.m.inductance), float64(wall)
	// the walls were reckoned with the losses at the inductance of the build: a hair inside counts as at the wall
	if _, holds := u.holdsWith(si.Inductance(bad + 0.005*(good-bad))); holds {
		return wall, ""
	}
	by := ""
	for math.Abs(good-bad) > windowStep*good {
		mid := (good + bad) / 2
		if name, holds := u.holdsWith(si.Inductance(mid)); holds {
			good = mid
		} else {
			bad, by = mid, name
		}
	}
	return si.Inductance(good), by
}

// holdsWith reports whether every hard limit holds with exactly this inductance, else the one that fails worst.
func (u *Tuner) holdsWith(l si.Inductance) (string, bool) {
	g, room := u.worstAt(u.m.design, u.factor(l))
	return checkNames[g.id].name, room >= 0
}

// holdsAt is the same for a design with an inductance factor.
func (u *Tuner) holdsAt(d design, al si.InductanceFactor) bool {
	_, room := u.worstAt(d, al)
	return room >= 0
}

func (u *Tuner) worstAt(d design, al si.InductanceFactor) (gauge, float64) {
	gap := *d.gap
	gap.al, gap.band = al, si.Exactly(al)
	d.gap = &gap
	m := u.job.measure(d)
	return m.worst()
}
