package substitute_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/magnetics"
)

// onBench takes one build of a target to the bench.
func onBench(t *testing.T, drawer inventory.Snapshot, cells int, amps si.Current, rank int) (*substitute.Tuner, *substitute.Build) {
	t.Helper()
	target, err := substitute.Target{Chemistry: "li-ion", Cells: cells, Current: amps, MainsMin: 195, MainsMax: 265, Line: 50,
		Case: substitute.Sealed, Ambient: 35}.Resolve(0)
	require.NoError(t, err)
	w := substitute.NewWorkbench(drawer)
	builds := w.Advise(target, substitute.Options{Builds: 1000}).Builds
	require.GreaterOrEqual(t, len(builds), rank)
	u, ok := w.NewTuner(target, &builds[rank-1])
	require.True(t, ok)
	return u, &builds[rank-1]
}

func asBuilt(l si.Inductance, meter si.Ratio) substitute.Bench {
	return substitute.Bench{Stacks: []substitute.StackReading{{AsBuilt: true, Inductance: magnetics.Within(l, meter)}}}
}

// Every build from the drawer can be taken to the bench, whatever else the drawer holds; one that needs parts cannot.
func TestEveryBuildHasATuner(t *testing.T) {
	target, err := substitute.Target{Chemistry: "li-ion", Cells: 4, Current: 1, MainsMin: 195, MainsMax: 265, Line: 50,
		Case: substitute.Sealed, Ambient: 35}.Resolve(0)
	require.NoError(t, err)
	w := substitute.NewWorkbench(exchange.Demo())
	builds := w.Advise(target, substitute.Options{Builds: 1000}).Builds
	for i := range builds {
		_, ok := w.NewTuner(target, &builds[i])
		require.Equal(t, builds[i].Verdict == substitute.Feasible, ok, "build %d", builds[i].Rank)
	}
}

// The verdict is arithmetic on the walls and the meter error: with 2 % a reading is good from wall/0.98 to wall/1.02.
func TestVerdictAtTheWalls(t *testing.T) {
	u, b := onBench(t, exchange.Demo(), 4, 1, 1)
	low, high := b.Transformer.WallPower, b.Transformer.WallSaturation
	for _, c := range []struct {
		l       si.Inductance
		verdict string
	}{
		{low * 0.9, substitute.TuneLow}, {low * 0.999, substitute.TuneLow}, {low * 1.001, substitute.TuneUnsure}, {low * 1.019, substitute.TuneUnsure},
		{low * 1.022, substitute.TuneGood}, {high * 0.979, substitute.TuneGood}, {high * 0.985, substitute.TuneUnsure},
		{high * 1.001, substitute.TuneHigh}, {high * 1.5, substitute.TuneHigh},
	} {
		x, err := u.Tune(asBuilt(c.l, 0.02))
		require.NoError(t, err)
		require.Equal(t, c.verdict, x.Inductance.Verdict, "%g H", float64(c.l))
		require.Equal(t, c.verdict != substitute.TuneGood, x.Inductance.Next != nil)
		require.True(t, x.Helped)
	}
	// A better meter settles what a worse one leaves open.
	x, err := u.Tune(asBuilt(low*1.01, 0.005))
	require.NoError(t, err)
	require.Equal(t, substitute.TuneGood, x.Inductance.Verdict)
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

// Every stack proposed is made of films of the drawer that may lie in a gap, and the changes lead from the old stack to it.
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

// With thin film alone in the drawer a core that reads two and a half times too much cannot be brought down: a film to buy is
// named, one of the published tables that may lie in a gap, and nothing in stock helps.
func TestNoStackReachesBuyFilm(t *testing.T) {
	var poor inventory.Snapshot
	for _, l := range exchange.Demo().Lots {
		if f, is := l.Part.(catalog.Film); is && f.Shim == "yes" && f.Designation() != "polyester film 75 um" {
			continue
		}
		poor.Lots = append(poor.Lots, l)
	}
	u, b := onBench(t, poor, 4, 1, 1)
	x, err := u.Tune(asBuilt(b.Transformer.Inductance*2.45, 0.02))
	require.NoError(t, err)
	i := x.Inductance
	require.Equal(t, substitute.TuneHigh, i.Verdict)
	require.False(t, x.Helped, "%+v", i.Next)
	require.Nil(t, i.Next)
	require.Len(t, i.Buy.Layers, 1)
	f, known := catalog.FilmNamed(i.Buy.Layers[0].Designation)
	require.True(t, known)
	require.Equal(t, "yes", f.Shim)
	require.Greater(t, float64(i.Buy.Shim), float64(b.Gap.Shim))
	require.True(t, i.Buy.Inductance > b.Transformer.WallPower && i.Buy.Inductance < b.Transformer.WallSaturation)
}

// A pair with a ground gap that reads too little without any film: film takes inductance away, so the turns must change. More of
// them: the inductance goes with their square and the gap stays, so that N'/N is about the root of what is wanted over what was
// read; the ratio of the windings is kept.
func TestNoStackReachesWindAnew(t *testing.T) {
	u, b := onBench(t, exchange.Demo(), 3, 0.5, 60)
	require.Empty(t, b.Gap.Layers)
	read := b.Transformer.WallPower * 0.9
	x, err := u.Tune(asBuilt(read, 0.02))
	require.NoError(t, err)
	i := x.Inductance
	require.Equal(t, substitute.TuneLow, i.Verdict)
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
	require.InDelta(t, 1, float64(w.Stack.Inductance)/(float64(read)*n*n), 0.02, "within the error of the meter")
	require.True(t, w.Stack.Inductance > w.WallPower && w.Stack.Inductance < w.WallSaturation)
}

// By hand, build 1 of four cells at 1 A: a leakage of 12 uH within 5 % counts as 12.6 uH. Peak 1.39 A at 66 kHz, reflected
// 64.8 V, suppressor 150 V 5 % at 142.9 V:
//
//	P = 12.6e-6 x 1.39^2/2 x 66e3 x 142.9/(142.9 - 64.8) = 0.803 x 1.830 = 1.47 W
//
// and a little more, because the clamp's own power crosses the core as well: at most a tenth. The clamp bears 1.2 W. The drain
// sees 265 sqrt 2 - 1.4 = 373.4 V and 150 x 1.05 x 1.05 = 165.4 V, together 538.7 V, whatever the leakage.
func TestLeakageByHand(t *testing.T) {
	u, b := onBench(t, exchange.Demo(), 4, 1, 1)
	require.Equal(t, "FSDM0565RB", b.Switcher.Designation)
	x, err := u.Tune(substitute.Bench{Leakage: magnetics.Within(si.Inductance(12e-6), 0.05)})
	require.NoError(t, err)
	s := x.Stage
	require.InDelta(t, 12.6e-6, float64(s.Leakage), 1e-12)
	require.Greater(t, float64(s.ClampPower), 1.46)
	require.Less(t, float64(s.ClampPower), 1.47*1.1)
	require.InDelta(t, 1.2, float64(s.ClampLimit), 1e-9)
	require.InDelta(t, 538.7, float64(s.DrainPeak), 0.5)
	require.False(t, s.Holds)
	require.Equal(t, "clamp power", s.Broken[0].Name[:11])
	require.False(t, x.Helped && s.Swap == nil)

	x, err = u.Tune(substitute.Bench{Leakage: magnetics.Within(si.Inductance(4e-6), 0.05)})
	require.NoError(t, err)
	require.True(t, x.Stage.Holds)
	require.True(t, x.Helped)
}

// Whatever is read, a swap proposed keeps every corner below the limit, brings the set point between the stops, and takes a part
// that the drawer has beside those of the build.
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
			bench := substitute.Bench{
				Reference: magnetics.Within(set.Reference*si.Voltage(off(0.01)), 0.001),
				SetVoltages: []substitute.SetReading[si.Voltage]{
					{End: substitute.AtHigh, Value: magnetics.Within(set.SetHigh*si.Voltage(shift), 0.001)},
					{End: substitute.AtLow, Value: magnetics.Within(set.SetLow*si.Voltage(shift), 0.001)}},
				Legs: []substitute.LegReading{{Role: "divider top", Ohm: magnetics.Within(set.Top*si.Resistance(off(0.03)), 0.002)}},
			}
			x, err := u.Tune(bench)
			require.NoError(t, err)
			for _, s := range []*substitute.SetTuning{x.Voltage, x.Current} {
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
				require.Equal(t, substitute.TuneBroken, x.Voltage.Verdict)
			}
		}
	}
	t.Logf("%d swaps", swaps)
	require.Greater(t, swaps, 20)
}

// Where the drawer holds no resistor beside those of the build there is no swap, although one of the build's own would do.
func TestSwapTakesNothingOfTheBuild(t *testing.T) {
	bench := substitute.Bench{Legs: []substitute.LegReading{{Role: "divider bottom", Part: 2, Ohm: magnetics.Within(si.Resistance(45e3), 0.005)}}}
	u, b := onBench(t, exchange.Demo(), 4, 1, 1)
	x, err := u.Tune(bench)
	require.NoError(t, err)
	require.NotNil(t, x.Voltage.Swap)
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
		require.Equal(t, n.Parts, again.Regulation.Networks[i].Parts, "the same build from fewer parts")
	}
	x, err = v.Tune(bench)
	require.NoError(t, err)
	require.Nil(t, x.Voltage.Swap)
}

// Readings that cannot be used are refused by the name of the option.
func TestBenchFaults(t *testing.T) {
	u, _ := onBench(t, exchange.Demo(), 4, 1, 1)
	l := magnetics.Within(si.Inductance(300e-6), 0.02)
	ohm := magnetics.Within(si.Resistance(11e3), 0.01)
	for option, bench := range map[string]substitute.Bench{
		"reading":  {Stacks: []substitute.StackReading{{Layers: []substitute.LayerReading{{Lot: 1, Count: 1}}, Inductance: l}}},
		"resistor": {Legs: []substitute.LegReading{{Role: "divider top", Part: 2, Ohm: ohm}}},
	} {
		_, err := u.Tune(bench)
		var fault substitute.BenchFault
		require.ErrorAs(t, err, &fault)
		require.Equal(t, option, fault.Option)
	}
	_, err := u.Tune(substitute.Bench{Legs: []substitute.LegReading{{Role: "chimney", Ohm: ohm}}})
	require.Error(t, err)
}
