package regulation

import (
	"cmp"
	"math"
	"slices"

	"sparewright/catalog/si"
	"sparewright/substitute/regulation/resistors"
)

// trim is a trimmer in series with the sought leg, in ohm. The fixed one stands for a design
// without trimmer.
type trim struct {
	ohm, lo, hi float64 // whole track: printed, least, most
	end         float64 // most that is left at the stop
	tol         float64
	fixed       bool
	piece       resistors.TrimmerPiece
}

var untrimmed = trim{fixed: true}

func newTrim(t resistors.TrimmerPiece) *trim {
	r, tol := float64(t.Ohm), float64(t.Tolerance)
	return &trim{ohm: r, lo: r * (1 - tol), hi: r * (1 + tol), end: float64(t.End),
		tol: tol, piece: t}
}

func sortedTrims(trimmers []resistors.TrimmerPiece) []trim {
	var out []trim
	for _, t := range trimmers {
		if t.Usable() {
			out = append(out, *newTrim(t))
		}
	}
	slices.SortFunc(out, func(a, b trim) int { return resistors.CompareTrimmers(a.piece, b.piece) })
	return out
}

// divider is a two-legged network under design. One leg is given and fixes the divider current, the
// other is sought; the trimmer lies in series with the sought leg. Plain SI floats.
type divider interface {
	given() (lo, hi float64)                    // range of the given leg, ohm
	limits(g *resistors.Leg, fixed bool) limits // what the sought leg has to keep
	// trimmer span against the set point; 0 without trimmer, where margin says it all
	span(g, o *resistors.Leg, t *trim) float64
	// distance to the limits against the set point, negative where one is broken
	margin(g, o *resistors.Leg, t *trim) (above, below float64)
	draw(g *resistors.Leg) float64 // divider current, A
	// every part inside its derated rating
	ratings(g, o *resistors.Leg, pieces []resistors.Piece) bool
	unloaded() divider // the same without bias current
}

// limits bound the sought leg in ohm: its low end >= least, its low end with the whole track >=
// whole, and its high end with the residue of the track <= most.
type limits struct{ least, whole, most float64 }

func (l limits) window(t *trim) (lo, hi float64) {
	return max(l.least, l.whole-t.lo), l.most - t.end
}

// smallest is the margin that counts: above grows with the sought leg, below shrinks.
func smallest(above, below float64) float64 { return min(above, below) }

// spanClasses are the upper ends of the classes in which spans are ranked, against the set point.
// Inside a class a smaller span is no better: 5 % over the 270 degrees of a single-turn trimmer is
// 0.02 % per degree.
var spanClasses = [...]float64{0.05, 0.1, 0.2, 0.4, 0.8}

func spanClass(span float64) int {
	for i, limit := range spanClasses {
		if span <= limit {
			return i
		}
	}
	return len(spanClasses)
}

// Steps, against the set point, in which the margin to the limits is ranked, coarse before the
// divider current and fine after it. With a trimmer the coarse rank ends at easeEnough: more margin
// than that is of no use to a voltage that will be trimmed.
const (
	easeStep   = 1e-3
	easeEnough = 5
	marginStep = 1e-4
)

func ease(margin float64, t *trim) int {
	steps := int(math.Floor(min(margin, 1e3) / easeStep))
	if t.fixed {
		return steps
	}
	return min(steps, easeEnough)
}

// found is one design with its place in the order.
type found struct {
	class, parts int     // span class; resistors in both legs
	ease         int     // margin in steps of easeStep
	drawClass    int     // halvings of the divider current below its upper limit
	margin       int     // in steps of marginStep, rounded down
	draw         float64 // A
	trim         int     // index into the sorted trimmers
	g, o         resistors.Leg
}

// compareFound is the total order of designs: least span class, fewest parts, margin to the limits
// in coarse steps, divider current (in octaves, more first), margin in fine steps, divider current,
// then the smaller trimmer and the lower pieces, so that no two designs are equal.
func compareFound(a, b found) int {
	if c := cmp.Or(a.class-b.class, a.parts-b.parts, b.ease-a.ease, a.drawClass-b.drawClass,
		b.margin-a.margin); c != 0 {
		return c
	}
	return cmp.Or(cmp.Compare(b.draw, a.draw), a.trim-b.trim, resistors.CompareLegs(a.g, b.g),
		resistors.CompareLegs(a.o, b.o))
}

// search looks for the best designs of one divider.
type search struct {
	d        divider
	pieces   []resistors.Piece
	trims    []trim
	keep     int
	best     []found
	tol      float64 // of the tightest piece
	slack    float64 // how much narrower a window is for the tightest leg
	imagined resistors.Leg
	opened   bool // some given leg left a window that a leg could fit
}

func newSearch(d divider, pieces []resistors.Piece, trims []trim, keep int) *search {
	s := &search{d: d, pieces: pieces, trims: trims, keep: keep}
	s.setTightest(tightest(pieces))
	return s
}

func (s *search) setTightest(t float64) { s.tol, s.slack = t, (1-t)/(1+t) }

// run tries the given legs against each list of sought legs. Every list is sorted by value and
// holds legs of one number of parts; the windows move up with the given leg, so each list is
// entered where it was left.
func (s *search) run(given []resistors.Leg, sought ...[]resistors.Leg) {
	lo, hi := s.d.given()
	top := s.d.draw(&resistors.Leg{Nom: lo})
	given = resistors.Between(given, lo*(1-1e-12), hi*(1+1e-12))
	hint := make([]int, len(s.trims)*len(sought))
	var f found
	for i := range given {
		g := &given[i]
		l := s.d.limits(g, s.trims[0].fixed)
		if l.least*(1-1e-9) > l.most || !resistors.Covered(s.pieces, g, nil) {
			continue
		}
		f = found{g: *g, draw: s.d.draw(g)}
		for d := f.draw * 2; d <= top; d *= 2 {
			f.drawClass++
		}
		for t := range s.trims {
			lo, hi := l.window(&s.trims[t])
			lo, hi = lo*(1-1e-12), hi*(1+1e-12) // rounding must not shut a window; margin decides
			if !(hi > 0) || !(lo <= hi*s.slack) {
				continue
			}
			s.opened = true
			f.trim = t
			for k, list := range sought {
				s.fill(list, lo, hi, &hint[t*len(sought)+k], &f)
			}
		}
	}
}

// fill tries every sought leg between lo and hi beside the given leg and trimmer of f.
func (s *search) fill(sought []resistors.Leg, lo, hi float64, hint *int, f *found) {
	if len(sought) == 0 {
		return
	}
	f.parts = int(f.g.N) + int(sought[0].N)
	if s.hopeless(lo, hi, f) {
		return
	}
	i := *hint
	for i > 0 && sought[i-1].Nom >= lo {
		i--
	}
	for i < len(sought) && sought[i].Nom < lo {
		i++
	}
	*hint = i
	for ; i < len(sought) && sought[i].Nom <= hi; i++ {
		if o := &sought[i]; o.Lo >= lo && o.Hi <= hi {
			s.judge(o, f)
		}
	}
}

// hopeless reports whether even the best sought leg between lo and hi that could exist would come
// after the last of the best: one as tight as the tightest piece. Span falls with the sought leg,
// so it is least at hi. Margin is above on the low side of any middle value and below on the high
// side of it at most.
func (s *search) hopeless(lo, hi float64, f *found) bool {
	if len(s.best) < s.keep {
		return false
	}
	t, worst := &s.trims[f.trim], &s.best[len(s.best)-1]
	if worst.class == 0 && f.parts > worst.parts {
		return true
	}
	f.class = spanClass(s.d.span(&f.g, s.tight(hi), t))
	if c := cmp.Or(f.class-worst.class, f.parts-worst.parts); c != 0 {
		return c > 0
	}
	above, below := s.d.margin(&f.g, s.tight((lo+hi)/2), t)
	margin := max(above, below) + 1e-12
	f.ease, f.margin = ease(margin, t), int(math.Floor(min(margin, 1e3)/marginStep))
	return cmp.Or(worst.ease-f.ease, f.drawClass-worst.drawClass, worst.margin-f.margin) > 0
}

// tight is an imagined leg of value r as tight as the tightest piece. It stays valid until the next
// call.
func (s *search) tight(r float64) *resistors.Leg {
	s.imagined = resistors.Leg{Nom: r, Lo: r * (1 - s.tol), Hi: r * (1 + s.tol)}
	return &s.imagined
}

// judge enters a candidate if it keeps every limit and beats the last of the best.
func (s *search) judge(o *resistors.Leg, given *found) {
	t := &s.trims[given.trim]
	margin := smallest(s.d.margin(&given.g, o, t))
	if !(margin >= 0) {
		return
	}
	f := *given
	f.margin, f.ease = int(math.Floor(min(margin, 1e3)/marginStep)), ease(margin, t)
	f.class = spanClass(s.d.span(&given.g, o, t))
	f.o = *o
	if len(s.best) == s.keep && compareFound(f, s.best[len(s.best)-1]) >= 0 {
		return
	}
	if !resistors.Covered(s.pieces, &given.g, o) || !s.d.ratings(&given.g, o, s.pieces) {
		return
	}
	for i := range s.best { // the same values from other lots are no other design
		if b := &s.best[i]; s.twins(b, &f) {
			if compareFound(f, *b) < 0 {
				*b = f
				slices.SortFunc(s.best, compareFound)
			}
			return
		}
	}
	at, _ := slices.BinarySearchFunc(s.best, f, compareFound)
	s.best = slices.Insert(s.best, at, f)
	s.best = s.best[:min(len(s.best), s.keep)]
}

func (s *search) twins(a, b *found) bool {
	same := func(x, y *resistors.Leg) bool {
		return x.Nom == y.Nom && x.Lo == y.Lo && x.Hi == y.Hi && x.N == y.N && x.W == y.W
	}
	return s.trims[a.trim].ohm == s.trims[b.trim].ohm && same(&a.g, &b.g) && same(&a.o, &b.o)
}

// all runs legs of one and two parts against each other, and legs of three parts only where those
// give nothing.
func (s *search) all(stock resistors.Stock) {
	if stock.Legs == nil || len(s.trims) == 0 || !s.opens() {
		return
	}
	one, two := stock.Legs.Single, stock.Legs.Pair
	s.run(one, one, two)
	if n := len(s.best); n == s.keep && s.best[n-1].class == 0 && s.best[n-1].parts < 3 {
		return
	}
	s.run(two, one, two)
	if len(s.best) == 0 && s.opened {
		s.three(stock)
	}
}

// opens reports whether legs of the tightest tolerance leave any window at all. A trimmer without
// residue, of any size, in a divider without bias current is the best case, and in that case the
// window scales with the given leg, so that one value stands for all.
func (s *search) opens() bool {
	l := s.d.unloaded().limits(s.tight(1), s.trims[0].fixed)
	return l.most > 0 && l.least <= l.most*s.slack*(1+1e-9)
}

func tightest(pieces []resistors.Piece) float64 {
	tol := 1.0
	for _, p := range pieces {
		if p.Count > 0 {
			tol = min(tol, float64(p.Tolerance))
		}
	}
	return tol
}

// three brings in legs of three parts, one leg at a time, then both.
func (s *search) three(stock resistors.Stock) {
	lo, hi := s.d.given()
	given := resistors.Triples(s.pieces, lo, hi)
	lowest, highest := math.Inf(1), 0.0
	for t := range s.trims {
		for _, r := range [2]float64{lo, min(hi, 1e9)} {
			a, b := s.d.limits(&resistors.Leg{Nom: r, Lo: r, Hi: r},
				s.trims[t].fixed).window(&s.trims[t])
			lowest, highest = min(lowest, a), max(highest, b)
		}
	}
	sought := resistors.Triples(s.pieces, max(0, lowest)*0.99, highest*1.01)
	one, two := stock.Legs.Single, stock.Legs.Pair
	s.run(one, sought)
	s.run(given, one)
	if len(s.best) == 0 {
		s.run(two, sought)
		s.run(given, two)
	}
	if len(s.best) == 0 {
		s.run(given, sought)
	}
}

// orDefault returns d for a zero ratio.
func orDefault(r, d si.Ratio) si.Ratio {
	if r > 0 {
		return r
	}
	return d
}
