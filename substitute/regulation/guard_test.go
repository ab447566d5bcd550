package regulation_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/catalog/si"
	"sparewright/substitute/regulation"
	"sparewright/substitute/regulation/resistors"
)

// cornersOf are the two ends of every part of a leg: all combinations of its parts, wired as the
// leg says.
func cornersOf(n resistors.Network) []float64 {
	values := func(i int) []float64 {
		v, t := float64(n.Values[i]), float64(n.Tolerances[i])
		return []float64{v * (1 - t), v * (1 + t)}
	}
	out := []float64{}
	switch n.N {
	case 1:
		return values(0)
	case 2:
		for _, a := range values(0) {
			for _, b := range values(1) {
				if n.Wiring == resistors.Series2 {
					out = append(out, a+b)
				} else {
					out = append(out, a*b/(a+b))
				}
			}
		}
	}
	return out
}

// A pack sees no trip above its limit, whatever corner the parts of the divider stand in: all ends
// of all parts by Kirchhoff's current law, the reference at both ends, its input current either
// way, and hot. One with a trimmer reaches the trip it is set to in every corner. Drawers and packs
// are random.
func TestNoCornerOfTheProtectionLetsAPackBeyondItsLimit(t *testing.T) {
	kinds := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		var pieces []resistors.Piece
		for i := range rapid.IntRange(4, 24).Draw(t, "resistors") {
			v := rapid.SampledFrom([]float64{1, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8,
				8.2}).Draw(t, "value")
			decade := rapid.SampledFrom([]float64{100, 1e3, 10e3}).Draw(t, "decade")
			tol := rapid.SampledFrom([]float64{0.001, 0.01}).Draw(t, "tolerance")
			pieces = append(pieces, resistors.Piece{Lot: int64(i + 1),
				Ohm: si.Resistance(v * decade), Tolerance: si.Ratio(tol), Count: 2, Power: 0.25})
		}
		trims := []resistors.TrimmerPiece{}
		for i, r := range []si.Resistance{100, 500, 2000} {
			if rapid.Bool().Draw(t, "trimmer") {
				trims = append(trims, resistors.TrimmerPiece{Lot: int64(i + 1), Ohm: r,
					Tolerance: 0.1, End: 2, Count: 1})
			}
		}
		set := rapid.Float64Range(8, 30).Draw(t, "set")
		above := rapid.Float64Range(0.011, 0.07).Draw(t, "above")
		spread := rapid.SampledFrom([]float64{0.001, 0.005, 0.01, 0.022}).Draw(t, "spread")
		s := regulation.GuardSpec{Set: si.Voltage(set), Absolute: si.Voltage(set * (1 + above)),
			Nominal: 2.495,
			Vref: si.Interval[si.Voltage]{Low: si.Voltage(2.495 * (1 - spread)),
				High: si.Voltage(2.495 * (1 + spread))}, Drift: 0.0046, Input: 4e-6, Forward: 1}
		g := regulation.DesignGuard(s, resistors.NewStock(pieces), trims)
		require.Positive(t, g.Trip)
		require.LessOrEqual(t, float64(g.High), float64(s.Absolute))
		if g.Bought() || g.Top.N > 2 || g.Bottom.N > 2 {
			kinds["other"]++
			return
		}
		fall := 2.7e-3 * float64(s.Absolute-1-s.Vref.Low) // TI SLVS543S
		for _, top := range cornersOf(g.Top) {
			for _, bottom := range cornersOf(g.Bottom) {
				for _, input := range []float64{-4e-6, 4e-6} {
					at := func(vref, x float64) float64 {
						return vref + top*(vref/(bottom+x)+input)
					}
					if !g.HasTrimmer {
						require.LessOrEqual(t, at(float64(s.Vref.High), 0)*1.0046,
							float64(s.Absolute)*(1+1e-9))
						require.GreaterOrEqual(t, at(float64(s.Vref.Low)-fall, 0)*0.9954,
							float64(g.Low)*(1-1e-6))
						continue
					}
					whole := float64(g.Trimmer.Ohm) * 0.9
					require.GreaterOrEqual(t, at(float64(s.Vref.Low)-fall, 2),
						float64(g.Trip)*(1-1e-9))
					require.LessOrEqual(t, at(float64(s.Vref.High), whole),
						float64(g.Trip)*(1+1e-9))
				}
			}
		}
		kinds[map[bool]string{true: "trimmed", false: "fixed"}[g.HasTrimmer]]++
	})
	require.Positive(t, kinds["fixed"])
	require.Positive(t, kinds["trimmed"])
}

// By hand: trip 16.9 to 17 V, gate 100k, lowest ratio 0.25: the gate takes 17 V/100k = 170 uA, the
// LED 680 uA. Below it stand 2.5 V, across it at most 1.4 V and beside it 1.4 V/1k = 1.4 mA: the
// resistor is (16.9 - 2.5 - 1.4)/2.08 mA = 6250 ohm at most, and with OUT at 60 V and 20 mA (60 -
// 2.5 - 1)/20 mA = 2825 ohm at least. 4k7 gives 13/4700 - 1.4 mA = 1.366 mA.
func TestDriveOfTheProtection(t *testing.T) {
	s := regulation.GuardLEDSpec{Trip: si.Interval[si.Voltage]{Low: 16.9, High: 17},
		Ceiling: 60, Vref: 2.5,
		Forward: si.Interval[si.Voltage]{Low: 1,
			High: 1.4}, Most: 20e-3, Bypass: 1e3, Gate: 100e3, Ratio: 0.25}
	d := regulation.DriveGuard(s)
	near(t, d.Need, 680e-6, 1e-12)
	near(t, d.Low, 2825, 1e-12)
	near(t, d.High, 6250, 1e-12)
	near(t, regulation.GuardLED(s, 4.7e3), 13/4.7e3-1.4e-3, 1e-12)
	s.Trip.Low = 3.5
	require.True(t, math.IsNaN(float64(regulation.DriveGuard(s).High)),
		"an output too low for reference and LED")
}

// With the protection no single fault lets a pack above its limit, and each of its own faults
// leaves the set voltage or cuts the pack off; without it many do.
func TestProtectionEndsEveryOvercharge(t *testing.T) {
	s := faultSpec()
	over := func() (n int) {
		for _, f := range regulation.Faults(s) {
			if f.Pack > s.Absolute {
				n++
			}
		}
		return n
	}
	require.Greater(t, over(), 10)
	s.Trip, s.GuardTrimmer = 16.98, true
	require.Zero(t, over())
	own := 0
	for _, f := range regulation.Faults(s) {
		if f.Part == "pack switch" || f.Part == "gate resistor" ||
			len(f.Part) > 10 && f.Part[:10] == "protection" {
			require.Equal(t, s.Set, f.Output, f.Part+" "+f.Kind)
			require.Contains(t, []si.Current{0, s.SetCurrent}, f.Limit, f.Part+" "+f.Kind)
			own++
		}
	}
	require.Equal(t, 15, own)
}
