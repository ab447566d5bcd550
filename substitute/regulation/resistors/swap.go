package resistors

import (
	"errors"
	"math"

	"sparewright/catalog/si"
)

func Meet[Q si.Quantity](a, b si.Interval[Q]) (si.Interval[Q], bool) {
	if b == (si.Interval[Q]{}) {
		return a, true
	}
	i := si.Interval[Q]{Low: max(a.Low, b.Low), High: min(a.High, b.High)}
	return i, i.Low <= i.High
}

// Read is the leg with the part of the given place, counted from 0, found inside read; below 0
// stands for the leg from end to end. What was known before still holds: a coarse meter does not
// widen a tight tolerance. Where reading and tolerance exclude each other agrees is false, one of
// them is wrong, and the leg reaches from the one to the other; a whole leg that disagrees counts
// as one resistor, since nobody knows which of its parts is to blame. Error: no such part.
func (n Network) Read(part int, read si.Interval[si.Resistance]) (m Network,
	agrees bool, err error) {
	if part >= n.N {
		return n, false, errors.New("the leg has no such part; count them as the " +
			"network is written")
	}
	if part < 0 && n.N == 1 {
		part = 0
	}
	if part >= 0 {
		r, t := n.Values[part], si.Resistance(n.Tolerances[part])
		known, agrees := Reconcile(si.Interval[si.Resistance]{Low: r * (1 - t), High: r * (1 + t)},
			read)
		n.Values[part], n.Tolerances[part] = known.Mid(), si.Ratio(known.Width()/2/known.Mid())
		return n.settled(), agrees, nil
	}
	known, agrees := Reconcile(si.Interval[si.Resistance]{Low: n.Low, High: n.High}, read)
	n.Ohm, n.Low, n.High, n.Tolerance = known.Mid(), known.Low, known.High,
		si.Ratio(known.Width()/2/known.Mid())
	if !agrees {
		n.Wiring, n.N = Single, 1
		n.Values[0], n.Tolerances[0] = n.Ohm, n.Tolerance
	}
	return n, agrees, nil
}

// Reconcile is what a figure can be by the record and by a reading: what both allow, else, agrees
// being false, everything between the far ends of both.
func Reconcile[Q si.Quantity](record, read si.Interval[Q]) (known si.Interval[Q], agrees bool) {
	if both, ok := Meet(record, read); ok {
		return both, true
	}
	return record.Union(read), false
}

// settled recomputes the leg from its parts.
func (n Network) settled() Network {
	var nom, lo, hi [3]float64
	for k := range n.N {
		r, t := float64(n.Values[k]), float64(n.Tolerances[k])
		nom[k], lo[k], hi[k] = r, r*(1-t), r*(1+t)
	}
	r, l, h := Combine(
		n.Wiring,
		nom[0],
		nom[1],
		nom[2],
	), Combine(
		n.Wiring,
		lo[0],
		lo[1],
		lo[2],
	), Combine(
		n.Wiring,
		hi[0],
		hi[1],
		hi[2],
	)
	n.Ohm, n.Low, n.High = si.Resistance(r), si.Resistance(l), si.Resistance(h)
	n.Tolerance = si.Ratio(math.Max(h/r-1, 1-l/r))
	return n
}

// How a resistor enters a leg.
type How uint8

// In place of a part, in parallel with the whole leg, or in series with it.
const (
	InPlace How = iota
	InParallel
	InSeries
)

// String names the way.
func (h How) String() string { return [...]string{"in place", "in parallel", "in series"}[h] }

// Change is one resistor put into a leg: the new leg and by what factor it changes, over all
// corners of old and new.
type Change struct {
	How    How
	Part   int // place of the part it replaces
	Piece  int // in the stock
	Leg    Network
	Factor [2]float64 // lowest and highest new over old
}

// Changes lists what one piece of a stock can do to a leg.
func (n Network) Changes(pieces []Piece, piece int) []Change {
	p := pieces[piece]
	r, t := float64(p.Ohm), float64(p.Tolerance)
	var out []Change
	for k := range n.N {
		m := n
		m.Pieces[k], m.Values[k], m.Tolerances[k], m.Lots[k] = piece, p.Ohm, p.Tolerance, p.Lot
		m = m.settled()
		out = append(out, Change{InPlace, k, piece, m,
			[2]float64{float64(m.Low / n.High), float64(m.High / n.Low)}})
	}
	for _, how := range []How{InParallel, InSeries} {
		m, ok := n.beside(p, piece, how)
		if !ok {
			continue
		}
		lo, hi := float64(n.Low), float64(n.High)
		f := [2]float64{1 + r*(1-t)/hi, 1 + r*(1+t)/lo}
		if how == InParallel { // r/(leg + r): grows with r, falls with the leg
			f = [2]float64{r * (1 - t) / (hi + r*(1-t)), r * (1 + t) / (lo + r*(1+t))}
		}
		out = append(out, Change{how, 0, piece, m, f})
	}
	return out
}

// besideWiring is the wiring that a leg takes when a part is joined to the whole of it; the new
// part is written first where first is set.
var besideWiring = map[[2]int]struct {
	wiring Wiring
	first  bool
}{
	{int(Single), int(InParallel)}:    {Parallel2, false},
	{int(Single), int(InSeries)}:      {Series2, false},
	{int(Series2), int(InParallel)}:   {ParallelSeries, true},
	{int(Series2), int(InSeries)}:     {Series3, false},
	{int(Parallel2), int(InParallel)}: {Parallel3, false},
	{int(Parallel2), int(InSeries)}:   {SeriesParallel, true},
}

// beside joins a piece to the whole leg. The ends of the leg as it is, which may have been
// measured, are kept.
func (n Network) beside(p Piece, piece int, how How) (Network, bool) {
	w, ok := besideWiring[[2]int{int(n.Wiring), int(how)}]
	if !ok || n.N > 2 || n.N == 0 {
		return n, false
	}
	m := n
	m.Wiring, m.N = w.wiring, n.N+1
	at := n.N
	if w.first {
		for k := n.N; k > 0; k-- {
			m.Pieces[k], m.Values[k], m.Tolerances[k], m.Lots[k] = n.Pieces[k-1], n.Values[k-1],
				n.Tolerances[k-1], n.Lots[k-1]
		}
		at = 0
	}
	m.Pieces[at], m.Values[at], m.Tolerances[at], m.Lots[at] = piece, p.Ohm, p.Tolerance, p.Lot
	join := func(leg, r float64) si.Resistance {
		if how == InParallel {
			return si.Resistance(parallel(leg, r))
		}
		return si.Resistance(leg + r)
	}
	r, t := float64(p.Ohm), float64(p.Tolerance)
	m.Ohm, m.Low, m.High = join(float64(n.Ohm), r), join(float64(n.Low), r*(1-t)),
		join(float64(n.High), r*(1+t))
	m.Tolerance = si.Ratio(math.Max(float64(m.High/m.Ohm)-1, 1-float64(m.Low/m.Ohm)))
	return m, true
}

// WithTrimmer is the factor old over new of a leg together with the trimmer in line with it, lowest
// and highest.
func (c Change) WithTrimmer(old Network, from, to float64) [2]float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, leg := range [2]float64{float64(old.Low), float64(old.High)} {
		for _, f := range c.Factor {
			for _, x := range [2]float64{from, to} {
				k := (leg + x) / (leg*f + x)
				low, high = min(low, k), max(high, k)
			}
		}
	}
	return [2]float64{low, high}
}

// Share is by what factor b/(t+b) changes, lowest and highest over all corners; the trimmer lies in
// line with the top leg.
func (c Change) Share(top, bottom Network, isTop bool, from, to float64) [2]float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, t := range [2]float64{float64(top.Low), float64(top.High)} {
		for _, b := range [2]float64{float64(bottom.Low), float64(bottom.High)} {
			for _, f := range c.Factor {
				for _, x := range [2]float64{from, to} {
					nt, nb := t, b*f
					if isTop {
						nt, nb = t*f, b
					}
					k := nb / (nt + x + nb) * (t + x + b) / b
					low, high = min(low, k), max(high, k)
				}
			}
		}
	}
	return [2]float64{low, high}
}
