package regulation_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/catalog/si"
	"sparewright/substitute/regulation"
	"sparewright/substitute/regulation/resistors"
)

// anyNetwork draws a network of one to three parts in any wiring.
func anyNetwork(t *rapid.T, name string, lo, hi float64) resistors.Network {
	w := resistors.Wiring(rapid.IntRange(int(resistors.Single),
		int(resistors.ParallelSeries)).Draw(t, name+" wiring"))
	n := map[resistors.Wiring]int{resistors.Single: 1, resistors.Series2: 2,
		resistors.Parallel2: 2}[w]
	if n == 0 {
		n = 3
	}
	var pieces []resistors.Piece
	for range n {
		pieces = append(pieces, resistors.Piece{Lot: int64(len(pieces) + 1),
			Ohm:       si.Resistance(rapid.Float64Range(lo, hi).Draw(t, name)),
			Tolerance: si.Ratio(rapid.Float64Range(0, 0.2).Draw(t, name+" tolerance")), Count: 1})
	}
	return resistors.Build(pieces, w, n, [3]int{0, 1, 2})
}

func anyTrimmer(t *rapid.T) resistors.TrimmerPiece {
	r := rapid.Float64Range(50, 5e3).Draw(t, "trimmer")
	return resistors.TrimmerPiece{Ohm: si.Resistance(r),
		Tolerance: si.Ratio(rapid.Float64Range(0, 0.3).Draw(t, "trimmer tolerance")),
		End:       si.Resistance(r * rapid.Float64Range(0, 0.05).Draw(t, "end")), Count: 1}
}

// The band of a network is that of all 2^n corners of its parts.
func TestNetworkBandIsAllCorners(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := anyNetwork(t, "leg", 1, 1e6)
		lo, hi := math.Inf(1), math.Inf(-1)
		corners(ends(n), func(v []float64) { lo, hi = min(lo, wired(n, v)), max(hi, wired(n, v)) })
		near(t, n.Low, si.Resistance(lo), 1e-12)
		near(t, n.High, si.Resistance(hi), 1e-12)
		// A difference of figures near 1 carries their rounding, whatever its own size.
		require.InDelta(t, max(hi/float64(n.Ohm)-1, 1-lo/float64(n.Ohm)),
			float64(n.Tolerance), 1e-14)
	})
}

// Every worst figure of a voltage divider is the extreme over all corners, computed from the
// current law at the node.
func TestVoltageBandIsAllCorners(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		vref := si.Voltage(rapid.Float64Range(1.2, 2.6).Draw(t, "vref"))
		spec := regulation.VoltageSpec{Set: 12, Absolute: 13, VrefNominal: vref,
			Vref:        si.Around(vref, si.Ratio(rapid.Float64Range(0, 0.03).Draw(t, "grade"))),
			Offset:      si.Voltage(rapid.Float64Range(0, 0.01).Draw(t, "offset")),
			BiasCurrent: si.Current(rapid.Float64Range(0, 2e-6).Draw(t, "bias"))}
		top, bottom := anyNetwork(t, "top", 5e3, 5e4), anyNetwork(t, "bottom", 1e3, 2e4)
		trimmer := anyTrimmer(t)
		v := regulation.CheckVoltage(spec, top, bottom, &trimmer)
		r, tol, end := float64(trimmer.Ohm), float64(trimmer.Tolerance), float64(trimmer.End)
		least, most := r*(1-tol), r*(1+tol)

		lo, hi := outputs(spec, top, bottom, [2]float64{0, most})
		near(t, v.WorstLow, si.Voltage(lo), 1e-9)
		near(t, v.WorstHigh, si.Voltage(hi), 1e-9)
		_, hi = outputs(spec, top, bottom, [2]float64{least, most}) // the lower stop
		near(t, v.ReachLow, si.Voltage(hi), 1e-9)
		lo, _ = outputs(spec, top, bottom, [2]float64{0, end}) // the upper stop
		near(t, v.ReachHigh, si.Voltage(lo), 1e-9)
		x := float64(v.Position)
		lo, hi = outputs(spec, top, bottom, [2]float64{x * least, x * most})
		near(t, v.Untrimmed.Low, si.Voltage(lo), 1e-9)
		near(t, v.Untrimmed.High, si.Voltage(hi), 1e-9)
		require.LessOrEqual(t, v.OpenWiper, v.SetLow)
		require.LessOrEqual(t, v.OpenWiper, v.SetHigh)
		require.True(t, v.Statistical.Within(v.Untrimmed))
	})
}

// The same for shunt and current divider.
func TestCurrentBandIsAllCorners(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spec := regulation.CurrentSpec{Set: 1, HighLimit: 1.1,
			Vref: si.Around(si.Voltage(2.5),
				si.Ratio(rapid.Float64Range(0, 0.03).Draw(t, "grade"))),
			Offset:      si.Voltage(rapid.Float64Range(0, 0.005).Draw(t, "offset")),
			BiasCurrent: si.Current(rapid.Float64Range(0, 2e-7).Draw(t, "bias")),
			Shunts: []resistors.Piece{{Ohm: 1, Count: 3}, {Ohm: 2, Count: 3},
				{Ohm: 3, Count: 3}}}
		shunt := anyNetwork(t, "shunt", 0.1, 1)
		top, bottom := anyNetwork(t, "top", 5e3, 5e4), anyNetwork(t, "bottom", 1e3, 3e3)
		trimmer := anyTrimmer(t)
		c := regulation.CheckCurrent(spec, shunt, top, bottom, &trimmer)
		r, tol, end := float64(trimmer.Ohm), float64(trimmer.Tolerance), float64(trimmer.End)
		least, most := r*(1-tol), r*(1+tol)

		lo, hi := currents(spec, shunt, top, bottom, [2]float64{0, most})
		require.InDelta(t, max(0, lo), float64(c.WorstLow), 1e-9)
		near(t, c.WorstHigh, si.Current(hi), 1e-9)
		_, hi = currents(spec, shunt, top, bottom, [2]float64{least, most})
		near(t, c.ReachLow, si.Current(hi), 1e-9)
		lo, _ = currents(spec, shunt, top, bottom, [2]float64{0, end})
		require.InDelta(t, max(0, lo), float64(c.ReachHigh), 1e-9)
		require.LessOrEqual(t, c.OpenWiper, c.Low)
		require.LessOrEqual(t, c.OpenWiper, c.High)
	})
}

// 100,000 builds with every part anywhere in its tolerance: none outside the worst case, and the
// statistical band holds at least its stated share. Also with each part at one of its ends, where
// the worst case must still hold.
func TestBuildsStayInsideTheBands(t *testing.T) {
	spec := regulation.VoltageSpec{Set: 14.6, Absolute: 15.6,
		Vref: si.Around(si.Voltage(2.495), 0.01), Offset: 3e-3, BiasCurrent: 100e-9}
	pieces := []resistors.Piece{{Lot: 1, Ohm: 12e3, Tolerance: 0.01, Count: 1},
		{Lot: 2, Ohm: 10e3, Tolerance: 0.05, Count: 1},
		{Lot: 3, Ohm: 4.3e3, Tolerance: 0.01, Count: 1}, {Lot: 4, Ohm: 150,
			Tolerance: 0.05, Count: 1}}
	top, bottom := resistors.Build(pieces, resistors.Series2, 2, [3]int{0, 1}),
		resistors.Build(pieces, resistors.Series2, 2, [3]int{2, 3})
	trimmer := resistors.TrimmerPiece{Ohm: 500, Tolerance: 0.2, Count: 1}
	v := regulation.CheckVoltage(spec, top, bottom, &trimmer)
	require.Greater(t, v.Position, si.Ratio(0.001))
	require.Less(t, v.Position, si.Ratio(1))

	rng := rand.New(rand.NewPCG(1, 2))
	const builds = 100_000
	outside := 0
	for i := range builds {
		any := func(nominal, half float64) float64 {
			if i%10 == 0 { // every tenth build sits in a corner, and is left out of the statistics
				return nominal + half*float64(2*rng.IntN(2)-1)
			}
			return nominal + half*(2*rng.Float64()-1)
		}
		draw := func(n resistors.Network) float64 {
			var r []float64
			for k := range n.N {
				r = append(r, any(float64(n.Values[k]),
					float64(n.Values[k])*float64(n.Tolerances[k])))
			}
			return wired(n, r)
		}
		node := any(2.495, 0.02495) + any(0, 3e-3)
		x := float64(v.Position)
		rt, rb := draw(top), draw(bottom)+x*any(500, 100)
		out := si.Voltage(node + rt*(node/rb+any(0, 100e-9)))
		require.True(t, si.Around(out, 1e-12).High >= v.Untrimmed.Low &&
			si.Around(out, 1e-12).Low <= v.Untrimmed.High)
		if i%10 != 0 && !v.Statistical.Contains(out) {
			outside++
		}
	}
	require.LessOrEqual(t, float64(outside), builds*0.9*(1-float64(regulation.StatisticalShare)))
	require.Less(t, v.Statistical.Width(), v.Untrimmed.Width()) // it says more than the worst case
}
