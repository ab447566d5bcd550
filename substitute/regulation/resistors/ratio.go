package resistors

import (
	"cmp"
	"math"
	"slices"

	"sparewright/catalog/si"
)

// RatioSpec asks for a divider of two networks.
type RatioSpec struct {
	Ratio si.Ratio                   // wanted top over bottom
	Parts int                        // greatest number of parts of a leg, 1 to 3
	Total si.Interval[si.Resistance] // both legs in series; zero High: any
}

// RatioPair is a divider and how near it comes.
type RatioPair struct {
	Top, Bottom Network
	Ratio       si.Ratio // top over bottom at nominal values
	Error       si.Ratio // of the ratio against the wanted one, signed
}

// RatioReach is the error beyond which a pair is no divider for the ratio.
const RatioReach = 0.5

// RatioPieces is the greatest number of different pieces for legs of three: their networks grow
// with the third power, 240 pieces have nineteen million.
const RatioPieces = 240

// Dividers returns, for rising numbers of parts in both legs together, the pair whose ratio comes
// nearest to the wanted one, leaving out every number that does no better than fewer. What one leg
// takes is gone for the other. The answer is exact over all pairs that the counts allow, to
// Resolution; pairs more than half off are not answered. Among equals up to four parts the tightest
// is taken. With more than RatioPieces pieces legs of three are not tried.
func (a *Assortment) Dividers(spec RatioSpec) []RatioPair {
	return a.PairDividers(spec, a.windows())
}

func (a *Assortment) PairDividers(spec RatioSpec, windows int) []RatioPair {
	k := float64(spec.Ratio)
	if !(k > 0) || math.IsInf(k, 0) {
		return nil
	}
	s := &ratioSearch{of: a, k: k, low: float64(spec.Total.Low), high: math.Inf(1)}
	if spec.Total.High > 0 {
		s.high = float64(spec.Total.High)
	}
	for i := range s.best {
		s.best[i].err = RatioReach
	}
	s.merge(a.Single, a.Single)
	if spec.Parts >= 2 {
		s.merge(a.Single, a.Pair)
		s.merge(a.Pair, a.Single)
		s.merge(a.Pair, a.Pair)
	}
	if spec.Parts >= 3 && len(a.Pieces) <= RatioPieces {
		s.sweep(windows)
	}
	return s.answer()
}

// ratioSearch looks for the best pair of every number of parts.
type ratioSearch struct {
	of        *Assortment
	k         float64
	low, high float64 // of both legs in series, ohm
	best      [7]ratioBest
}

type ratioBest struct {
	top, bottom Twig
	err         float64
	width       float64
	found       bool
}

// answer writes out what is better than everything with fewer parts.
func (s *ratioSearch) answer() []RatioPair {
	var out []RatioPair
	least := math.Inf(1)
	for i := range s.best {
		b := &s.best[i]
		if !b.found || steps(b.err) >= steps(least) {
			continue
		}
		least = b.err
		p := RatioPair{Top: s.of.network(&b.top), Bottom: s.of.network(&b.bottom)}
		p.Ratio = si.Ratio(p.Top.Ohm / p.Bottom.Ohm)
		p.Error = si.Ratio(float64(p.Ratio)/s.k - 1)
		out = append(out, p)
	}
	return out
}

// bound is the error that a pair of so many parts has to reach: no worse than the best of as many,
// and better than the best of fewer. Nothing is better than one inside the resolution.
func (s *ratioSearch) bound(parts int) float64 {
	most := s.best[parts].err + resolution
	for i := range parts {
		if s.best[i].found {
			most = min(most, s.best[i].err-resolution)
		}
	}
	return most
}

// merge walks through two lists in order of value and tries beside every top leg the bottom legs
// that come near enough.
func (s *ratioSearch) merge(tops, bottoms []Twig) { s.walk(tops, bottoms, new(int)) }

// walk is merge that goes on in bottoms where an earlier call left off.
func (s *ratioSearch) walk(tops, bottoms []Twig, at *int) {
	if len(tops) == 0 || len(bottoms) == 0 {
		return
	}
	parts := int(tops[0].N + bottoms[0].N)
	most := s.bound(parts)
	for i := range tops {
		want := tops[i].Ohm / s.k
		if !(most >= 0) || tops[i].Ohm > s.high {
			return
		}
		j := *at
		for j < len(bottoms) && bottoms[j].Ohm < want {
			j++
		}
		*at = j
		for down := j - 1; down >= 0; down-- {
			err := want/bottoms[down].Ohm - 1
			if err > most {
				break
			}
			s.try(&tops[i], &bottoms[down], err, &most)
		}
		for ; j < len(bottoms); j++ {
			err := 1 - want/bottoms[j].Ohm
			if err > most {
				break
			}
			s.try(&tops[i], &bottoms[j], err, &most)
		}
	}
}

// try enters a pair that is better than the best of its number of parts, or as good and tighter.
func (s *ratioSearch) try(top, bottom *Twig, err float64, most *float64) {
	if total := top.Ohm + bottom.Ohm; total < s.low*(1-1e-12) || total > s.high*(1+1e-12) ||
		!s.of.holds(top, bottom) {
		return
	}
	b := &s.best[top.N+bottom.N]
	width := s.of.width(top) + s.of.width(bottom)
	if c := steps(err) - steps(b.err); b.found &&
		(c > 0 || c == 0 && !s.before(top, bottom, width, b)) {
		return
	}
	*b = ratioBest{*top, *bottom, err, width, true}
	*most = s.bound(int(top.N + bottom.N))
	if top.N+bottom.N > 4 && err <= resolution/2 {
		*most = -1 // cannot be bettered
	}
}

// before is the order among pairs of one ratio and number of parts: tighter, then smaller, then by
// pieces.
func (s *ratioSearch) before(top, bottom *Twig, width float64, b *ratioBest) bool {
	return cmp.Or(cmp.Compare(math.Round(width*1e9), math.Round(b.width*1e9)),
		CompareTwigs(*top, b.top), CompareTwigs(*bottom, b.bottom)) < 0
}

// sweep brings in legs of three parts. They are never all there at once: values are gone through
// window by window, and in each window the legs of three are made, put in order and met with the
// others. A window is narrow enough for the cache.
func (s *ratioSearch) sweep(windows int) {
	a := s.of
	from, to := s.topRange()
	if !(from < to) || s.bound(4) < 0 {
		return
	}
	margin := s.margin()
	tops, bottoms := NewWindow(a), NewWindow(a)
	var ones, twos int
	step := math.Pow(to/from, 1/float64(windows))
	for lo := from; lo < to; lo *= step {
		hi := lo * step
		top := tops.Between(lo, hi)
		bottom := bottoms.Between(lo/s.k*(1-margin), hi/s.k*(1+margin))
		s.walk(top, a.Single, &ones)
		s.walk(top, a.Pair, &twos)
		s.merge(section(a.Single, lo, hi), bottom)
		s.merge(section(a.Pair, lo, hi), bottom)
		s.merge(top, bottom)
	}
}

// margin is how far a bottom leg may lie from the ideal one and still matter.
func (s *ratioSearch) margin() float64 {
	m := RatioReach
	for i := range s.best[:4] {
		if s.best[i].found {
			m = min(m, s.best[i].err)
		}
	}
	return 1.01*m + 1e-9
}

// topRange is where the top leg of a useful pair can lie.
func (s *ratioSearch) topRange() (from, to float64) {
	if len(s.of.Pieces) == 0 {
		return 0, 0
	}
	from = s.of.Single[0].Ohm / 3 * (1 - 1e-9)
	to = 3 * s.of.Single[len(s.of.Single)-1].Ohm * (1 + 1e-9)
	least, most := s.k*(1-RatioReach), s.k*(1+2*RatioReach)
	from = max(from, s.low*least/(1+least)*(1-1e-9))
	if !math.IsInf(s.high, 1) {
		to = min(to, s.high*most/(1+most)*(1+1e-9))
	}
	return from, to
}

// windows is the number of windows: one for a small drawer, else such that the legs of three in one
// fit the cache.
func (a *Assortment) windows() int { return 1 + len(a.Pieces)*len(a.Pair)/20_000 }

// section is the part of a sorted list from lo up to but not including hi.
func section(list []Twig, lo, hi float64) []Twig {
	at := func(r float64) int {
		i, _ := slices.BinarySearchFunc(list, r,
			func(t Twig, r float64) int { return cmp.Compare(t.Ohm, r) })
		return i
	}
	return list[at(lo):at(hi)]
}
