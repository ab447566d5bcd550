package regulation_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog/si"
	"sparewright/substitute/regulation"
	"sparewright/substitute/regulation/resistors"
)

// one is a leg of a single resistor.
func oneOf(t *testing.T, ohm si.Resistance, tol si.Ratio) resistors.Network {
	n, ok := resistors.NewStock([]resistors.Piece{
		{Lot: 1, Ohm: ohm, Tolerance: tol, Power: 0.25, Count: 1}}).
		Best(si.Interval[si.Resistance]{Low: ohm / 2, High: 2 * ohm}, 1)
	require.True(t, ok)
	return n
}

// By hand. Reference 2.500 V, top 11.40 kohm as measured, bottom 2.000 kohm in series with a
// trimmer of 100 ohm, all exact.
//
//	upper stop  2.5 (1 + 11400/2000) = 16.7500 V     lower stop  2.5 (1 + 11400/2100) = 16.0714 V
//
// so that 16.8 V is out of reach. What the drawer has, in parallel with the bottom leg:
//
//	100 k 2000 || 100000 = 1960.78 2.5 (1 + 11400/1960.78) = 17.0350 V: above the limit of 17 V,
//	      never offered
//	220 k 2000 || 220000 = 1981.98 2.5 (1 + 11400/1981.98) = 16.8795 V; lower 2.5 (1 +
//	      11400/2081.98) = 16.1889 V
//
// 12 k in place of the top gives 2.5 (1 + 12000/2000) = 17.5 V. In series 100 k or 220 k are far
// too much, as is 12 k beside the bottom: 2.5 (1 + 11400/1714.29) = 19.1 V. The margin of 220 k is
// 16.8795 - 16.8 = 79.5 mV, 0.473 % of 16.8 V.
func TestSwapByHand(t *testing.T) {
	spec := regulation.VoltageSpec{Set: 16.8, Absolute: 17, Vref: si.Exactly(si.Voltage(2.5))}
	trimmer := resistors.TrimmerPiece{Ohm: 100, Count: 1}
	top, agrees, err := oneOf(t, 11.3e3, 0.01).Read(0, si.Exactly(si.Resistance(11.4e3)))
	require.NoError(t, err)
	require.True(t, agrees, "11.3 k, 1 % reaches to 11.413 k")
	now := regulation.CheckVoltage(spec, top, oneOf(t, 2e3, 0), &trimmer)
	require.InDelta(t, 16.75, float64(now.SetHigh), 1e-9)
	require.InDelta(t, 16.0714, float64(now.SetLow), 5e-5)
	stock := resistors.NewStock(
		[]resistors.Piece{{Lot: 7, Ohm: 100e3, Count: 1}, {Lot: 8, Ohm: 220e3, Count: 1},
			{Lot: 9, Ohm: 12e3, Count: 1}},
	)
	swaps := regulation.VoltageSwaps(spec, now, regulation.Ends[si.Voltage]{}, stock)
	require.Len(t, swaps, 1)
	s := swaps[0]
	require.False(t, s.Top)
	require.Equal(t, resistors.InParallel, s.How)
	require.EqualValues(t, 8, s.In.Lot)
	require.Equal(t, "2k || 220k", s.Leg.String())
	require.InDelta(t, 16.8795, float64(s.Upper), 5e-5)
	require.InDelta(t, 16.1889, float64(s.Lower), 1e-4)
	require.InDelta(t, 0.00473, float64(s.Margin), 1e-5)

	// A limit 1 mV below what 220 k gives leaves nothing.
	spec.Absolute = 16.8785
	require.Empty(t, regulation.VoltageSwaps(spec, now, regulation.Ends[si.Voltage]{}, stock))
	// None left of it, none offered.
	spec.Absolute = 17
	stock = resistors.NewStock([]resistors.Piece{{Lot: 7, Ohm: 100e3, Count: 1},
		{Lot: 9, Ohm: 12e3, Count: 1}})
	require.Empty(t, regulation.VoltageSwaps(spec, now, regulation.Ends[si.Voltage]{}, stock))
}

// By hand. Reference 2.500 V, shunt 0.22 ohm, top 1100 ohm with a trimmer of 100 ohm, bottom 100
// ohm, all exact.
//
//	upper stop  2.5 x 100/1200/0.22 = 0.94697 A     lower stop  2.5 x 100/1300/0.22 = 0.87413 A
//
// so that 1 A is out of reach. 12 k beside the top: 1100 || 12000 = 1007.63; upper 2.5 x
// 100/1107.63/0.22 = 1.02594 A, lower 2.5 x 100/1207.63/0.22 = 0.94098 A.
func TestCurrentSwapByHand(t *testing.T) {
	spec := regulation.CurrentSpec{
		Set:       1,
		HighLimit: 1.25,
		Vref:      si.Exactly(si.Voltage(2.5)),
		Shunts:    []resistors.Piece{{Ohm: 0.22, Count: 1}},
	}
	trimmer := resistors.TrimmerPiece{Ohm: 100, Count: 1}
	now := regulation.CheckCurrent(spec, oneOf(t, 0.22, 0), oneOf(t, 1100, 0),
		oneOf(t, 100, 0), &trimmer)
	require.InDelta(t, 0.94697, float64(now.High), 1e-5)
	swaps := regulation.CurrentSwaps(
		spec,
		now,
		regulation.Ends[si.Current]{},
		resistors.NewStock([]resistors.Piece{{Lot: 5, Ohm: 12e3, Power: 0.25, Count: 1}}),
	)
	require.Len(t, swaps, 1)
	require.True(t, swaps[0].Top)
	require.InDelta(t, 1.02594, float64(swaps[0].Upper), 1e-5)
	require.InDelta(t, 0.94098, float64(swaps[0].Lower), 1e-5)
}

// somewhere is a value within its interval; a corner one time out of two.
func somewhere(r *rand.Rand, low, high float64) float64 {
	switch r.IntN(4) {
	case 0:
		return low
	case 1:
		return high
	}
	return low + (high-low)*r.Float64()
}

// realLeg draws the resistance of a leg of one or two parts and of the same leg after a swap. Ohm's
// law, no code of ours.
func realLeg(w resistors.Wiring, v []float64) float64 {
	switch w {
	case resistors.Series2:
		return v[0] + v[1]
	case resistors.Parallel2:
		return 1 / (1/v[0] + 1/v[1])
	case resistors.Series3:
		return v[0] + v[1] + v[2]
	case resistors.Parallel3:
		return 1 / (1/v[0] + 1/v[1] + 1/v[2])
	case resistors.SeriesParallel:
		return v[0] + 1/(1/v[1]+1/v[2])
	case resistors.ParallelSeries:
		return 1 / (1/v[0] + 1/(v[1]+v[2]))
	}
	return v[0]
}

// exact is the same stock without tolerances.
func exact(pieces []resistors.Piece) []resistors.Piece {
	out := slices.Clone(pieces)
	for i := range out {
		out[i].Tolerance = 0
	}
	return out
}

// Whatever the parts really are inside their tolerances, with the set points read at the stops
// within the error of the meter, after any swap offered the set points lie inside the ends it
// states: none above the limit, the set point between the stops. The truth is Kirchhoff's law at
// the node, worked out here.
func TestSwapKeepsItsPromise(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2026))
	pieces := []resistors.Piece{{Lot: 1, Ohm: 12e3, Tolerance: 0.01, Count: 2},
		{Lot: 2, Ohm: 2e3, Tolerance: 0.001, Count: 2},
		{
			Lot:       3,
			Ohm:       47e3,
			Tolerance: 0.01,
			Count:     2,
		}, {Lot: 4, Ohm: 100e3, Tolerance: 0.01, Count: 2},
		{Lot: 5, Ohm: 220e3, Tolerance: 0.05, Count: 2},
		{
			Lot:       6,
			Ohm:       150,
			Tolerance: 0.01,
			Count:     2,
		}, {Lot: 7, Ohm: 470, Tolerance: 0.01, Count: 2},
		{Lot: 8, Ohm: 11e3, Tolerance: 0.005, Count: 2},
		{Lot: 9, Ohm: 330e3, Tolerance: 0.01, Count: 2}, {Lot: 10, Ohm: 33,
			Tolerance: 0.01, Count: 2}}
	stocks := [2]resistors.Stock{resistors.NewStock(pieces), resistors.NewStock(exact(pieces))}
	tried := 0
	for range 3000 {
		stock, meter, most := stocks[r.IntN(2)], []float64{1e-6, 1e-3}[r.IntN(2)],
			[]float64{50e-9, 5e-6}[r.IntN(2)]
		topOhm := si.Resistance(10.5e3 + 1.5e3*r.Float64())
		top, bottom := oneOf(t, topOhm, si.Ratio(0.003*r.Float64())),
			oneOf(t, 2e3, si.Ratio(0.003*r.Float64()))
		trimmer := resistors.TrimmerPiece{Ohm: 200, Tolerance: 0.1, End: 2, Count: 1}
		spec := regulation.VoltageSpec{
			Set:         16.8,
			Absolute:    17.1,
			Vref:        si.Around(si.Voltage(2.495), si.Ratio(0.004*r.Float64())),
			Offset:      2e-3,
			BiasCurrent: si.Current(most),
		}
		// the truth
		vref, off, bias := somewhere(
			r,
			float64(spec.Vref.Low),
			float64(spec.Vref.High),
		), somewhere(
			r,
			-2e-3,
			2e-3,
		), somewhere(
			r,
			-most,
			most,
		)
		track, end := somewhere(r, 180, 220), somewhere(r, 0, 2)
		draw := func(ohm, tol float64) float64 { return somewhere(r, ohm*(1-tol), ohm*(1+tol)) }
		realTop, realBottom := draw(float64(top.Ohm), float64(top.Tolerance)),
			draw(2e3, float64(bottom.Tolerance))
		volts := func(top, bottom float64) float64 {
			v := vref + off
			return v +
				top*(v/bottom+bias)
		}
		var read regulation.Ends[si.Voltage]
		if r.IntN(3) > 0 {
			read.High = si.Around(si.Voltage(
				volts(realTop, realBottom+end)*(1+meter*(2*r.Float64()-1))), si.Ratio(1.1*meter))
		}
		if r.IntN(3) > 0 {
			read.Low = si.Around(si.Voltage(
				volts(realTop, realBottom+track)*(1+meter*(2*r.Float64()-1))), si.Ratio(1.1*meter))
		}
		now := regulation.CheckVoltage(spec, top, bottom, &trimmer)
		for _, s := range regulation.VoltageSwaps(spec, now, read, stock) {
			tried++
			v := make([]float64, s.Leg.N)
			// the new piece, in place, beside or in line, drawn; the old one as it really is
			for k := range v {
				v[k] = draw(float64(s.In.Ohm), float64(s.In.Tolerance))
				if s.How != resistors.InPlace && k == 0 {
					v[k] = realBottom
					if s.Top {
						v[k] = realTop
					}
				}
			}
			a, b := realTop, realLeg(s.Leg.Wiring, v)
			if s.Top {
				a, b = b, realBottom
			}
			high, low := volts(a, b+end), volts(a, b+track)
			require.LessOrEqual(t, high, float64(s.Ends.High.High)+1e-9, "%+v", s)
			require.GreaterOrEqual(t, high, float64(s.Ends.High.Low)-1e-9, "%+v", s)
			require.LessOrEqual(t, low, float64(s.Ends.Low.High)+1e-9, "%+v", s)
			require.GreaterOrEqual(t, low, float64(s.Ends.Low.Low)-1e-9, "%+v", s)
			require.LessOrEqual(t, high, 17.1, "%+v", s)
			require.True(t, low <= 16.8 && high >= 16.8, "%+v", s)
		}
	}
	t.Logf("%d swaps held against Kirchhoff's law", tried)
	require.Greater(t, tried, 2000)
}

// The same for the current; the level is the node of reference, both legs and bias current.
func TestCurrentSwapKeepsItsPromise(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 2026))
	pieces := []resistors.Piece{
		{Lot: 1, Ohm: 1e3, Tolerance: 0.01, Power: 0.25, Count: 2},
		{Lot: 2, Ohm: 12e3, Tolerance: 0.01, Power: 0.25, Count: 2},
		{
			Lot:       3,
			Ohm:       100,
			Tolerance: 0.001,
			Power:     0.25,
			Count:     2,
		},
		{Lot: 4, Ohm: 33e3, Tolerance: 0.05, Power: 0.25, Count: 2},
		{Lot: 5, Ohm: 47, Tolerance: 0.01, Power: 0.25, Count: 2},
		{Lot: 6, Ohm: 1.5e3, Tolerance: 0.01, Power: 0.25, Count: 2},
		{Lot: 7, Ohm: 4.7, Tolerance: 0.05, Power: 0.25, Count: 2},
	}
	stocks := [2]resistors.Stock{resistors.NewStock(pieces), resistors.NewStock(exact(pieces))}
	tried := 0
	for range 3000 {
		stock, meter, loose := stocks[r.IntN(2)], []float64{1e-6, 1e-2}[r.IntN(2)],
			[]float64{0, 1}[r.IntN(2)]
		top, bottom := oneOf(
			t,
			si.Resistance(850+400*r.Float64()),
			si.Ratio(loose*0.01*r.Float64()),
		), oneOf(
			t,
			100,
			si.Ratio(loose*0.005*r.Float64()),
		)
		shunt := oneOf(t, 0.22, 0.01)
		trimmer := resistors.TrimmerPiece{Ohm: 200, Tolerance: 0.1, End: 2, Count: 1}
		spec := regulation.CurrentSpec{
			Set:         1,
			HighLimit:   1.25,
			Vref:        si.Around(si.Voltage(2.495), 0.004),
			Offset:      2e-3,
			BiasCurrent: 100e-9,
			Shunts:      []resistors.Piece{{Ohm: 0.22, Tolerance: 0.01, Count: 1, Power: 1}},
		}
		vref, off, bias := somewhere(
			r,
			float64(spec.Vref.Low),
			float64(spec.Vref.High),
		), somewhere(
			r,
			-2e-3,
			2e-3,
		), somewhere(
			r,
			-100e-9,
			100e-9,
		)
		track, end := somewhere(r, 180, 220), somewhere(r, 0, 2)
		draw := func(ohm, tol float64) float64 { return somewhere(r, ohm*(1-tol), ohm*(1+tol)) }
		realTop, realBottom, realShunt := draw(
			float64(top.Ohm),
			float64(top.Tolerance),
		), draw(
			100,
			float64(bottom.Tolerance),
		), draw(
			0.22,
			0.01,
		)
		amps := func(top, bottom float64) float64 {
			return ((vref/top+bias)/(1/top+1/bottom) + off) / realShunt
		}
		var read regulation.Ends[si.Current]
		if r.IntN(3) > 0 {
			read.High = si.Around(si.Current(
				amps(realTop+end, realBottom)*(1+meter*(2*r.Float64()-1))), si.Ratio(1.1*meter))
		}
		if r.IntN(3) > 0 {
			read.Low = si.Around(si.Current(
				amps(realTop+track, realBottom)*(1+meter*(2*r.Float64()-1))), si.Ratio(1.1*meter))
		}
		now := regulation.CheckCurrent(spec, shunt, top, bottom, &trimmer)
		for _, s := range regulation.CurrentSwaps(spec, now, read, stock) {
			tried++
			v := make([]float64, s.Leg.N)
			for k := range v {
				v[k] = draw(float64(s.In.Ohm), float64(s.In.Tolerance))
				if s.How != resistors.InPlace && k == 0 {
					v[k] = realBottom
					if s.Top {
						v[k] = realTop
					}
				}
			}
			a, b := realTop, realLeg(s.Leg.Wiring, v)
			if s.Top {
				a, b = b, realBottom
			}
			high, low := amps(a+end, b), amps(a+track, b)
			require.True(t, high <= float64(s.Ends.High.High)+1e-9 &&
				high >= float64(s.Ends.High.Low)-1e-9, "%g %+v", high, s)
			require.True(t, low <= float64(s.Ends.Low.High)+1e-9 &&
				low >= float64(s.Ends.Low.Low)-1e-9, "%g %+v", low, s)
			require.True(t, high <= 1.25 && low <= 1 && high >= 1, "%+v", s)
		}
	}
	t.Logf("%d swaps held against Kirchhoff's law", tried)
	require.Greater(t, tried, 2000)
}

// Reading a leg: what was known and what was read must both hold; where they exclude each other
// both stay possible.
func TestReadingALeg(t *testing.T) {
	stock := resistors.NewStock(
		[]resistors.Piece{{Lot: 1, Ohm: 2e3, Tolerance: 0.001, Count: 1},
			{Lot: 2, Ohm: 49.9e3, Tolerance: 0.001, Count: 1}},
	)
	// 2000 || 49900 = 1922.93
	leg, ok := stock.Best(si.Interval[si.Resistance]{Low: 1910, High: 1935}, 2)
	require.True(t, ok)
	// A meter of 1 % does not widen 0.1 %.
	m, agrees, err := leg.Read(0, si.Around(si.Resistance(2.005e3), 0.01))
	require.NoError(t, err)
	require.True(t, agrees)
	require.InDelta(t, 0.001, float64(m.Tolerances[0]), 1e-12)
	// 2001 ohm within 0.02 %: 2000.6 to 2001.4 lies inside 1998 to 2002.
	m, _, err = leg.Read(0, si.Around(si.Resistance(2001), 0.0002))
	require.NoError(t, err)
	require.InDelta(t, 2001, float64(m.Values[0]), 1e-9)
	require.InDelta(t, 1/(1/2001.0+1/49.9e3), float64(m.Ohm), 1e-9)
	// 45 k in place of 49.9 k: from 2000 || 45000 to 2000 || 49900, tolerances on top.
	m, agrees, err = leg.Read(1, si.Around(si.Resistance(45e3), 0.01))
	require.NoError(t, err)
	require.False(t, agrees)
	require.InDelta(t, 1/(1/1998.0+1/44.55e3), float64(m.Low), 1e-6)
	require.InDelta(t, 1/(1/2002.0+1/(49.9e3*1.001)), float64(m.High), 1e-6)
	// The whole leg off: nobody knows which part it is, so it counts as one.
	m, agrees, err = leg.Read(-1, si.Around(si.Resistance(1880), 0.001))
	require.NoError(t, err)
	require.False(t, agrees)
	require.Equal(t, 1, m.N)
	require.InDelta(t, 1880*0.999, float64(m.Low), 1e-9)
	require.InDelta(t, float64(leg.High), float64(m.High), 1e-9)
	_, _, err = leg.Read(2, si.Exactly(si.Resistance(1)))
	require.Error(t, err)
	require.False(t, math.IsNaN(float64(m.Ohm)))
}
