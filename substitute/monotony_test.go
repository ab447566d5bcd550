package substitute

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
)

// bestWound is the margin of the best build that a drawer gives, and whether it gives one.
func bestWound(s inventory.Snapshot, t Target) (float64, bool) {
	r := NewWorkbench(s).Advise(t, Options{Builds: 1, Refused: 1, Drawer: true})
	if len(r.Builds) == 0 || r.Builds[0].Verdict != Feasible {
		return 0, false
	}
	return r.Builds[0].Score.Margin, true
}

// easier draws a target that asks for nothing that the given one does not ask for: a part of its mains range, cooler air, or a case
// that lets more heat out.
func easier(t *rapid.T, from Target) (Target, string) {
	to := from
	switch what := rapid.SampledFrom([]string{"mains", "highest mains", "ambient", "case"}).Draw(t, "eased"); what {
	case "mains":
		to.MainsMin = si.Voltage(rapid.IntRange(int(from.MainsMin), int(from.MainsMax)-3).Draw(t, "lowest"))
		return to, what
	case "highest mains":
		to.MainsMax = si.Voltage(rapid.IntRange(int(from.MainsMin)+3, int(from.MainsMax)).Draw(t, "highest"))
		return to, what
	case "ambient":
		to.Ambient -= si.Celsius(rapid.IntRange(1, 20).Draw(t, "cooler"))
		return to, what
	}
	to.Case = Vented
	if from.Case == Vented {
		to.Case = Open
	}
	return to, "case"
}

// TestEasierTargetsLoseNothing: what a drawer builds it also builds for a target that asks for less, with no less room. Drawers and
// targets are random; no figure is expected from anywhere.
func TestEasierTargetsLoseNothing(t *testing.T) {
	built := 0
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 5))
		drawer := smallDrawer(r)
		like := usual()[r.IntN(len(usual()))]
		like.Current = usualCurrents[r.IntN(2)]
		like.MainsMin, like.MainsMax, like.Line, like.Case, like.Ambient = 195, 265, 50, Sealed, 35
		target, err := like.Resolve(0)
		require.NoError(t, err)
		margin, ok := bestWound(drawer, target)
		if !ok {
			return
		}
		built++
		other, what := easier(t, target)
		got, still := bestWound(drawer, other)
		require.True(t, still, "%s %g A lost by easing %s: %+v", target.Name, float64(target.Current), what, other)
		require.GreaterOrEqual(t, got, margin-smoothing, "%s %g A, %s eased", target.Name, float64(target.Current), what)
	})
	require.Positive(t, built)
}

// smoothing: rooms are compared in whole hundredths, rounded down, so that equal designs may differ by one.
const smoothing = 0.0101

// tighter is the drawer with the tolerance of one kind of part halved and one more of each.
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
		}
		l.Count++
	}
	return out
}

// TestBetterPartsLoseNothing: the same drawer with closer suppressors, or more of them, builds no less.
func TestBetterPartsLoseNothing(t *testing.T) {
	built := 0
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 6))
		drawer := smallDrawer(r)
		like := usual()[r.IntN(len(usual()))]
		like.Current = usualCurrents[r.IntN(2)]
		like.MainsMin, like.MainsMax, like.Line, like.Case, like.Ambient = 195, 265, 50, Sealed, 35
		target, err := like.Resolve(0)
		require.NoError(t, err)
		margin, ok := bestWound(drawer, target)
		if !ok {
			return
		}
		built++
		got, still := bestWound(tighter(drawer, catalog.KindClamp), target)
		require.True(t, still, "%s %g A", target.Name, float64(target.Current))
		require.GreaterOrEqual(t, got, margin-smoothing, "%s %g A", target.Name, float64(target.Current))
	})
	require.Positive(t, built)
}
