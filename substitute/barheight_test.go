package substitute_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/complete"
	"sparewright/substitute/stage"
)

// The closed EI33/29/13 of TDK (E cores catalogue, April 2011, p. 2: B 23.75 mm, bar 5.0 mm) is
// 28.75 mm high, not 47.5; and so is what a core without the bar's figure is taken for, within its
// yoke of 4.5 mm (B - D).
func TestHeightOfAnEISet(t *testing.T) {
	s, ok := catalog.ShapeNamed("EI33/29/13")
	require.True(t, ok)
	p := complete.Part(s).(catalog.Core)
	require.InDelta(t, 28.75e-3, float64(stage.GeometryOf(p).OverallHeight), 1e-9)
	require.InDelta(t, 5e-3, float64(stage.GeometryOf(p).BarHeight), 1e-9)
	p.I = catalog.Core{}.I
	require.InDelta(t, 28.25e-3, float64(stage.GeometryOf(p).OverallHeight), 1e-9)
	e, ok := catalog.ShapeNamed("E25/13/7")
	require.True(t, ok)
	require.InDelta(t, 25.2e-3, float64(
		stage.GeometryOf(complete.Part(e).(catalog.Core)).OverallHeight), 1e-9)
	for _, s := range catalog.Shapes() {
		if s.Family == "EI" {
			require.True(t, s.I.Known(), s.Name)
		}
	}
}
