package stock

import (
	"sparewright/catalog"
	"sparewright/catalog/si"
)

// CapacitorSet is a number of equal capacitors in parallel, from the drawer or to be bought.
type CapacitorSet struct {
	Stock *Stock[catalog.Capacitor]
	N     int
	Least si.Capacitance
	high  si.Capacitance // at the upper tolerance, 0 where it is not known
	Text  string         // what to buy when stock is nil
	Volts si.Voltage
	Rms   si.Current
	Parts int
}

const MaxParallel = 3

// Most is the capacitance at its upper tolerance; of a set to buy at 20 % above what is printed, as
// electrolytic capacitors have (tolerance code M, from memory).
func (s CapacitorSet) Most() si.Capacitance {
	if s.high > 0 {
		return s.high
	}
	return s.Least / 0.8 * 1.2
}

// ChooseSet picks, among one to three equal suitable parts, the smallest set that reaches need,
// else the largest; buy is the answer when nothing suits at all.
func ChooseSet(all []Stock[catalog.Capacitor], suits func(*Stock[catalog.Capacitor]) bool,
	size func(CapacitorSet) float64, need float64, buy func() CapacitorSet) CapacitorSet {
	var best CapacitorSet
	bestSize, found, reached := 0.0, false, false
	for i := range all {
		c := all[i].Part
		if !suits(&all[i]) {
			continue
		}
		for n := 1; n <= MaxParallel && float64(n) <= all[i].Count; n++ {
			s := CapacitorSet{Stock: &all[i], N: n, Volts: c.Volts.Value, Parts: n,
				Least: si.Capacitance(float64(n) * float64(c.Capacitance.Value) *
					(1 - float64(c.Tolerance.Value))),
				high: si.Capacitance(float64(n) * float64(c.Capacitance.Value) *
					(1 + float64(c.Tolerance.Value))),
				Rms: si.Current(n) * RippleOf(c)}
			v := size(s)
			ok := v >= need
			better := !found || ok && !reached ||
				ok == reached && (ok && (n < best.N || n == best.N && v < bestSize) ||
					!ok && v > bestSize)
			if better {
				best, bestSize, found, reached = s, v, true, ok
			}
		}
	}
	if !found {
		return buy()
	}
	return best
}

// RippleOf is the rated ripple, or a cautious stand-in for a part of unknown class: 0.35 A per 1000
// uF, about half of what low-impedance parts of that size are rated (screening figures of
// capacitors.tsv).
func RippleOf(c catalog.Capacitor) si.Current {
	return c.Ripple.Value
}
