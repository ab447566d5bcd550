package regulation_test

import (
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog/si"
	"sparewright/substitute/regulation/resistors"
)

// e24Decades is the 170 values of E24 from 1 ohm to 11 Mohm, each as often as count says.
func e24Decades(count int) []resistors.Piece {
	var pieces []resistors.Piece
	for _, r := range resistors.Preferred(false, 1, 11e6) {
		pieces = append(pieces, resistors.Piece{Lot: int64(len(pieces) + 1), Ohm: r,
			Tolerance: 0.01, Count: count, Power: 0.25})
	}
	return pieces
}

// fraction is the exact value of a network, numerator and denominator unreduced.
type fraction struct{ num, den *big.Int }

func plus(a, b fraction) fraction {
	n := new(big.Int).Mul(a.num, b.den)
	return fraction{n.Add(n, new(big.Int).Mul(b.num, a.den)), new(big.Int).Mul(a.den, b.den)}
}

func abreast(a, b fraction) fraction {
	s := plus(fraction{a.den, a.num}, fraction{b.den, b.num})
	return fraction{s.den, s.num}
}

// oneNetwork is a network of the plain enumeration: what it takes, and its value in exact
// fractions.
type oneNetwork struct {
	// the same for the same parts in the same circuit, in whatever order they were written
	key   string
	take  []int
	value *big.Rat
}

// enumerate lists every network of one to three parts the counts allow, the plainest way: every
// ordered choice of parts in every wiring. It lists many twice, and leaves nothing out.
func enumerate(pieces []resistors.Piece, parts int) []oneNetwork {
	var out []oneNetwork
	whole := func(i int) fraction {
		return fraction{big.NewInt(int64(math.Round(float64(pieces[i].Ohm) * 1e3))),
			big.NewInt(1000)}
	}
	add := func(circuit string, f fraction, take ...int) {
		for _, i := range take {
			need := 0
			for _, j := range take {
				if i == j {
					need++
				}
			}
			if need > pieces[i].Count {
				return
			}
		}
		sorted := slices.Clone(take)
		if strings.HasPrefix(circuit, "one ") {
			slices.Sort(sorted[1:])
		} else {
			slices.Sort(sorted)
		}
		out = append(out, oneNetwork{fmt.Sprint(circuit, sorted), take,
			new(big.Rat).SetFrac(f.num, f.den)})
	}
	for i := range pieces {
		if parts == 1 {
			add("chain", whole(i), i)
			continue
		}
		for j := range pieces {
			if parts == 2 {
				add("chain", plus(whole(i), whole(j)), i, j)
				add("abreast", abreast(whole(i), whole(j)), i, j)
				continue
			}
			for k := range pieces {
				a, b, c := whole(i), whole(j), whole(k)
				add("chain", plus(plus(a, b), c), i, j, k)
				add("abreast", abreast(abreast(a, b), c), i, j, k)
				add("one before ", plus(a, abreast(b, c)), i, j, k)
				add("one beside ", abreast(a, plus(b, c)), i, j, k)
			}
		}
	}
	return out
}

// offBy is the relative distance of a value from the wanted one, in exact fractions.
func offBy(v, want *big.Rat) *big.Rat {
	d := new(big.Rat).Sub(v, want)
	return d.Abs(d).Quo(d, want)
}

// drawerOf draws a small stock of E24 values, some of several lots, with counts from 1 to 3.
func drawerOf(r *rand.Rand, most int) []resistors.Piece {
	all := resistors.Preferred(false, 1, 11e6)
	low := r.IntN(len(all) - 30)
	var pieces []resistors.Piece
	for i := range 1 + r.IntN(most) {
		p := resistors.Piece{Lot: int64(i + 1), Ohm: all[low+r.IntN(30)],
			Tolerance: []si.Ratio{0.001, 0.01, 0.05}[r.IntN(3)], Count: 1 + r.IntN(3)}
		if r.IntN(3) == 0 {
			p.Ohm = all[r.IntN(len(all))]
		}
		pieces = append(pieces, p)
	}
	return pieces
}

// exactValue recomputes a network from its parts in exact fractions, by its written wiring.
func exactValue(t *testing.T, n resistors.Network) *big.Rat {
	t.Helper()
	v := func(i int) fraction {
		return fraction{big.NewInt(int64(math.Round(float64(n.Values[i]) * 1e3))), big.NewInt(1000)}
	}
	var f fraction
	switch n.Wiring {
	case resistors.Single:
		f = v(0)
	case resistors.Series2:
		f = plus(v(0), v(1))
	case resistors.Parallel2:
		f = abreast(v(0), v(1))
	case resistors.Series3:
		f = plus(plus(v(0), v(1)), v(2))
	case resistors.Parallel3:
		f = abreast(abreast(v(0), v(1)), v(2))
	case resistors.SeriesParallel:
		f = plus(v(0), abreast(v(1), v(2)))
	case resistors.ParallelSeries:
		f = abreast(v(0), plus(v(1), v(2)))
	default:
		t.Fatalf("wiring %d", n.Wiring)
	}
	return new(big.Rat).SetFrac(f.num, f.den)
}

// slack is what the exact search may miss the exact optimum by: the resolution it states, twice for
// an answer of rounded sums.
var slack = big.NewRat(2, 1e12)

func noWorse(t *testing.T, got, want *big.Rat, text string, args ...any) {
	t.Helper()
	d := new(big.Rat).Sub(got, want)
	require.LessOrEqual(t, d.Cmp(slack), 0, "worse: "+text, args)
	require.GreaterOrEqual(t, d.Add(d, slack).Sign(), 0, "better than possible: "+text, args)
}

// TestNearestEqualsEnumeration holds the nearest networks of one, two and three parts, the first
// three of each, against the enumeration of all of them in exact fractions.
func TestNearestEqualsEnumeration(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 7))
	asked := 0
	for range 150 {
		pieces := drawerOf(r, 7)
		a := resistors.NewAssortment(pieces)
		for parts := 1; parts <= 3; parts++ {
			all := enumerate(a.Pieces, parts)
			for range 3 {
				ohm := math.Round(1e3*float64(pieces[r.IntN(len(pieces))].Ohm)*math.Exp(
					3*r.Float64()-1.5)) / 1e3
				if r.IntN(4) == 0 && len(all) > 0 { // a value that can be had
					ohm, _ = all[r.IntN(len(all))].value.Float64()
				}
				want := new(big.Rat).SetFloat64(ohm)
				got := a.Nearest(resistors.NearestSpec{Ohm: si.Resistance(ohm),
					Parts: parts, Keep: 3})
				var errs []*big.Rat
				seen := map[string]bool{}
				for _, n := range all {
					if !seen[n.key] {
						seen[n.key] = true
						errs = append(errs, offBy(n.value, want))
					}
				}
				slices.SortFunc(errs, func(a, b *big.Rat) int { return a.Cmp(b) })
				require.Len(t, got, min(3, len(errs)))
				for i, n := range got {
					require.Equal(t, parts, n.N)
					require.True(t, stockOf(a.Pieces).Holds(n))
					noWorse(t, offBy(exactValue(t, n), want), errs[i], "%g ohm of %v, place %d: %s",
						ohm, pieces, i, n)
					asked++
				}
			}
		}
	}
	require.Greater(t, asked, 2000)
}

func stockOf(pieces []resistors.Piece) resistors.Stock { return resistors.Stock{Pieces: pieces} }

// TestNearestKeepsTheBand asks for networks whose whole tolerance band lies near the value.
func TestNearestKeepsTheBand(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 77))
	met, unmet := 0, 0
	for range 200 {
		pieces := drawerOf(r, 6)
		a := resistors.NewAssortment(pieces)
		ohm := float64(pieces[0].Ohm) * math.Exp(2*r.Float64()-1)
		within := []si.Ratio{0.02, 0.06, 0.15}[r.IntN(3)]
		for parts := 1; parts <= 3; parts++ {
			best := math.Inf(1)
			low, high := ohm*(1-float64(within)), ohm*(1+float64(within))
			for _, n := range enumerateBands(a.Pieces, parts) {
				if n.lo >= low && n.hi <= high {
					best = min(best, math.Abs(n.nom/ohm-1))
				}
			}
			got := a.Nearest(resistors.NearestSpec{Ohm: si.Resistance(ohm), Parts: parts,
				Within: within})
			if math.IsInf(best, 1) {
				require.Empty(t, got)
				unmet++
				continue
			}
			require.Len(t, got, 1)
			require.GreaterOrEqual(t, float64(got[0].Low), low*(1-1e-12))
			require.LessOrEqual(t, float64(got[0].High), high*(1+1e-12))
			require.InDelta(t, best, math.Abs(float64(got[0].Ohm)/ohm-1), 3e-12)
			met++
		}
	}
	require.Greater(t, met, 50)
	require.Greater(t, unmet, 50)
}

type band struct{ nom, lo, hi float64 }

// enumerateBands is enumerate in plain floats with every part at its nominal, low and high end.
func enumerateBands(pieces []resistors.Piece, parts int) []band {
	var out []band
	ends := [3]func(resistors.Piece) float64{
		func(p resistors.Piece) float64 { return float64(p.Ohm) },
		func(p resistors.Piece) float64 { return float64(p.Ohm) * (1 - float64(p.Tolerance)) },
		func(p resistors.Piece) float64 { return float64(p.Ohm) * (1 + float64(p.Tolerance)) },
	}
	for _, n := range enumerate(pieces, parts) {
		for w := range 4 {
			var v [3]float64
			for e, end := range ends {
				x := make([]float64, 3)
				for k, i := range n.take {
					x[k] = end(pieces[i])
				}
				switch {
				case parts == 1:
					v[e] = x[0]
				case parts == 2 && w%2 == 0:
					v[e] = x[0] + x[1]
				case parts == 2:
					v[e] = x[0] * x[1] / (x[0] + x[1])
				case w == 0:
					v[e] = x[0] + x[1] + x[2]
				case w == 1:
					v[e] = 1 / (1/x[0] + 1/x[1] + 1/x[2])
				case w == 2:
					v[e] = x[0] + x[1]*x[2]/(x[1]+x[2])
				default:
					v[e] = x[0] * (x[1] + x[2]) / (x[0] + x[1] + x[2])
				}
			}
			out = append(out, band{v[0], v[1], v[2]})
		}
	}
	return out
}

// TestDividersEqualEnumeration holds the best pair of every number of parts against every pair of
// networks in exact fractions, parts used by one leg being gone for the other.
func TestDividersEqualEnumeration(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 71))
	found := [7]int{}
	for round := range 100 {
		pieces := drawerOf(r, 6)
		a := resistors.NewAssortment(pieces)
		var legs [4][]oneNetwork
		for parts := 1; parts <= 3; parts++ {
			legs[parts] = distinctNetworks(enumerate(a.Pieces, parts))
		}
		k := math.Exp(6*r.Float64() - 3)
		if round%5 == 0 {
			k = float64(1 + r.IntN(12))
		}
		spec := resistors.RatioSpec{Ratio: si.Ratio(k), Parts: 3}
		if round%2 == 0 {
			spec.Total = si.Interval[si.Resistance]{Low: pieces[0].Ohm / 2,
				High: pieces[0].Ohm * 20}
		}
		want := bestRatios(a.Pieces, legs, k, spec)
		got := a.PairDividers(spec, []int{1, 7, 40}[round%3])
		require.Len(t, got, len(want), "ratio %g of %v", k, pieces)
		for i, p := range got {
			require.Equal(t, want[i].parts, p.Top.N+p.Bottom.N)
			require.True(t, stockOf(a.Pieces).Holds(p.Top, p.Bottom))
			ratio := new(big.Rat).Quo(exactValue(t, p.Top), exactValue(t, p.Bottom))
			noWorse(t, offBy(ratio, new(big.Rat).SetFloat64(k)), want[i].err,
				"ratio %g of %v: %s over %s", k, pieces, p.Top, p.Bottom)
			found[p.Top.N+p.Bottom.N]++
		}
	}
	for parts := 2; parts <= 6; parts++ {
		require.Greater(t, found[parts], 5, "%d parts", parts)
	}
}

func distinctNetworks(all []oneNetwork) []oneNetwork {
	seen := map[string]bool{}
	var out []oneNetwork
	for _, n := range all {
		if !seen[n.key] {
			seen[n.key] = true
			out = append(out, n)
		}
	}
	return out
}

type ratioWanted struct {
	parts int
	err   *big.Rat
}

// bestRatios is the plain enumeration of pairs; a number of parts that does no better than fewer is
// left out.
func bestRatios(pieces []resistors.Piece, legs [4][]oneNetwork, k float64,
	spec resistors.RatioSpec) []ratioWanted {
	best := [7]*big.Rat{}
	low, high := new(big.Rat).SetFloat64(float64(spec.Total.Low)),
		new(big.Rat).SetFloat64(float64(spec.Total.High))
	for n := 1; n <= 3; n++ {
		for m := 1; m <= 3; m++ {
			for _, top := range legs[n] {
				for _, bottom := range legs[m] {
					tv, _ := top.value.Float64()
					bv, _ := bottom.value.Float64()
					if e := math.Abs(tv/bv/k - 1); e > resistors.RatioReach ||
						best[n+m] != nil && e > 1.001*ratFloat(best[n+m])+1e-12 {
						continue // exact fractions only where it can matter
					}
					if spec.Total.High > 0 {
						if sum := new(big.Rat).Add(top.value, bottom.value); sum.Cmp(low) < 0 ||
							sum.Cmp(high) > 0 {
							continue
						}
					}
					if !suffices(pieces, top.take, bottom.take) {
						continue
					}
					e := offBy(new(big.Rat).Quo(top.value, bottom.value),
						new(big.Rat).SetFloat64(k))
					if best[n+m] == nil || e.Cmp(best[n+m]) < 0 {
						best[n+m] = e
					}
				}
			}
		}
	}
	var out []ratioWanted
	for parts, e := range best {
		if e != nil && (len(out) == 0 || ratFloat(e) < ratFloat(out[len(out)-1].err)-1e-12) {
			out = append(out, ratioWanted{parts, e})
		}
	}
	return out
}

func ratFloat(r *big.Rat) float64 { f, _ := r.Float64(); return f }

func suffices(pieces []resistors.Piece, takes ...[]int) bool {
	need := map[int]int{}
	for _, take := range takes {
		for _, i := range take {
			need[i]++
		}
	}
	for i, n := range need {
		if n > pieces[i].Count {
			return false
		}
	}
	return true
}
