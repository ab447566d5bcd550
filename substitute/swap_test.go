package substitute_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/complete"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/seats"
	"sparewright/substitute/swap"
)

// swapBuild is build 1 of four lithium-ion cells at 1 A from the built-in drawer.
func swapBuild(t *testing.T) (substitute.Target, inventory.Snapshot, *substitute.Build) {
	t.Helper()
	target, err := substitute.Target{Chemistry: "li-ion", Cells: 4, Current: 1, MainsMin: 195,
		MainsMax: 265, Line: 50, Case: substitute.Sealed, Ambient: 35}.Resolve(0)
	require.NoError(t, err)
	snapshot := exchange.Demo()
	r := advise.Advise(target, snapshot, advise.Options{Builds: 1})
	require.Equal(t, substitute.Feasible, r.Builds[0].Verdict)
	return target, snapshot, &r.Builds[0]
}

func standIn(t *testing.T, s swap.Swap, designation string) swap.StandIn {
	t.Helper()
	i := slices.IndexFunc(s.StandIns, func(x swap.StandIn) bool {
		return x.Designation == designation
	})
	require.GreaterOrEqual(t, i, 0, designation)
	return s.StandIns[i]
}

// The rectifier sees the highest pack voltage and the bus through the turns ratio, and may be used
// to 0.8 of its rating (AN-23 step 6). By hand: bus 265 V x sqrt 2 less two diodes of 0.7 V.
func TestSwapOfTheRectifierByHand(t *testing.T) {
	target, snapshot, b := swapBuild(t)
	s, err := swap.StandIns(target, snapshot, b, "output rectifier", 0)
	require.NoError(t, err)
	bus := 265*math.Sqrt2 - 2*0.7
	ratio := float64(b.Transformer.PrimaryTurns) / float64(b.Transformer.SecondaryTurns)
	need := (17.0 + bus/ratio) / 0.8
	low := standIn(t, s, "SB560")
	require.Equal(t, swap.SwapRefused, low.Verdict)
	require.Equal(t, "reverse", low.Binds.Parameter)
	require.Equal(t, 60.0, low.Binds.Value)
	require.InDelta(t, need, low.Binds.Limit, 0.005*need,
		"bridge drop differs from 0.7 V by a few tenths")
	require.Equal(t, "min", low.Binds.Sense)
	require.Nil(t, low.Margin)

	// 200 V is too little for the turns as they are; with fewer secondary turns it does, at the
	// price of margin.
	recomputed := standIn(t, s, "MUR420")
	require.Contains(t, []swap.SwapVerdict{swap.SwapRecomputed, swap.SwapWorse}, recomputed.Verdict)
	require.False(t, recomputed.Binds.Passed)
	require.Equal(t, 200.0, recomputed.Binds.Value)
	require.Equal(t, "turns", recomputed.Changes[0].What)
	// 1 A against 1 A / 0.7 = 1.43 A; 500 ns against 75 ns: nothing makes up for either.
	slow := standIn(t, s, "FR107")
	require.Equal(t, []any{swap.SwapRefused, "recovery", 500e-9, 75e-9, "max"},
		[]any{slow.Verdict, slow.Binds.Parameter, slow.Binds.Value, slow.Binds.Limit,
			slow.Binds.Sense})
	weak := standIn(t, s, "UF4007")
	require.Equal(t, swap.SwapRefused, weak.Verdict)
	require.InDelta(t, 1/0.7, weak.Binds.Limit, 1e-9)
	require.Equal(t, 1.0, weak.Binds.Value)
}

// Safety does not give way: isolation of 3750 V, a Y1 capacitor at the barrier, triple-insulated
// wire, no larger fuse. Limits from the table of substitutions with its sources.
func TestSwapKeepsTheBarrier(t *testing.T) {
	target, snapshot, b := swapBuild(t)
	for _, row := range []struct{ role, designation, parameter string }{
		{"optocoupler", "TLP521-1", "isolation"},
		{"Y capacitor", "Y2 2n2", "safety"},
		{"Y capacitor", "1n 1 kV", "safety"},
		{"X capacitor", "100n film 63 V", "safety"},
		{"wire, secondary", "enamelled 0.4 mm", "insulation"},
		{"mains fuse", "T2A H 250 V", "current"},
		{"voltage trimmer", "4k7 carbon", "track"},
	} {
		s, err := swap.StandIns(target, snapshot, b, row.role, 0)
		require.NoError(t, err)
		x := standIn(t, s, row.designation)
		require.Equal(t, swap.SwapRefused, x.Verdict, row.designation)
		require.Equal(t, row.parameter, x.Binds.Parameter, row.designation)
		require.True(t, x.Binds.Hard)
	}
	x := func(role, name string) swap.StandIn {
		s, err := swap.StandIns(target, snapshot, b, role, 0)
		require.NoError(t, err)
		return standIn(t, s, name)
	}
	require.Equal(t, []float64{2500, 3750},
		[]float64{x("optocoupler", "TLP521-1").Binds.Value,
			x("optocoupler", "TLP521-1").Binds.Limit})
	require.Equal(t, []float64{2, 1}, []float64{x("mains fuse", "T2A H 250 V").Binds.Value,
		x("mains fuse", "T2A H 250 V").Binds.Limit})
}

// The very same part from another bin changes nothing, whatever its place.
func TestSwapForItsTwinIsTheSame(t *testing.T) {
	target, snapshot, b := swapBuild(t)
	const twin = 9999
	for _, p := range b.Parts {
		l, ok := snapshot.Lot(p.Lot)
		require.True(t, ok)
		l.ID, l.Bin, l.Note = twin, "another", "twin"
		with := inventory.Snapshot{Lots: append(slices.Clone(snapshot.Lots), l)}
		s := &swap.Swapper{Target: target, Snapshot: with.Sorted(), Build: b}
		at, err := s.Find(p.Role.Base().String(), p.Lot)
		require.NoError(t, err)
		x := s.Judge(at, l)
		require.Equal(t, swap.SwapSame, x.Verdict, "%s: %+v", p.Role, x)
		require.Empty(t, x.Changes, p.Role)
		require.InDelta(t, mustMargin(b), *x.Margin, 0.01, p.Role)
	}
}

func mustMargin(b *substitute.Build) float64 { margin, _ := swap.SmallestMargin(b); return margin }

// What the figures refuse for good, the search refuses too, so that the needs written down for swap
// are those of the search. The fuse is the exception: the search may choose a larger one.
func TestSwapRefusesWhatTheSearchRefuses(t *testing.T) {
	target, snapshot, b := swapBuild(t)
	s := &swap.Swapper{Target: target, Snapshot: snapshot.Sorted(), Build: b}
	looked, met, every := 0, 0, 5
	if long() {
		every = 1
	}
	for _, p := range b.Parts {
		at, err := s.Find(p.Role.Base().String(), p.Lot)
		require.NoError(t, err)
		if at.Part.Kind() == catalog.KindResistor && at.Role != seats.BulkBleed {
			continue // a hundred lots in seven places; their limits are the networks themselves
		}
		for _, l := range snapshot.Usable().ByKind(at.Part.Kind()) {
			if met++; met%every != 0 && l.ID != at.Lot {
				continue
			}
			_, failed, _ := s.Hold(at, swap.Completed(l))
			if l.ID == at.Lot {
				require.Empty(t, failed.Parameter, "%s refuses the part that is in it", at.Role)
			}
			if failed.Parameter == "" || failed.Redo != "" || failed.Guide ||
				at.Role == seats.MainsFuse {
				continue
			}
			found, _ := s.Force(at, l)
			// the search may take it with other turns, which ask less of it
			require.True(t, found == nil || found.Transformer.PrimaryTurns != b.Transformer.PrimaryTurns ||
				found.Transformer.SecondaryTurns != b.Transformer.SecondaryTurns,
				"%s: %s refused for %s, yet the search takes it", at.Role, l.Part.Designation(),
				failed.Parameter)
			looked++
		}
	}
	require.Greater(t, looked, 200/every)
}

// Every limit that is held has its rule in the table, which says what side is safe and whether it
// refuses.
func TestNeedsHaveRules(t *testing.T) {
	target, snapshot, b := swapBuild(t)
	s := &swap.Swapper{Target: target, Snapshot: snapshot.Sorted(), Build: b}
	for _, p := range b.Parts {
		at, err := s.Find(p.Role.Base().String(), p.Lot)
		require.NoError(t, err)
		for _, n := range s.Needs(at, at.Part) {
			rule, ok := catalog.SubstitutionFor(at.Part.Kind(), at.Role.String(), n.Field)
			require.True(t, ok, "%s %s", at.Role, n.Field)
			switch {
			case n.Words != nil:
				require.Equal(t, catalog.SafeEqual, rule.Safe, rule.Name)
			case math.IsNaN(n.High):
				require.Equal(t, catalog.SafeAbove, rule.Safe, rule.Name)
			case math.IsNaN(n.Low):
				require.Contains(t, []string{catalog.SafeBelow, catalog.SafeWithin},
					rule.Safe, rule.Name)
			default:
				require.Contains(t, []string{catalog.SafeWithin, catalog.SafeAbove},
					rule.Safe, rule.Name)
			}
		}
	}
}

func TestSwapDoesNotDependOnTheOrderOfLots(t *testing.T) {
	target, snapshot, b := swapBuild(t)
	want, err := swap.StandIns(target, snapshot, b, "core pair", 0)
	require.NoError(t, err)
	rng := rand.New(rand.NewPCG(1, 2))
	for range 3 {
		mixed := inventory.Snapshot{Lots: slices.Clone(snapshot.Lots)}
		rng.Shuffle(len(mixed.Lots), func(i, j int) {
			mixed.Lots[i], mixed.Lots[j] = mixed.Lots[j], mixed.Lots[i]
		})
		got, err := swap.StandIns(target, mixed, b, "core pair", 0)
		require.NoError(t, err)
		require.Equal(t, want, got)
	}
}

func TestSwapFaults(t *testing.T) {
	target, snapshot, b := swapBuild(t)
	several := slices.Clone(b.Parts)
	several = append(several, substitute.PartUse{Role: seats.Shim, Lot: 36, Source: "drawer",
		Quantity: 1, Unit: "piece"},
		substitute.PartUse{Role: seats.ProtectionZener, Lot: several[0].Lot, Source: "drawer",
			Quantity: 1, Unit: "piece"},
		substitute.PartUse{Role: seats.Adapter, Source: "buy", Quantity: 1, Unit: "piece"})
	twice := *b
	twice.Parts = several
	for _, row := range []struct {
		role string
		lot  int64
		says string
	}{
		{"flux capacitor", 0, "no such part in this build"},
		{"shim", 0, "is made of several lots"},
		{"", several[0].Lot, "serves several places: core pair; protection zener"},
		{"", 9999, "has no such place"},
		{"adapter", 0, "is to be bought"},
	} {
		_, err := swap.StandIns(target, snapshot, &twice, row.role, row.lot)
		require.ErrorContains(t, err, row.says)
	}
	_, err := swap.StandIns(target, snapshot, &twice, "shim", 36)
	require.NoError(t, err)
}

// By hand from the figures of the drawer: 3 A, 60 V, Schottky.
func TestSwapOutsideABuild(t *testing.T) {
	v60, a3, a4 := 60.0, 3.0, 4.0
	wanted := []swap.Wanted{{Field: "reverse", Low: &v60}, {Field: "average", Low: &a3},
		{Field: "technology", Words: []string{"schottky"}},
		{Field: "forward", High: &v60}}
	o := swap.StandInsOutside(catalog.KindRectifier, wanted, exchange.Demo())
	for _, x := range o.StandIns {
		l, _ := exchange.Demo().Lot(x.Lot)
		p := complete.Part(inventory.Effective(l)).(catalog.Rectifier)
		good := p.Technology == "schottky" && p.Reverse.Value >= 60 && p.Average.Value >= 3
		require.Equal(t, good, x.Verdict != swap.SwapRefused, "%s: %+v", x.Designation, x)
	}
	require.True(t, o.Wanted[0].Hard)
	require.False(t, o.Wanted[3].Hard, "forward voltage is soft in the table")
	least := 0.1
	o = swap.StandInsOutside(catalog.KindRectifier,
		[]swap.Wanted{{Field: "forward", High: &least},
			{Field: "average", Low: &a4}}, exchange.Demo())
	for _, x := range o.StandIns {
		require.Contains(t, []swap.SwapVerdict{swap.SwapWorse, swap.SwapRefused}, x.Verdict,
			"no diode drops 0.1 V")
	}
}
