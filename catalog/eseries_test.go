package catalog_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/catalog"
	"sparewright/catalog/si"
)

// Source: IEC 60063 as reproduced on public pages of component makers: the E24, E48 and E96 lists.
var printedSeries = map[string][]float64{
	"E3": {100, 220, 470}, "E6": {100, 150, 220, 330, 470, 680},
	"E12": {100, 120, 150, 180, 220, 270, 330, 390, 470, 560, 680, 820},
	"E24": {100, 110, 120, 130, 150, 160, 180, 200, 220, 240, 270, 300, 330, 360, 390, 430, 470,
		510, 560, 620, 680, 750,
		820, 910},
	"E48": {100, 105, 110, 115, 121, 127, 133, 140, 147, 154, 162, 169, 178, 187, 196, 205, 215,
		226, 237, 249, 261, 274,
		287, 301, 316, 332,
		348, 365, 383, 402, 422, 442, 464, 487, 511, 536, 562, 590, 619, 649, 681, 715, 750, 787,
		825, 866, 909, 953},
	"E96": {100, 102, 105, 107, 110, 113, 115, 118, 121, 124, 127, 130, 133, 137, 140, 143, 147,
		150, 154, 158, 162, 165,
		169, 174, 178, 182,
		187, 191, 196, 200, 205, 210, 215, 221, 226, 232, 237, 243, 249, 255, 261, 267, 274, 280,
		287, 294, 301, 309, 316,
		324, 332, 340, 348,
		357, 365, 374, 383, 392, 402, 412, 422, 432, 442, 453, 464, 475, 487, 499, 511, 523, 536,
		549, 562, 576, 590, 604,
		619, 634, 649, 665,
		681, 698, 715, 732, 750, 768, 787, 806, 825, 845, 866, 887, 909, 931, 953, 976},
}

func TestESeries(t *testing.T) {
	for name, printed := range printedSeries {
		got := catalog.ESeries(name)
		require.Len(t, got, len(printed), name)
		for i, want := range printed {
			near(t, got[i]*100, want, 1e-12, name)
		}
	}
	e192 := catalog.ESeries("E192")
	require.Len(t, e192, 192)
	require.Equal(t, 9.20, e192[185], "the one exception of IEC 60063, from memory")
	for i, v := range catalog.ESeries("E96") {
		require.Equal(t, v, e192[2*i], "E96 is every second value of E192")
	}
	require.Nil(t, catalog.ESeries("E7"))
	require.Nil(t, catalog.ESeries("banana"))
	require.Len(t, catalog.Series(), 7)
}

func TestInSeriesAndNearest(t *testing.T) {
	for _, r := range []si.Resistance{4700, 0.47, 4.7e6, 1, 10, 1e-3, 910e3} {
		require.True(t, catalog.InSeries(r, "E24"), "%g", float64(r))
	}
	for _, r := range []si.Resistance{4750, 0, -4700, si.Resistance(math.NaN()),
		si.Resistance(math.Inf(1))} {
		require.False(t, catalog.InSeries(r, "E24"), "%g", float64(r))
	}
	require.Equal(t, si.Resistance(4700), catalog.Nearest(4800, "E24"))
	// 9600 lies between 8200 and 10000
	require.Equal(t, si.Resistance(10000), catalog.Nearest(9600, "e12"))
	require.Equal(t, si.Resistance(0.1), catalog.Nearest(0.098, "E24"))
	require.Zero(t, catalog.Nearest(100, "E7"))
	rapid.Check(t, func(r *rapid.T) {
		v := math.Pow(10, rapid.Float64Range(-3, 7).Draw(r, "decade"))
		name := rapid.SampledFrom(catalog.Series()).Draw(r, "series")
		n := catalog.Nearest(si.Resistance(v), name)
		require.True(r, catalog.InSeries(n, name))
		// no step of a series is wider than that of E3: the nearest value is within the square root
		// of it, 10^(1/6) and a rounding
		require.LessOrEqual(r, math.Abs(math.Log10(v/float64(n))), 0.5/3+0.01)
	})
}
