package substitute_test

import (
	"encoding/json"
	"flag"
	"fmt"
	"math/rand/v2"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/advise"
)

// drawn sets how many cases the rest of a test draws, fewer of them outside its long form: a search
// takes about a second. A failing case is made smaller for a few seconds only and leaves no file
// behind.
func drawn(t *testing.T, cases int) {
	t.Helper()
	cases = few(cases)
	if testing.Short() {
		cases *= 5 // the library takes a fifth of it
	}
	for name, value := range map[string]string{"rapid.checks": fmt.Sprint(cases),
		"rapid.shrinktime": "3s",
		"rapid.nofailfile": "true"} {
		f := flag.Lookup(name)
		require.NotNil(t, f, name)
		before := f.Value.String()
		require.NoError(t, f.Value.Set(value))
		t.Cleanup(func() { require.NoError(t, f.Value.Set(before)) })
	}
}

// anyTarget draws a charger of the common kinds up to a current in twentieths of an ampere. Up to 1
// A most are within reach of the demo drawer; beyond, shelf after shelf is searched for what to
// buy, which takes several seconds.
func anyTarget(r *rapid.T, most int) substitute.Target {
	pack := rapid.SampledFrom([]substitute.Target{
		{Chemistry: "li-ion", Cells: 2}, {Chemistry: "li-ion", Cells: 3},
		{Chemistry: "li-ion", Cells: 4},
		{Chemistry: "li-ion", Cells: 5},
		{Chemistry: "lifepo4", Cells: 3}, {Chemistry: "lifepo4", Cells: 4},
		{Chemistry: "lead-acid-agm", Cells: 6, Duty: "cyclic"},
		{Chemistry: "lead-acid-gel", Cells: 6, Duty: "float"},
		{Chemistry: "lead-acid-flooded", Cells: 3, Duty: "cyclic"},
	}).Draw(r, "pack")
	lines := []substitute.Target{{MainsMin: 195, MainsMax: 265, Line: 50},
		{MainsMin: 85, MainsMax: 265, Line: 60},
		{MainsMin: 207, MainsMax: 253, Line: 50}, {MainsMin: 90, MainsMax: 135, Line: 60}}
	line := rapid.SampledFrom(lines).Draw(r, "mains")
	pack.MainsMin, pack.MainsMax, pack.Line = line.MainsMin, line.MainsMax, line.Line
	pack.Current = si.Current(rapid.IntRange(3, most).Draw(r, "current")) / 20
	pack.Case = rapid.SampledFrom([]substitute.Case{substitute.Sealed, substitute.Vented,
		substitute.Open}).Draw(r, "case")
	pack.Ambient = si.Celsius(rapid.IntRange(20, 40).Draw(r, "ambient"))
	if rapid.Bool().Draw(r, "box") {
		pack.Box = &substitute.Box{Length: 0.12, Width: 0.07, Height: 0.05}
	}
	target, err := pack.Resolve(0)
	require.NoError(r, err)
	return target
}

// Whatever is asked for: the order holds, no hard check of a build failed, no corner charges above
// the absolute limit, mains and battery are kept apart, and a feasible build buys nothing.
func TestAnyTargetIsSafe(t *testing.T) {
	drawn(t, 2)
	drawer := exchange.Demo()
	bench := advise.NewWorkbench(drawer)
	rapid.Check(t, func(r *rapid.T) {
		target := anyTarget(r, 30)
		builds := bench.Advise(target, advise.Options{}).Builds
		auditOrder(r, builds)
		for i := range builds {
			b := &builds[i]
			a := newAudit(r, drawer, target, b)
			auditChecks(a)
			v := b.Regulation
			held := v.WorstHigh <= target.Absolute && v.OpenWiper <= target.Absolute &&
				v.SetHigh <= v.WorstHigh
			a.isTrue(held && v.WorstLow > target.Empty,
				"charges to %g V", float64(v.WorstHigh))
			if b.Kind != substitute.Wound {
				auditDeclared(a)
				continue
			}
			t := b.Transformer
			a.isTrue(strings.HasPrefix(t.Barrier, "triple-insulated") ||
				strings.HasPrefix(t.Barrier, "two-chamber") ||
				strings.HasPrefix(t.Barrier, "margins") &&
					float64(t.Margin) >= 3e-3-1e-12, "barrier %q, margin %g m",
				t.Barrier, float64(t.Margin))
			if b.Verdict == substitute.Feasible {
				auditBarrier(a)
			}
		}
	})
}

// Every build of any target agrees with its recomputation.
func TestAnyTargetRecomputed(t *testing.T) {
	drawn(t, 2)
	drawer := exchange.Demo()
	bench := advise.NewWorkbench(drawer)
	rapid.Check(t, func(r *rapid.T) {
		target := anyTarget(r, 20)
		builds := ofKind(bench.Advise(target, advise.Options{}).Builds, substitute.Wound)
		for i := range builds {
			a := newAudit(r, drawer, target, &builds[i])
			if !a.known() {
				continue
			}
			for _, topic := range topics {
				topic.run(a)
			}
		}
	})
}

// The answer depends neither on the order of the lots nor on the number of processors, to the last
// byte.
func TestSameBytes(t *testing.T) {
	drawn(t, 2)
	drawer := exchange.Demo()
	rapid.Check(t, func(r *rapid.T) {
		target := anyTarget(r, 15)
		o := advise.Options{Builds: rapid.SampledFrom([]int{0, 5}).Draw(r, "builds")}
		want := answer(r, target, drawer, o, 1)
		require.Equal(r, want, answer(r, target, drawer, o, 2), "two processors")
		source := rand.New(rand.NewPCG(rapid.Uint64().Draw(r, "seed"), 1))
		mixed := inventory.Snapshot{Lots: append([]inventory.Lot(nil), drawer.Lots...)}
		source.Shuffle(len(mixed.Lots), func(i, j int) {
			mixed.Lots[i], mixed.Lots[j] = mixed.Lots[j], mixed.Lots[i]
		})
		require.Equal(r, want, answer(r, target, mixed, o, 2), "lots in another order")
	})
}

// When only the best build is asked for, the search is cut by what it has found so far, by every
// processor at once: neither what is told nor what is counted may show it.
func TestSameBytesOfTheBestBuild(t *testing.T) {
	drawer := exchange.Demo()
	for _, mains := range []si.Voltage{85, 195} {
		for _, current := range []si.Current{0.3, 2} {
			target, err := substitute.Target{Chemistry: "li-ion", Cells: 4, Current: current,
				MainsMin: mains, MainsMax: 265, Line: 60,
				Case: substitute.Open, Ambient: 20}.Resolve(0)
			require.NoError(t, err)
			want := answer(t, target, drawer, advise.Options{Builds: 1}, 1)
			require.Equal(t, want, answer(t, target, drawer, advise.Options{Builds: 1}, 2),
				"%s %g A", target.Name,
				float64(current))
		}
	}
}

// answer is the JSON text of an answer with so many processors.
func answer(t require.TestingT, target substitute.Target, s inventory.Snapshot, o advise.Options,
	processors int) string {
	before := runtime.GOMAXPROCS(processors)
	defer runtime.GOMAXPROCS(before)
	text, err := json.MarshalIndent(advise.Advise(target, s, o), "", " ")
	require.NoError(t, err)
	return string(text)
}
