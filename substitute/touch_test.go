package substitute_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/substitute"
	"sparewright/substitute/stage"
	"sparewright/substitute/swap"
)

// 2 pi x 60 Hz x 2.2 nF x 265 V = 376.99 x 2.2e-9 x 265 = 0.21979 mA, a fifth more 0.26374 mA, a
// tenth more 0.24176 mA; 1 nF and a fifth more 0.11988 mA. All by hand; class II may leak 0.25 mA
// (IEC 60335-1, from memory). The target says the lowest line frequency, 50 Hz, and the charger may
// still be plugged in where it is 60 Hz.
func TestTouchCurrentByHand(t *testing.T) {
	for _, line := range []float64{45, 50, 60} {
		target := substitute.Target{MainsMax: 265, Line: si.Frequency(line)}
		require.InDelta(t, 0.26374e-3, float64(
			stage.TouchCurrent(target, 2.2e-9, catalog.Datum[si.Ratio]{})), 5e-9)
		require.InDelta(t, 0.24176e-3, float64(
			stage.TouchCurrent(target, 2.2e-9, catalog.Of[si.Ratio](0.1))), 5e-9)
	}
	// a ship's or a generator's 65 Hz: 0.21979 mA x 65/60
	require.InDelta(t, 0.23810e-3, float64(
		stage.TouchCurrent(substitute.Target{MainsMax: 265, Line: 65}, 2.2e-9,
			catalog.Of[si.Ratio](0))), 5e-9)
}

// The built-in drawer has Y1 capacitors of 1, 2.2 and 4.7 nF, all of 20 %: only the first serves,
// and without it there is one to buy.
func TestYCapacitorKeepsTheTouchCurrent(t *testing.T) {
	b := builtWith(t, "NCP1014", 195, nil)
	require.Equal(t, "Y1 1n", usesOf(b, "Y capacitor")[0].Designation)
	require.InDelta(t, 0.11988e-3, swap.CheckNamed(b, substitute.ChkTouch).Value, 5e-9)
	b = builtWith(t, "NCP1014", 195, func(l inventory.Lot) bool {
		p, is := l.Part.(catalog.Capacitor)
		return is && p.Safety == "Y1" && p.Capacitance.Value < 2e-9
	})
	require.Equal(t, []string{"buy", "Y1 capacitor 1 nF 250 V ac"},
		[]string{usesOf(b, "Y capacitor")[0].Source, usesOf(b, "Y capacitor")[0].Designation})
	require.Equal(t, substitute.NeedsParts, b.Verdict)
}
