package tune

import (
	"math"
	"slices"

	"sparewright/catalog"
	"sparewright/catalog/complete"
	"sparewright/catalog/si"
	"sparewright/substitute/magnetics"
	"sparewright/substitute/stage"
	"sparewright/substitute/stock"
)

// filmToBuy tries the sheets of the published tables, one to three layers of one of them; nil when
// none is likely to do.
func (u stacks) filmToBuy(
	steps []magnetics.StackReading,
	now magnetics.Stack,
	walls si.Interval[si.InductanceFactor],
) *StackStep {
	films := slices.Clone(u.bench.Drawer.Films)
	own := len(films)
	for _, f := range catalog.Films() {
		if p := complete.Part(f).(catalog.Film); p.Form == "sheet" && p.Shim == "yes" {
			films = append(films, stock.Bought(p))
		}
	}
	wide := slices.Clone(steps)
	for i := range wide {
		wide[i].Stack = append(slices.Clone(wide[i].Stack),
			make(magnetics.Stack, len(films)-own)...)
	}
	fit, err := magnetics.FitStacks(u.prior(films), wide)
	if err != nil {
		return nil
	}
	var gaps []stage.MadeGap
	for i := own; i < len(films); i++ {
		for n := 1; n <= stage.MaxShimLayers; n++ {
			gaps = u.m.C.AddGap(gaps, films, []stage.FilmCount{{Film: i, Count: n}})
		}
	}
	now = append(slices.Clone(now), make(magnetics.Stack, len(films)-own)...)
	t, ok := bestStack(fit, gaps, now, walls)
	if !ok || t.seen.Chance(walls) < 0.5 {
		return nil
	}
	s := u.step(films, t, now, walls, u.m.Np)
	return &s
}

// newTurns looks for the nearest number of turns, the ratio kept within 2 %, that a stack of the
// drawer brings between the walls which that winding has; nil when none does.
func (u stacks) newTurns(fit magnetics.StackFit, now magnetics.Stack, meter si.Ratio) *TurnsStep {
	ratio := float64(u.m.Np) / float64(u.m.Ns)
	for away := 1; away <= int(turnsReach*float64(u.m.Np)); away++ {
		for _, np := range []int{u.m.Np - away, u.m.Np + away} {
			ns := int(math.Round(float64(np) / ratio))
			if np < 1 || ns < 1 || math.Abs(float64(np)/float64(ns)/ratio-1) > ratioKept {
				continue
			}
			d := u.m.Design
			d.Np, d.Ns = np, ns
			m := u.bench.Measure(d)
			walls := readable(si.Interval[si.Inductance]{Low: m.WallPower, High: m.WallFlux}, np,
				meter)
			t, ok := bestStack(fit, u.m.C.Gaps, anyStack(now), walls)
			fits := u.m.Plan.Fill*float64(np) <= float64(u.m.Np)
			if ok && fits && t.seen.Chance(walls) >= turnsSureEnough && u.holdsAt(d, t.seen.AL) {
				return &TurnsStep{Primary: np, Secondary: ns,
					Bias:      int(math.Round(float64(u.m.Nb) * float64(ns) / float64(u.m.Ns))),
					WallPower: m.WallPower, WallSaturation: m.WallFlux,
					Stack: u.step(u.bench.Drawer.Films, t, now, walls, np)}
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
