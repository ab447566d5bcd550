package regulation

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"sparewright/catalog/si"
)

// What a bench corrects: a leg whose parts were measured, and one resistor put in place of another, beside it or in line.

// Ends are where the set point can lie with the trimmer at its lower and at its upper stop, over all tolerance corners.
// Without trimmer both are the whole band.
type Ends[Q si.Quantity] struct{ Low, High si.Interval[Q] }

// Meets narrows both ends by what was read there and reports whether anything is left; a zero interval was not read.
func (e Ends[Q]) Meets(read Ends[Q]) (Ends[Q], bool) {
	low, okL := meet(e.Low, read.Low)
	high, okH := meet(e.High, read.High)
	return Ends[Q]{low, high}, okL && okH
}

func meet[Q si.Quantity](a, b si.Interval[Q]) (si.Interval[Q], bool) {
	if b == (si.Interval[Q]{}) {
		return a, true
	}
	i := si.Interval[Q]{Low: max(a.Low, b.Low), High: min(a.High, b.High)}
	return i, i.Low <= i.High
}

// Ends of the voltage divider.
func (v VoltageNetwork) Ends() Ends[si.Voltage] {
	if !v.HasTrimmer {
		whole := si.Interval[si.Voltage]{Low: v.WorstLow, High: v.WorstHigh}
		return Ends[si.Voltage]{whole, whole}
	}
	return Ends[si.Voltage]{si.Interval[si.Voltage]{Low: v.WorstLow, High: v.ReachLow},
		si.Interval[si.Voltage]{Low: v.ReachHigh, High: v.WorstHigh}}
}

// Ends of the current divider.
func (c CurrentNetwork) Ends() Ends[si.Current] {
	if !c.HasTrimmer {
		whole := si.Interval[si.Current]{Low: c.WorstLow, High: c.WorstHigh}
		return Ends[si.Current]{whole, whole}
	}
	return Ends[si.Current]{si.Interval[si.Current]{Low: c.WorstLow, High: c.ReachLow},
		si.Interval[si.Current]{Low: c.ReachHigh, High: c.WorstHigh}}
}

// Read is the leg with the part of the given place, counted from 0, found inside read; below 0 stands for the leg from end
// to end. What was known before still holds: a coarse meter does not widen a tight tolerance. Where reading and tolerance
// exclude each other agrees is false, one of them is wrong, and the leg reaches from the one to the other; a whole leg that
// disagrees counts as one resistor, since nobody knows which of its parts is to blame. Error: no such part.
func (n Network) Read(part int, read si.Interval[si.Resistance]) (m Network, agrees bool, err error) {
	if part >= n.N {
		return n, false, errors.New("the leg has no such part; count them as the network is written")
	}
	if part < 0 && n.N == 1 {
		part = 0
	}
	if part >= 0 {
		r, t := n.Values[part], si.Resistance(n.Tolerances[part])
		known, agrees := Reconcile(si.Interval[si.Resistance]{Low: r * (1 - t), High: r * (1 + t)}, read)
		n.Values[part], n.Tolerances[part] = known.Mid(), si.Ratio(known.Width()/2/known.Mid())
		return n.settled(), agrees, nil
	}
	known, agrees := Reconcile(si.Interval[si.Resistance]{Low: n.Low, High: n.High}, read)
	n.Ohm, n.Low, n.High, n.Tolerance = known.Mid(), known.Low, known.High, si.Ratio(known.Width()/2/known.Mid())
	if !agrees {
		n.Wiring, n.N = Single, 1
		n.Values[0], n.Tolerances[0] = n.Ohm, n.Tolerance
	}
	return n, agrees, nil
}

// Reconcile is what a figure can be by the record and by a reading: what both allow, else, agrees being false, everything
// between the far ends of both.
func Reconcile[Q si.Quantity](record, read si.Interval[Q]) (known si.Interval[Q], agrees bool) {
	if both, ok := meet(record, read); ok {
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
	r, l, h := combine(
		n.Wiring,
		nom[0],
		nom[1],
		nom[2],
	), combine(
		n.Wiring,
		lo[0],
		lo[1],
		lo[2],
	), combine(
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

// change is one resistor put into a leg: the new leg and by what factor it changes, over all corners of old and new.
type change struct {
	how    How
	part   int // place of the part it replaces
	piece  int // in the stock
	leg    Network
	factor [2]float64 // lowest and highest new over old
}

// changes lists what one piece of a stock can do to a leg.
func (n Network) changes(pieces []Piece, piece int) []change {
	p := pieces[piece]
	r, t := float64(p.Ohm), float64(p.Tolerance)
	var out []change
	for k := range n.N {
		m := n
		m.Pieces[k], m.Values[k], m.Tolerances[k], m.Lots[k] = piece, p.Ohm, p.Tolerance, p.Lot
		m = m.settled()
		out = append(out, change{InPlace, k, piece, m, [2]float64{float64(m.Low / n.High), float64(m.High / n.Low)}})
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
		out = append(out, change{how, 0, piece, m, f})
	}
	return out
}

// besideWiring is the wiring that a leg takes when a part is joined to the whole of it; the new part is written first where
// first is set.
var besideWiring = map[[2]int]struct {
	wiring Wiring
	first  bool
}{
	{int(Single), int(InParallel)}: {Parallel2, false}, {int(Single), int(InSeries)}: {Series2, false},
	{int(Series2), int(InParallel)}: {ParallelSeries, true}, {int(Series2), int(InSeries)}: {Series3, false},
	{int(Parallel2), int(InParallel)}: {Parallel3, false}, {int(Parallel2), int(InSeries)}: {SeriesParallel, true},
}

// beside joins a piece to the whole leg. The ends of the leg as it is, which may have been measured, are kept.
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
			m.Pieces[k], m.Values[k], m.Tolerances[k], m.Lots[k] = n.Pieces[k-1], n.Values[k-1], n.Tolerances[k-1], n.Lots[k-1]
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
	m.Ohm, m.Low, m.High = join(float64(n.Ohm), r), join(float64(n.Low), r*(1-t)), join(float64(n.High), r*(1+t))
	m.Tolerance = si.Ratio(math.Max(float64(m.High/m.Ohm)-1, 1-float64(m.Low/m.Ohm)))
	return m, true
}

// Swap is one resistor put into one leg of a divider, and what the set point can then be.
type Swap[Q si.Quantity] struct {
	Top   bool // which leg
	How   How
	Part  int   // place of the part it replaces, InPlace only
	In    Piece // what goes in
	Leg   Network
	Ends  Ends[Q]
	Lower Q // nominal, at the lower stop
	Upper Q // nominal, at the upper stop
	// Room is the least distance of the set point from either end and of the worst case from the limit, against the set point.
	Room si.Ratio
}

// roomEnough is the room beyond which more is no better.
const roomEnough = 0.005

// best sorts swaps: most room in steps of 0.1 % up to 0.5 %, parts replaced before parts added, then the stock's order.
func best[Q si.Quantity](all []Swap[Q]) []Swap[Q] {
	steps := func(s Swap[Q]) int { return int(min(float64(s.Room), roomEnough) * 1000) }
	slices.SortStableFunc(all, func(a, b Swap[Q]) int {
		return cmp.Or(steps(b)-steps(a), cmp.Compare(a.How, b.How), cmp.Compare(b.Room, a.Room), comparePieces(a.In, b.In))
	})
	return all
}

// eachChange goes through every single resistor of the stock in either leg.
func eachChange(top, bottom Network, stock Stock, try func(top, bottom Network, isTop bool, c change)) {
	for i, p := range stock.Pieces {
		if p.Count < 1 {
			continue
		}
		for _, c := range top.changes(stock.Pieces, i) {
			try(c.leg, bottom, true, c)
		}
		for _, c := range bottom.changes(stock.Pieces, i) {
			try(top, c.leg, false, c)
		}
	}
}

// VoltageSwaps lists the single resistors of the stock that bring the set point into reach of the trimmer (without trimmer:
// every corner inside Band), best first. No corner at any trimmer position lies above Absolute; read, where the trimmer ends
// were measured, narrows the corners. now is the divider with what was measured of its parts.
func VoltageSwaps(spec VoltageSpec, now VoltageNetwork, read Ends[si.Voltage], stock Stock) []Swap[si.Voltage] {
	d := newVoltageDivider(spec)
	var trimmer *TrimmerPiece
	if now.HasTrimmer {
		trimmer = &now.Trimmer
	}
	known, fits := now.Ends().Meets(read)
	if !fits {
		return nil // the parts are not what they were taken for: nothing reckoned from them can be trusted
	}
	var out []Swap[si.Voltage]
	eachChange(now.Top, now.Bottom, stock, func(top, bottom Network, isTop bool, c change) {
		v := CheckVoltage(spec, top, bottom, trimmer)
		ends, fits := v.Ends().Meets(d.moved(now, known, read, isTop, c))
		room := d.swapRoom(ends, now.HasTrimmer)
		if !fits || !(room >= 0) || float64(v.OpenWiper) > d.abs || !d.standing(top, bottom, stock.Pieces) {
			return
		}
		out = append(
			out,
			Swap[si.Voltage]{isTop, c.how, c.part, stock.Pieces[c.piece], c.leg, ends, v.SetLow, v.SetHigh, si.Ratio(room)},
		)
	})
	return best(out)
}

func (d voltageDivider) standing(top, bottom Network, pieces []Piece) bool {
	return top.stands(pieces, si.Voltage(d.abs-d.vLo), d.derate) && bottom.stands(pieces, si.Voltage(d.vHi), d.derate)
}

func (d voltageDivider) swapRoom(e Ends[si.Voltage], trimmed bool) float64 {
	worst := float64(e.High.High)
	if !trimmed {
		return min(min(d.abs, d.bandHi)-worst, float64(e.Low.Low)-d.bandLo) / d.set
	}
	return min(d.abs-worst, d.set-float64(e.Low.High), float64(e.High.Low)-d.set) / d.set
}

// moved is where ends that were read go when one leg changes by a factor. With w = v +- i t (v the node voltage, i the bias
// current, t the top leg), V = w + v t/b:
//
//	top by k:     V' = v + (V - v) k
//	bottom by k:  V' = w + (V - w)/k, k of bottom and trimmer together
//
// Both rise with V; a corner of the other two is the extreme. Ends that were not read stay open.
func (d voltageDivider) moved(now VoltageNetwork, known, read Ends[si.Voltage], isTop bool, c change) Ends[si.Voltage] {
	spread := d.bias * float64(now.Top.High)
	to := func(v si.Interval[si.Voltage], k [2]float64, spread float64) si.Interval[si.Voltage] {
		low, high := math.Inf(1), math.Inf(-1)
		for _, w := range [2]float64{d.vLo - spread, d.vHi + spread} {
			for _, f := range k {
				low = min(low, w+(float64(v.Low)-w)*f)
				high = max(high, w+(float64(v.High)-w)*f)
			}
		}
		return si.Interval[si.Voltage]{Low: si.Voltage(low), High: si.Voltage(high)}
	}
	var trim trim
	if now.HasTrimmer {
		trim = *newTrim(now.Trimmer)
	}
	var out Ends[si.Voltage]
	for _, end := range []struct {
		read, known si.Interval[si.Voltage]
		from, to    float64 // of the trimmer in circuit, ohm
		out         *si.Interval[si.Voltage]
	}{{read.Low, known.Low, trim.lo, trim.hi, &out.Low}, {read.High, known.High, 0, trim.end, &out.High}} {
		switch {
		case end.read == (si.Interval[si.Voltage]{}):
		case isTop:
			*end.out = to(end.known, c.factor, 0)
		default:
			*end.out = to(end.known, c.withTrimmer(now.Bottom, end.from, end.to), spread)
		}
	}
	return out
}

// withTrimmer is the factor old over new of a leg together with the trimmer in line with it, lowest and highest.
func (c change) withTrimmer(old Network, from, to float64) [2]float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, leg := range [2]float64{float64(old.Low), float64(old.High)} {
		for _, f := range c.factor {
			for _, x := range [2]float64{from, to} {
				k := (leg + x) / (leg*f + x)
				low, high = min(low, k), max(high, k)
			}
		}
	}
	return [2]float64{low, high}
}

// CurrentSwaps is VoltageSwaps for the divider that sets the current; HighLimit is never exceeded.
func CurrentSwaps(spec CurrentSpec, now CurrentNetwork, read Ends[si.Current], stock Stock) []Swap[si.Current] {
	d := newCurrentDivider(spec, now.Shunt)
	var trimmer *TrimmerPiece
	if now.HasTrimmer {
		trimmer = &now.Trimmer
	}
	known, fits := now.Ends().Meets(read)
	if !fits {
		return nil // the parts are not what they were taken for: nothing reckoned from them can be trusted
	}
	var out []Swap[si.Current]
	eachChange(now.Top, now.Bottom, stock, func(top, bottom Network, isTop bool, c change) {
		n := CheckCurrent(spec, now.Shunt, top, bottom, trimmer)
		ends, fits := n.Ends().Meets(d.moved(now, known, read, isTop, c))
		room := d.swapRoom(ends, now.HasTrimmer)
		stands := top.stands(stock.Pieces, si.Voltage(d.vHi), d.derate) && bottom.stands(stock.Pieces, si.Voltage(d.vHi), d.derate)
		if !fits || !(room >= 0) || float64(n.OpenWiper) > d.high || !stands {
			return
		}
		out = append(
			out,
			Swap[si.Current]{isTop, c.how, c.part, stock.Pieces[c.piece], c.leg, ends, n.Low, n.High, si.Ratio(room)},
		)
	})
	return best(out)
}

func (d currentDivider) swapRoom(e Ends[si.Current], trimmed bool) float64 {
	worst := float64(e.High.High)
	if !trimmed {
		return min(d.high-worst, float64(e.Low.Low)-d.low) / d.set
	}
	return min(d.high-worst, d.set-float64(e.Low.High), float64(e.High.Low)-d.set) / d.set
}

// moved is where currents that were read go. With the level v b/(t+b) and the offset o, I = (v b/(t+b) + o)/R; a change of
// b/(t+b) by k gives I' = I k + (1 - k) o/R, and the bias current at most i |t' - t| b'/(t'+b')/R on top, which is bounded
// by i times the sum of both top legs over R. The offset lies within both its ends.
func (d currentDivider) moved(now CurrentNetwork, known, read Ends[si.Current], isTop bool, c change) Ends[si.Current] {
	var trim trim
	if now.HasTrimmer {
		trim = *newTrim(now.Trimmer)
	}
	off := d.off / d.rl
	highestTop := float64(now.Top.High) + trim.hi + max(float64(now.Top.High), float64(c.leg.High)) + trim.hi
	stray := d.bias * highestTop / d.rl
	var out Ends[si.Current]
	for _, end := range []struct {
		read, known si.Interval[si.Current]
		from, to    float64
		out         *si.Interval[si.Current]
	}{{read.Low, known.Low, trim.lo, trim.hi, &out.Low}, {read.High, known.High, 0, trim.end, &out.High}} {
		if end.read == (si.Interval[si.Current]{}) {
			continue
		}
		low, high := math.Inf(1), math.Inf(-1)
		for _, k := range c.share(now.Top, now.Bottom, isTop, end.from, end.to) {
			slack := math.Abs(1-k)*off + stray
			low, high = min(low, float64(end.known.Low)*k-slack), max(high, float64(end.known.High)*k+slack)
		}
		*end.out = si.Interval[si.Current]{Low: si.Current(low), High: si.Current(high)}
	}
	return out
}

// share is by what factor b/(t+b) changes, lowest and highest over all corners; the trimmer lies in line with the top leg.
func (c change) share(top, bottom Network, isTop bool, from, to float64) [2]float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, t := range [2]float64{float64(top.Low), float64(top.High)} {
		for _, b := range [2]float64{float64(bottom.Low), float64(bottom.High)} {
			for _, f := range c.factor {
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
