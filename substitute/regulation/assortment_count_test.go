package regulation_test

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/substitute/regulation/resistors"
)

// TestCountsOfNetworks: 170 values of E24 over seven decades have 170, 29,070 and 6,608,580
// networks of one, two and three parts, and 170, 25,706 and 5,418,878 distinct values up to that
// size. Source: counted before this program with exact fractions; the first row also n, n(n+1) and
// n(n+1)(n+2)/3 + n^2(n+1). Values count as different when their fractions are.
func TestCountsOfNetworks(t *testing.T) {
	a := resistors.NewAssortment(e24Decades(3))
	require.Len(t, a.Single, 170)
	require.Len(t, a.Pair, 29_070)
	three := resistors.NewWindow(a).Between(0, math.Inf(1))
	require.Len(t, three, 6_608_580)
	require.True(t, slices.IsSortedFunc(three,
		func(a, b resistors.Twig) int { return cmp.Compare(a.Ohm, b.Ohm) }))
	all := slices.Clone(a.Single)
	for i, want := range []int{170, 25_706, 5_418_878} {
		if i == 1 {
			all = append(all, a.Pair...)
		} else if i == 2 {
			all = append(all, three...)
		}
		require.Equal(t, want, distinctValues(a, all))
	}
}

// distinctValues counts different values exactly: neighbours within rounding are compared as
// fractions.
func distinctValues(a *resistors.Assortment, all []resistors.Twig) int {
	slices.SortFunc(all, resistors.CompareTwigs)
	count := 0
	for start := 0; start < len(all); {
		end := start + 1
		for end < len(all) && all[end].Ohm < all[end-1].Ohm*(1+1e-13) {
			end++
		}
		var seen []twigFraction
		for i := start; i < end; i++ {
			f := fractionOf(a, &all[i])
			if !slices.ContainsFunc(seen, f.equals) {
				seen = append(seen, f)
			}
		}
		count += len(seen)
		start = end
	}
	return count
}

// twigFraction is numerator and denominator of a value modulo 2^64 and modulo the prime 2^61-1.
type twigFraction struct{ num, den, numP, denP uint64 }

const prime = 1<<61 - 1

func mulP(a, b uint64) uint64 {
	hi, lo := bits.Mul64(a, b)
	return bits.Rem64(hi, lo, prime)
}

// equals compares by cross multiplication. Numerators stay below 2^82 and denominators below 2^56
// (parts below 2^27 ohm), the two products below 2^138; of values that agree to 1e-12 they differ
// by less than 2^99. A difference that is 0 modulo 2^64 and modulo 2^61-1, together 2^125, is
// therefore 0.
func (f twigFraction) equals(g twigFraction) bool {
	return f.num*g.den == g.num*f.den && mulP(f.numP, g.denP) == mulP(g.numP, f.denP)
}

func fractionOf(a *resistors.Assortment, t *resistors.Twig) twigFraction {
	var r [3]uint64
	for k := range t.N {
		r[k] = uint64(math.Round(float64(a.Pieces[t.P[k]].Ohm) * 10))
	}
	one := twigFraction{r[0], 1, r[0], 1}
	pair := func(x, y uint64, series bool) twigFraction {
		s, p, pp := x+y, x*y, mulP(x, y)
		if series {
			return twigFraction{s, 1, s, 1}
		}
		return twigFraction{p, s, pp, s}
	}
	join := func(f, g twigFraction, series bool) twigFraction {
		if !series {
			f, g = twigFraction{f.den, f.num, f.denP, f.numP},
				twigFraction{g.den, g.num, g.denP, g.numP}
		}
		s := twigFraction{f.num*g.den + g.num*f.den, f.den * g.den,
			(mulP(f.numP, g.denP) + mulP(g.numP, f.denP)) % prime, mulP(f.denP, g.denP)}
		if !series {
			s = twigFraction{s.den, s.num, s.denP, s.numP}
		}
		return s
	}
	switch t.W {
	case resistors.Single:
		return one
	case resistors.Series2, resistors.Parallel2:
		return pair(r[0], r[1], t.W == resistors.Series2)
	case resistors.Series3, resistors.ParallelSeries:
		return join(one, pair(r[1], r[2], true), t.W == resistors.Series3)
	}
	return join(one, pair(r[1], r[2], false), t.W == resistors.SeriesParallel)
}
