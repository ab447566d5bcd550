package regulation

import (
	"cmp"
	"math"
	"slices"

	"sparewright/catalog/si"
	"sparewright/substitute/regulation/resistors"
)

// What a bench corrects: a leg whose parts were measured, and one resistor put in place of another,
// beside it or in line.

// Ends are where the set point can lie with the trimmer at its lower and at its upper stop, over
// all tolerance corners. Without trimmer both are the whole band.
type Ends[Q si.Quantity] struct{ Low, High si.Interval[Q] }

// Meets narrows both ends by what was read there and reports whether anything is left; a zero
// interval was not read.
func (e Ends[Q]) Meets(read Ends[Q]) (Ends[Q], bool) {
	low, okL := resistors.Meet(e.Low, read.Low)
	high, okH := resistors.Meet(e.High, read.High)
	return Ends[Q]{low, high}, okL && okH
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

// Swap is one resistor put into one leg of a divider, and what the set point can then be.
type Swap[Q si.Quantity] struct {
	Top   bool // which leg
	How   resistors.How
	Part  int             // place of the part it replaces, InPlace only
	In    resistors.Piece // what goes in
	Leg   resistors.Network
	Ends  Ends[Q]
	Lower Q // nominal, at the lower stop
	Upper Q // nominal, at the upper stop
	// Margin is the least distance of the set point from either end and of the worst case from the
	// limit, against the set point.
	Margin si.Ratio
}

// marginEnough is the margin beyond which more is no better.
const marginEnough = 0.005

// best sorts swaps: most margin in steps of 0.1 % up to 0.5 %, parts replaced before parts added,
// then the stock's order.
func best[Q si.Quantity](all []Swap[Q]) []Swap[Q] {
	steps := func(s Swap[Q]) int { return int(min(float64(s.Margin), marginEnough) * 1000) }
	slices.SortStableFunc(all, func(a, b Swap[Q]) int {
		return cmp.Or(steps(b)-steps(a), cmp.Compare(a.How, b.How), cmp.Compare(b.Margin, a.Margin),
			resistors.ComparePieces(a.In, b.In))
	})
	return all
}

// eachChange goes through every single resistor of the stock in either leg.
func eachChange(top, bottom resistors.Network, stock resistors.Stock,
	try func(top, bottom resistors.Network, isTop bool, c resistors.Change)) {
	for i, p := range stock.Pieces {
		if p.Count < 1 {
			continue
		}
		for _, c := range top.Changes(stock.Pieces, i) {
			try(c.Leg, bottom, true, c)
		}
		for _, c := range bottom.Changes(stock.Pieces, i) {
			try(top, c.Leg, false, c)
		}
	}
}

// VoltageSwaps lists the single resistors of the stock that bring the set point into reach of the
// trimmer (without trimmer: every corner inside Band), best first. No corner at any trimmer
// position lies above Absolute; read, where the trimmer ends were measured, narrows the corners.
// now is the divider with what was measured of its parts.
func VoltageSwaps(spec VoltageSpec, now VoltageNetwork, read Ends[si.Voltage],
	stock resistors.Stock) []Swap[si.Voltage] {
	d := voltageMove{newVoltageDivider(spec)}
	var trimmer *resistors.TrimmerPiece
	if now.HasTrimmer {
		trimmer = &now.Trimmer
	}
	known, fits := now.Ends().Meets(read)
	if !fits {
		// the parts are not what they were taken for: nothing reckoned from them can be trusted
		return nil
	}
	var out []Swap[si.Voltage]
	eachChange(now.Top, now.Bottom, stock,
		func(top, bottom resistors.Network, isTop bool, c resistors.Change) {
			v := CheckVoltage(spec, top, bottom, trimmer)
			ends, fits := v.Ends().Meets(d.moved(now, known, read, isTop, c))
			margin := d.swapMargin(ends, now.HasTrimmer)
			if !fits || !(margin >= 0) || float64(v.OpenWiper) > d.abs ||
				!d.standing(top, bottom, stock.Pieces) {
				return
			}
			out = append(
				out,
				Swap[si.Voltage]{isTop, c.How, c.Part, stock.Pieces[c.Piece], c.Leg, ends, v.SetLow,
					v.SetHigh, si.Ratio(margin)},
			)
		})
	return best(out)
}

// voltageMove is a divider of which a part is exchanged.
type voltageMove struct{ voltageDivider }

func (d voltageMove) standing(top, bottom resistors.Network, pieces []resistors.Piece) bool {
	return top.Stands(pieces, si.Voltage(d.abs-d.vLo), d.derate) &&
		bottom.Stands(pieces, si.Voltage(d.vHi), d.derate)
}

func (d voltageMove) swapMargin(e Ends[si.Voltage], trimmed bool) float64 {
	worst := float64(e.High.High)
	if !trimmed {
		return min(min(d.abs, d.bandHi)-worst, float64(e.Low.Low)-d.bandLo) / d.set
	}
	return min(d.abs-worst, d.set-float64(e.Low.High), float64(e.High.Low)-d.set) / d.set
}

// moved is where ends that were read go when one leg changes by a factor. With w = v +- i t (v the
// node voltage, i the bias current, t the top leg), V = w + v t/b:
//
//	top by k:     V' = v + (V - v) k
//	bottom by k:  V' = w + (V - w)/k, k of bottom and trimmer together
//
// Both rise with V; a corner of the other two is the extreme. Ends that were not read stay open.
func (d voltageMove) moved(now VoltageNetwork, known, read Ends[si.Voltage], isTop bool,
	c resistors.Change) Ends[si.Voltage] {
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
	}{{read.Low, known.Low, trim.lo, trim.hi, &out.Low}, {read.High, known.High, 0,
		trim.end, &out.High}} {
		switch {
		case end.read == (si.Interval[si.Voltage]{}):
		case isTop:
			*end.out = to(end.known, c.Factor, 0)
		default:
			*end.out = to(end.known, c.WithTrimmer(now.Bottom, end.from, end.to), spread)
		}
	}
	return out
}

// CurrentSwaps is VoltageSwaps for the divider that sets the current; HighLimit is never exceeded.
func CurrentSwaps(spec CurrentSpec, now CurrentNetwork, read Ends[si.Current],
	stock resistors.Stock) []Swap[si.Current] {
	d := newCurrentDivider(spec, now.Shunt)
	var trimmer *resistors.TrimmerPiece
	if now.HasTrimmer {
		trimmer = &now.Trimmer
	}
	known, fits := now.Ends().Meets(read)
	if !fits {
		// the parts are not what they were taken for: nothing reckoned from them can be trusted
		return nil
	}
	var out []Swap[si.Current]
	eachChange(now.Top, now.Bottom, stock,
		func(top, bottom resistors.Network, isTop bool, c resistors.Change) {
			n := CheckCurrent(spec, now.Shunt, top, bottom, trimmer)
			ends, fits := n.Ends().Meets(d.moved(now, known, read, isTop, c))
			margin := d.swapMargin(ends, now.HasTrimmer)
			stands := top.Stands(stock.Pieces, si.Voltage(d.vHi), d.derate) &&
				bottom.Stands(stock.Pieces, si.Voltage(d.vHi), d.derate)
			if !fits || !(margin >= 0) || float64(n.OpenWiper) > d.high || !stands {
				return
			}
			out = append(
				out,
				Swap[si.Current]{isTop, c.How, c.Part, stock.Pieces[c.Piece], c.Leg, ends, n.Low,
					n.High, si.Ratio(margin)},
			)
		})
	return best(out)
}

func (d currentDivider) swapMargin(e Ends[si.Current], trimmed bool) float64 {
	worst := float64(e.High.High)
	if !trimmed {
		return min(d.high-worst, float64(e.Low.Low)-d.low) / d.set
	}
	return min(d.high-worst, d.set-float64(e.Low.High), float64(e.High.Low)-d.set) / d.set
}

// moved is where currents that were read go. With the level v b/(t+b) and the offset o, I = (v
// b/(t+b) + o)/R; a change of b/(t+b) by k gives I' = I k + (1 - k) o/R, and the bias current at
// most i |t' - t| b'/(t'+b')/R on top, which is bounded by i times the sum of both top legs over R.
// The offset lies within both its ends.
func (d currentDivider) moved(now CurrentNetwork, known, read Ends[si.Current], isTop bool,
	c resistors.Change) Ends[si.Current] {
	var trim trim
	if now.HasTrimmer {
		trim = *newTrim(now.Trimmer)
	}
	off := d.off / d.rl
	highestTop := float64(now.Top.High) + trim.hi +
		max(float64(now.Top.High), float64(c.Leg.High)) + trim.hi
	stray := d.bias * highestTop / d.rl
	var out Ends[si.Current]
	for _, end := range []struct {
		read, known si.Interval[si.Current]
		from, to    float64
		out         *si.Interval[si.Current]
	}{{read.Low, known.Low, trim.lo, trim.hi, &out.Low}, {read.High, known.High, 0,
		trim.end, &out.High}} {
		if end.read == (si.Interval[si.Current]{}) {
			continue
		}
		low, high := math.Inf(1), math.Inf(-1)
		for _, k := range c.Share(now.Top, now.Bottom, isTop, end.from, end.to) {
			slack := math.Abs(1-k)*off + stray
			low, high = min(low, float64(end.known.Low)*k-slack),
				max(high, float64(end.known.High)*k+slack)
		}
		*end.out = si.Interval[si.Current]{Low: si.Current(low), High: si.Current(high)}
	}
	return out
}
