package report_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/report/sheet"
)

// With the shunt shorted nothing holds the current. The sheet says how much then flows into an
// empty pack, and may not say less than a whole core emptied a cycle gives, L I^2 f/2 (TI SLUS223E
// eq. 16), nor than continuous mode passes at the highest bus, n (1 - D) I (the average of a
// secondary current that never falls to zero, handbook derivation, from memory): the less of the
// two, since the stage is in one mode or the other. Frequency at its nominal value, a lower bound
// of its highest one.
func TestFaultsSayTheUnheldCurrent(t *testing.T) {
	bench := advise.NewWorkbench(exchange.Demo())
	seen := 0
	for _, cells := range []int{3, 4, 5} {
		target := usualCharger(t, "li-ion", "", cells, 1, 195)
		for _, b := range bench.Advise(target, advise.Options{Builds: 5, Drawer: true}).Builds {
			if b.Kind != substitute.Wound {
				continue
			}
			out := float64(target.Empty + b.Stage.RectifierDrop)
			peak, n := float64(b.Switcher.LimitMax),
				float64(b.Transformer.PrimaryTurns)/float64(b.Transformer.SecondaryTurns)
			emptied := 0.5 * float64(b.Transformer.InductanceHigh) * peak * peak *
				float64(b.Switcher.Frequency) / out
			duty := n * out / (n*out + float64(b.Stage.BusMax))
			least := min(emptied, n*(1-duty)*peak)
			for _, f := range sheet.FaultLines(target, &b) {
				if f.Part == "shunt" && f.Kind == "short" {
					seen++
					require.GreaterOrEqual(t, float64(f.Limit),
						math.Max(least, float64(target.Current)),
						"%d cells, build %d", cells, b.Rank)
					require.Equal(t, b.Drawing.Unheld, f.Limit)
				}
			}
		}
	}
	require.Greater(t, seen, 5)
}
