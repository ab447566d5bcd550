package substitute_test

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"strconv"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/flyback"
	"sparewright/substitute/search"
	"sparewright/substitute/stage"
)

// exhaustive is the plainest search of one switcher with one core: every turn ratio, the gap chosen
// by the written rule, every way to wind, every clamp, all measured; it keeps the best few, the
// best first. Nothing is bounded; a design is left before its last corner only once a corner has
// shown it worse than the last of those kept, see TestStoppingEarlyLosesNothing.
func exhaustive(j *search.Job, v *stage.Variant, c *stage.BareCore,
	keep int) (best []stage.Measured) {
	for _, s := range j.TurnSets(v).All {
		gap, fits := j.BestGap(v, c, &s)
		if !fits {
			continue
		}
		d := stage.On(v, c).With(j.Measurer, s.Np, s.Ns, s.Bias, s.Rect, gap)
		plans := j.Shop.Plans(c, d.Planned())
		for i := range plans {
			d.Plan = &plans[i]
			j.ClampsFor(d, s.Reflected, &d.Plan.Gist, func(c stage.ClampChoice) {
				d.Clamp = c
				least := stage.Sound
				if len(best) == keep {
					last := &best[keep-1]
					least = stage.Mark{Margin: last.Margin,
						Loss: substitute.Milli(last.Loss.Total())}
				}
				m := j.MeasureAbove(d, least)
				if !m.Failed && !least.Below(m.Margin, m.Loss.Total()) {
					m.Of = j.Measurer
					best = firstOf(append(best, m), keep)
				}
			})
		}
	}
	return best
}

// TestTwoWaysToWindAreBoundedApart: the clamp that was tried last on one way to wind once bounded
// the next way too, and on this drawer the better of the two was lost.
func TestTwoWaysToWindAreBoundedApart(t *testing.T) {
	w := advise.NewWorkbench(smallDrawer(rand.New(rand.NewPCG(0x1fbe71, 5))))
	target := resolved(t, substitute.Target{Chemistry: "li-ion", Cells: 4, Current: 0.25})
	target.MainsMin = 240
	j := advise.NewAttempt(w, target)
	j.Judge = nil
	usable := j.Controlled(j.Variants())
	j.Settle(usable)
	j.Turns = j.TurnRatios()
	compared := 0
	for _, v := range usable {
		sets := j.TurnSets(v)
		for k := range w.Cores {
			all := exhaustive(j.Job, v, &w.Cores[k], 1)
			if got, found := j.Pair(v, &w.Cores[k], &sets); found {
				compared++
				require.Equal(t, all[0].Margin, got.Margin, "%s with %s", v.Stock.Name(),
					w.Cores[k].Stock.Name())
			}
		}
	}
	require.Greater(t, compared, 1)
}

// firstOf sorts designs, the best first, and keeps a few.
func firstOf(all []stage.Measured, keep int) []stage.Measured {
	slices.SortStableFunc(all, func(a, b stage.Measured) int {
		switch {
		case a.Better(&b):
			return -1
		case b.Better(&a):
			return 1
		}
		return 0
	})
	return all[:min(keep, len(all))]
}

// manyDesigns is how many of the best designs of a pair are enumerated: more than are judged.
const manyDesigns = 300

// standing is the design of a switcher and core that is built: of the first few the first that is
// judged fit with nothing to buy that another might do without, else the one with the fewest lines
// to buy. What is judged bad for its ceiling rules out those with no lower one.
func standing(j *advise.Attempt, ordered []stage.Measured) *stage.Measured {
	var best *stage.Measured
	fewest, judged, below := math.MaxInt, 0, si.Voltage(math.Inf(1))
	for i := range ordered {
		if ordered[i].Ceiling(j.Target) >= below {
			continue
		}
		if judged++; judged > search.MostJudged {
			break
		}
		v := j.Judge(&ordered[i], false)
		if v.Ceiling > 0 {
			below = v.Ceiling
		}
		if v.Refusal.Check != "" {
			continue
		}
		if v.Missing < fewest {
			best, fewest = &ordered[i], v.Missing
		}
		if v.Missing == 0 || v.Open == 0 {
			break
		}
	}
	return best
}

// sample is the demo drawer with a random six in ten of what a power stage is made of; the control
// network stays whole, or hardly any sample would build anything.
func sample(r *rand.Rand) inventory.Snapshot {
	thinned := []catalog.Kind{catalog.KindSwitcher, catalog.KindCore, catalog.KindFilm,
		catalog.KindWire, catalog.KindRectifier}
	var out inventory.Snapshot
	for _, l := range exchange.Demo().Lots {
		switch {
		case clamps(l.Part):
			if r.IntN(10) < 3 {
				out.Lots = append(out.Lots, l)
			}
		case !slices.Contains(thinned, l.Part.Kind()) || r.IntN(10) < 6:
			out.Lots = append(out.Lots, l)
		}
	}
	return out
}

// clamps reports that a part may hold a drain: plain enumeration takes as many times longer as
// there are such.
func clamps(p catalog.Part) bool {
	switch p := p.(type) {
	case catalog.Clamp:
		return p.Breakdown.Value >= 60
	case catalog.Resistor:
		return p.Rating.Or(0) >= 1 && p.Resistance.Value >= 5e3
	}
	return false
}

var trials = []substitute.Target{
	{Chemistry: "li-ion", Cells: 2, Current: 0.5}, {Chemistry: "li-ion", Cells: 4, Current: 1},
	{Chemistry: "li-ion", Cells: 6, Current: 1}, {Chemistry: "lifepo4", Cells: 4, Current: 0.5},
	{Chemistry: "lead-acid-agm", Duty: "float", Cells: 6, Current: 1},
}

func resolved(t *testing.T, target substitute.Target) substitute.Target {
	t.Helper()
	target.MainsMin, target.MainsMax, target.Line, target.Case, target.Ambient = 195, 265, 50,
		substitute.Sealed, 35
	out, err := target.Resolve(0)
	require.NoError(t, err)
	return out
}

// TestSearchEqualsExhaustive holds the bounded search, with and without the record that cuts across
// pairs, against the plain enumeration on random drawers.
func TestSearchEqualsExhaustive(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	pairs, found, rounds := 0, 0, 12
	if testing.Short() {
		rounds = 8
	}
	for round := range rounds {
		drawer := sample(r)
		if testing.Short() {
			drawer = smallDrawer(r)
		}
		w := advise.NewWorkbench(drawer)
		target := resolved(t, trials[(round*2+1)%len(trials)])
		j := advise.NewAttempt(w, target)
		j.Judge = nil // the power stage alone
		variants := j.Variants()
		usable := j.Controlled(variants)
		j.Settle(usable)
		j.Turns = j.TurnRatios()
		var champion stage.Measured
		any := false
		for _, v := range usable {
			sets := j.TurnSets(v)
			for k := range w.Cores {
				c := &w.Cores[k]
				all := exhaustive(j.Job, v, c, 1)
				ok := len(all) > 0
				got, stands := j.Pair(v, c, &sets)
				pairs++
				require.Equal(t, ok, stands, "%s with %s", v.Stock.Name(), c.Stock.Name())
				if !ok {
					continue
				}
				found++
				want := all[0]
				require.Equal(t, [5]int{want.Np, want.Ns, want.Gap.Layers, want.Nb,
					int(want.Plan.Barrier)},
					[5]int{got.Np, got.Ns, got.Gap.Layers, got.Nb,
						int(got.Plan.Barrier)}, "%s with %s", v.Stock.Name(), c.Stock.Name())
				require.Equal(t, want.Margin, got.Margin)
				require.Equal(t, substitute.Milli(want.Loss.Total()),
					substitute.Milli(got.Loss.Total()))
				if !any || want.Margin > champion.Margin ||
					want.Margin == champion.Margin &&
						substitute.Milli(want.Loss.Total()) <
							substitute.Milli(champion.Loss.Total()) {
					champion, any = want, true
				}
			}
		}
		one := advise.NewAttempt(w, target)
		one.Record, one.Judge = &search.Record{}, nil
		best, _ := one.Pairs()
		if any {
			hit := false
			for i := range best {
				hit = hit || best[i].Margin == champion.Margin &&
					substitute.Milli(best[i].Loss.Total()) ==
						substitute.Milli(champion.Loss.Total())
			}
			require.True(t, hit, "the search for the best alone lost %s with %s",
				champion.V.Stock.Name(), champion.C.Stock.Name())
		}
	}
	least := 20
	if testing.Short() {
		least = 0
	}
	require.Greater(t, found, least, "too few feasible pairs among %d to mean anything", pairs)
}

// TestSameAnswerWhateverTheOrder shuffles the lots and changes the number of processors.
func TestSameAnswerWhateverTheOrder(t *testing.T) {
	target := resolved(t, trials[1])
	want, err := json.Marshal(advise.Advise(target, exchange.Demo(), advise.Options{Buy: true}))
	require.NoError(t, err)
	r := rand.New(rand.NewPCG(3, 5))
	tried := []int{8, 1, 2}[:few(3)]
	for _, procs := range tried {
		before := runtime.GOMAXPROCS(procs)
		s := exchange.Demo()
		r.Shuffle(len(s.Lots), func(a, b int) { s.Lots[a], s.Lots[b] = s.Lots[b], s.Lots[a] })
		got, err := json.Marshal(advise.Advise(target, s, advise.Options{Buy: true}))
		runtime.GOMAXPROCS(before)
		require.NoError(t, err)
		require.Equal(t, string(want), string(got), "%d processors", procs)
	}
}

// TestSmallDrawersInParallel asks small drawers with one, two and eight processors: short enough to
// be watched for races.
func TestSmallDrawersInParallel(t *testing.T) {
	built := 0
	for seed := range uint64(4) {
		r := rand.New(rand.NewPCG(seed, 99))
		s, target := smallDrawer(r), smallTarget(t, r)
		if _, bad := target.Unsuitable(); bad {
			continue
		}
		var want string
		for _, procs := range []int{1, 2, 8} {
			before := runtime.GOMAXPROCS(procs)
			answer := advise.Advise(target, s, advise.Options{Buy: true, Builds: 5})
			runtime.GOMAXPROCS(before)
			got, err := json.Marshal(answer)
			require.NoError(t, err)
			if want == "" {
				want = string(got)
			}
			require.Equal(t, want, string(got), "drawer %d, %d processors", seed, procs)
			built += len(answer.Builds)
		}
	}
	require.Positive(t, built)
}

// surveyed is the survey of the built-in drawer, on all processors.
var surveyed = sync.OnceValues(func() (advise.Survey, error) {
	return advise.SurveyAll(likeSurvey, exchange.Demo(), nil)
})

// TestSurveyIsDeterministic asks again with one processor.
func TestSurveyIsDeterministic(t *testing.T) {
	s, err := surveyed()
	require.NoError(t, err)
	want, err := json.Marshal(s)
	require.NoError(t, err)
	before := runtime.GOMAXPROCS(1)
	s, err = advise.SurveyAll(likeSurvey, exchange.Demo(), nil)
	runtime.GOMAXPROCS(before)
	require.NoError(t, err)
	got, err := json.Marshal(s)
	require.NoError(t, err)
	require.Equal(t, string(want), string(got))
}

// TestStoppingEarlyLosesNothing holds designs that are left before their last corner against the
// same measured in full: what fails early fails in full, and what comes up to the mark is the same
// to the last figure.
func TestStoppingEarlyLosesNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	j := advise.NewAttempt(advise.NewWorkbench(sample(r)), resolved(t, trials[0]))
	usable := j.Controlled(j.Variants())
	j.Settle(usable)
	j.Turns = j.TurnRatios()
	passed, failed := 0, 0
	for range 300 {
		v, c := usable[r.IntN(len(usable))], &j.Cores[r.IntN(len(j.Cores))]
		sets := j.TurnSets(v)
		if len(sets.All) == 0 {
			continue
		}
		s := &sets.All[r.IntN(len(sets.All))]
		gap, fits := j.BestGap(v, c, s)
		if !fits {
			continue
		}
		d := stage.On(v, c).With(j.Measurer, s.Np, s.Ns, s.Bias, s.Rect, gap)
		plans := j.Shop.Plans(c, d.Planned())
		if len(plans) == 0 {
			continue
		}
		d.Plan = &plans[r.IntN(len(plans))]
		if best, found := j.Pair(v, c, &sets); found && r.IntN(2) == 0 {
			d = best.Design
		}
		reflected := flyback.Reflected(si.Ratio(float64(d.Np)/float64(d.Ns)),
			j.SecondaryVolts(j.Target.Set, d.Rect))
		j.ClampsFor(d, reflected, &d.Plan.Gist, func(c stage.ClampChoice) {
			d.Clamp = c
			full := j.Measure(d)
			mark := stage.Mark{Margin: float64(r.IntN(12)) / 100,
				Loss: substitute.Milli(full.Loss.Total()) + int64(r.IntN(3)-1)}
			early := j.MeasureAbove(d, mark)
			if !full.Failed && !mark.Below(full.Margin, full.Loss.Total()) {
				passed++
				require.Equal(t, full, early)
				return
			}
			failed++
			require.True(t, early.Failed || mark.Below(early.Margin, early.Loss.Total()))
		})
	}
	require.Greater(t, passed, 3)
	require.Greater(t, failed, 100)
}

// TestInsideTableIsNeverAbove holds the straight-line table of the inside air against the model it
// stands for.
func TestInsideTableIsNeverAbove(t *testing.T) {
	w := advise.NewWorkbench(exchange.Demo())
	j := advise.NewAttempt(w, resolved(t, trials[1]))
	for i := range j.Air {
		j.Air[i] = j.Inside(si.Power(i) * search.AirStep)
	}
	for p := si.Power(0.01); p < 30; p += 0.013 {
		require.LessOrEqual(t, float64(j.LeastInside(p)), float64(j.Inside(p))+1e-9,
			"%g W", float64(p))
	}
}

// TestSurveyGivesTheBestOfAll asks for every third usual charger twice: for the best build alone,
// as the survey does, and for all builds. The first of all must be the one.
func TestSurveyGivesTheBestOfAll(t *testing.T) {
	s, err := surveyed()
	require.NoError(t, err)
	w := advise.NewWorkbench(exchange.Demo())
	compared := 0
	for i, line := range s.Targets {
		if line.Best == nil || i%3 != 0 {
			continue
		}
		all := w.Advise(line.Target, advise.Options{Builds: 1})
		compared++
		best, one := all.Builds[0], *line.Best
		assert.Equal(t, best.Score, one.Score, "%s %g A", line.Target.Name,
			float64(line.Target.Current))
		assert.Equal(t, [2]string{best.Switcher.Designation, best.Core.Designation},
			[2]string{one.Switcher.Designation, one.Core.Designation},
			"%s %g A", line.Target.Name, float64(line.Target.Current))
	}
	require.Greater(t, compared, 10)
}

// smallDrawer keeps one to four switchers and cores, some rectifiers, films and wires beside all
// small parts of the built-in drawer, with counts of their own.
func smallDrawer(r *rand.Rand) inventory.Snapshot {
	kept := map[catalog.Kind]int{catalog.KindSwitcher: 1 + r.IntN(4),
		catalog.KindCore: 1 + r.IntN(4), catalog.KindFilm: 6 + r.IntN(4),
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
		} else if r.IntN(50) == 0 || clamps(l.Part) && r.IntN(10) < 7 {
			continue
		}
		out.Lots = append(out.Lots, l)
	}
	return out
}

// smallTarget is any usual battery at a usual current.
func smallTarget(t *testing.T, r *rand.Rand) substitute.Target {
	like := advise.Usual()[r.IntN(len(advise.Usual()))]
	// few small drawers build more
	like.Current = []si.Current{0.25, advise.UsualCurrents[0]}[r.IntN(2)]
	target := resolved(t, like)
	target.Case = []substitute.Case{substitute.Sealed, substitute.Vented,
		substitute.Open}[r.IntN(3)]
	switch r.IntN(4) {
	case 0:
		target.MainsMin = 85
	case 1:
		target.MainsMin = 240
	}
	return target
}

// sameAsExhaustive holds the ranked list of a drawer against plain enumeration, and the best build
// of the search for one alone. It returns how many builds there were.
func sameAsExhaustive(t *testing.T, seed uint64) int {
	r := rand.New(rand.NewPCG(seed, 99))
	w := advise.NewWorkbench(smallDrawer(r))
	target := smallTarget(t, r)
	if _, bad := target.Unsuitable(); bad {
		return 0
	}
	j := advise.NewAttempt(w, target)
	variants := j.Variants()
	usable := j.Controlled(variants)
	j.Settle(usable)
	j.Turns = j.TurnRatios()
	best := map[[2]string][]stage.Measured{}
	for _, v := range usable {
		for k := range w.Cores {
			key := [2]string{v.Stock.Key, w.Cores[k].Stock.Key}
			best[key] = firstOf(append(best[key],
				exhaustive(j.Job, v, &w.Cores[k], manyDesigns)...), manyDesigns)
		}
	}
	var want []substitute.Build
	for _, ordered := range best {
		if m := standing(j, ordered); m != nil {
			want = append(want, j.Assemble(m))
		}
	}
	advise.Rank(want)
	got := slices.DeleteFunc(w.Advise(target, advise.Options{Builds: 1000}).Builds,
		func(b substitute.Build) bool { return b.Kind != substitute.Wound })
	if !advise.AnyFeasible(want) {
		require.False(t, advise.AnyFeasible(got), "seed %d", seed)
		return 0
	}
	require.Len(t, got, len(want), "seed %d", seed)
	for i := range want {
		require.Equal(t, want[i].Score, got[i].Score, "seed %d, build %d", seed, i+1)
		require.Equal(t, [2]string{want[i].Switcher.Designation, want[i].Core.Designation},
			[2]string{got[i].Switcher.Designation,
				got[i].Core.Designation}, "seed %d, build %d", seed, i+1)
		require.Equal(t, want[i].Transformer, got[i].Transformer, "seed %d, build %d", seed, i+1)
	}
	one := w.Advise(target, advise.Options{Builds: 1, Refused: 1, Single: true}).Builds
	require.Equal(t, want[0].Score, one[0].Score, "seed %d, the best alone", seed)
	require.Equal(t, want[0].Transformer, one[0].Transformer, "seed %d, the best alone", seed)
	return len(want)
}

// TestSmallDrawersEqualExhaustive compares random small drawers whole.
// SPAREWRIGHT_DRAWERS_TRIED=2000 is the long form.
func TestSmallDrawersEqualExhaustive(t *testing.T) {
	rounds := few(40)
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

// woundLots is the built-in drawer without the donors that are reused whole: only what is wound is
// enumerated.
func woundLots() []inventory.Lot {
	return slices.DeleteFunc(exchange.Demo().Lots, func(l inventory.Lot) bool {
		return l.Part.Kind() == catalog.KindTransformer || l.Part.Kind() == catalog.KindAdapter
	})
}
