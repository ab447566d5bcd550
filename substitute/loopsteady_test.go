package substitute

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/inventory/exchange"
)

// No build of the demo drawer has a loop that may oscillate in its worst corner (the margins themselves are held against ngspice in
// report and against plain impedances in independent_loops_test), and what it costs is said: a pair with a capacitor at its
// feedback pin is refused at 2 cells and 1 A, where the current loop had -16 degrees.
func TestUnsteadyLoopsAreRefused(t *testing.T) {
	const floor = 5.0
	for _, like := range []Target{{Chemistry: "li-ion", Cells: 2, Current: 1}, {Chemistry: "li-ion", Cells: 2, Current: 2}} {
		got := Advise(resolved(t, like), exchange.Demo(), Options{Builds: 1000, Refused: 1000, Drawer: true})
		require.NotEmpty(t, got.Builds)
		for _, b := range got.Builds {
			l := b.Regulation.Loops
			require.GreaterOrEqual(t, min(l.Voltage.Margin, l.Current.Margin), floor, "%s on %s", b.ChipName(), b.Carrier())
		}
		refused := 0
		for _, r := range got.Refused {
			if r.Check != checkNames[chkPhaseVoltage].name && r.Check != checkNames[chkPhaseCurrent].name {
				continue
			}
			refused++
			require.Less(t, r.Value, floor)
			require.NotEmpty(t, r.Cure)
		}
		require.Positive(t, refused)
	}
}
