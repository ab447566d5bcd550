package regulation_test

import (
	"math"

	"github.com/stretchr/testify/require"

	"sparewright/catalog/si"
	"sparewright/substitute/regulation"
	"sparewright/substitute/regulation/resistors"
)

// tester is what testing.T and rapid.T share.
type tester interface {
	require.TestingT
	Helper()
}

// near fails unless got lies within rel of want. NaN never passes.
func near[Q ~float64](t tester, got, want Q, rel float64) {
	t.Helper()
	require.LessOrEqual(t, math.Abs(float64(got-want)), rel*math.Abs(float64(want)),
		"got %v, want %v", got, want)
}

// one returns the network of a single exact resistor, and stock to go with it.
func one(r si.Resistance, tol si.Ratio) resistors.Network {
	n, ok := resistors.NewStock([]resistors.Piece{{Lot: 1, Ohm: r, Tolerance: tol, Count: 1}}).Best(
		si.Around(r, tol+1e-9), 1)
	if !ok {
		panic("no such resistor")
	}
	return n
}

// ends returns the low and the high value of each part of a network.
func ends(n resistors.Network) [][2]float64 {
	var out [][2]float64
	for k := range n.N {
		r, tol := float64(n.Values[k]), float64(n.Tolerances[k])
		out = append(out, [2]float64{r * (1 - tol), r * (1 + tol)})
	}
	return out
}

// wired is the resistance of a network with its parts at the given values, written out apart from
// the code under test.
func wired(n resistors.Network, v []float64) float64 {
	par := func(a, b float64) float64 { return 1 / (1/a + 1/b) }
	switch n.Wiring {
	case resistors.Single:
		return v[0]
	case resistors.Series2:
		return v[0] + v[1]
	case resistors.Parallel2:
		return par(v[0], v[1])
	case resistors.Series3:
		return v[0] + v[1] + v[2]
	case resistors.Parallel3:
		return par(par(v[0], v[1]), v[2])
	case resistors.SeriesParallel:
		return v[0] + par(v[1], v[2])
	case resistors.ParallelSeries:
		return par(v[0], v[1]+v[2])
	}
	return math.NaN()
}

// corners calls f with every combination of ends: 2^n calls.
func corners(ranges [][2]float64, f func(v []float64)) {
	v := make([]float64, len(ranges))
	for c := range 1 << len(ranges) {
		for i := range ranges {
			v[i] = ranges[i][c>>i&1]
		}
		f(v)
	}
}

// outputs returns the lowest and highest output of a voltage divider over all corners of every
// part, with the trimmer between the residues track[0] and track[1] in ohm.
func outputs(spec regulation.VoltageSpec, top, bottom resistors.Network,
	track [2]float64) (lo, hi float64) {
	off, bias := float64(spec.Offset), float64(spec.BiasCurrent)
	ranges := [][2]float64{{float64(spec.Vref.Low), float64(spec.Vref.High)}, {-off, off},
		{-bias, bias}, track}
	ranges = append(append(ranges, ends(top)...), ends(bottom)...)
	lo, hi = math.Inf(1), math.Inf(-1)
	corners(ranges, func(v []float64) {
		node := v[0] + v[1]
		rt, rb := wired(top, v[4:4+top.N]), wired(bottom, v[4+top.N:])+v[3]
		out := node + rt*(node/rb+v[2]) // current law at the feedback node
		lo, hi = min(lo, out), max(hi, out)
	})
	return lo, hi
}

// currents is outputs for a current divider.
func currents(spec regulation.CurrentSpec, shunt, top, bottom resistors.Network,
	track [2]float64) (lo, hi float64) {
	off, bias := float64(spec.Offset), float64(spec.BiasCurrent)
	ranges := [][2]float64{{float64(spec.Vref.Low), float64(spec.Vref.High)}, {-off, off},
		{-bias, bias}, track}
	ranges = append(append(append(ranges, ends(shunt)...), ends(top)...), ends(bottom)...)
	lo, hi = math.Inf(1), math.Inf(-1)
	corners(ranges, func(v []float64) {
		rs, rest := wired(shunt, v[4:4+shunt.N]), v[4+shunt.N:]
		rt, rb := wired(top, rest[:top.N])+v[3], wired(bottom, rest[top.N:])
		level := (v[0]/rt + v[2]) / (1/rt + 1/rb) // current law at the tap
		lo, hi = min(lo, (level+v[1])/rs), max(hi, (level+v[1])/rs)
	})
	return lo, hi
}
