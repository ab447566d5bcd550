package magnetics_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/substitute/magnetics"
)

// A transformer of 60, 10 and 12 turns on a core of 100 nH a turn: 60^2 x 100 nH = 360 uH, 10 uH,
// 14.4 uH; volts 6 : 1 and 5 : 1 (hand calculation).
func sixty() magnetics.TurnsReading {
	return magnetics.TurnsReading{Primary: 360e-6, Secondary: 10e-6, Bias: 14.4e-6, Ratio: 6,
		BiasRatio: 5, Meter: 0.02, Scope: 0.02,
		Fewest: 1, Most: 100}
}

func plainTurns(all []magnetics.Turns) (out [][3]int) {
	for _, t := range all {
		out = append(out, [3]int{t.Primary, t.Secondary, t.Bias})
	}
	return out
}

// With a helper winding, 60 turns within 2 %: 59 to 61 primary turns; of each the only whole turns
// of the others within 2 % of both ratios: 59/10 = 5.9, 61/10 = 6.1 (5.88 to 6.12), 59/12 = 4.92,
// 61/12 = 5.08 (4.9 to 5.1).
func TestCandidateTurnsWithHelper(t *testing.T) {
	r := sixty()
	r.PrimaryTurns = 60
	got := plainTurns(magnetics.CandidateTurns(r))
	require.Equal(t, [3]int{60, 10, 12}, got[0])
	require.ElementsMatch(t, [][3]int{{59, 10, 12}, {60, 10, 12}, {61, 10, 12}}, got)
}

// Without one only ratios are read: 30:5:6 and 90:15:18 fit as well as 60:10:12; 6:1 has no whole
// bias turns at 5 : 1.
func TestCandidateTurnsAreRatios(t *testing.T) {
	got := plainTurns(magnetics.CandidateTurns(sixty()))
	for _, want := range [][3]int{{30, 5, 6}, {60, 10, 12}, {90, 15, 18}} {
		require.Contains(t, got, want)
	}
	for _, g := range got {
		require.NotEqual(t, 6, g[0])
		require.InDelta(t, 6, float64(g[0])/float64(g[1]), 0.12+1e-9)
		require.InDelta(t, 5, float64(g[0])/float64(g[2]), 0.10+1e-9)
	}
	few := sixty()
	few.Fewest = 61
	require.NotContains(t, plainTurns(magnetics.CandidateTurns(few)), [3]int{60, 10, 12})
}

// The pitfall of the bench: the ratio of inductances is the square of the turns ratio. Taken for
// the ratio itself, 36, it contradicts the volts, and nothing fits. A wide error that covers
// neither does not help.
func TestRatioOfInductancesIsASquare(t *testing.T) {
	r := sixty()
	r.Ratio = 36
	require.Empty(t, magnetics.CandidateTurns(r))
	_, ok := magnetics.RatioRead(360e-6, 0, 0, 0.02, 0.02)
	require.False(t, ok, "nothing was read")
	// inductances alone, 5 % meter: sqrt(36) = 6 times or over sqrt(1.05/0.95) = 1.0513
	band, ok := magnetics.RatioRead(360e-6, 10e-6, 0, 0.05, 0.02)
	require.True(t, ok)
	require.InDelta(t, 6/1.0513, float64(band.Low), 1e-3)
	require.InDelta(t, 6*1.0513, float64(band.High), 1e-3)
}

func TestCandidateTurnsWithoutBias(t *testing.T) {
	r := sixty()
	r.Bias, r.BiasRatio = 0, 0
	for _, c := range magnetics.CandidateTurns(r) {
		require.Zero(t, c.Bias)
	}
	require.Contains(t, plainTurns(magnetics.CandidateTurns(r)), [3]int{6, 1, 0})
}
