package substitute

import (
	"math"
	"slices"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/magnetics"
)

// filmToBuy tries the sheets of the published tables, one to three layers of one of them; nil when none is likely to do.
func (u *Tuner) filmToBuy(
	steps []magnetics.StackReading,
	now magnetics.Stack,
	walls si.Interval[si.InductanceFactor],
) *StackStep {
	films := slices.Clone(u.bench.drawer.films)
	own := len(films)
	for _, f := range catalog.Films() {
		if p := catalog.Complete(f).(catalog.Film); p.Form == "sheet" && p.Shim == "yes" {
			films = append(films, bought(p))
		}
	}
	wide := slices.Clone(steps)
	for i := range wide {
		wide[i].Stack = append(slices.Clone(wide[i].Stack), make(magnetics.Stack, len(films)-own)...)
	}
	fit, err := magnetics.FitStacks(u.prior(films), wide)
	if err != nil {
		return nil
	}
	var gaps []madeGap
	for i := own; i < len(films); i++ {
		for n := 1; n <= maxShimLayers; n++ {
			gaps = u.m.c.addGap(gaps, films, []filmCount{{film: i, count: n}})
		}
	}
	now = append(slices.Clone(now), make(magnetics.Stack, len(films)-own)...)
	t, ok := u.bestStack(fit, gaps, now, walls)
	if !ok || t.seen.Chance(walls) < 0.5 {
		return nil
	}
	s := u.step(films, t, now, walls, u.m.np)
	return &s
}

// newTurns looks for the nearest number of turns, the ratio kept within 2 %, that a stack of the drawer brings between the
// walls which that winding has; nil when none does.
func (u *Tuner) newTurns(fit magnetics.StackFit, now magnetics.Stack, meter si.Ratio) *TurnsStep {
	ratio := float64(u.m.np) / float64(u.m.ns)
	for away := 1; away <= int(turnsReach*float64(u.m.np)); away++ {
		for _, np := range []int{u.m.np - away, u.m.np + away} {
			ns := int(math.Round(float64(np) / ratio))
			if np < 1 || ns < 1 || math.Abs(float64(np)/float64(ns)/ratio-1) > ratioKept {
				continue
			}
			d := u.m.design
			d.np, d.ns = np, ns
			m := u.bench.measure(d)
			walls := u.readable(si.Interval[si.Inductance]{Low: m.wallPower, High: m.wallFlux}, np, meter)
			t, ok := u.bestStack(fit, u.m.c.gaps, anyStack(now), walls)
			roomy := u.m.plan.fill*float64(np) <= float64(u.m.np)
			if ok && roomy && t.seen.Chance(walls) >= turnsSureEnough && u.holdsAt(d, t.seen.AL) {
				return &TurnsStep{Primary: np, Secondary: ns, Bias: int(math.Round(float64(u.m.nb) * float64(ns) / float64(u.m.ns))),
					WallPower: m.wallPower, WallSaturation: m.wallFlux, Stack: u.step(u.bench.drawer.films, t, now, walls, np)}
			}
		}
	}
	return nil
}

// anyStack is a stack of the same length that equals none, so that bestStack leaves none out.
func anyStack(s magnetics.Stack) magnetics.Stack {
	out := slices.Clone(s)
	for i := range out {
		out[i] = -1
	}
	return out
}
