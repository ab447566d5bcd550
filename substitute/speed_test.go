package substitute_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/search"
	"sparewright/substitute/stock"
)

var likeSurvey = substitute.Target{MainsMin: 195, MainsMax: 265, Line: 50,
	Case: substitute.Sealed, Ambient: 35}

// BenchmarkSurvey is all usual targets on the built-in drawer. Floor: go test -bench
// BenchmarkSnapshot ./inventory/sqlite tells what loading alone costs.
func BenchmarkSurvey(b *testing.B) {
	for b.Loop() {
		if _, err := advise.SurveyAll(likeSurvey, exchange.Demo(), nil); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkSurveyBySize shows how the survey grows with the number of lots. "distinct" is the
// number of different parts, and of pairs of a switcher with a core; the drawers are drawers of
// heap.
func BenchmarkSurveyBySize(b *testing.B) {
	for _, n := range []int{150, 1000, 10_000, 100_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			s := heap(n)
			d := stock.OpenDrawer(s)
			b.ReportMetric(float64(len(d.Switchers)*len(d.Cores)), "pairs")
			for b.Loop() {
				if _, err := advise.SurveyAll(likeSurvey, s, nil); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// heap is a drawer of n lots: kinds as often as in the built-in drawer, parts from there and from
// the published tables, the k-th most popular part of a kind k times rarer than the first, as
// things come out of dead adapters.
func heap(n int) inventory.Snapshot {
	r := rand.New(rand.NewPCG(1, uint64(n)))
	demo := exchange.Demo()
	pools := map[catalog.Kind][]catalog.Part{}
	var kinds []catalog.Kind
	for _, l := range demo.Lots {
		k := l.Part.Kind()
		kinds = append(kinds, k)
		pools[k] = append(pools[k], inventory.Effective(l))
	}
	for _, kind := range []catalog.Kind{catalog.KindSwitcher, catalog.KindRectifier} {
		for _, name := range catalog.Designations(kind) {
			if p, _, ok := catalog.Lookup(kind, name); ok {
				pools[kind] = append(pools[kind], p)
			}
		}
	}
	for _, ferrite := range []string{"unknown", "PC40", "N87"} {
		for _, gap := range []float64{0, 0.2e-3, 0.35e-3, 0.5e-3} {
			for _, p := range catalog.Shapes() {
				p.Shape, p.Ferrite, p.Former = p.Name, ferrite, "plain"
				p.Name = fmt.Sprintf("%s %s %g", p.Shape, ferrite, gap*1e3)
				p.Gap = catalog.Of(si.Length(gap))
				pools[catalog.KindCore] = append(pools[catalog.KindCore], p)
			}
		}
	}
	for decade := range 7 {
		for _, v := range catalog.ESeries("E24") {
			ohm := si.Resistance(v * math.Pow(10, float64(decade)))
			pools[catalog.KindResistor] = append(pools[catalog.KindResistor],
				catalog.Resistor{Named: catalog.Named{Name: si.RKM(ohm)},
					Resistance: catalog.Of(ohm), Tolerance: catalog.Of[si.Ratio](0.01),
					Rating: catalog.Of[si.Power](0.25)})
		}
	}
	var out inventory.Snapshot
	for i := range n {
		pool := pools[kinds[r.IntN(len(kinds))]]
		// rank by the inverse of the harmonic sum: P(k) ~ 1/k
		rank := int(math.Exp(r.Float64()*math.Log(float64(len(pool))+1))) - 1
		out.Lots = append(out.Lots, inventory.Lot{ID: int64(i + 1),
			Part: pool[min(rank, len(pool)-1)], Count: float64(1 + r.IntN(8)),
			Condition: inventory.Tested, Bin: fmt.Sprintf("%c%d", 'A'+i%26, i/26)})
	}
	return out
}

// BenchmarkSearch is the bounded search of one target on the built-in drawer, for the best build
// alone and for all; BenchmarkEnumeration is its floor turned upside down: the plainest search of
// the same space.
func BenchmarkSearch(b *testing.B) {
	w := advise.NewWorkbench(exchange.Demo())
	target, err := substitute.Target{Chemistry: "li-ion", Cells: 4, Current: 1, MainsMin: 195,
		MainsMax: 265, Line: 50, Case: substitute.Sealed, Ambient: 35}.Resolve(0)
	if err != nil {
		b.Fatal(err)
	}
	b.Run("best", func(b *testing.B) {
		for b.Loop() {
			j := advise.NewAttempt(w, target)
			j.Record, j.Quiet = &search.Record{}, true
			j.Pairs()
		}
	})
	b.Run("all", func(b *testing.B) {
		for b.Loop() {
			advise.NewAttempt(w, target).Pairs()
		}
	})
	b.Run("enumeration", func(b *testing.B) {
		for b.Loop() {
			j := advise.NewAttempt(w, target)
			usable := j.Controlled(j.Variants())
			j.Settle(usable)
			j.Turns = j.TurnRatios()
			search.Each(len(usable), func(i int) {
				for k := range w.Cores {
					exhaustive(j.Job, usable[i], &w.Cores[k], 1)
				}
			})
		}
	})
}

// BenchmarkAdviseBySize is one question, all builds, over drawers of heap.
func BenchmarkAdviseBySize(b *testing.B) {
	target, err := substitute.Target{Chemistry: "li-ion", Cells: 4, Current: 1, MainsMin: 195,
		MainsMax: 265, Line: 50, Case: substitute.Sealed, Ambient: 35}.Resolve(0)
	if err != nil {
		b.Fatal(err)
	}
	for _, n := range []int{150, 1000, 10_000, 100_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			s := heap(n)
			for b.Loop() {
				advise.Advise(target, s, advise.Options{})
			}
		})
	}
}

// BenchmarkSurveyOfCopies is the survey of n lots that are the built-in drawer over and over: the
// number of lots alone.
func BenchmarkSurveyOfCopies(b *testing.B) {
	for _, n := range []int{10_000, 100_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			demo := exchange.Demo()
			var s inventory.Snapshot
			for i := range n {
				l := demo.Lots[i%len(demo.Lots)]
				l.ID = int64(i + 1)
				s.Lots = append(s.Lots, l)
			}
			for b.Loop() {
				if _, err := advise.SurveyAll(likeSurvey, s, nil); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
