package report_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/substitute/advise"
	"sparewright/substitute/report/netlist"
	"sparewright/substitute/report/sheet"
	"sparewright/testdata/outside"
)

// The regulation gone at full current into a full pack, by ngspice, for every usual charger: the
// lead to the pack opens within a millisecond (common practice, no source), the pack's terminals
// stand above its limit for no longer than that, the pack gets nothing any more and the converter
// runs to its ceiling.
func TestProtectionOpensAgainstSimulator(t *testing.T) {
	outside.Need(t, "ngspice")
	t.Parallel()
	for _, e := range soundBuilds(t) {
		b := &e.build
		p := b.Regulation.Protection
		require.NotZero(t, p.Trip, e.target.Name)
		out := simulate(t, netlist.ProtectionDeck(e.target, b))
		require.Less(t, printed(t, out, "opened"), 1e-3, e.target.Name)
		require.Greater(t, printed(t, out, "out_at"), float64(p.Trip), e.target.Name)
		require.Less(t, printed(t, out, "over"), 1e-3, e.target.Name)
		require.Less(t, printed(t, out, "left"), 1e-3*float64(e.target.Current), e.target.Name)
		require.Greater(t, printed(t, out, "out_end"), float64(e.target.Absolute), e.target.Name)
	}
}

// Every row of the single faults leaves the pack below its absolute limit.
func TestNoSingleFaultOvercharges(t *testing.T) {
	rows := 0
	for _, e := range soundBuilds(t) {
		for _, f := range sheet.FaultLines(e.target, &e.build) {
			require.LessOrEqual(t, float64(f.Pack), float64(e.target.Absolute), "%s: %s %s",
				e.target.Name, f.Part, f.Kind)
			rows++
		}
	}
	require.Greater(t, rows, 40*len(soundBuilds(t)))
}

// Where no protection works there is no build: one cell is too little for reference and LED, ten
// are more than the 36 V of a TL431 (TI SLVS543S). The refusal names the limit.
func TestWithoutProtectionThereIsNoBuild(t *testing.T) {
	for cells, check := range map[int]string{1: "LED current of the overvoltage protection",
		10: "pack voltage after the worst single fault"} {
		target := usualCharger(t, "li-ion", "", cells, 0.5, 195)
		r := wideBench().Advise(target, advise.Options{Drawer: true, Refused: 1000})
		require.Empty(t, r.Builds, cells)
		named := false
		for _, why := range r.Refused {
			named = named || why.Check == check
		}
		require.True(t, named, "%d cells", cells)
	}
}
