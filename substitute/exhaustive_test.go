package substitute

import (
	"encoding/json"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
)

// exhaustive is the plainest search of one switcher with one core: every turn ratio, the gap chosen by the written rule, every
// way to wind, every clamp, all measured in full. Nothing is bounded, nothing is cut.
func exhaustive(j *job, v *variant, c *bareCore) (best measured, found bool) {
	for _, s := range j.turnSets(v).all {
		gap, fits := j.bestGap(v, c, &s)
		if !fits {
			continue
		}
		d := on(v, c).with(j, &s, gap)
		plans := j.shop.plans(c, d.planned())
		for i := range plans {
			d.plan = &plans[i]
			lead := d.primary(d.gap.al)
			j.clampsFor(d, s.reflected, max(d.plan.leakage, leastLeakage*lead), lead, func(c clampChoice) {
				d.clamp = c
				m := j.measure(d)
				if !m.failed && (!found || m.better(&best)) {
					best, found = m, true
				}
			})
		}
	}
	return best, found
}

// sample is a drawer of a random half of the demo drawer.
func sample(r *rand.Rand) inventory.Snapshot {
	var out inventory.Snapshot
	for _, l := range exchange.Demo().Lots {
		if r.IntN(10) < 6 {
			out.Lots = append(out.Lots, l)
		}
	}
	return out
}

var trials = []Target{
	{Chemistry: "li-ion", Cells: 2, Current: 0.5}, {Chemistry: "li-ion", Cells: 4, Current: 1}, {Chemistry: "li-ion", Cells: 6, Current: 1},
	{Chemistry: "lifepo4", Cells: 4, Current: 0.5}, {Chemistry: "lead-acid-agm", Duty: "float", Cells: 6, Current: 1},
}

func resolved(t *testing.T, target Target) Target {
	t.Helper()
	target.MainsMin, target.MainsMax, target.Line, target.Case, target.Ambient = 195, 265, 50, Sealed, 35
	out, err := target.Resolve(0)
	require.NoError(t, err)
	return out
}

// TestSearchEqualsExhaustive holds the bounded search, with and without the record that cuts across pairs, against the plain
// enumeration on random drawers.
func TestSearchEqualsExhaustive(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	pairs, found := 0, 0
	for round := range 5 {
		drawer := exchange.Demo()
		if round > 0 {
			drawer = sample(r)
		}
		w := NewWorkbench(drawer)
		target := resolved(t, trials[(round*2+1)%len(trials)])
		j := newJob(w, target)
		variants := j.variants()
		usable := j.controlled(variants)
		j.settle(usable)
		j.turns = j.turnRatios()
		var champion measured
		any := false
		for _, v := range usable {
			sets := j.turnSets(v)
			for k := range w.cores {
				c := &w.cores[k]
				want, ok := exhaustive(j, v, c)
				got := j.pair(v, c, &sets)
				pairs++
				require.Equal(t, ok, got.found, "%s with %s", v.stock.name(), c.stock.name())
				if !ok {
					continue
				}
				found++
				require.Equal(t, [5]int{want.np, want.ns, want.gap.layers, want.nb, int(want.plan.barrier)},
					[5]int{got.best.np, got.best.ns, got.best.gap.layers, got.best.nb, int(got.best.plan.barrier)}, "%s with %s", v.stock.name(), c.stock.name())
				require.Equal(t, want.margin, got.best.margin)
				require.Equal(t, milli(want.loss.total()), milli(got.best.loss.total()))
				if c.needsBuy == "" && want.steady(j) && (!any || want.margin > champion.margin || want.margin == champion.margin && milli(want.loss.total()) < milli(champion.loss.total())) {
					champion, any = want, true
				}
			}
		}
		one := newJob(w, target)
		one.record = &record{}
		best, _ := one.all()
		if any {
			hit := false
			for i := range best {
				hit = hit || best[i].margin == champion.margin && milli(best[i].loss.total()) == milli(champion.loss.total())
			}
			require.True(t, hit, "the search for the best alone lost %s with %s", champion.v.stock.name(), champion.c.stock.name())
		}
	}
	require.Greater(t, found, 20, "too few feasible pairs among %d to mean anything", pairs)
}

// TestSameAnswerWhateverTheOrder shuffles the lots and changes the number of processors.
func TestSameAnswerWhateverTheOrder(t *testing.T) {
	target := resolved(t, trials[1])
	want, err := json.Marshal(Advise(target, exchange.Demo(), Options{Buy: true}))
	require.NoError(t, err)
	r := rand.New(rand.NewPCG(3, 5))
	for _, procs := range []int{1, 2, 8} {
		before := runtime.GOMAXPROCS(procs)
		s := exchange.Demo()
		r.Shuffle(len(s.Lots), func(a, b int) { s.Lots[a], s.Lots[b] = s.Lots[b], s.Lots[a] })
		got, err := json.Marshal(Advise(target, s, Options{Buy: true}))
		runtime.GOMAXPROCS(before)
		require.NoError(t, err)
		require.Equal(t, string(want), string(got), "%d processors", procs)
	}
}

// TestSurveyIsDeterministic asks twice with different numbers of processors.
func TestSurveyIsDeterministic(t *testing.T) {
	like := Target{MainsMin: 195, MainsMax: 265, Line: 50, Case: Sealed, Ambient: 35}
	var want []byte
	for _, procs := range []int{2, 1} {
		before := runtime.GOMAXPROCS(procs)
		s, err := SurveyAll(like, exchange.Demo(), nil)
		runtime.GOMAXPROCS(before)
		require.NoError(t, err)
		got, err := json.Marshal(s)
		require.NoError(t, err)
		if want == nil {
			want = got
		}
		require.Equal(t, string(want), string(got))
	}
}

// TestInsideTableIsNeverAbove holds the straight-line table of the inside air against the model it stands for.
func TestInsideTableIsNeverAbove(t *testing.T) {
	w := NewWorkbench(exchange.Demo())
	j := newJob(w, resolved(t, trials[1]))
	for i := range j.air {
		j.air[i] = j.inside(si.Power(i) * airStep)
	}
	for p := si.Power(0.01); p < 30; p += 0.013 {
		require.LessOrEqual(t, float64(j.leastInside(p)), float64(j.inside(p))+1e-9, "%g W", float64(p))
	}
}

// TestSurveyGivesTheBestOfAll asks for every usual charger twice: for the best build alone, as the survey does, and for all
// builds. The first of all must be the one.
func TestSurveyGivesTheBestOfAll(t *testing.T) {
	like := Target{MainsMin: 195, MainsMax: 265, Line: 50, Case: Sealed, Ambient: 35}
	s, err := SurveyAll(like, exchange.Demo(), nil)
	require.NoError(t, err)
	w := NewWorkbench(exchange.Demo())
	compared := 0
	for _, line := range s.Targets {
		if line.Best == nil {
			continue
		}
		all := w.Advise(line.Target, Options{Builds: 40})
		compared++
		best, one := all.Builds[0], *line.Best
		assert.Equal(t, best.Score, one.Score, "%s %g A", line.Target.Name, float64(line.Target.Current))
		assert.Equal(t, [2]string{best.Switcher.Designation, best.Core.Designation}, [2]string{one.Switcher.Designation, one.Core.Designation},
			"%s %g A", line.Target.Name, float64(line.Target.Current))
	}
	require.Greater(t, compared, 30)
}

// smallDrawer keeps one to four switchers and cores, some rectifiers, films and wires beside all small parts of the
// built-in drawer, with counts of their own.
func smallDrawer(r *rand.Rand) inventory.Snapshot {
	kept := map[catalog.Kind]int{catalog.KindSwitcher: 1 + r.IntN(4), catalog.KindCore: 1 + r.IntN(4), catalog.KindFilm: 6 + r.IntN(4),
		catalog.KindWire: 4 + r.IntN(4), catalog.KindRectifier: 6 + r.IntN(8)}
	lots := woundLots()
	r.Shuffle(len(lots), func(a, b int) { lots[a], lots[b] = lots[b], lots[a] })
	var out inventory.Snapshot
	for _, l := range lots {
		k := l.Part.Kind()
		if most, few := kept[k]; few {
			if most == 0 {
				continue
			}
			kept[k]--
		} else if r.IntN(50) == 0 {
			continue
		}
		out.Lots = append(out.Lots, l)
	}
	return out
}

// smallTarget is any usual battery at a usual current.
func smallTarget(t *testing.T, r *rand.Rand) Target {
	like := usual()[r.IntN(len(usual()))]
	like.Current = usualCurrents[r.IntN(2)]
	target := resolved(t, like)
	target.Case = []Case{Sealed, Vented, Open}[r.IntN(3)]
	if r.IntN(3) == 0 {
		target.MainsMin = 85
	}
	return target
}

// sameAsExhaustive holds the ranked list of a drawer against plain enumeration, and the best build of the search for one alone. It
// returns how many builds there were.
func sameAsExhaustive(t *testing.T, seed uint64) int {
	r := rand.New(rand.NewPCG(seed, 99))
	w := NewWorkbench(smallDrawer(r))
	target := smallTarget(t, r)
	if _, bad := target.unsuitable(); bad {
		return 0
	}
	j := newJob(w, target)
	variants := j.variants()
	usable := j.controlled(variants)
	j.settle(usable)
	j.turns = j.turnRatios()
	best := map[[2]string]measured{}
	for _, v := range usable {
		for k := range w.cores {
			m, ok := exhaustive(j, v, &w.cores[k])
			key := [2]string{v.stock.key, w.cores[k].stock.key}
			if old, seen := best[key]; ok && (!seen || m.better(&old)) {
				best[key] = m
			}
		}
	}
	var want []Build
	for _, m := range best {
		if !m.steady(j) {
			continue // the best of a switcher and core is held against its loops, see steadyOnes
		}
		want = append(want, j.assemble(&m))
	}
	rank(want)
	got := slices.DeleteFunc(w.Advise(target, Options{Builds: 1000}).Builds, func(b Build) bool { return b.Kind != Wound })
	if !anyFeasible(want) {
		require.False(t, anyFeasible(got), "seed %d", seed)
		return 0
	}
	require.Len(t, got, len(want), "seed %d", seed)
	for i := range want {
		require.Equal(t, want[i].Score, got[i].Score, "seed %d, build %d", seed, i+1)
		require.Equal(t, [2]string{want[i].Switcher.Designation, want[i].Core.Designation},
			[2]string{got[i].Switcher.Designation, got[i].Core.Designation}, "seed %d, build %d", seed, i+1)
		require.Equal(t, want[i].Transformer, got[i].Transformer, "seed %d, build %d", seed, i+1)
	}
	one := w.Advise(target, Options{Builds: 1, Refused: 1, single: true}).Builds
	require.Equal(t, want[0].Score, one[0].Score, "seed %d, the best alone", seed)
	require.Equal(t, want[0].Transformer, one[0].Transformer, "seed %d, the best alone", seed)
	return len(want)
}

// TestSmallDrawersEqualExhaustive compares random small drawers whole. SPAREWRIGHT_DRAWERS_TRIED=2000 is the long form.
func TestSmallDrawersEqualExhaustive(t *testing.T) {
	rounds := 40
	if n, err := strconv.Atoi(os.Getenv("SPAREWRIGHT_DRAWERS_TRIED")); err == nil {
		rounds = n
	}
	builds, answered := 0, 0
	for seed := range rounds {
		n := sameAsExhaustive(t, uint64(seed))
		if builds += n; n > 0 {
			answered++
		}
	}
	t.Logf("%d drawers, %d with a build, %d builds compared", rounds, answered, builds)
	require.Greater(t, answered, rounds/10)
}

// FuzzSearch looks for a drawer on which the search and plain enumeration differ.
func FuzzSearch(f *testing.F) {
	f.Add(uint64(1))
	f.Fuzz(func(t *testing.T, seed uint64) { sameAsExhaustive(t, seed) })
}

// woundLots is the built-in drawer without the donors that are reused whole: only what is wound is enumerated.
func woundLots() []inventory.Lot {
	return slices.DeleteFunc(exchange.Demo().Lots, func(l inventory.Lot) bool {
		return l.Part.Kind() == catalog.KindTransformer || l.Part.Kind() == catalog.KindAdapter
	})
}
