package resistors

import (
	"cmp"
	"math"
	"slices"

	"sparewright/catalog/si"
)

// Stock is what resistors are left for the build. Stocks are values: Without and With return a
// changed copy and leave the original alone. Pieces is sorted by value, tolerance and lot; networks
// refer to it by index, and the indices stay the same in every stock derived from this one. Do not
// change it.
type Stock struct {
	Pieces []Piece // Count is what is left
	Legs   *legTable
}

// NewStock sorts the pieces and prepares the networks of one and two parts. Pieces without a
// positive value, a tolerance from 0 up to but not including 1, or a count are left out. The order
// of the input does not matter. With more than 400 different pieces, networks of two parts use the
// 400 that cover the most values at the best tolerance.
func NewStock(pieces []Piece) Stock {
	kept := SortedPieces(pieces)
	return Stock{Pieces: kept, Legs: NewLegTable(kept)}
}

// SortedPieces are the usable pieces in canonical order.
func SortedPieces(pieces []Piece) []Piece {
	kept := make([]Piece, 0, len(pieces))
	for _, p := range pieces {
		if p.usable() && len(kept) < math.MaxUint16 {
			kept = append(kept, p)
		}
	}
	slices.SortFunc(kept, ComparePieces)
	return kept
}

// Without returns the stock with the parts of n taken out.
func (s Stock) Without(n Network) Stock { return s.change(n, -1) }

func (s Stock) change(n Network, by int) Stock {
	s.Pieces = slices.Clone(s.Pieces)
	for k := range n.N {
		s.Pieces[n.Pieces[k]].Count += by
	}
	return s
}

// WithoutLots returns the stock with the given pieces taken out by lot and value, for parts that
// were chosen from another list than this stock, such as shunts. Uses that the stock does not hold
// are ignored.
func (s Stock) WithoutLots(uses []Use) Stock {
	s.Pieces = slices.Clone(s.Pieces)
	for _, u := range uses {
		for i := range s.Pieces {
			p := &s.Pieces[i]
			if p.Lot == u.Lot && p.Ohm == u.Ohm {
				p.Count = max(0, p.Count-u.Count)
			}
		}
	}
	return s
}

// Holds reports whether the stock still covers all the networks together.
func (s Stock) Holds(nets ...Network) bool {
	left := make(map[int]int)
	for _, n := range nets {
		for k := range n.N {
			left[n.Pieces[k]]++
		}
	}
	for i, need := range left {
		if i < 0 || i >= len(s.Pieces) || s.Pieces[i].Count < need {
			return false
		}
	}
	return true
}

// Filter decides whether a network may serve.
type Filter func(s Stock, n Network) bool

// Best returns the network of at most maxParts (1 to 3) parts whose whole tolerance band lies
// inside the target: fewest parts first, then the value nearest to the geometric middle of the
// target (in steps of 0.1 %), then the tighter, then the lower pieces. Every filter must agree.
// False when there is none.
func (s Stock) Best(target si.Interval[si.Resistance], maxParts int,
	allow ...Filter) (Network, bool) {
	lo, hi := float64(target.Low), float64(target.High)
	if !(lo > 0) || !(hi >= lo) {
		return Network{}, false
	}
	aim := math.Sqrt(lo) * math.Sqrt(hi)
	off := func(l Leg) float64 { return math.Round(1000 * math.Abs(math.Log(l.Nom/aim))) }
	return s.First(lo, hi, maxParts, func(a, b Leg) int {
		return cmp.Compare(off(a), off(b))
	}, allow)
}

// First returns the network with its band inside lo..hi ohm that has the fewest parts and comes
// first in the given order.
func (s Stock) First(lo, hi float64, maxParts int, order func(a, b Leg) int,
	allow []Filter) (Network, bool) {
	for parts := 1; parts <= min(maxParts, 3); parts++ {
		var fit []Leg
		for _, l := range Between(s.List(parts, lo, hi), lo, hi) {
			if l.Lo >= lo && l.Hi <= hi && Covered(s.Pieces, &l, nil) {
				fit = append(fit, l)
			}
		}
		slices.SortFunc(fit, func(a, b Leg) int {
			return cmp.Or(order(a, b), cmp.Compare((a.Hi-a.Lo)/a.Nom, (b.Hi-b.Lo)/b.Nom),
				CompareLegs(a, b))
		})
		for i := range fit {
			n := fit[i].Network(s.Pieces)
			if !slices.ContainsFunc(allow, func(f Filter) bool { return !f(s, n) }) {
				return n, true
			}
		}
	}
	return Network{}, false
}

// List returns the legs of exactly so many parts in order of value; those of three parts only from
// lo to hi.
func (s Stock) List(parts int, lo, hi float64) []Leg {
	switch {
	case s.Legs == nil:
		return nil
	case parts == 1:
		return s.Legs.Single
	case parts == 2:
		return s.Legs.Pair
	}
	return Triples(s.Pieces, lo, hi)
}
