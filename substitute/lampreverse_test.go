package substitute

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/inventory/exchange"
)

// By Kirchhoff round the two lamps: highest output less headroom of the amplifier that pulls and drop of its lamp. What lamps bear,
// 5 V, is from memory. At 4 cells it is said; no build at 2 cells with lamps stays silent above it.
func TestLampsTheWrongWayRoundAreTold(t *testing.T) {
	for _, cells := range []int{2, 4} {
		got := Advise(resolved(t, Target{Chemistry: "li-ion", Cells: cells, Current: 1}), exchange.Demo(), Options{Drawer: true})
		require.NotEmpty(t, got.Builds)
		for _, b := range got.Builds {
			r := b.Regulation
			back := float64(r.Loops.UnloadPeak - r.Circuit.Headroom - r.Circuit.JoinDrop)
			said := strings.Contains(strings.Join(b.Warnings, "\n"), fmt.Sprintf("about %.0f V the wrong way round", back))
			require.Equal(t, r.Circuit.Lamps && back > 5, said, "%d cells: %g V, %v", cells, back, b.Warnings)
			require.False(t, cells == 4 && !said, "LM358: 17 - 1.5 - 2.1 = 13.4 V at least")
		}
	}
}
