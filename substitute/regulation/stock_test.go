package regulation_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/catalog/si"
	"sparewright/substitute/regulation"
	"sparewright/substitute/regulation/resistors"
)

func TestNetworkText(t *testing.T) {
	pieces := []resistors.Piece{{Lot: 7, Ohm: 10e3, Count: 3}, {Lot: 8, Ohm: 47e3, Count: 3},
		{Lot: 9, Ohm: 4.7e3, Count: 3}}
	for want, n := range map[string]resistors.Network{
		"10k":                resistors.Build(pieces, resistors.Single, 1, [3]int{0}),
		"10k + 4k7":          resistors.Build(pieces, resistors.Series2, 2, [3]int{0, 2}),
		"10k || 10k":         resistors.Build(pieces, resistors.Parallel2, 2, [3]int{0, 0}),
		"10k + 47k + 4k7":    resistors.Build(pieces, resistors.Series3, 3, [3]int{0, 1, 2}),
		"47k || 47k || 47k":  resistors.Build(pieces, resistors.Parallel3, 3, [3]int{1, 1, 1}),
		"10k + (47k || 47k)": resistors.Build(pieces, resistors.SeriesParallel, 3, [3]int{0, 1, 1}),
		"47k || (10k + 4k7)": resistors.Build(pieces, resistors.ParallelSeries, 3, [3]int{1, 0, 2}),
		"none":               {},
	} {
		require.Equal(t, want, n.String())
	}
	require.Equal(t, []resistors.Use{{Lot: 7, Ohm: 10e3, Count: 1}, {Lot: 8, Ohm: 47e3, Count: 2}},
		resistors.Build(pieces, resistors.SeriesParallel, 3, [3]int{0, 1, 1}).Uses())
}

// The letter code of IEC 60062 for values.
func TestValueText(t *testing.T) {
	for r, want := range map[si.Resistance]string{0.22: "0R22", 4.7: "4R7", 470: "470R",
		4.7e3: "4k7", 10e3: "10k", 9987: "9k987",
		2.2e6: "2M2", 0.047: "0R047", 999.96: "1k", 12.34e3: "12k34", 0: "0R"} {
		require.Equal(t, want, resistors.ValueText(r))
	}
}

// Shares of voltage, current and power follow from Kirchhoff's laws: the parts together take what
// the network takes.
func TestLoad(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := anyNetwork(t, "leg", 10, 1e4)
		pieces := make([]resistors.Piece, 3)
		for k := range n.N {
			pieces[k] = resistors.Piece{Ohm: n.Values[k], Power: 0.25}
		}
		volts := rapid.Float64Range(0.1, 50).Draw(t, "volts")
		load := n.Load(pieces, si.Voltage(volts))
		near(t, float64(load.Total), volts*volts/float64(n.Ohm), 1e-9)
		require.LessOrEqual(t, float64(load.Share)*0.25, float64(load.Total)*(1+1e-12))
		require.GreaterOrEqual(t, float64(load.Share)*0.25*float64(n.N),
			float64(load.Total)*(1-1e-12))
		require.True(t, load.VoltageOK)
	})
	// 10 V over 100 + 300 in series: 2.5 V and 62.5 mW, 7.5 V and 187.5 mW. The second stands 5 V
	// only.
	pieces := []resistors.Piece{{Ohm: 100, Count: 1}, {Ohm: 300, Count: 1, Power: 0.5, Volts: 5}}
	load := resistors.Build(pieces, resistors.Series2, 2, [3]int{0, 1}).Load(pieces, 10)
	near(t, load.Share, 1, 1e-12) // the first counts as 1/16 W
	require.False(t, load.VoltageOK)
	require.True(t, resistors.Build(pieces, resistors.Series2, 2,
		[3]int{0, 1}).Load(pieces, 6).VoltageOK)
}

func TestBest(t *testing.T) {
	stock := resistors.NewStock([]resistors.Piece{{Lot: 1, Ohm: 1e3, Tolerance: 0.01, Count: 2},
		{Lot: 2, Ohm: 2.2e3, Tolerance: 0.05, Count: 1},
		{Lot: 3, Ohm: -1, Count: 4}, {Lot: 4, Ohm: 3.3e3, Count: 0}})
	require.Len(t, stock.Pieces, 2)
	n, ok := stock.Best(si.Interval[si.Resistance]{Low: 900, High: 2.5e3}, 3)
	require.True(t, ok)
	// both lie inside; 1.5k is the geometric middle, 1.5 times 1k and 1.47 times less than 2k2
	require.Equal(t, "2k2", n.String())
	n, ok = stock.Best(si.Interval[si.Resistance]{Low: 1.95e3, High: 2.05e3}, 2)
	require.True(t, ok)
	require.Equal(t, "1k + 1k", n.String())
	_, ok = stock.Best(si.Interval[si.Resistance]{Low: 1.95e3, High: 2.05e3}, 1)
	require.False(t, ok)
	_, ok = stock.Without(n).Best(si.Interval[si.Resistance]{Low: 900, High: 1.1e3}, 2)
	require.False(t, ok, "both 1k are gone")
	_, ok = stock.WithoutLots([]resistors.Use{{Lot: 1, Ohm: 1e3, Count: 1}}).Best(
		si.Interval[si.Resistance]{Low: 1.95e3, High: 2.05e3}, 2)
	require.False(t, ok, "one 1k is gone")
	n, ok = stock.Best(si.Interval[si.Resistance]{Low: 470, High: 530}, 3,
		func(resistors.Stock, resistors.Network) bool { return false })
	require.False(t, ok, "the filter refused %v", n)
	n, ok = stock.Best(si.Interval[si.Resistance]{Low: 660, High: 720}, 3)
	require.True(t, ok)
	// 687.5; the two 1k beside the 2k2 give 2k2 || (1k+1k) = 1047 or 407
	require.Equal(t, "1k || 2k2", n.String())
	require.False(t, stock.Holds(n, n))
}

// A whole regulation network never takes more of a lot than there is, and never counts a lot twice.
func TestBuildKeepsToTheCounts(t *testing.T) {
	built := 0
	rapid.Check(t, func(t *rapid.T) {
		pieces := anyPieces(t, 100, 60e3)
		stock := resistors.NewStock(pieces)
		volt, _ := regulation.DesignVoltage(
			regulation.VoltageSpec{Set: 14.6, Absolute: 15.6,
				Vref: si.Around(si.Voltage(2.5), 0.004)}, stock, nil)
		if len(volt) == 0 {
			return
		}
		nets := []resistors.Network{volt[0].Top, volt[0].Bottom}
		left := stock.Without(nets[0]).Without(nets[1])
		shunts := []resistors.Piece{{Lot: 90, Ohm: 0.22, Tolerance: 0.01, Count: 1, Power: 1}}
		amp, _ := regulation.DesignCurrent(
			regulation.CurrentSpec{Set: 1, HighLimit: 1.2, Vref: si.Around(si.Voltage(2.5), 0.004),
				Shunts:   shunts,
				SenseMin: 0.1, SenseMax: 0.3, DividerCurrent: si.Interval[si.Current]{Low: 5e-5,
					High: 2e-3}}, left, nil)
		if len(amp) > 0 {
			nets = append(nets, amp[0].Top, amp[0].Bottom)
			left = left.Without(amp[0].Top).Without(amp[0].Bottom)
		}
		bias, short := regulation.DesignBias(
			regulation.BiasSpec{Supply: si.Interval[si.Voltage]{Low: 8, High: 15}, Vref: 2.5,
				CathodeMin: 1e-3,
				CathodeMax: 50e-3}, left)
		if !short.Missing {
			nets = append(nets, bias.Resistor)
			built++
		}
		used := map[int64]int{}
		for _, n := range nets {
			for _, u := range n.Uses() {
				used[u.Lot] += u.Count
			}
		}
		for _, p := range pieces {
			require.LessOrEqual(t, used[p.Lot], p.Count)
		}
		require.True(t, stock.Holds(nets...))
	})
	require.Greater(t, built, 5)
}

// A shunt lot that is in the divider's stock too is not used twice.
func TestShuntIsNotUsedTwice(t *testing.T) {
	shunt := resistors.Piece{Lot: 1, Ohm: 100, Tolerance: 0.01, Count: 1, Power: 1}
	rest := resistors.Piece{Lot: 2, Ohm: 2.4e3, Tolerance: 0.01, Count: 1, Power: 1}
	spec := regulation.CurrentSpec{Set: 1e-3, HighLimit: 1.2e-3, Vref: si.Exactly(si.Voltage(2.5)),
		Shunts: []resistors.Piece{shunt}, SenseMin: 0.09, SenseMax: 0.11,
		DividerCurrent: si.Interval[si.Current]{Low: 0.5e-3, High: 2e-3}}
	// 100 ohm below 2.4k would give the 100 mV
	out, _ := regulation.DesignCurrent(spec,
		resistors.NewStock([]resistors.Piece{shunt, rest}), nil)
	require.Empty(t, out)
	shunt.Count = 2
	spec.Shunts[0].Count = 2
	out, _ = regulation.DesignCurrent(spec, resistors.NewStock([]resistors.Piece{shunt, rest}), nil)
	require.NotEmpty(t, out)
}

// The order of the input changes nothing.
func TestOrderOfInputDoesNotMatter(t *testing.T) {
	pieces, trimmers := seriesStock(0.001, 2), trimmerSet()
	for i := range pieces { // a second lot of every third value, looser
		if i%3 == 0 {
			p := pieces[i]
			p.Lot, p.Tolerance = p.Lot+500, 0.05
			pieces = append(pieces, p)
		}
	}
	volt := regulation.VoltageSpec{Set: 16.8, Absolute: 17, Vref: si.Around(si.Voltage(2.5), 0.001)}
	amp := regulation.CurrentSpec{Set: 1, HighLimit: 1.1, Vref: si.Around(si.Voltage(2.5), 0.001),
		SenseMin: 0.1, SenseMax: 0.5, Offset: 1e-3}
	for i, r := range []si.Resistance{0.1, 0.22, 0.33, 0.47, 1} {
		amp.Shunts = append(amp.Shunts, resistors.Piece{Lot: int64(700 + i), Ohm: r,
			Tolerance: 0.01, Count: 3, Power: 1})
	}
	wantV, _ := regulation.DesignVoltage(volt, resistors.NewStock(pieces), trimmers)
	wantI, _ := regulation.DesignCurrent(amp, resistors.NewStock(pieces), trimmers)
	require.Len(t, wantV, 2*regulation.DesignsKept)
	require.NotEmpty(t, wantI)
	rng := rand.New(rand.NewPCG(3, 4))
	for range 3 {
		pieces, trimmers, amp.Shunts = slices.Clone(pieces), slices.Clone(trimmers),
			slices.Clone(amp.Shunts)
		rng.Shuffle(len(pieces), func(i, j int) { pieces[i], pieces[j] = pieces[j], pieces[i] })
		rng.Shuffle(len(trimmers), func(i, j int) {
			trimmers[i], trimmers[j] = trimmers[j], trimmers[i]
		})
		rng.Shuffle(len(amp.Shunts), func(i, j int) {
			amp.Shunts[i], amp.Shunts[j] = amp.Shunts[j], amp.Shunts[i]
		})
		gotV, _ := regulation.DesignVoltage(volt, resistors.NewStock(pieces), trimmers)
		gotI, _ := regulation.DesignCurrent(amp, resistors.NewStock(pieces), trimmers)
		require.Equal(t, wantV, gotV)
		require.Equal(t, wantI, gotI)
	}
}

// A big drawer keeps at most 400 pieces for pairs, every value among them before any value a second
// time.
func TestSpread(t *testing.T) {
	var pieces []resistors.Piece
	for lot := range 10 {
		pieces = append(pieces, seriesStock(si.Ratio(lot+1)/100, 1)...)
	}
	stock := resistors.NewStock(pieces)
	chosen := resistors.Spread(stock.Pieces, resistors.PairPieces)
	require.Len(t, chosen, resistors.PairPieces)
	tightest := 0
	for _, i := range chosen {
		if stock.Pieces[i].Tolerance == 0.01 {
			tightest++
		}
		require.LessOrEqual(t, stock.Pieces[i].Tolerance, si.Ratio(0.03))
	}
	require.Equal(t, len(pieces)/10, tightest)
	require.True(t, slices.IsSorted(chosen))
}
