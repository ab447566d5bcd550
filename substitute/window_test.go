package substitute

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog/si"
	"sparewright/inventory/exchange"
)

// TestWindowEndsWhereALimitFails holds the window of every build of some chargers against full computations just inside and just
// outside of its ends: inside all hard limits hold; outside the limit that is named fails, or the end is a wall.
func TestWindowEndsWhereALimitFails(t *testing.T) {
	w := NewWorkbench(exchange.Demo())
	narrowed, seen := 0, 0
	for _, trial := range trials {
		j := newJob(w, resolved(t, trial))
		found, _ := j.all()
		for i := range found {
			m := &found[i]
			if m.donor != nil {
				continue
			}
			seen++
			got := m.of.openWindow(m)
			at := func(l si.Inductance) (string, float64) {
				g, room := m.of.worstAt(m.design, si.InductanceFactor(float64(l)/float64(m.np)/float64(m.np)))
				return checkNames[g.id].name, room
			}
			require.LessOrEqual(t, m.wallPower, got.Low)
			require.LessOrEqual(t, got.Low, m.inductance)
			require.LessOrEqual(t, m.inductance, got.High)
			require.LessOrEqual(t, got.High, m.wallFlux)
			for _, end := range []struct {
				l       si.Inductance
				by      string
				outside si.Inductance
			}{{got.Low, got.LowBy, got.Low * 0.999}, {got.High, got.HighBy, got.High * 1.001}} {
				if end.by == "" {
					continue // a wall
				}
				narrowed++
				name, room := at(end.l)
				require.GreaterOrEqual(t, room, 0.0, "%s %s %s %v %d:%d", name, m.v.stock.name(), m.c.stock.name(), end, m.np, m.ns)
				name, room = at(end.outside)
				require.Negative(t, room)
				require.Equal(t, end.by, name)
			}
		}
	}
	require.Greater(t, narrowed, 20, "of %d builds", seen)
}
