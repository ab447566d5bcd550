package stock

import (
	"math"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/seats"
)

// CapacitorSet is a number of equal capacitors in parallel, from the drawer or to be bought.
type CapacitorSet struct {
	Stock *Stock[catalog.Capacitor]
	N     int
	Least si.Capacitance
	Text  string // what to buy when stock is nil
	Volts si.Voltage
	Rms   si.Current
	Parts int
}

const MaxParallel = 3

// ChooseSet picks, among one to three equal suitable parts, the smallest set that reaches need, else the largest; buy is the
// answer when nothing suits at all.
func ChooseSet(all []Stock[catalog.Capacitor], suits func(catalog.Capacitor) bool, size func(CapacitorSet) float64, need float64, buy func() CapacitorSet) CapacitorSet {
	var best CapacitorSet
	bestSize, found, reached := 0.0, false, false
	for i := range all {
		c := all[i].Part
		if !suits(c) {
			continue
		}
		for n := 1; n <= MaxParallel && float64(n) <= all[i].Count; n++ {
			s := CapacitorSet{Stock: &all[i], N: n, Volts: c.Volts.Value, Parts: n,
				Least: si.Capacitance(float64(n) * float64(c.Capacitance.Value) * (1 - float64(c.Tolerance.Or(0.2)))),
				Rms:   si.Current(n) * RippleOf(c)}
			v := size(s)
			ok := v >= need
			better := !found || ok && !reached || ok == reached && (ok && (n < best.N || n == best.N && v < bestSize) || !ok && v > bestSize)
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

// RippleOf is the rated ripple, or a cautious stand-in for a part of unknown class: 0.35 A per 1000 uF, about half of what
// low-impedance parts of that size are rated (screening figures of capacitors.tsv).
func RippleOf(c catalog.Capacitor) si.Current {
	return c.Ripple.Or(si.Current(float64(c.Capacitance.Value) / 1e-3 * 0.35))
}

// Pick takes the suitable part with the least score, ties by the fixed order of the drawer, or enters what to buy. An empty
// requirement means the part may be left out.
func Pick[P catalog.Part](b *Basket, role seats.ID, all []Stock[P], n float64, suits func(P) bool, score func(P) float64, requirement string) (P, bool) {
	best, bestScore := -1, math.Inf(1)
	for i := range all {
		if Left(b, all[i]) >= n && suits(all[i].Part) {
			if s := score(all[i].Part); s < bestScore {
				best, bestScore = i, s
			}
		}
	}
	if best >= 0 {
		Take(b, role, all[best], n)
		return all[best].Part, true
	}
	if requirement != "" {
		b.Buy(role, requirement, n, "piece", requirement)
	}
	var none P
	return none, false
}
