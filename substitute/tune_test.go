package substitute_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/magnetics"
	"sparewright/substitute/seats"
	"sparewright/substitute/swap"
	"sparewright/substitute/tune"
)

// onBench takes one build of a target to the bench.
func onBench(t *testing.T, drawer inventory.Snapshot, cells int, amps si.Current, rank int,
) (*tune.Tuner, *substitute.Build) {
	t.Helper()
	return onBenchWith(t, drawer, cells, amps,
		func(b *substitute.Build) bool { return b.Rank == rank })
}

// onBenchWith takes the first build that suits.
func onBenchWith(t *testing.T, drawer inventory.Snapshot, cells int, amps si.Current,
	suits func(*substitute.Build) bool,
) (*tune.Tuner, *substitute.Build) {
	t.Helper()
	target, err := substitute.Target{Chemistry: "li-ion", Cells: cells, Current: amps,
		MainsMin: 195, MainsMax: 265, Line: 50,
		Case: substitute.Sealed, Ambient: 35}.Resolve(0)
	require.NoError(t, err)
	w := advise.NewWorkbench(drawer)
	builds := w.Advise(target, advise.Options{Builds: 1000}).Builds
	i := slices.IndexFunc(builds, func(b substitute.Build) bool { return suits(&b) })
	require.GreaterOrEqual(t, i, 0)
	u, ok := tune.NewTuner(w, target, &builds[i])
	require.True(t, ok)
	return u, &builds[i]
}

func asBuilt(l si.Inductance, meter si.Ratio) tune.Bench {
	return tune.Bench{Stacks: []tune.StackReading{
		{AsBuilt: true, Inductance: magnetics.Within(l, meter)}}}
}

// Every build from the drawer can be taken to the bench, whatever else the drawer holds; one that
// needs parts cannot.
func TestEveryBuildHasATuner(t *testing.T) {
	target, err := substitute.Target{Chemistry: "li-ion", Cells: 4, Current: 1, MainsMin: 195,
		MainsMax: 265, Line: 50,
		Case: substitute.Sealed, Ambient: 35}.Resolve(0)
	require.NoError(t, err)
	w := advise.NewWorkbench(exchange.Demo())
	builds := w.Advise(target, advise.Options{Builds: 1000}).Builds
	for i := range builds {
		_, ok := tune.NewTuner(w, target, &builds[i])
		require.Equal(t, builds[i].Verdict == substitute.Feasible, ok, "build %d", builds[i].Rank)
	}
}

// The verdict is arithmetic on the walls and the meter error: with 2 % a reading is good from
// wall/0.98 to wall/1.02.
func TestVerdictAtTheWalls(t *testing.T) {
	u, b := onBench(t, exchange.Demo(), 4, 1, 1)
	low, high := b.Transformer.WallPower, b.Transformer.WallSaturation
	for _, c := range []struct {
		l       si.Inductance
		verdict string
	}{
		{low * 0.9, tune.TuneLow}, {low * 0.999, tune.TuneLow}, {low * 1.001, tune.TuneUnsure},
		{low * 1.019, tune.TuneUnsure}, {low * 1.022, tune.TuneGood}, {high * 0.979, tune.TuneGood},
		{high * 0.985, tune.TuneUnsure}, {high * 1.001, tune.TuneHigh}, {high * 1.5, tune.TuneHigh},
	} {
		x, err := u.Tune(asBuilt(c.l, 0.02))
		require.NoError(t, err)
		require.Equal(t, c.verdict, x.Inductance.Verdict, "%g H", float64(c.l))
		require.Equal(t, c.verdict != tune.TuneGood, x.Inductance.Next != nil)
		require.True(t, x.Helped)
	}
	// A better meter settles what a worse one leaves open.
	x, err := u.Tune(asBuilt(low*1.01, 0.005))
	require.NoError(t, err)
	require.Equal(t, tune.TuneGood, x.Inductance.Verdict)
}

// Too much inductance asks for more film, too little for less: thickness by the figures noted.
func TestNextStackGoesTheRightWay(t *testing.T) {
	u, b := onBench(t, exchange.Demo(), 4, 1, 1)
	for factor, more := range map[si.Inductance]bool{1.2: true, 0.8: false} {
		wall := b.Transformer.WallSaturation
		if !more {
			wall = b.Transformer.WallPower
		}
		x, err := u.Tune(asBuilt(wall*factor, 0.02))
		require.NoError(t, err)
		require.Equal(t, more, x.Inductance.Next.Shim > b.Gap.Shim)
		n := x.Inductance.Next
		require.True(t, n.Low < n.Inductance && n.Inductance < n.High)
		require.Greater(t, float64(n.Chance), 0.5)
	}
}

// Every stack proposed is made of films of the drawer that may lie in a gap, and the changes lead
// from the old stack to it.
func TestNextStackIsOfTheDrawer(t *testing.T) {
	u, b := onBench(t, exchange.Demo(), 4, 1, 2)
	films := map[int64]catalog.Film{}
	for _, l := range exchange.Demo().Lots {
		if f, is := l.Part.(catalog.Film); is {
			films[l.ID] = f
		}
	}
	for factor := si.Inductance(0.5); factor < 2; factor *= 1.1 {
		x, err := u.Tune(asBuilt(b.Transformer.Inductance*factor, 0.02))
		require.NoError(t, err)
		if x.Inductance.Next == nil {
			continue
		}
		count := map[int64]int{}
		for _, l := range b.Gap.Layers {
			count[l.Lot] += l.Count
		}
		for _, c := range x.Inductance.Next.Changes {
			count[c.Lot] += c.Layers
		}
		for _, l := range x.Inductance.Next.Layers {
			require.Equal(t, "yes", films[l.Lot].Shim, l.Designation)
			require.Equal(t, l.Count, count[l.Lot])
			count[l.Lot] = 0
		}
		for lot, n := range count {
			require.Zero(t, n, "lot %d", lot)
		}
	}
}

// With thin film alone in the drawer a core that reads far too much cannot be brought down: a film
// to buy is named, one of the published tables that may lie in a gap, and nothing in stock helps.
func TestNoStackReachesBuyFilm(t *testing.T) {
	var poor inventory.Snapshot
	for _, l := range exchange.Demo().Lots {
		if f, is := l.Part.(catalog.Film); is && f.Shim == "yes" &&
			f.Designation() != "polyester film 75 um" {
			continue
		}
		poor.Lots = append(poor.Lots, l)
	}
	u, b := onBench(t, poor, 4, 1, 1)
	x, err := u.Tune(asBuilt(b.Transformer.Inductance*1.5, 0.02))
	for f := si.Inductance(1.6); err == nil && x.Inductance.Buy == nil && f < 4; f *= 1.1 {
		x, err = u.Tune(asBuilt(b.Transformer.Inductance*f, 0.02))
	}
	require.NoError(t, err)
	i := x.Inductance
	require.NotNil(t, i.Buy, "from half as much again to four times as much nothing was to buy")
	require.Equal(t, tune.TuneHigh, i.Verdict)
	require.False(t, x.Helped, "%+v", i.Next)
	require.Nil(t, i.Next)
	require.Len(t, i.Buy.Layers, 1)
	f, _, known := catalog.Lookup(catalog.KindFilm, i.Buy.Layers[0].Designation)
	require.True(t, known)
	require.Equal(t, "yes", f.(catalog.Film).Shim)
	require.Greater(t, float64(i.Buy.Shim), float64(b.Gap.Shim))
	require.True(t, i.Buy.Inductance > b.Transformer.WallPower &&
		i.Buy.Inductance < b.Transformer.WallSaturation)
}

// A pair with a ground gap that reads too little without any film: film takes inductance away, so
// the turns must change. More of them: the inductance goes with their square and the gap stays, so
// that N'/N is about the root of what is wanted over what was read; the ratio of the windings is
// kept.
func TestNoStackReachesWindAnew(t *testing.T) {
	ground := func(b *substitute.Build) bool { return len(b.Gap.Layers) == 0 && b.Gap.Ground > 0 }
	u, b := onBenchWith(t, exchange.Demo(), 2, 0.5, ground)
	read := b.Transformer.WallPower * 0.9
	x, err := u.Tune(asBuilt(read, 0.02))
	require.NoError(t, err)
	i := x.Inductance
	require.Equal(t, tune.TuneLow, i.Verdict)
	require.False(t, x.Helped, "%+v", i.Next)
	require.Nil(t, i.Next)
	require.Nil(t, i.Buy)
	require.NotNil(t, i.Turns)
	w := i.Turns
	ratio := float64(b.Transformer.PrimaryTurns) / float64(b.Transformer.SecondaryTurns)
	require.InDelta(t, 1, float64(w.Primary)/float64(w.Secondary)/ratio, 0.02)
	require.Greater(t, w.Primary, b.Transformer.PrimaryTurns)
	require.Empty(t, w.Stack.Layers)
	n := float64(w.Primary) / float64(b.Transformer.PrimaryTurns)
	require.InDelta(t, 1, float64(w.Stack.Inductance)/(float64(read)*n*n), 0.03,
		"meter 2 %, clamping 1 %")
	require.True(t, w.Stack.Inductance > w.WallPower && w.Stack.Inductance < w.WallSaturation)
}

// clampOf is the suppressor of a build, with what the tables know of it.
func clampOf(t *testing.T, b *substitute.Build) catalog.Clamp {
	t.Helper()
	used := usesOf(b, seats.DrainClamp.String())
	require.Len(t, used, 1)
	lots := exchange.Demo().Lots
	i := slices.IndexFunc(lots, func(l inventory.Lot) bool { return l.ID == used[0].Lot })
	require.GreaterOrEqual(t, i, 0)
	return swap.Completed(lots[i]).(catalog.Clamp)
}

// By hand: the clamp burns the energy of the leakage, P = L I^2/2 f Vc/(Vc - VR), and a little more
// than with the figures of the build, because that power crosses the core as well and raises the
// peak: at most 15 % here. The peak is highest with the least inductance, as it has not been read:
// in discontinuous mode L I^2/2 f is the power through the core, so that I^2 f/2 = P/L. The drain
// sees the highest bus and the suppressor at its highest, which drifts up with its own heat and
// with what that heat, again at most 15 % more, adds to the air in the case: no more a watt than
// the case warms on the whole, since the rise of a case flattens. The limit is the steady rating of
// the clamp.
func TestLeakageByHand(t *testing.T) {
	u, b := onBench(t, exchange.Demo(), 4, 1, 1)
	limit := swap.CheckNamed(b, substitute.ChkClampPower).Limit
	require.Positive(t, limit)
	require.Equal(t, "discontinuous", b.Stage.Mode)
	suppressor := clampOf(t, b)
	rise := float64(suppressor.Breakdown.Value) * (1 + float64(suppressor.Tolerance.Value)) * // V/W
		float64(suppressor.Drift.Value) * float64(suppressor.JunctionAir.Value)
	require.Positive(t, rise)
	inCase := (float64(b.Inside) - 35) / float64(totalOf(b.Losses)) // K/W
	clamp, reflected := float64(b.Drawing.ClampLow), float64(b.Transformer.Reflected)
	power := func(leak float64) float64 {
		return leak * float64(b.Stage.Throughput/si.Power(b.Transformer.InductanceLow)) * clamp /
			(clamp - reflected)
	}
	cool, err := u.Tune(tune.Bench{Leakage: magnetics.Give(si.Inductance(0.5*limit/power(1)), 0)})
	require.NoError(t, err)
	for _, share := range []float64{0.7, 1.05, 1.5} { // of the limit
		leak := share * limit / power(1)
		x, err := u.Tune(tune.Bench{Leakage: magnetics.Give(si.Inductance(leak), 0)})
		require.NoError(t, err)
		s := x.Stage
		require.InDelta(t, leak, float64(s.Leakage), 1e-12)
		require.InDelta(t, 1.07*share*limit, float64(s.ClampPower), 0.08*share*limit)
		require.InDelta(t, limit, float64(s.ClampLimit), 1e-9)
		hotter := rise * float64(s.ClampPower-cool.Stage.ClampPower)
		require.Positive(t, hotter)
		higher := float64(s.DrainPeak-cool.Stage.DrainPeak) / hotter
		require.GreaterOrEqual(t, higher, 1-1e-9)
		require.LessOrEqual(t, higher, 1+1.15*inCase/float64(suppressor.JunctionAir.Value))
		require.Equal(t, share < 1, s.Holds)
		require.Equal(t, s.Holds || s.Swap != nil, x.Helped)
		if !s.Holds {
			require.Contains(t, s.Broken[0].Name, "clamp power")
		}
	}
}

// Whatever is read, a swap proposed keeps every corner below the limit, brings the set point
// between the stops, and takes a part that the drawer has beside those of the build.
func TestSwapsAreSafeAndInStock(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 2026))
	swaps := 0
	for _, q := range []struct {
		cells int
		amps  si.Current
	}{{4, 1}, {2, 1}, {3, 0.5}} {
		u, b := onBench(t, exchange.Demo(), q.cells, q.amps, 1)
		used := map[int64]float64{}
		for _, p := range b.Parts {
			used[p.Lot] += p.Quantity
		}
		stock := map[int64]float64{}
		for _, l := range exchange.Demo().Lots {
			stock[l.ID] = l.Available()
		}
		for range 40 {
			off := func(half float64) float64 { return 1 + half*(2*r.Float64()-1) }
			set := b.Regulation
			shift := off(0.04)
			bench := tune.Bench{
				Reference: magnetics.Within(set.Reference*si.Voltage(off(0.01)), 0.001),
				SetVoltages: []tune.SetReading[si.Voltage]{
					{End: tune.AtHigh, Value: magnetics.Within(set.SetHigh*si.Voltage(shift),
						0.001)},
					{End: tune.AtLow, Value: magnetics.Within(set.SetLow*si.Voltage(shift),
						0.001)}},
				Legs: []tune.LegReading{
					{Role: seats.DividerTop,
						Ohm: magnetics.Within(set.Top*si.Resistance(off(0.03)), 0.002)}},
			}
			x, err := u.Tune(bench)
			require.NoError(t, err)
			for _, s := range []*tune.SetTuning{x.Voltage, x.Current} {
				if s == nil || s.Swap == nil {
					continue
				}
				swaps++
				require.LessOrEqual(t, s.Swap.WorstHigh, s.Limit)
				require.LessOrEqual(t, s.Swap.ReachLow, s.Set)
				require.GreaterOrEqual(t, s.Swap.ReachHigh, s.Set)
				require.Greater(t, stock[s.Swap.Lot]-used[s.Swap.Lot], 0.99, "lot %d", s.Swap.Lot)
			}
			if x.Voltage.WorstHigh > x.Voltage.Limit {
				require.Equal(t, tune.TuneBroken, x.Voltage.Verdict)
			}
		}
	}
	t.Logf("%d swaps", swaps)
	require.Greater(t, swaps, 20)
}

// Where the drawer holds no resistor beside those of the build there is no swap, although one of
// the build's own would do.
func TestSwapTakesNothingOfTheBuild(t *testing.T) {
	u, b := onBench(t, exchange.Demo(), 4, 1, 1)
	used := map[int64]float64{}
	for _, p := range b.Parts {
		used[p.Lot] += p.Quantity
	}
	var bare inventory.Snapshot
	for _, l := range exchange.Demo().Lots {
		if _, is := l.Part.(catalog.Resistor); is {
			if used[l.ID] == 0 {
				continue
			}
			l.Count = used[l.ID]
		}
		bare.Lots = append(bare.Lots, l)
	}
	v, again := onBench(t, bare, 4, 1, 1)
	for i, n := range b.Regulation.Networks {
		require.Equal(t, n.Parts, again.Regulation.Networks[i].Parts,
			"the same build from fewer parts")
	}
	swaps := 0
	for _, n := range b.Regulation.Networks {
		if !slices.Contains(tune.LegRoles(), n.Role) {
			continue
		}
		for part := 1; part <= n.Network.N; part++ {
			for _, off := range []si.Resistance{0.85, 0.9, 0.95, 0.98, 1.02, 1.05, 1.1, 1.15} {
				read := magnetics.Within(n.Network.Values[part-1]*off, 0.002)
				bench := tune.Bench{Legs: []tune.LegReading{{Role: n.Role, Part: part, Ohm: read}}}
				full, err := u.Tune(bench)
				require.NoError(t, err)
				none, err := v.Tune(bench)
				require.NoError(t, err)
				for _, s := range []*tune.SetTuning{full.Voltage, full.Current} {
					if s != nil && s.Swap != nil {
						swaps++
					}
				}
				for _, s := range []*tune.SetTuning{none.Voltage, none.Current} {
					require.True(t, s == nil || s.Swap == nil, "%s part %d", n.Role, part)
				}
			}
		}
	}
	require.Positive(t, swaps, "the full drawer has some")
}

// Readings that cannot be used are refused by the name of the option.
func TestBenchFaults(t *testing.T) {
	u, _ := onBench(t, exchange.Demo(), 4, 1, 1)
	l := magnetics.Within(si.Inductance(300e-6), 0.02)
	ohm := magnetics.Within(si.Resistance(11e3), 0.01)
	for option, bench := range map[string]tune.Bench{
		"reading": {Stacks: []tune.StackReading{{Layers: []tune.LayerReading{{Lot: 1, Count: 1}},
			Inductance: l}}},
		"resistor": {Legs: []tune.LegReading{{Role: seats.DividerTop, Part: 2, Ohm: ohm}}},
	} {
		_, err := u.Tune(bench)
		var fault tune.BenchFault
		require.ErrorAs(t, err, &fault)
		require.Equal(t, option, fault.Option)
	}
	_, err := u.Tune(tune.Bench{Legs: []tune.LegReading{{Role: seats.Bridge, Ohm: ohm}}})
	require.Error(t, err)
}
