package regulation

import (
	"cmp"
	"math"
	"slices"
)

// leg is a network in the compact form the search walks over: ohm values and piece indices.
type leg struct {
	nom, lo, hi float64
	p           [3]uint16
	n           uint8
	w           Wiring
}

func makeLeg(pieces []Piece, w Wiring, n int, a, b, c int) leg {
	l := leg{w: w, n: uint8(n), p: [3]uint16{uint16(a), uint16(b), uint16(c)}}
	var nom, lo, hi [3]float64
	for k, i := range [3]int{a, b, c} {
		if k >= n {
			l.p[k] = 0
			continue
		}
		r, t := float64(pieces[i].Ohm), float64(pieces[i].Tolerance)
		nom[k], lo[k], hi[k] = r, r*(1-t), r*(1+t)
	}
	l.nom = combine(w, nom[0], nom[1], nom[2])
	l.lo = combine(w, lo[0], lo[1], lo[2])
	l.hi = combine(w, hi[0], hi[1], hi[2])
	return l
}

func (l *leg) network(pieces []Piece) Network {
	return build(pieces, l.w, int(l.n), [3]int{int(l.p[0]), int(l.p[1]), int(l.p[2])})
}

// compareLegs is a total order on legs: value, tightness, number of parts, wiring, pieces.
func compareLegs(a, b leg) int {
	if a.nom != b.nom { // the usual case first: sorting the pairs of a big drawer is most of its price
		if a.nom < b.nom {
			return -1
		}
		return 1
	}
	return cmp.Or(cmp.Compare(a.hi-a.lo, b.hi-b.lo), cmp.Compare(a.n, b.n), cmp.Compare(a.w, b.w), slices.Compare(a.p[:], b.p[:]))
}

// Limits on the number of different pieces that enter networks of two and of three parts. A drawer of 170 values is far
// below the first; the second is a last resort for small stocks, where three parts are worth their solder.
const (
	pairPieces   = 400
	triplePieces = 32
)

// legTable holds every leg of one and of two parts of a stock, each list in order of value. It never changes.
type legTable struct{ single, pair []leg }

func newLegTable(pieces []Piece) *legTable {
	t := &legTable{}
	for i := range pieces {
		t.single = append(t.single, makeLeg(pieces, Single, 1, i, 0, 0))
	}
	chosen := spread(pieces, pairPieces)
	t.pair = make([]leg, 0, len(chosen)*(len(chosen)+1))
	for x, a := range chosen {
		for _, b := range chosen[x:] {
			if a == b && pieces[a].Count < 2 {
				continue
			}
			if l := makeLeg(pieces, Series2, 2, b, a, 0); worthwhile(pieces, &l) {
				t.pair = append(t.pair, l)
			}
			if l := makeLeg(pieces, Parallel2, 2, a, b, 0); worthwhile(pieces, &l) {
				t.pair = append(t.pair, l)
			}
		}
	}
	slices.SortFunc(t.pair, compareLegs)
	return t
}

// worthwhile reports whether every part of a leg shifts its value by at least half the leg's own tolerance. A part that
// does less is lost in the tolerance of the others.
func worthwhile(pieces []Piece, l *leg) bool {
	var r [3]float64
	for k := range l.n {
		r[k] = float64(pieces[l.p[k]].Ohm)
	}
	least := (l.hi - l.lo) / 4
	v, i := shares(l.w, r[0], r[1], r[2], 1)
	for k := range l.n {
		// Removing a part means shorting it in series and leaving it out in parallel; either way the shift of the whole is
		// at least its share of the power.
		if v[k]*i[k]*l.nom < least/l.nom {
			return false
		}
	}
	return true
}

// triples lists the legs of three parts between lo and hi ohm, in order of value.
func triples(pieces []Piece, lo, hi float64) []leg {
	chosen := spread(pieces, triplePieces)
	var out []leg
	add := func(w Wiring, a, b, c int) {
		l := makeLeg(pieces, w, 3, a, b, c)
		if l.nom >= lo && l.nom <= hi && covered(pieces, &l, nil) && worthwhile(pieces, &l) {
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
	slices.SortFunc(out, compareLegs)
	return slices.CompactFunc(out, func(a, b leg) bool { return compareLegs(a, b) == 0 })
}

// covered reports whether the pieces on hand cover legs a and b (b may be nil) together.
func covered(pieces []Piece, a, b *leg) bool {
	var used [6]uint16
	n := copy(used[:], a.p[:a.n])
	if b != nil {
		n += copy(used[n:], b.p[:b.n])
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

// spread picks at most limit pieces for networks of several parts: first the tightest of every value (values within 1 %
// count as one), then the second tightest of every value, and so on. Indices come back in rising order.
func spread(pieces []Piece, limit int) []int {
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
		slices.SortStableFunc(group, func(a, b int) int { return cmp.Compare(pieces[a].Tolerance, pieces[b].Tolerance) })
		for place, i := range group {
			rank[i] = place
		}
		start = max(end, start+1)
	}
	slices.SortStableFunc(all, func(a, b int) int {
		return cmp.Or(cmp.Compare(rank[a], rank[b]), cmp.Compare(pieces[a].Tolerance, pieces[b].Tolerance))
	})
	chosen := all[:limit]
	slices.Sort(chosen)
	return chosen
}

// from returns the index of the first leg with nom >= r in a list sorted by value.
func from(list []leg, r float64) int {
	i, _ := slices.BinarySearchFunc(list, r, func(l leg, r float64) int { return cmp.Compare(l.nom, r) })
	return i
}

// between returns the legs whose nominal value lies in lo..hi.
func between(list []leg, lo, hi float64) []leg {
	if !(lo <= hi) {
		return nil
	}
	i, j := from(list, lo), from(list, math.Nextafter(hi, math.Inf(1)))
	return list[i:j]
}
