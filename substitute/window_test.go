package substitute_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog/si"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/stage"
)

// TestWindowEndsWhereALimitFails holds the window of every build of some chargers against full
// computations just inside and just outside of its ends: inside all hard limits hold; outside the
// limit that is named fails, or the end is a wall.
func TestWindowEndsWhereALimitFails(t *testing.T) {
	w := advise.NewWorkbench(exchange.Demo())
	narrowed, seen := 0, 0
	tried, least := trials, 20
	if testing.Short() {
		tried, least = trials[1:2], 1
	}
	for _, trial := range tried {
		j := advise.NewAttempt(w, resolved(t, trial))
		found, _ := j.Pairs()
		for i := range found {
			m := &found[i]
			if m.Donor != nil {
				continue
			}
			seen++
			got := m.Of.OpenWindow(m)
			at := func(l si.Inductance) (string, float64) {
				g, margin := m.Of.WorstAt(m.Design,
					si.InductanceFactor(float64(l)/float64(m.Np)/float64(m.Np)))
				return substitute.CheckNames[g.Id].Name, margin
			}
			require.LessOrEqual(t, m.WallPower, got.Low)
			require.LessOrEqual(t, got.Low, m.Inductance)
			require.LessOrEqual(t, m.Inductance, got.High)
			require.LessOrEqual(t, got.High, m.WallFlux)
			for _, end := range []struct {
				l       si.Inductance
				by      string
				outside si.Inductance
			}{{got.Low, got.LowBy, got.Low * 0.999}, {got.High, got.HighBy, got.High * 1.001}} {
				if end.by == "" { // a wall; inside its last bits all limits hold
					name, margin := at(end.l + stage.WallHair*(m.Inductance-end.l))
					require.GreaterOrEqual(t, margin, 0.0, "%s at the wall %g H", name,
						float64(end.l))
					continue
				}
				narrowed++
				name, margin := at(end.l)
				require.GreaterOrEqual(t, margin, 0.0, "%s %s %s %v %d:%d", name, m.V.Stock.Name(),
					m.C.Stock.Name(), end, m.Np, m.Ns)
				name, margin = at(end.outside)
				require.Negative(t, margin)
				require.Equal(t, end.by, name)
			}
		}
	}
	require.Greater(t, narrowed, least, "of %d builds", seen)
}
