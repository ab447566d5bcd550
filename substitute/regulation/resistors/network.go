// Package resistors makes values and ratios from the resistors on hand: networks of one to three,
// exact and in order.
package resistors

import (
	"math"

	"sparewright/catalog/si"
)

// Wiring is the way up to three resistors form one leg.
type Wiring uint8

// The wirings of one to three parts a, b, c.
const (
	Single         Wiring = iota // a
	Series2                      // a + b
	Parallel2                    // a || b
	Series3                      // a + b + c
	Parallel3                    // a || b || c
	SeriesParallel               // a + (b || c)
	ParallelSeries               // a || (b + c)
)

// Network is one leg made of one to three resistors of a stock.
type Network struct {
	Wiring Wiring
	Pieces [3]int // index into the stock's pieces; only the first N count
	N      int
	Ohm    si.Resistance
	// Low and High are the exact worst cases: every part at its low end, every part at its high
	// end.
	Low, High si.Resistance
	Tolerance si.Ratio // the larger of the two relative distances from Ohm to Low and High

	Values     [3]si.Resistance // value of each part
	Tolerances [3]si.Ratio      // tolerance of each part, either way
	Lots       [3]int64         // lot of each part
}

// String writes the network as on a parts list: "10k + (47k || 47k)".
func (n Network) String() string {
	var v [3]string
	for i := range n.N {
		v[i] = ValueText(n.Values[i])
	}
	switch n.Wiring {
	case Series2:
		return v[0] + " + " + v[1]
	case Parallel2:
		return v[0] + " || " + v[1]
	case Series3:
		return v[0] + " + " + v[1] + " + " + v[2]
	case Parallel3:
		return v[0] + " || " + v[1] + " || " + v[2]
	case SeriesParallel:
		return v[0] + " + (" + v[1] + " || " + v[2] + ")"
	case ParallelSeries:
		return v[0] + " || (" + v[1] + " + " + v[2] + ")"
	}
	if n.N == 0 {
		return "none"
	}
	return v[0]
}

// Uses lists what the network takes from each lot, in the order its parts are written.
func (n Network) Uses() []Use {
	var uses []Use
	for i := range n.N {
		found := false
		for j := range uses {
			if uses[j].Lot == n.Lots[i] && uses[j].Ohm == n.Values[i] {
				uses[j].Count++
				found = true
			}
		}
		if !found {
			uses = append(uses, Use{n.Lots[i], n.Values[i], 1})
		}
	}
	return uses
}

// Combine is the resistance in ohm of parts a, b, c in ohm in the given wiring.
func Combine(w Wiring, a, b, c float64) float64 {
	switch w {
	case Series2:
		return a + b
	case Parallel2:
		return parallel(a, b)
	case Series3:
		return a + b + c
	case Parallel3:
		return parallel(parallel(a, b), c)
	case SeriesParallel:
		return a + parallel(b, c)
	case ParallelSeries:
		return parallel(a, b+c)
	}
	return a
}

func parallel(a, b float64) float64 { return a * b / (a + b) }

// shares returns the voltage across and the current through each part of a leg of the given wiring
// that carries the voltage volts in V, parts a, b, c in ohm.
func shares(w Wiring, a, b, c, volts float64) (v, i [3]float64) {
	total := volts / Combine(w, a, b, c)
	switch w {
	case Single:
		v = [3]float64{volts}
	case Series2, Series3:
		v = [3]float64{total * a, total * b, total * c}
	case Parallel2, Parallel3:
		v = [3]float64{volts, volts, volts}
	case SeriesParallel:
		v = [3]float64{total * a, total * parallel(b, c), total * parallel(b, c)}
	case ParallelSeries:
		chain := volts / (b + c)
		v = [3]float64{volts, chain * b, chain * c}
	}
	for k, r := range [3]float64{a, b, c} {
		if r > 0 {
			i[k] = v[k] / r
		}
	}
	return v, i
}

// Build fills a network from pieces; idx holds their indices.
func Build(pieces []Piece, w Wiring, n int, idx [3]int) Network {
	net := Network{Wiring: w, N: n}
	var nom, lo, hi [3]float64
	for k := range n {
		p := pieces[idx[k]]
		net.Pieces[k], net.Values[k], net.Tolerances[k], net.Lots[k] = idx[k], p.Ohm,
			p.Tolerance, p.Lot
		r, t := float64(p.Ohm), float64(p.Tolerance)
		nom[k], lo[k], hi[k] = r, r*(1-t), r*(1+t)
	}
	r, l, h := Combine(w, nom[0], nom[1], nom[2]), Combine(w, lo[0], lo[1], lo[2]),
		Combine(w, hi[0], hi[1], hi[2])
	net.Ohm, net.Low, net.High = si.Resistance(r), si.Resistance(l), si.Resistance(h)
	net.Tolerance = si.Ratio(math.Max(h/r-1, 1-l/r))
	return net
}

// Load is the worst of the parts of a network under a voltage: the highest share of its power
// rating any part takes (1 = full rating, no derating applied), the power all parts take together,
// and whether every part stands its voltage.
type Load struct {
	Share     si.Ratio
	Total     si.Power
	VoltageOK bool
}

// Load returns how hard the parts of n are worked when volts lies across the network, at nominal
// values. A part of unknown rating counts as UnknownRating, one of unknown voltage is not judged.
func (n Network) Load(pieces []Piece, volts si.Voltage) Load {
	load := Load{VoltageOK: true}
	v, i := shares(n.Wiring, float64(n.Values[0]), float64(n.Values[1]), float64(n.Values[2]),
		math.Abs(float64(volts)))
	for k := range n.N {
		p := pieces[n.Pieces[k]]
		power := si.Power(v[k] * i[k])
		load.Total += power
		load.Share = max(load.Share, si.Ratio(power/p.rating()))
		if p.Volts > 0 && v[k] > float64(p.Volts) {
			load.VoltageOK = false
		}
	}
	return load
}

// Stands reports whether every part of n stays within the derated power and its voltage.
func (n Network) Stands(pieces []Piece, volts si.Voltage, derate si.Ratio) bool {
	load := n.Load(pieces, volts)
	return load.VoltageOK && load.Share <= derate
}

// Swings returns the low and the high resistance in ohm of the network when one part alone goes to
// its ends, part by part.
func Swings(n Network) [][2]float64 {
	var out [][2]float64
	for k := range n.N {
		var ends [2]float64
		for e, sign := range [2]float64{-1, 1} {
			v := [3]float64{float64(n.Values[0]), float64(n.Values[1]), float64(n.Values[2])}
			v[k] *= 1 + sign*float64(n.Tolerances[k])
			ends[e] = Combine(n.Wiring, v[0], v[1], v[2])
		}
		out = append(out, ends)
	}
	return out
}
