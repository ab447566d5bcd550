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
	"sparewright/substitute/plan"
	"sparewright/substitute/seats"
)

func planTarget(t *testing.T, cells int, current si.Current) substitute.Target {
	t.Helper()
	target, err := substitute.Target{Chemistry: "li-ion", Cells: cells, Current: current,
		MainsMin: 195, MainsMax: 265, Line: 50, Case: substitute.Sealed,
		Ambient: 35}.Resolve(0)
	require.NoError(t, err)
	return target
}

// scarceDrawer is the built-in drawer with a few switchers and cores, and not more of some parts
// than a few builds take.
func scarceDrawer(switchers, cores []string, few map[catalog.Kind]float64) inventory.Snapshot {
	var out inventory.Snapshot
	used := map[catalog.Kind]float64{}
	for _, l := range exchange.Demo().Lots {
		k := l.Part.Kind()
		if k == catalog.KindTransformer || k == catalog.KindAdapter {
			continue // what is reused whole takes no core
		}
		if k == catalog.KindSwitcher && !slices.Contains(switchers, l.Part.Designation()) ||
			k == catalog.KindCore && !slices.Contains(cores, l.Part.Designation()) {
			continue
		}
		if k == catalog.KindSwitcher || k == catalog.KindCore {
			l.Count = 1
		}
		if most, scarce := few[k]; scarce {
			l.Count = min(l.Count, most-used[k])
			used[k] += l.Count
		}
		if l.Count > 0 {
			out.Lots = append(out.Lots, l)
		}
	}
	return out
}

// bestBySequence enumerates everything plainly: every order of the wishes, at every step every
// build of what is left, or none.
func bestBySequence(t *testing.T, targets []substitute.Target, s inventory.Snapshot,
	w map[string][]substitute.Build) int64 {
	best := int64(0)
	for i, target := range targets {
		rest := slices.Delete(slices.Clone(targets), i, i+1)
		key := plan.TargetKey(target)
		for _, l := range s.Lots {
			key += "|" + inventory.FormatCount(l.Available())
		}
		builds, known := w[key]
		if !known {
			builds = advise.Advise(target, s, advise.Options{Builds: 1000, Drawer: true}).Builds
			w[key] = builds
		}
		for k := range builds {
			if builds[k].Verdict == substitute.Feasible {
				best = max(best, plan.Worth(&builds[k])+
					bestBySequence(t, rest, s.Without(builds[k].Draws(s)), w))
			}
		}
	}
	return best
}

// On small drawers in which the chargers get into each other's way, the plan is worth as much as
// the best of plain enumeration over all orders and builds: the same number, the same margins and
// losses.
func TestPlanAgainstEnumeration(t *testing.T) {
	one, two := planTarget(t, 4, 1), planTarget(t, 3, 0.5)
	pack := planTarget(t, 3, 1)
	noInlet := map[catalog.Kind]float64{catalog.KindBridge: 0, catalog.KindThermistor: 0}
	for _, row := range []struct {
		name      string
		drawer    inventory.Snapshot
		wants     []plan.Want
		built     int64
		unplanned string
	}{
		{"switchers in the way", scarceDrawer([]string{"KA5M0365R", "VIPer12A"},
			[]string{"ETD29 pair, N87", "ER28 pair, PC40"}, nil),
			[]plan.Want{{Target: two, Count: 1}, {Target: one, Count: 1}}, 2, ""},
		{"one core", scarceDrawer([]string{"KA5M0365R", "VIPer12A"}, []string{"ETD29 pair, N87"},
			nil), []plan.Want{{Target: two, Count: 1}, {Target: one, Count: 1}}, 1, ""},
		{"one Y capacitor", scarceDrawer([]string{"FSDM0565RB", "KA5M0365R"},
			[]string{"ETD29 pair, N87", "ER28 pair, PC40"},
			map[catalog.Kind]float64{catalog.KindBridge: 1}),
			[]plan.Want{{Target: one, Count: 2}}, 1, ""},
		{"the same twice", scarceDrawer([]string{"FSDM0565RB", "KA5M0365R"},
			[]string{"ETD29 pair, N87", "ER28 pair, PC40"}, nil),
			[]plan.Want{{Target: one, Count: 2}}, 2, ""},
		{"a whole adapter alone", withBrick(t, scarceDrawer(nil, nil, noInlet)),
			[]plan.Want{{Target: pack, Count: 2}}, 1, ""},
		{"a whole adapter and no inlet",
			withBrick(t, scarceDrawer([]string{"KA5M0365R"}, []string{"ETD29 pair, N87"}, noInlet)),
			[]plan.Want{{Target: pack, Count: 1}, {Target: one, Count: 1}}, 1, ""},
		{"a whole adapter beside a wound one",
			withBrick(t, scarceDrawer([]string{"KA5M0365R"}, []string{"ETD29 pair, N87"}, nil)),
			[]plan.Want{{Target: pack, Count: 1}, {Target: one, Count: 1}}, 2, ""},
	} {
		t.Run(row.name, func(t *testing.T) {
			p := plan.PlanFor(row.wants, row.drawer, plan.PlanOptions{})
			var targets []substitute.Target
			for _, w := range row.wants {
				for range w.Count {
					targets = append(targets, w.Target)
				}
			}
			want := bestBySequence(t, targets, row.drawer, map[string][]substitute.Build{})
			got := int64(0)
			for _, l := range p.Lines {
				for k := range l.Builds {
					got += plan.Worth(&l.Builds[k])
				}
			}
			require.Equal(t, row.built, want/plan.WorthBuilt,
				"the case is not what it is meant to be")
			require.Equal(t, int(row.built), p.Built)
			require.Equal(t, want, got)
			require.GreaterOrEqual(t, p.AtMost, int(row.built),
				"the bound is below what enumeration builds")
			require.True(t, p.Finished)
			takesNothingTwice(t, p, row.drawer)
		})
	}
}

// withBrick adds the whole adapters of the built-in drawer, which bring bridge, inrush limiter and
// everything behind along.
func withBrick(t *testing.T, s inventory.Snapshot) inventory.Snapshot {
	t.Helper()
	before := len(s.Lots)
	for _, l := range exchange.Demo().Lots {
		if l.Part.Kind() == catalog.KindAdapter {
			s.Lots = append(s.Lots, l)
		}
	}
	require.Greater(t, len(s.Lots), before)
	return s
}

// takesNothingTwice adds the parts lists up and holds them against the lots.
func takesNothingTwice(t *testing.T, p plan.Plan, s inventory.Snapshot) {
	t.Helper()
	sum := map[int64]float64{}
	for _, l := range p.Lines {
		for _, b := range l.Builds {
			require.Equal(t, substitute.Feasible, b.Verdict)
			for _, u := range b.Parts {
				sum[u.Lot] += u.Quantity
			}
		}
	}
	for id, n := range sum {
		l, ok := s.Lot(id)
		require.True(t, ok)
		require.LessOrEqual(t, n, l.Available()+1e-9, "lot %d %s", id, l.Part.Designation())
	}
}

// Fuses: a charger from the mains on takes two, a whole adapter one. Held against plain counting of
// all splits.
func TestFusesOfWholeAdapters(t *testing.T) {
	for mains := range 5 {
		for adapters := range 5 {
			for fuses := range 12 {
				most := 0
				for m := range mains + 1 {
					for a := range adapters + 1 {
						if 2*m+a <= fuses {
							most = max(most, m+a)
						}
					}
				}
				require.Equal(t, most, plan.WithAdapters(mains, adapters, fuses), "%d %d %d", mains,
					adapters, fuses)
			}
		}
	}
}

// The bound needs no search: two switchers make at most two chargers, one bridge at most one.
// Stopped at once, the plan says so, builds nothing it has not found and still states a bound.
func TestPlanBound(t *testing.T) {
	one := planTarget(t, 4, 1)
	s := scarceDrawer([]string{"FSDM0565RB", "KA5M0365R"},
		[]string{"ETD29 pair, N87", "ER28 pair, PC40", "EI28 set, PC40"}, nil)
	p := plan.PlanFor([]plan.Want{{Target: one, Count: 3}}, s, plan.PlanOptions{})
	require.Equal(t, 2, p.AtMost)
	require.Equal(t, 3, p.Wanted)
	for i := range s.Lots {
		if s.Lots[i].Part.Kind() == catalog.KindBridge {
			s.Lots[i].Count = 0
		}
	}
	require.Equal(t, 0, plan.PlanFor([]plan.Want{{Target: one, Count: 3}}, s,
		plan.PlanOptions{}).AtMost)
	cut := plan.PlanFor([]plan.Want{{Target: one, Count: 2}}, exchange.Demo(),
		plan.PlanOptions{Stop: func() bool { return true }})
	require.False(t, cut.Finished)
	require.Equal(t, 0, cut.Built)
	require.Equal(t, 2, cut.AtMost)
}

// With the only mains fuse gone the second charger needs one bought; the plan names that line and
// what it unlocks.
func TestPlanNamesThePurchase(t *testing.T) {
	one := planTarget(t, 4, 1)
	s := scarceDrawer([]string{"FSDM0565RB", "KA5M0365R"},
		[]string{"ETD29 pair, N87", "ER28 pair, PC40"},
		map[catalog.Kind]float64{catalog.KindThermistor: 1})
	p := plan.PlanFor([]plan.Want{{Target: one, Count: 2}}, s, plan.PlanOptions{})
	require.Equal(t, 1, p.Built)
	require.NotNil(t, p.Purchase)
	require.Equal(t, seats.InrushLimiter, p.Purchase.Role)
	require.Equal(t, 1.0, p.Purchase.Quantity)
	require.Equal(t, 2, p.Purchase.Built)
	require.Len(t, p.Purchase.Unlocks, 1)
	require.NotEmpty(t, p.Lines[0].Missing)
}

func TestPlanDoesNotDependOnTheOrderOfLots(t *testing.T) {
	s := scarceDrawer([]string{"FSDM0565RB", "NCP1014"},
		[]string{"ETD29 pair, N87", "ER28 pair, PC40"}, nil)
	wants := []plan.Want{{Target: planTarget(t, 3, 0.5), Count: 1},
		{Target: planTarget(t, 4, 1), Count: 1}}
	want := plan.PlanFor(wants, s, plan.PlanOptions{})
	rng := rand.New(rand.NewPCG(1, 2))
	rng.Shuffle(len(s.Lots), func(i, j int) { s.Lots[i], s.Lots[j] = s.Lots[j], s.Lots[i] })
	require.Equal(t, want, plan.PlanFor(wants, s, plan.PlanOptions{}))
}

// All orders of a list with repetitions: 4!/2! = 12; more than asked for gives none.
func TestPermutations(t *testing.T) {
	all := plan.Permutations([]int{2, 1, 1, 0}, 12)
	require.Len(t, all, 12)
	seen := map[[4]int]bool{}
	for _, p := range all {
		seen[[4]int(p)] = true
	}
	require.Len(t, seen, 12)
	require.Nil(t, plan.Permutations([]int{2, 1, 1, 0}, 11))
	require.Len(t, plan.Permutations(nil, 3), 1)
}
