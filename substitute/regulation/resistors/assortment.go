package resistors

import (
	"cmp"
	"math"
	"slices"

	"sparewright/catalog/si"
)

// Assortment is a set of resistors with every network of one and two of them, nothing left out, for
// questions that must be answered exactly. Networks of three are never stored: each is one part in
// series with, or parallel to, one of two. It never changes.
type Assortment struct {
	Pieces  []Piece // in canonical order; networks refer to it by index
	LeftOut int     // pieces beyond AssortmentLimit
	Single  []Twig  // in order of value
	Pair    []Twig
	siemens []float64 // conductance of each pair, same order
}

// AssortmentLimit is the greatest number of different pieces an Assortment holds: a million
// networks of two. Of more, those are kept that cover the most values at the best tolerance.
const AssortmentLimit = 1000

// Resolution is the relative difference up to which two values count as equal, 1e-12: far above the
// rounding of the sums, far below anything a resistor could show.
const Resolution si.Ratio = 1e-12

const resolution = float64(Resolution)

// Twig is a network of one to three parts as the exact search walks over it: value in ohm, indices
// of its pieces.
type Twig struct {
	Ohm float64
	P   [3]uint16
	N   uint8
	W   Wiring
}

// NewAssortment takes the usable pieces, in whatever order, and lists their networks of one and two
// parts.
func NewAssortment(pieces []Piece) *Assortment {
	a := &Assortment{Pieces: SortedPieces(pieces)}
	if chosen := Spread(a.Pieces, AssortmentLimit); len(chosen) < len(a.Pieces) {
		a.LeftOut = len(a.Pieces) - len(chosen)
		kept := make([]Piece, 0, len(chosen))
		for _, i := range chosen {
			kept = append(kept, a.Pieces[i])
		}
		a.Pieces = kept
	}
	for i, p := range a.Pieces {
		a.Single = append(a.Single, Twig{Ohm: float64(p.Ohm), P: [3]uint16{uint16(i)},
			N: 1, W: Single})
	}
	pairs := make([]Twig, 0, len(a.Pieces)*(len(a.Pieces)+1))
	siemens := make([]float64, len(a.Pieces))
	for i, p := range a.Pieces {
		siemens[i] = 1 / float64(p.Ohm)
	}
	for x, p := range a.Pieces {
		for y := x; y < len(a.Pieces); y++ {
			if y == x && p.Count < 2 {
				continue
			}
			at := [3]uint16{uint16(x), uint16(y)}
			pairs = append(pairs, Twig{1 / (siemens[x] + siemens[y]), at, 2, Parallel2},
				Twig{float64(p.Ohm + a.Pieces[y].Ohm), at, 2, Series2})
		}
	}
	a.Pair = dealt{}.order(pairs).list
	a.siemens = make([]float64, len(a.Pair))
	for i := range a.Pair {
		a.siemens[i] = 1 / a.Pair[i].Ohm
	}
	return a
}

// CompareTwigs is a total order: value, wiring, pieces.
func CompareTwigs(a, b Twig) int {
	if a.Ohm != b.Ohm {
		if a.Ohm < b.Ohm {
			return -1
		}
		return 1
	}
	return cmp.Or(cmp.Compare(a.W, b.W), slices.Compare(a.P[:], b.P[:]))
}

// three is the network of a part and a pair, of the given value; false where the pieces do not
// suffice. In a chain of three, or three abreast, only the one with its parts in rising order
// counts, so that no network is met twice.
func (a *Assortment) three(part int, pair *Twig, series bool, ohm float64) (Twig, bool) {
	i := uint16(part)
	w := SeriesParallel
	if same := series == (pair.W == Series2); same && i > pair.P[0] {
		return Twig{}, false
	} else if same {
		w = Parallel3
		if series {
			w = Series3
		}
	} else if !series {
		w = ParallelSeries
	}
	t := Twig{ohm, [3]uint16{i, pair.P[0], pair.P[1]}, 3, w}
	return t, pair.P[0] != i && pair.P[1] != i || a.holds(&t, nil)
}

// holds reports whether the pieces cover x and y (which may be nil) together.
func (a *Assortment) holds(x, y *Twig) bool {
	var used [6]uint16
	n := copy(used[:], x.P[:x.N])
	if y != nil {
		n += copy(used[n:], y.P[:y.N])
	}
	for i := range n {
		need := 0
		for _, p := range used[:n] {
			if p == used[i] {
				need++
			}
		}
		if a.Pieces[used[i]].Count < need {
			return false
		}
	}
	return true
}

// network writes a twig out, with the parts of a chain in falling order as on a parts list.
func (a *Assortment) network(t *Twig) Network {
	i, j, k := int(t.P[0]), int(t.P[1]), int(t.P[2])
	idx := [3]int{i, j, k}
	switch t.W {
	case Series2:
		idx = [3]int{j, i}
	case Series3:
		idx = [3]int{k, j, i}
	case ParallelSeries:
		idx = [3]int{i, k, j}
	}
	return Build(a.Pieces, t.W, int(t.N), idx)
}

// width is the relative width of the tolerance band of a twig.
func (a *Assortment) width(t *Twig) float64 {
	n := a.network(t)
	return float64((n.High - n.Low) / n.Ohm)
}

// steps is an error in whole units of the resolution, so that rounding never decides between equal
// values.
func steps(err float64) int64 { return int64(math.Round(min(err, 1e5) / resolution)) }

// NearestSpec asks for networks near one value.
type NearestSpec struct {
	Ohm    si.Resistance // wanted
	Parts  int           // exactly so many, 1 to 3
	Keep   int           // how many networks are returned at most; 0 counts as 1
	Within si.Ratio      // when above 0, the whole tolerance band must lie so near the value
}

// Nearest returns the networks of exactly Parts parts whose values come nearest to the wanted one,
// nearest first; among equals (see Resolution) the tightest, then the wiring and pieces that come
// first. It has the exact answer over all networks that the counts allow.
func (a *Assortment) Nearest(spec NearestSpec) []Network {
	l := nearList{of: a, spec: spec, keep: max(1, spec.Keep), aim: float64(spec.Ohm)}
	if !(l.aim > 0) || math.IsInf(l.aim, 0) {
		return nil
	}
	same := func(v float64) float64 { return v }
	switch spec.Parts {
	case 1:
		l.around(a.Single, l.aim, same, func(t *Twig, ohm float64) (Twig, bool) { return *t, true })
	case 2:
		l.around(a.Pair, l.aim, same, func(t *Twig, ohm float64) (Twig, bool) { return *t, true })
	case 3:
		for i := range a.Single {
			l.beside(i)
		}
	}
	var out []Network
	for i := range l.best {
		out = append(out, a.network(&l.best[i].Twig))
	}
	return out
}

// beside tries every network of two in series with piece i, and parallel to it, nearest first.
func (l *nearList) beside(i int) {
	r := l.of.Single[i].Ohm
	if r < l.aim*(1+l.limit()) {
		l.around(l.of.Pair, l.aim-r, func(v float64) float64 { return r + v },
			func(t *Twig, ohm float64) (Twig, bool) { return l.of.three(i, t, true, ohm) })
	}
	if r > l.aim*(1-l.limit()) {
		at := math.MaxFloat64
		if r > l.aim {
			at = 1 / (1/l.aim - 1/r)
		}
		l.around(l.of.Pair, at, func(v float64) float64 { return 1 / (1/r + 1/v) },
			func(t *Twig, ohm float64) (Twig, bool) { return l.of.three(i, t, false, ohm) })
	}
}

// neighbour is a network with its distance from the wanted value.
type neighbour struct {
	Twig
	err   float64
	width float64
}

// nearList keeps the best networks seen.
type nearList struct {
	of   *Assortment
	spec NearestSpec
	keep int
	aim  float64 // ohm
	best []neighbour
}

// limit is the relative error beyond which nothing is of use any more.
func (l *nearList) limit() float64 {
	most := math.Inf(1)
	if l.spec.Within > 0 {
		most = float64(l.spec.Within)
	}
	if len(l.best) == l.keep {
		most = min(most, l.best[l.keep-1].err)
	}
	return most + resolution
}

// around walks from the entry nearest to at upwards and downwards, as long as the value of the
// whole is near enough. The value must rise with the entry.
func (l *nearList) around(list []Twig, at float64, value func(float64) float64,
	make func(*Twig, float64) (Twig, bool)) {
	start, _ := slices.BinarySearchFunc(list, at,
		func(t Twig, r float64) int { return cmp.Compare(t.Ohm, r) })
	for _, way := range [2]int{1, -1} {
		i := start
		if way < 0 {
			i--
		}
		for ; i >= 0 && i < len(list); i += way {
			ohm := value(list[i].Ohm)
			err := math.Abs(ohm/l.aim - 1)
			if err > l.limit() {
				break
			}
			if t, ok := make(&list[i], ohm); ok {
				l.enter(t, err)
			}
		}
	}
}

// enter puts a network in its place if it belongs among the best.
func (l *nearList) enter(t Twig, err float64) {
	n := neighbour{t, err, l.of.width(&t)}
	if l.spec.Within > 0 {
		net := l.of.network(&t)
		w := float64(l.spec.Within) + 1e-15
		if float64(net.Low) < l.aim*(1-w) || float64(net.High) > l.aim*(1+w) {
			return
		}
	}
	at, _ := slices.BinarySearchFunc(l.best, n, compareNear)
	if at < l.keep {
		l.best = slices.Insert(l.best, at, n)
		l.best = l.best[:min(len(l.best), l.keep)]
	}
}

func compareNear(a, b neighbour) int {
	return cmp.Or(cmp.Compare(steps(a.err), steps(b.err)), cmp.Compare(a.width, b.width),
		cmp.Compare(a.W, b.W),
		slices.Compare(a.P[:], b.P[:]))
}
