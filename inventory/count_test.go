package inventory_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/inventory"
)

// The words and their counts are stated in the project's own rules (3 and 20, stated minimums); the
// rest is arithmetic.
func TestParseCount(t *testing.T) {
	for _, c := range []struct {
		text string
		unit inventory.Unit
		want float64
	}{
		{"20", inventory.Pieces, 20},
		{" x20 ", inventory.Pieces, 20},
		{"20x", inventory.Pieces, 20},
		{"20 pcs", inventory.Pieces, 20},
		{"1 piece", inventory.Pieces, 1},
		{"2e3", inventory.Pieces, 2000},
		{"Some", inventory.Pieces, 3},
		{"plenty", inventory.Pieces, 20},
		{">=10", inventory.Pieces, 10},
		{"\u2265 10", inventory.Pieces, 10},
		{"10+", inventory.Pieces, 10},
		{"at least 10", inventory.Pieces, 10},
		{"12.5m", inventory.Metres, 12.5},
		{"12.5 m", inventory.Metres, 12.5},
		{"12.5", inventory.Metres, 12.5},
		{"80 cm", inventory.Metres, 0.8},
		{"1250mm", inventory.Metres, 1.25},
		{"2 metres", inventory.Metres, 2},
		{"1.2km", inventory.Metres, 1200},
		{"at least 4m", inventory.Metres, 4},
		{"plenty", inventory.Metres, 20},
	} {
		got, err := inventory.ParseCount(c.text, c.unit)
		require.NoError(t, err, c.text)
		require.Equal(t, c.want, got, c.text)
	}
}

func TestParseCountRefuses(t *testing.T) {
	for _, c := range []struct {
		text string
		unit inventory.Unit
		says string
	}{
		{"", inventory.Pieces, "empty"},
		{"0", inventory.Pieces, "nothing"},
		{"-0", inventory.Pieces, "nothing"},
		{"-3", inventory.Pieces, "negative"},
		{"2.5", inventory.Pieces, "fraction"},
		{"NaN", inventory.Pieces, "not a count"},
		{"inf", inventory.Pieces, "not a count"},
		{"1e999", inventory.Pieces, "not a count"},
		{"0x10", inventory.Pieces, "not a count"},
		{"1_000", inventory.Pieces, "not a count"},
		{"twenty", inventory.Pieces, "not a count"},
		{"1,5", inventory.Metres, "decimal comma"},
		{"1,200", inventory.Pieces, "thousands separator"},
		{"2000000", inventory.Pieces, "more than a million"},
		{"5m", inventory.Pieces, "counted in pieces"},
		{"5 pcs", inventory.Metres, "counted in metres"},
		{"1.2345", inventory.Metres, "finer than a millimetre"},
		{"0.0001", inventory.Metres, "write 0.001m"},
	} {
		_, err := inventory.ParseCount(c.text, c.unit)
		var data inventory.DataError
		require.ErrorAs(t, err, &data, c.text)
		require.Contains(t, err.Error(), c.says, c.text)
		require.Contains(t, err.Error(), "; ", "no cure for "+c.text)
	}
	require.Error(t, inventory.CheckCount(math.NaN(), inventory.Pieces))
	require.Error(t, inventory.CheckCount(math.Inf(1), inventory.Metres))
}

// What FormatCount writes, ParseCount reads as the same number, and neither leaves the millimetre
// grid.
func TestCountRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := float64(rapid.IntRange(1, 1e9).Draw(t, "millimetres")) / 1000
		got, err := inventory.ParseCount(inventory.FormatCount(n), inventory.Metres)
		if err != nil || got != n {
			t.Fatalf("%g came back as %g, %v", n, got, err)
		}
	})
}

func TestRoundUpCount(t *testing.T) {
	require.Equal(t, 3.272, inventory.RoundUpCount(3.27184, inventory.Metres))
	require.Equal(t, 3.272, inventory.RoundUpCount(3.272, inventory.Metres))
	require.Equal(t, 0.3, inventory.RoundUpCount(0.1+0.2, inventory.Metres)) // 0.30000000000000004
	// left for CheckCount to refuse
	require.Equal(t, 2.5, inventory.RoundUpCount(2.5, inventory.Pieces))
}
