package substitute_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/search"
)

// A chip that feeds itself is built without a bias winding, so the class with one does not hold.
// NCP1014: 19 and 8 W with a bias winding, 14 and 6 W without (from memory, hence x0.9; a closed
// case x0.6).
func TestPowerClassWithoutBiasWinding(t *testing.T) {
	p, ok := catalog.SwitcherNamed("NCP1014")
	require.True(t, ok)
	for _, c := range []struct {
		mains si.Voltage
		box   substitute.Case
		most  float64 // W
	}{{195, substitute.Open, 14}, {195, substitute.Sealed, 8.4}, {85, substitute.Open, 6}, {85,
		substitute.Sealed, 3.6}} {
		class, text := search.PowerClass(p, substitute.Target{MainsMin: c.mains, Case: c.box})
		require.InDelta(t, 0.9*c.most, float64(class), 1e-9, text)
		require.Contains(t, text, "without a bias winding")
	}
}
