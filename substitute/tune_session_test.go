package substitute_test

import (
	"cmp"
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/magnetics"
	"sparewright/substitute/tune"
)

// Sessions at the bench against a truth that is not the program's model. The truth is the
// reluctance of the handbook (see reluctance in independent_core_test.go), with one of three
// published laws of the stray field, drawn for every case:
//
//	handbook     F = 1 + (g/sqrt A) ln(2 G/g)   (McLyman, 3rd ed., ch. 8, from memory)
//	field        the same, times what the 3-D field solutions of fem_al.csv give over it at this gap
//	pole sides the gap is added to the sides of the pole, F = (1 + g/sqrt A)^2 (Dixon, SLUP127, pp.
//	      5-9, 5-10)
//
// Drawn for every case, evenly: permeability +-25 %, every film +-30 %, joint 4 to 11 um, ground
// gap +-10 % and +-0.02 mm; for every reading: meter +-2 % of what it shows, clamping +-1 %.

type truth struct {
	core   reluctance
	joint  float64
	ground float64
	law    int
	films  map[int64]float64 // thickness by lot, m
	field  [2][]float64      // gaps in m, AL of the field solution over that of the handbook
}

func (x *truth) al(stack []tune.LayerReading) float64 {
	gap := x.ground
	for _, l := range stack {
		gap += 2 * float64(l.Count) * x.films[l.Lot]
	}
	switch x.law {
	case 1:
		return x.core.al(gap, x.joint) * between2(x.field[0], x.field[1], gap)
	case 2:
		side := 1 + gap/math.Sqrt(x.core.area)
		return 4e-7 * math.Pi * x.core.area / (x.core.path/x.core.mu + x.joint + gap/(side*side))
	}
	return x.core.al(gap, x.joint)
}

// between2 interpolates on straight lines, held at the ends.
func between2(x, y []float64, at float64) float64 {
	for i := 1; i < len(x); i++ {
		if at <= x[i] {
			return y[i-1] + (y[i]-y[i-1])*max(0, at-x[i-1])/(x[i]-x[i-1])
		}
	}
	return y[len(y)-1]
}

// fieldOverHandbook reads the field solutions of the film under all legs and divides the handbook's
// AL of the same pair out: Ae 31.6 mm2 and le 46.4 mm by IEC 60205 from the letters of that file,
// window 2 D = 14.4 mm.
func fieldOverHandbook(t *testing.T) (out [2][]float64) {
	data, err := os.ReadFile(filepath.Join("..", "testdata", "reference", "fem_al.csv"))
	require.NoError(t, err)
	r := csv.NewReader(strings.NewReader(string(data)))
	r.Comment = '#'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	pair := reluctance{area: 31.6e-6, path: 46.4e-3, mu: 2300, window: 14.4e-3}
	for _, row := range rows[1:] {
		if row[1] == "shim" {
			gap, err1 := strconv.ParseFloat(row[2], 64)
			al, err2 := strconv.ParseFloat(row[3], 64)
			require.NoError(t, err1)
			require.NoError(t, err2)
			out[0] = append(out[0], gap*1e-3)
			out[1] = append(out[1], al*1e-9/pair.al(gap*1e-3, 0))
		}
	}
	require.Len(t, out[0], 5)
	return out
}

// stacks lists one to three layers of one or two films, by lot.
func stacks(lots []int64) [][]tune.LayerReading {
	out := [][]tune.LayerReading{nil}
	for i, a := range lots {
		for n := 1; n <= 3; n++ {
			out = append(out, []tune.LayerReading{{Lot: a, Count: n}})
			for _, b := range lots[i+1:] {
				for m := 1; n+m <= 3; m++ {
					out = append(out, []tune.LayerReading{{Lot: a, Count: n}, {Lot: b, Count: m}})
				}
			}
		}
	}
	return out
}

// sessionBuild is a build of the built-in drawer on the bench.
type sessionBuild struct {
	name  string
	build *substitute.Build
	tuner *tune.Tuner
	al    catalog.Datum[si.InductanceFactor]
}

// tally counts how sessions ended.
type tally struct{ cases, first, one, two, wrong, needed, neededOne, neededTwo, strained int }

func (a *tally) add(b tally) {
	a.cases, a.first, a.one, a.two, a.wrong = a.cases+b.cases, a.first+b.first, a.one+b.one,
		a.two+b.two, a.wrong+b.wrong
	a.strained += b.strained
	a.needed, a.neededOne, a.neededTwo = a.needed+b.needed, a.neededOne+b.neededOne,
		a.neededTwo+b.neededTwo
}

func even(r *rand.Rand, half float64) float64 { return half * (2*r.Float64() - 1) }

// draw makes the truth of one case.
func (s *sessionBuild) draw(r *rand.Rand, films map[int64]float64, order []int64,
	field [2][]float64) truth {
	b := s.build
	x := truth{
		core: reluctance{
			area: float64(b.Core.Area),
			path: float64(b.Core.Path),
			mu:   float64(b.Core.Permeability) * (1 + even(r, 0.25)),
			window: float64(
				b.Drawing.Geometry.WindowHeight,
			),
		},
		joint: 4e-6 + 7e-6*r.Float64(),
		law:   r.IntN(3),
		films: map[int64]float64{},
		field: field,
	}
	for _, lot := range order {
		x.films[lot] = films[lot] * (1 + even(r, 0.30))
	}
	switch {
	case s.al.Basis == catalog.Measured && b.Gap.Ground > 0:
		x.ground = x.core.gapOf(float64(s.al.Value)*(1+even(r, 0.03)), x.joint)
	case b.Gap.Ground > 0:
		x.ground = float64(b.Gap.Ground)*(1+even(r, 0.10)) + even(r, 20e-6)
	}
	return x
}

// play runs one session from a stack. The answer is the number of corrections after which the
// reading lay between the walls, meter error included, and whether the inductance truly did; 9 when
// it never came to that.
func (s *sessionBuild) play(
	t *testing.T,
	r *rand.Rand,
	x *truth,
	stack []tune.LayerReading,
) (corrections int, right, strained bool) {
	turns := float64(s.build.Transformer.PrimaryTurns)
	var bench tune.Bench
	for corrections = 0; corrections <= 2; corrections++ {
		l := turns * turns * x.al(stack) * (1 + even(r, 0.01))
		shown := l / (1 + even(r, 0.02))
		bench.Stacks = append(
			bench.Stacks,
			tune.StackReading{Layers: stack,
				Inductance: magnetics.Within(si.Inductance(shown), 0.02)},
		)
		answer, err := s.tuner.Tune(bench)
		require.NoError(t, err)
		if v := answer.Inductance.Verdict; v == tune.TuneGood || v == tune.TuneStrained {
			return corrections, s.between(l, 1), v == tune.TuneStrained
		}
		if answer.Inductance.Next == nil {
			return 9, false, false
		}
		stack = layersOf(answer.Inductance.Next.Layers)
	}
	return 9, false, false
}

func layersOf(films []substitute.ShimFilm) (out []tune.LayerReading) {
	for _, f := range films {
		out = append(out, tune.LayerReading{Lot: f.Lot, Count: f.Count})
	}
	return out
}

// between reports whether an inductance lies between the walls of the sheet, pulled in by a factor.
func (s *sessionBuild) between(l, spare float64) bool {
	x := s.build.Transformer
	return l >= float64(x.WallPower)*spare && l <= float64(x.WallSaturation)/spare
}

// sessions plays cases of one build of which some stack reaches the window.
func (s *sessionBuild) sessions(t *testing.T, r *rand.Rand, n int, field [2][]float64,
	wrongStack bool) (sum tally) {
	films := map[int64]float64{}
	var order []int64
	for _, l := range exchange.Demo().Lots {
		if f, is := l.Part.(catalog.Film); is && f.Shim == "yes" {
			films[l.ID] = float64(f.Thickness.Value)
			order = append(order, l.ID)
		}
	}
	turns := float64(s.build.Transformer.PrimaryTurns)
	all := stacks(order)
	for sum.cases < n {
		x := s.draw(r, films, order, field)
		inside := func(k []tune.LayerReading) bool { return s.between(turns*turns*x.al(k), 1.02) }
		first := layersOf(s.build.Gap.Layers)
		if wrongStack {
			first = all[r.IntN(len(all))]
		}
		if !slices.ContainsFunc(all, inside) ||
			wrongStack && s.between(turns*turns*x.al(first), 0.98) {
			continue
		}
		sum.cases++
		c, right, strained := s.play(t, r, &x, first)
		if strained {
			sum.strained++
		}
		if c <= 2 && !right {
			sum.wrong++
		}
		if c > 0 {
			sum.needed++
		}
		switch {
		case !right:
		case c == 0:
			sum.first++
			sum.one++
			sum.two++
		case c == 1:
			sum.one++
			sum.two++
			sum.neededOne++
			sum.neededTwo++
		case c == 2:
			sum.two++
			sum.neededTwo++
		}
	}
	return sum
}

// sessionBuilds picks the eighteen hardest builds of the built-in drawer: of three targets the six
// with the narrowest window between their walls, no core twice.
func sessionBuilds(t *testing.T) []sessionBuild {
	var out []sessionBuild
	w := advise.NewWorkbench(exchange.Demo())
	cores := map[int64]catalog.Core{}
	for _, l := range exchange.Demo().Lots {
		if p, is := inventory.Effective(l).(catalog.Core); is {
			cores[l.ID] = p
		}
	}
	for _, q := range []struct {
		cells int
		amps  si.Current
	}{{4, 0.5}, {3, 0.5}, {2, 1}} {
		target, err := substitute.Target{Chemistry: "li-ion", Cells: q.cells, Current: q.amps,
			MainsMin: 195, MainsMax: 265,
			Line: 50, Case: substitute.Sealed, Ambient: 35}.Resolve(0)
		require.NoError(t, err)
		builds := w.Advise(target, advise.Options{Builds: 1000}).Builds
		slices.SortStableFunc(builds, func(a, b substitute.Build) int {
			return cmp.Compare(windowOf(&a), windowOf(&b))
		})
		taken := map[int64]bool{}
		for i := range builds {
			b := &builds[i]
			if b.Kind != substitute.Wound || b.Verdict != substitute.Feasible ||
				taken[b.Core.Lot] || len(taken) == 6 {
				continue
			}
			taken[b.Core.Lot] = true
			u, ok := tune.NewTuner(w, target, b)
			require.True(t, ok, "%v build %d", target.Name, b.Rank)
			name := fmt.Sprintf("%s on %s, 1:%.2f", b.Switcher.Designation,
				b.Core.Designation, windowOf(b))
			out = append(out, sessionBuild{name: name, build: b, tuner: u,
				al: cores[b.Core.Lot].AL})
		}
	}
	require.Len(t, out, 18)
	return out
}

func windowOf(b *substitute.Build) float64 {
	return float64(b.Transformer.WallSaturation / b.Transformer.WallPower)
}

// Of 1008 drawn cases in which some stack reaches the window, at least 95 in 100 lie in it after
// two corrections, and none is called good that is not: once from the stack of the sheet, once from
// a stack that is wrong for sure. The figures asked for are those that the command was written to
// reach.
func TestTuneLandsWithinTwoCorrections(t *testing.T) {
	field := fieldOverHandbook(t)
	builds := sessionBuilds(t)
	for _, wrongStack := range []bool{false, true} {
		r := rand.New(rand.NewPCG(20261125, 2))
		var all tally
		for i := range builds {
			one := builds[i].sessions(t, r, few(1000)/len(builds)+1, field, wrongStack)
			t.Logf("%-52s %d of %d within two", builds[i].name, one.two, one.cases)
			all.add(one)
		}
		t.Logf("first stack wrong for sure: %v; %d cases: inside at once %d, after one "+
			"correction %d, after two %d; of %d that "+
			"needed one: %d, %d; with another limit passed %d",
			wrongStack, all.cases, all.first, all.one, all.two, all.needed, all.neededOne,
			all.neededTwo, all.strained)
		require.GreaterOrEqual(t, all.cases, few(1000))
		require.GreaterOrEqual(t, float64(all.two), 0.95*float64(all.cases))
		require.GreaterOrEqual(t, float64(all.neededTwo), 0.95*float64(all.needed))
		require.Zero(t, all.wrong, "called good, and is not")
	}
}
