package resistors

import (
	"cmp"
	"math"
	"slices"
)

// Leg is a network in the compact form the search walks over: ohm values and piece indices.
type Leg struct {
	Nom, Lo, Hi float64
	P           [3]uint16
	N           uint8
	W           Wiring
}

func MakeLeg(pieces []Piece, w Wiring, n int, a, b, c int) Leg {
	l := Leg{W: w, N: uint8(n), P: [3]uint16{uint16(a), uint16(b), uint16(c)}}
	var nom, lo, hi [3]float64
	for k, i := range [3]int{a, b, c} {
		if k >= n {
			l.P[k] = 0
			continue
		}
		r, t := float64(pieces[i].Ohm), float64(pieces[i].Tolerance)
		nom[k], lo[k], hi[k] = r, r*(1-t), r*(1+t)
	}
	l.Nom = Combine(w, nom[0], nom[1], nom[2])
	l.Lo = Combine(w, lo[0], lo[1], lo[2])
	l.Hi = Combine(w, hi[0], hi[1], hi[2])
	return l
}

func (l *Leg) Network(pieces []Piece) Network {
	return Build(pieces, l.W, int(l.N), [3]int{int(l.P[0]), int(l.P[1]), int(l.P[2])})
}

// CompareLegs is a total order on legs: value, tightness, number of parts, wiring, pieces.
func CompareLegs(a, b Leg) int {
	// the usual case first: sorting the pairs of a big drawer is most of its price
	if a.Nom != b.Nom {
		if a.Nom < b.Nom {
			return -1
		}
		return 1
	}
	return cmp.Or(cmp.Compare(a.Hi-a.Lo, b.Hi-b.Lo), cmp.Compare(a.N, b.N), cmp.Compare(a.W, b.W),
		slices.Compare(a.P[:], b.P[:]))
}

// Limits on the number of different pieces that enter networks of two and of three parts. A drawer
// of 170 values is far below the first; the second is a last resort for small stocks, where three
// parts are worth their solder.
const (
	PairPieces   = 400
	triplePieces = 32
)

// legTable holds every leg of one and of two parts of a stock, each list in order of value. It
// never changes.
type legTable struct{ Single, Pair []Leg }

func NewLegTable(pieces []Piece) *legTable {
	t := &legTable{}
	for i := range pieces {
		t.Single = append(t.Single, MakeLeg(pieces, Single, 1, i, 0, 0))
	}
	chosen := Spread(pieces, PairPieces)
	t.Pair = make([]Leg, 0, len(chosen)*(len(chosen)+1))
	for x, a := range chosen {
		for _, b := range chosen[x:] {
			if a == b && pieces[a].Count < 2 {
				continue
			}
			if l := MakeLeg(pieces, Series2, 2, b, a, 0); worthwhile(pieces, &l) {
				t.Pair = append(t.Pair, l)
			}
			if l := MakeLeg(pieces, Parallel2, 2, a, b, 0); worthwhile(pieces, &l) {
				t.Pair = append(t.Pair, l)
			}
		}
	}
	slices.SortFunc(t.Pair, CompareLegs)
	return t
}

// worthwhile reports whether every part of a leg shifts its value by at least half the leg's own
// tolerance. A part that does less is lost in the tolerance of the others.
func worthwhile(pieces []Piece, l *Leg) bool {
	var r [3]float64
	for k := range l.N {
		r[k] = float64(pieces[l.P[k]].Ohm)
	}
	least := (l.Hi - l.Lo) / 4
	v, i := shares(l.W, r[0], r[1], r[2], 1)
	for k := range l.N {
		// Removing a part means shorting it in series and leaving it out in parallel; either way
		// the shift of the whole is at least its share of the power.
		if v[k]*i[k]*l.Nom < least/l.Nom {
			return false
		}
	}
	return true
}

// Triples lists the legs of three parts between lo and hi ohm, in order of value.
func Triples(pieces []Piece, lo, hi float64) []Leg {
	chosen := Spread(pieces, triplePieces)
	var out []Leg
	add := func(w Wiring, a, b, c int) {
		l := MakeLeg(pieces, w, 3, a, b, c)
		if l.Nom >= lo && l.Nom <= hi && Covered(pieces, &l, nil) && worthwhile(pieces, &l) {
			out = append(out, l)
		}
	}
	for x, a := range chosen {
		for y, b := range chosen[x:] {
			for _, c := range chosen[x+y:] {
				add(Series3, c, b, a)
				add(Parallel3, c, b, a)
				for _, order := range [3][3]int{{a, c, b}, {b, c, a}, {c, b, a}} {
					add(SeriesParallel, order[0], order[1], order[2])
					add(ParallelSeries, order[0], order[1], order[2])
				}
			}
		}
	}
	slices.SortFunc(out, CompareLegs)
	return slices.CompactFunc(out, func(a, b Leg) bool { return CompareLegs(a, b) == 0 })
}

// Covered reports whether the pieces on hand cover legs a and b (b may be nil) together.
func Covered(pieces []Piece, a, b *Leg) bool {
	var used [6]uint16
	n := copy(used[:], a.P[:a.N])
	if b != nil {
		n += copy(used[n:], b.P[:b.N])
	}
	for i := range n {
		need := 0
		for j := range n {
			if used[j] == used[i] {
				need++
			}
		}
		if pieces[used[i]].Count < need {
			return false
		}
	}
	return true
}

// Spread picks at most limit pieces for networks of several parts: first the tightest of every
// value (values within 1 % count as one), then the second tightest of every value, and so on.
// Indices come back in rising order.
func Spread(pieces []Piece, limit int) []int {
	all := make([]int, len(pieces))
	for i := range all {
		all[i] = i
	}
	if len(all) <= limit {
		return all
	}
	rank := make([]int, len(pieces)) // place of the piece among those of its value
	for start := 0; start < len(pieces); {
		end := start
		for end < len(pieces) && float64(pieces[end].Ohm) < 1.01*float64(pieces[start].Ohm) {
			end++
		}
		group := slices.Clone(all[start:end])
		slices.SortStableFunc(group, func(a, b int) int {
			return cmp.Compare(pieces[a].Tolerance, pieces[b].Tolerance)
		})
		for place, i := range group {
			rank[i] = place
		}
		start = max(end, start+1)
	}
	slices.SortStableFunc(all, func(a, b int) int {
		return cmp.Or(cmp.Compare(rank[a], rank[b]),
			cmp.Compare(pieces[a].Tolerance, pieces[b].Tolerance))
	})
	chosen := all[:limit]
	slices.Sort(chosen)
	return chosen
}

// From returns the index of the first leg with nom >= r in a list sorted by value.
func From(list []Leg, r float64) int {
	i, _ := slices.BinarySearchFunc(list, r,
		func(l Leg, r float64) int { return cmp.Compare(l.Nom, r) })
	return i
}

// Between returns the legs whose nominal value lies in lo..hi.
func Between(list []Leg, lo, hi float64) []Leg {
	if !(lo <= hi) {
		return nil
	}
	i, j := From(list, lo), From(list, math.Nextafter(hi, math.Inf(1)))
	return list[i:j]
}
