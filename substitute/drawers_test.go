package substitute_test

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/complete"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/seats"
)

// salvage reads one of the drawers of testdata/drawers: ordinary boxes, with resistors of 1 %.
func salvage(t *testing.T, name string) inventory.Snapshot {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "testdata", "drawers", name+".csv"))
	require.NoError(t, err)
	defer func() { _ = f.Close() }()
	d, faults := exchange.Read(f, name)
	require.Empty(t, faults)
	var s inventory.Snapshot
	for i, l := range d.Lots {
		l.ID = int64(i + 1)
		s.Lots = append(s.Lots, l)
	}
	return s
}

// TestOrdinaryDrawersSayYes: what each box builds, and what it does not. The heap and the bricks
// need a measured step for a lithium pack; the bench whose owner has read three references and six
// resistors with a good meter needs none.
func TestOrdinaryDrawersSayYes(t *testing.T) {
	for _, row := range []struct {
		drawer  string
		cells   int
		current float64
		yes     bool
		steps   int
	}{
		{"heap", 3, 0.5, true, 1}, {"heap", 3, 1, false, 0}, {"heap", 2, 0.5, true, 1},
		{"bricks", 3, 0.5, true, 1}, {"bricks", 4, 1, true, 1}, {"bricks", 4, 2, false, 0},
		{"meter", 3, 0.5, true, 0}, {"meter", 3, 1, false, 0},
	} {
		target := resolved(t, substitute.Target{Chemistry: "li-ion", Cells: row.cells,
			Current: si.Current(row.current)})
		t.Run(row.drawer+" "+target.Name+" "+advise.Amps(target.Current), func(t *testing.T) {
			s := salvage(t, row.drawer)
			r := advise.Advise(target, s, advise.Options{Builds: 1, Refused: 5, Drawer: true})
			if !row.yes {
				require.False(t, advise.AnyFeasible(r.Builds))
				return
			}
			require.NotEmpty(t, r.Builds)
			b := &r.Builds[0]
			require.Equal(t, substitute.Feasible, b.Verdict)
			require.Equal(t, row.steps, b.Score.Steps)
			if row.steps > 0 {
				overcharges(t, target, s, b)
			}
		})
	}
}

// overcharges draws chargers from the document of a build and the lots it names, with nothing of
// the design in between: parts at the ends of what is printed on them, a meter off by what the step
// allows for, the air inside at its limit. No pack sees more than it bears, before the step, after
// it, or with it forgotten.
func overcharges(t *testing.T, target substitute.Target, s inventory.Snapshot,
	b *substitute.Build) {
	t.Helper()
	draws := 100_000
	if testing.Short() {
		draws = 10_000
	}
	r := rand.New(rand.NewPCG(16, 8))
	end := func(half float64) float64 {
		if r.IntN(4) > 0 {
			return half * float64(2*r.IntN(2)-1)
		}
		return half * (2*r.Float64() - 1)
	}
	part := func(lot int64) catalog.Part {
		return complete.Part(inventory.Effective(s.Lots[lot-1]))
	}
	const warmer = substitute.InsideLimit - 25
	leg := func(id seats.ID) (cold, hot float64) {
		for _, n := range b.Regulation.Networks {
			if n.Role != id {
				continue
			}
			var c, h [3]float64
			k := 0
			for _, u := range n.Parts {
				p := part(u.Lot).(catalog.Resistor)
				for range u.Count {
					c[k] = float64(p.Resistance.Value) * (1 + end(float64(p.Tolerance.Value)))
					h[k] = c[k] * (1 + end(float64(p.Drift.Value)*warmer))
					k++
				}
			}
			return wired(n.Wiring, c, k), wired(n.Wiring, h, k)
		}
		t.Fatalf("no %s", id)
		return 0, 0
	}
	ref, amp := vrefOf(b, part), ampOf(b, part)
	step := b.Regulation.Step
	steps := 0
	for range draws {
		topCold, topHot := leg(seats.DividerTop)
		bottomCold, bottomHot := leg(seats.DividerBottom)
		vref := ref.low + (ref.high-ref.low)*r.Float64()
		if r.IntN(3) > 0 {
			vref = []float64{ref.low, ref.high}[r.IntN(2)]
		}
		vref += end(amp)
		vrefHot := vref * (1 + end(ref.drift*warmer))
		meter := 1 + end(float64(step.Meter))
		out := func(set float64, v, top, bottom float64) float64 {
			if set > 0 {
				bottom = 1 / (1/bottom + 1/set)
			}
			return v * (1 + top/bottom)
		}
		require.LessOrEqual(t, out(0, vrefHot, topHot, bottomHot), float64(target.Absolute),
			"forgotten")
		read := out(0, vref, topCold, bottomCold) * meter
		set := 0.0
		for _, c := range step.Choices {
			if read >= float64(c.From) && read < float64(c.To) && read < float64(step.AcceptLow) {
				set = float64(c.Ohm) * (1 + end(0.01))
			}
		}
		if set > 0 {
			steps++
		}
		then := out(set, vref, topCold, bottomCold) * meter
		require.Truef(t, then >= float64(step.AcceptLow)-0.01 &&
			then <= float64(step.AcceptHigh)+0.01,
			"reads %g V after %g V, accepted %g to %g V", then, read, float64(step.AcceptLow),
			float64(step.AcceptHigh))
		if then <= float64(step.AcceptHigh) {
			require.LessOrEqual(t, out(set, vrefHot, topHot, bottomHot), float64(target.Absolute),
				"accepted at %g V", then)
		}
	}
	require.Greater(t, steps, draws/2)
}

// wired is a leg of the parts in the order of its wiring, which writes series before parallel.
func wired(wiring string, v [3]float64, n int) float64 {
	both := func(a, b float64) float64 { return a * b / (a + b) }
	series, parallel := false, false
	for _, c := range wiring {
		series, parallel = series || c == '+', parallel || c == '|'
	}
	switch {
	case n == 1:
		return v[0]
	case n == 2 && series:
		return v[0] + v[1]
	case n == 2 && parallel:
		return both(v[0], v[1])
	}
	panic("a leg of a measured divider has two parts at most")
}

type reference struct{ low, high, drift float64 }

func vrefOf(b *substitute.Build, part func(int64) catalog.Part) reference {
	for _, u := range b.Parts {
		if u.Role == seats.Reference {
			p := part(u.Lot).(catalog.Reference)
			return reference{float64(p.VrefMin.Value), float64(p.VrefMax.Value),
				float64(p.Drift.Value)}
		}
	}
	for _, u := range b.Parts {
		if u.Role == seats.Amplifier {
			p := part(u.Lot).(catalog.Amplifier)
			return reference{float64(p.VrefMin.Value), float64(p.VrefMax.Value), 100e-6}
		}
	}
	panic("no reference")
}

func ampOf(b *substitute.Build, part func(int64) catalog.Part) float64 {
	for _, u := range b.Parts {
		if u.Role == seats.Amplifier {
			return float64(part(u.Lot).(catalog.Amplifier).Offset.Value)
		}
	}
	panic("no amplifier")
}
