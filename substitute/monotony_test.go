package substitute_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/advise"
)

// bestWound is the margin of the best build that a drawer gives, and whether it gives one.
func bestWound(s inventory.Snapshot, t substitute.Target) (float64, bool) {
	r := advise.NewWorkbench(s).Advise(t, advise.Options{Builds: 1, Refused: 1, Drawer: true})
	if len(r.Builds) == 0 || r.Builds[0].Verdict != substitute.Feasible {
		return 0, false
	}
	return r.Builds[0].Score.Margin, true
}

// stageMargin is the best margin of the power stage among the builds that a drawer gives. The whole
// build may have less with a better part: a higher transfer ratio raises the gain of the loops,
// which leaves them less phase, and the stage is chosen before.
func stageMargin(s inventory.Snapshot, t substitute.Target) float64 {
	a := advise.NewAttempt(advise.NewWorkbench(s), t)
	best := math.Inf(-1)
	found, _ := a.Pairs()
	for i := range found {
		if a.Assemble(&found[i]).Verdict == substitute.Feasible {
			best = max(best, found[i].Margin)
		}
	}
	return best
}

// easier draws a target that asks for nothing that the given one does not ask for: a part of its
// mains range, cooler air, a case that lets more heat out, or a larger box.
func easier(t *rapid.T, from substitute.Target) (substitute.Target, string) {
	to := from
	switch what := rapid.SampledFrom([]string{"mains", "highest mains", "ambient", "case",
		"box"}).Draw(t, "eased"); what {
	case "mains":
		to.MainsMin = si.Voltage(rapid.IntRange(int(from.MainsMin),
			int(from.MainsMax)-3).Draw(t, "lowest"))
		return to, what
	case "highest mains":
		to.MainsMax = si.Voltage(rapid.IntRange(int(from.MainsMin)+3,
			int(from.MainsMax)).Draw(t, "highest"))
		return to, what
	case "ambient":
		to.Ambient -= si.Celsius(rapid.IntRange(1, 20).Draw(t, "cooler"))
		return to, what
	case "box":
		to.Box = &substitute.Box{Length: 2 * substitute.UsualBox.Length,
			Width: substitute.UsualBox.Width, Height: 1.5 * substitute.UsualBox.Height}
		return to, what
	}
	to.Case = substitute.Vented
	if from.Case == substitute.Vented {
		to.Case = substitute.Open
	}
	return to, "case"
}

// TestEasierTargetsLoseNothing: what a drawer builds it also builds for a target that asks for
// less, with no less margin. Drawers and targets are random; no figure is expected from anywhere.
func TestEasierTargetsLoseNothing(t *testing.T) {
	drawn(t, 150) // few of them build, and one must
	built := 0
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 5))
		drawer := smallDrawer(r)
		like := advise.Usual()[r.IntN(len(advise.Usual()))]
		like.Current = []si.Current{0.25, advise.UsualCurrents[0]}[r.IntN(2)]
		like.MainsMin, like.MainsMax, like.Line, like.Case, like.Ambient = 195, 265, 50,
			substitute.Sealed, 35
		target, err := like.Resolve(0)
		require.NoError(t, err)
		if _, ok := bestWound(drawer, target); !ok {
			return
		}
		built++
		other, what := easier(t, target)
		_, still := bestWound(drawer, other)
		require.True(t, still, "%s %g A lost by easing %s: %+v", target.Name,
			float64(target.Current), what, other)
		margin, got := stageMargin(drawer, target), stageMargin(drawer, other)
		require.GreaterOrEqual(t, got, margin-smoothing, "%s %g A, %s eased", target.Name,
			float64(target.Current), what)
	})
	require.Positive(t, built)
}

// TestNarrowMainsLoseNothing: the built-in drawer on the upper end of the mains range alone. A
// switcher with an external limit is the best at 7 cells, and its settings once ended with the
// lowest mains.
func TestNarrowMainsLoseNothing(t *testing.T) {
	tried := []substitute.Target{{Chemistry: "li-ion", Cells: 7, Current: 0.5},
		{Chemistry: "li-ion", Cells: 2, Current: 1},
		{Chemistry: "lead-acid-agm", Duty: "cyclic", Cells: 12, Current: 0.5}}
	if testing.Short() {
		tried = tried[:1]
	}
	for _, like := range tried {
		wide := resolved(t, like)
		margin, ok := bestWound(exchange.Demo(), wide)
		require.True(t, ok, wide.Name)
		narrow := wide
		narrow.MainsMin = 262
		got, still := bestWound(exchange.Demo(), narrow)
		require.True(t, still, wide.Name)
		require.GreaterOrEqual(t, got, margin, wide.Name)
	}
}

// smoothing: margins are compared in whole hundredths, rounded down, so that equal designs may
// differ by one.
const smoothing = 0.0101

// betters are the kinds whose parts tighter knows how to better.
var betters = []catalog.Kind{catalog.KindClamp, catalog.KindCapacitor, catalog.KindResistor,
	catalog.KindOptocoupler, catalog.KindReference}

// tighter is the drawer with the parts of one kind closer to what they are called, and one more of
// each: tolerances halved, a reference of the next grade, an optocoupler of the next rank, whose
// lowest ratio is higher.
func tighter(s inventory.Snapshot, kind catalog.Kind) inventory.Snapshot {
	out := inventory.Snapshot{Lots: append([]inventory.Lot(nil), s.Lots...)}
	for i := range out.Lots {
		l := &out.Lots[i]
		if l.Part.Kind() != kind {
			continue
		}
		switch p := l.Part.(type) {
		case catalog.Clamp:
			p.Tolerance.Value /= 2
			l.Part = p
		case catalog.Capacitor:
			p.Tolerance.Value /= 2
			l.Part = p
		case catalog.Resistor:
			p.Tolerance.Value /= 2
			l.Part = p
		case catalog.Optocoupler:
			if p.RatioMin.Value *= 1.25; !p.RatioMax.Known() ||
				p.RatioMin.Value < p.RatioMax.Value {
				l.Part = p
			}
		case catalog.Reference:
			if p.VrefMin.Known() && p.VrefMax.Known() {
				p.VrefMin.Value, p.VrefMax.Value = (p.VrefMin.Value+p.Vref.Value)/2,
					(p.VrefMax.Value+p.Vref.Value)/2
				l.Part = p
			}
		}
		l.Count++
	}
	return out
}

// TestBetterPartsLoseNothing: the same drawer with closer parts of a kind, and more of them, builds
// no less.
func TestBetterPartsLoseNothing(t *testing.T) {
	drawn(t, 150) // few of them build, and one must
	built := 0
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 6))
		drawer := smallDrawer(r)
		like := advise.Usual()[r.IntN(len(advise.Usual()))]
		like.Current = []si.Current{0.25, advise.UsualCurrents[0]}[r.IntN(2)]
		like.MainsMin, like.MainsMax, like.Line, like.Case, like.Ambient = 195, 265, 50,
			substitute.Sealed, 35
		target, err := like.Resolve(0)
		require.NoError(t, err)
		if _, ok := bestWound(drawer, target); !ok {
			return
		}
		built++
		kind := rapid.SampledFrom(betters).Draw(t, "bettered")
		better := tighter(drawer, kind)
		_, still := bestWound(better, target)
		require.True(t, still, "%s %g A lost by a better %s", target.Name,
			float64(target.Current), kind)
		margin, got := stageMargin(drawer, target), stageMargin(better, target)
		require.GreaterOrEqual(t, got, margin-smoothing, "%s %g A, better %s", target.Name,
			float64(target.Current), kind)
	})
	require.Positive(t, built)
}

// TestClampResistorDisplacesNoSuppressor: a resistor that could burn the clamp's power, without the
// capacitor that it needs, once took the place of a suppressor on hand and added a purchase: more
// in the drawer, and more to buy.
func TestClampResistorDisplacesNoSuppressor(t *testing.T) {
	target := resolved(t, substitute.Target{Chemistry: "lifepo4", Cells: 4, Current: 2})
	missing := func(without string) int {
		var s inventory.Snapshot
		for _, l := range exchange.Demo().Lots {
			if l.Part.Designation() != without {
				s.Lots = append(s.Lots, l)
			}
		}
		r := advise.Advise(target, s, advise.Options{Builds: 1, Single: true})
		require.NotEmpty(t, r.Builds)
		return r.Builds[0].Score.Missing
	}
	require.LessOrEqual(t, missing(""), missing("6k8 2 W"))
}
