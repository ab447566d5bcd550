package regulation_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/catalog/si"
	"sparewright/substitute/regulation"
	"sparewright/substitute/regulation/resistors"
)

// legsByHand lists every leg of one or two parts a stock of pieces allows, apart from the code
// under test, except those in which a part shifts the value by less than half the tolerance of the
// leg.
func legsByHand(pieces []resistors.Piece) []resistors.Network {
	var out []resistors.Network
	for i := range pieces {
		out = append(out, resistors.Build(pieces, resistors.Single, 1, [3]int{i}))
		for j := i; j < len(pieces); j++ {
			if i == j && pieces[i].Count < 2 {
				continue
			}
			for _, w := range []resistors.Wiring{resistors.Series2, resistors.Parallel2} {
				n := resistors.Build(pieces, w, 2, [3]int{i, j})
				a, b := float64(pieces[i].Ohm), float64(pieces[j].Ohm)
				// share of the lesser part, in series and in parallel alike
				part := min(a, b) / (a + b)
				if part >= float64(n.High-n.Low)/4/float64(n.Ohm) {
					out = append(out, n)
				}
			}
		}
	}
	return out
}

func enough(pieces []resistors.Piece, nets ...resistors.Network) bool {
	need := make([]int, len(pieces))
	for _, n := range nets {
		for k := range n.N {
			need[n.Pieces[k]]++
		}
	}
	for i := range need {
		if need[i] > pieces[i].Count {
			return false
		}
	}
	return true
}

// place is a design's place in the stated order: span class, parts, margin in 0.1 %, divider
// current in octaves, margin in 0.01 %.
type place [5]int

func (p place) before(q place) bool {
	for i := range p {
		if p[i] != q[i] {
			return p[i] < q[i]
		}
	}
	return false
}

func placeOf(span float64, parts int, margin, current, top float64, trimmed bool) place {
	class := 0
	for _, limit := range []float64{0.05, 0.1, 0.2, 0.4, 0.8} {
		if span > limit {
			class++
		}
	}
	coarse := int(math.Floor(margin / 1e-3))
	if trimmed {
		coarse = min(coarse, 5)
	}
	return place{class, parts, -coarse, int(math.Floor(math.Log2(top/current) + 1e-9)),
		-int(math.Floor(margin / 1e-4))}
}

// placeVoltage judges a voltage design by enumerating all corners; false when it breaks a limit.
func placeVoltage(spec regulation.VoltageSpec, top, bottom resistors.Network,
	trimmer *resistors.TrimmerPiece) (place, bool) {
	set, limit := float64(spec.Set), float64(spec.Absolute)
	current := (set - 2.5) / float64(top.Ohm)
	if current < float64(spec.DividerCurrent.Low) || current > float64(spec.DividerCurrent.High) {
		return place{}, false
	}
	// Nominal is one of the builds the corners enclose, so a design whose nominal breaks a limit
	// need not be enumerated.
	floor := set
	if trimmer == nil {
		floor = float64(spec.Band.Low)
	}
	if v := 2.5 * (1 + float64(top.Ohm/bottom.Ohm)); v < floor || v > limit {
		return place{}, false
	}
	var margin, span float64
	if trimmer == nil {
		lo, hi := outputs(spec, top, bottom, [2]float64{})
		margin = min(min(limit, float64(spec.Band.High))-hi, lo-float64(spec.Band.Low)) / set
	} else {
		r, tol := float64(trimmer.Ohm), float64(trimmer.Tolerance)
		_, worst := outputs(spec, top, bottom, [2]float64{0, r * (1 + tol)})
		reach, _ := outputs(spec, top, bottom, [2]float64{0, float64(trimmer.End)})
		_, down := outputs(spec, top, bottom, [2]float64{r * (1 - tol), r * (1 + tol)})
		margin = min(limit-worst, reach-set, set-down) / set
		span = 2.5 * (float64(top.Ohm)/float64(bottom.Ohm) -
			float64(top.Ohm)/(float64(bottom.Ohm)+r)) / set
	}
	if margin < 0 {
		return place{}, false
	}
	return placeOf(span, top.N+bottom.N, margin, current, float64(spec.DividerCurrent.High),
		trimmer != nil), true
}

// ranked is every design there is, with and without trimmer, in the stated order. Designs of the
// same values count once.
func ranked(pieces []resistors.Piece, trimmers []resistors.TrimmerPiece,
	judge func(top, bottom resistors.Network, t *resistors.TrimmerPiece) (place,
		bool)) map[bool][]place {
	legs := legsByHand(pieces)
	options := []*resistors.TrimmerPiece{nil}
	for i := range trimmers {
		options = append(options, &trimmers[i])
	}
	type values struct {
		track si.Resistance
		legs  [2][3]si.Resistance
		how   [2]resistors.Wiring
	}
	best := map[values]place{}
	for _, tr := range options {
		for _, top := range legs {
			for _, bottom := range legs {
				p, ok := judge(top, bottom, tr)
				if !ok || !enough(pieces, top, bottom) {
					continue
				}
				key := values{legs: [2][3]si.Resistance{{top.Low, top.Ohm, top.High},
					{bottom.Low, bottom.Ohm, bottom.High}},
					how: [2]resistors.Wiring{top.Wiring, bottom.Wiring}}
				if tr != nil {
					key.track = tr.Ohm
				}
				if had, any := best[key]; !any || p.before(had) {
					best[key] = p
				}
			}
		}
	}
	out := map[bool][]place{}
	for key, p := range best {
		out[key.track > 0] = append(out[key.track > 0], p)
	}
	for _, list := range out {
		slices.SortFunc(list, func(p, q place) int { return slices.Compare(p[:], q[:]) })
	}
	return out
}

func anyPieces(t *rapid.T, lo, hi float64) []resistors.Piece {
	values := resistors.Preferred(false, lo, hi)
	var pieces []resistors.Piece
	for i := range rapid.IntRange(1, 8).Draw(t, "lots") {
		pieces = append(pieces, resistors.Piece{Lot: int64(i + 1),
			Ohm:       rapid.SampledFrom(values).Draw(t, "value"),
			Tolerance: rapid.SampledFrom([]si.Ratio{0.001, 0.002, 0.01, 0.05}).Draw(t, "tolerance"),
			Count:     rapid.IntRange(1, 3).Draw(t, "count"), Power: 0.25})
	}
	return pieces
}

func anyTrimmers(t *rapid.T) []resistors.TrimmerPiece {
	var out []resistors.TrimmerPiece
	for i := range rapid.IntRange(0, 2).Draw(t, "trimmers") {
		r := rapid.SampledFrom([]si.Resistance{100, 200, 500, 1e3, 2e3}).Draw(t, "track")
		out = append(out, resistors.TrimmerPiece{Lot: int64(50 + i), Ohm: r, Tolerance: 0.2,
			End: 0.01 * r, Count: 1})
	}
	return out
}

// No design of legs of one or two parts comes before the one returned, and when one exists at all,
// one is returned.
func TestVoltageSearchIsExact(t *testing.T) {
	found, none := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		pieces, trimmers := anyPieces(t, 1e3, 60e3), anyTrimmers(t)
		spec := regulation.VoltageSpec{Set: 16.8,
			Absolute: si.Voltage(rapid.SampledFrom([]float64{17, 17.5, 18, 20}).Draw(t,
				"absolute")),
			Vref: si.Around(si.Voltage(2.5),
				rapid.SampledFrom([]si.Ratio{0.001, 0.004, 0.01, 0.022}).Draw(t, "grade")),
			VrefNominal: 2.5,
			BiasCurrent: 50e-9, Offset: 1e-3, DividerCurrent: si.Interval[si.Current]{Low: 1e-4,
				High: 3e-3}}
		spec.Band = si.Interval[si.Voltage]{Low: 2*spec.Set - spec.Absolute, High: spec.Absolute}
		stock := resistors.NewStock(pieces)
		best := ranked(stock.Pieces, trimmers,
			func(top, bottom resistors.Network, tr *resistors.TrimmerPiece) (place, bool) {
				return placeVoltage(spec, top, bottom, tr)
			})
		out, short := regulation.DesignVoltage(spec, stock, trimmers)
		require.Equal(t, len(out) == 0, short.Missing)
		got := map[bool][]place{}
		for _, v := range out {
			require.True(t, enough(stock.Pieces, v.Top, v.Bottom))
			if v.Top.N > 2 || v.Bottom.N > 2 {
				require.Empty(t, best[v.HasTrimmer], "three parts where two do")
				continue
			}
			tr := &v.Trimmer
			if !v.HasTrimmer {
				tr = nil
			}
			p, ok := placeVoltage(spec, v.Top, v.Bottom, tr)
			require.True(t, ok, "breaks a limit")
			got[v.HasTrimmer] = append(got[v.HasTrimmer], p)
		}
		for trimmed, want := range best {
			require.Equal(t, want[:min(len(want), regulation.DesignsKept)], got[trimmed])
			found++
		}
		if len(best) == 0 {
			none++
		}
	})
	require.Greater(t, found, 10) // the property was put to the test
	require.Greater(t, none, 10)
}

// The same for the current, with one shunt, so that the order of shunts does not enter.
func TestCurrentSearchIsExact(t *testing.T) {
	found := 0
	rapid.Check(t, func(t *rapid.T) {
		pieces, trimmers := anyPieces(t, 300, 60e3), anyTrimmers(t)
		spec := regulation.CurrentSpec{Set: 1, LowLimit: 0.9,
			HighLimit: si.Current(rapid.SampledFrom([]float64{1.05, 1.1, 1.2}).Draw(t, "limit")),
			Vref: si.Around(si.Voltage(2.5),
				rapid.SampledFrom([]si.Ratio{0.001, 0.01, 0.022}).Draw(t, "grade")),
			VrefNominal: 2.5,
			BiasCurrent: 50e-9, Offset: 1e-3, SenseMin: 0.1, SenseMax: 0.3,
			Shunts: []resistors.Piece{
				{Lot: 90, Ohm: 0.22, Tolerance: 0.01, Count: 1, Power: 1}},
			DividerCurrent: si.Interval[si.Current]{Low: 5e-5, High: 1e-3}}
		stock := resistors.NewStock(pieces)
		shunt := resistors.Build(resistors.NewStock(spec.Shunts).Pieces,
			resistors.Single, 1, [3]int{})
		best := ranked(stock.Pieces, trimmers,
			func(top, bottom resistors.Network, tr *resistors.TrimmerPiece) (place, bool) {
				return placeCurrent(spec, shunt, top, bottom, tr)
			})
		out, short := regulation.DesignCurrent(spec, stock, trimmers)
		require.Equal(t, len(out) == 0, short.Missing)
		got := map[bool][]place{}
		for _, c := range out {
			require.True(t, enough(stock.Pieces, c.Top, c.Bottom))
			if c.Top.N > 2 || c.Bottom.N > 2 {
				continue
			}
			tr := &c.Trimmer
			if !c.HasTrimmer {
				tr = nil
			}
			p, ok := placeCurrent(spec, shunt, c.Top, c.Bottom, tr)
			require.True(t, ok, "breaks a limit")
			got[c.HasTrimmer] = append(got[c.HasTrimmer], p)
		}
		for trimmed, want := range best {
			require.Equal(t, want[:min(len(want), regulation.DesignsKept)], got[trimmed])
			found++
		}
	})
	require.Greater(t, found, 10)
}

// placeCurrent judges a current design by enumerating all corners; false when it breaks a limit.
func placeCurrent(spec regulation.CurrentSpec, shunt, top, bottom resistors.Network,
	trimmer *resistors.TrimmerPiece) (place, bool) {
	set := float64(spec.Set)
	draw := set * float64(shunt.Ohm) / float64(bottom.Ohm)
	if draw < float64(spec.DividerCurrent.Low) || draw > float64(spec.DividerCurrent.High) {
		return place{}, false
	}
	floor := set // as in placeVoltage
	if trimmer == nil {
		floor = float64(spec.LowLimit)
	}
	if i := 2.5 * float64(bottom.Ohm/(top.Ohm+bottom.Ohm)) / float64(shunt.Ohm); i < floor ||
		i > float64(spec.HighLimit) {
		return place{}, false
	}
	lo, hi := currents(spec, shunt, top, bottom, [2]float64{})
	margin := min(float64(spec.HighLimit)-hi, lo-float64(spec.LowLimit)) / set
	span := 0.0
	if trimmer != nil {
		r, tol := float64(trimmer.Ohm), float64(trimmer.Tolerance)
		_, worst := currents(spec, shunt, top, bottom, [2]float64{0, r * (1 + tol)})
		reach, _ := currents(spec, shunt, top, bottom, [2]float64{0, float64(trimmer.End)})
		_, down := currents(spec, shunt, top, bottom, [2]float64{r * (1 - tol), r * (1 + tol)})
		margin = min(float64(spec.HighLimit)-worst, reach-set, set-down) / set
		at := func(extra float64) float64 {
			return 2.5 * float64(bottom.Ohm) / (float64(top.Ohm) + extra + float64(bottom.Ohm)) /
				float64(shunt.Ohm)
		}
		span = (at(0) - at(r)) / set
	}
	if margin < 0 {
		return place{}, false
	}
	return placeOf(span, top.N+bottom.N, margin, draw, float64(spec.DividerCurrent.High),
		trimmer != nil), true
}
