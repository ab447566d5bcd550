package stage

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/complete"
	"sparewright/catalog/si"
	"sparewright/substitute/stock"
)

// lossOf is the range of the loss of an EF25 pair of that grade.
func lossOf(t *testing.T, grade string) lossRange {
	t.Helper()
	shape, ok := catalog.ShapeNamed("EF25")
	require.True(t, ok)
	shape.Ferrite = grade
	c, why := newBareCore(stock.Stock[catalog.Core]{Part: complete.Part(shape).(catalog.Core)})
	require.Empty(t, why)
	return c.LossRange
}

// A working point outside of what the loss of its grade was fitted for is said, with the range; one
// inside is not. Ranges:
//
//   - 3C30 20 to 100 kHz, 3C90 and 3C94 20 to 200 kHz, 3F3 100 to 300 kHz: Ferroxcube, Design of
//     Planar Power Transformers (2001),
//     table 1, fit parameters, which name no range of flux density and follow the temperature;
//   - PC40 100 to 300 mT at 20 to 100 kHz and 100 C: chart core loss against frequency, TDK Ferrite
//     Cores summary (1998), page of
//     the High Power Cores;
//   - CF139 100 to 300 kHz, 100 to 200 mT at 100 C: the three points of the Cosmo Ferrites CF 139
//     material sheet;
//   - N30 50 to 160 kHz, 40 to 150 mT at 90 C: points of the MagNet open data set (2023) that were
//     fitted.
func TestLossOutsideItsFitIsSaid(t *testing.T) {
	for _, x := range []struct {
		grade string
		khz   float64
		mt    float64
		says  []string // nothing where the point lies inside
	}{
		{"3C30", 20, 50, nil}, {"3C30", 100, 200, nil},
		{"3C30", 132, 100, []string{"3C30", "132 kHz (known for 20 to 100)"}},
		{"3C90", 66, 150, nil}, {"3C90", 200, 20, nil},
		{"3C90", 300, 50, []string{"3C90", "300 kHz (known for 20 to 200)"}},
		{"3C90", 12, 150, []string{"12 kHz (known for 20 to 200)"}}, {"3C94", 132, 150, nil},
		{"3F3", 250, 60, nil},
		{"3F3", 66, 100, []string{"3F3", "66 kHz (known for 100 to 300)"}},
		{"PC40", 66, 150, nil}, {"PC40", 100, 300, nil},
		{"PC40", 66, 60, []string{"PC40", "60 mT (known for 100 to 300)"}},
		{"PC40", 132, 330, []string{"132 kHz (known for 20 to 100)",
			"330 mT (known for 100 to 300)"}},
		{"CF139", 130, 120, nil}, {"CF139", 66, 120, []string{"66 kHz (known for 100 to 300)"}},
		{"CF139", 130, 220, []string{"220 mT (known for 100 to 200)"}},
		{"N30", 66, 100, []string{"60 to 100 C (known at 90 C"}},
	} {
		w := lossOf(t, x.grade).Warning(si.Frequency(x.khz*1e3), si.FluxDensity(x.mt/1e3))
		if x.says == nil {
			require.Empty(t, w, "%s %g kHz %g mT", x.grade, x.khz, x.mt)
		}
		for _, text := range x.says {
			require.Contains(t, w, text)
			require.Contains(t, w, "core loss of "+x.grade)
		}
	}
}

// A grade of which no loss is known has no range: its core says that a cautious one is used
// instead.
func TestNoRangeWithoutLoss(t *testing.T) {
	require.Equal(t, lossRange{}, lossOf(t, "3E25"))
}
