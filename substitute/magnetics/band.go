package magnetics

import "sparewright/catalog/si"

// The model error of InductanceFactor, chosen so that the band holds every published AL from 0.1 mm
// up that was collected: ETD29/16/10 (N27, N87), E65/32/27 (N27, N87), EFD15, E14/3.5/5, RM6, RM8
// and RM10, taken with the gap tolerance their makers print, and the field solutions of the
// EF20-like pair. The field solutions need 3 % only; the makers differ from them and from each
// other.
const (
	// window taller than 3/4 of the leg: worst E65/32/27 at 2.5 mm, published AL 8 % below the
	// model
	modelError = 0.10
	barError   = 0.15 // gap against a bar: no published table found, widened
	// Planar, RM and PQ pairs: E14/3.5/5 at 0.53 mm is 23 % above the model, RM10 N41 at 0.13 mm 22
	// % below. No simple model meets them; measure.
	lowWindowError = 0.30
	// per unit of fringing above 1.5: E65/32/27 at 4 mm is printed 18 % below the model
	wideGapSlope = 0.5
	// Below this gap in m grinding and joint decide: EF12.6 at 0.04 mm is 315 nH for one maker, 250
	// nH for another.
	smallGap      = 0.1e-3
	smallGapError = 0.10 // added at no gap at all, in proportion below smallGap
)

// ModelError is the relative error to be allowed on InductanceFactor for this gap: 10 % from 0.1 mm
// up in pairs with a window of ordinary height, more for small gaps, for gaps so wide that the
// stray field carries over a third, for bars (EI) and for low windows (planar, RM, PQ).
func ModelError(g Geometry, gap Gap) si.Ratio {
	e := si.Ratio(modelError)
	switch {
	case lowWindow(g):
		e = lowWindowError
	case g.Bar:
		e = barError
	}
	if f := Fringing(g, gap); f > 1.5 {
		e += wideGapSlope * (f - 1.5)
	}
	if path := gap.Ground + 2*gap.Shim; path < smallGap {
		e += smallGapError * si.Ratio(1-float64(path)/smallGap)
	}
	return min(e, 0.5)
}

// strayError is twice the root mean square by which the gaps conduct otherwise than
// InductanceFactor says, in pairs with a window of ordinary height. The field solutions of the
// EF20-like pair (testdata/reference/fem_al.csv) give 1.3 %, at worst 3.1 % at 1 mm. Makers' tables
// are no measure of it: they call their gaps approximate, and print E65/32/27 some 8 % below the
// field solution scaled to its size.
const (
	strayError = 0.028
	straySlope = 0.03 // per unit of fringing above 1.5
)

// StrayError is the relative error that the reluctance of the gaps keeps to 19 times out of 20
// against InductanceFactor, from field solutions; ModelError, which the search reckons with, also
// covers what makers print for a gap. Bars and low windows, of which no field solution was at hand,
// keep the error of the makers' tables.
func StrayError(g Geometry, gap Gap) si.Ratio {
	e := si.Ratio(strayError)
	switch {
	case lowWindow(g):
		e = lowWindowError
	case g.Bar:
		e = barError
	}
	if f := Fringing(g, gap); f > 1.5 {
		e += straySlope * (f - 1.5)
	}
	return e
}

// strayShare is StrayError as it comes out in the inductance factor: the gaps are a part of the
// reluctance only.
func strayShare(g Geometry, muI si.Ratio, gap Gap) si.Ratio {
	centre, outer := gapReluctances(g, gap)
	return StrayError(g, gap) * si.Ratio((centre+outer)/float64(Reluctance(g, muI, gap)))
}

func lowWindow(g Geometry) bool {
	half := g.WindowHeight / 2
	if g.Bar {
		half = g.WindowHeight
	}
	return half > 0 && half < 0.75*g.LegWidth && (g.RoundLeg || g.LegDepth > half)
}

// InductanceFactorBand is the interval of AL over the given intervals of permeability, ground gap,
// shim and joint, widened at each end by ModelError of that end. AL falls with every gap and rises
// with permeability, so that the two corners hold all.
func InductanceFactorBand(g Geometry, muI si.Interval[si.Ratio], ground, shim,
	residual si.Interval[si.Length],
) si.Interval[si.InductanceFactor] {
	wide := Gap{Ground: ground.High, Shim: shim.High, Residual: residual.High}
	narrow := Gap{Ground: ground.Low, Shim: shim.Low, Residual: residual.Low}
	low := float64(InductanceFactor(g, muI.Low, wide)) * (1 - float64(ModelError(g, wide)))
	high := float64(InductanceFactor(g, muI.High, narrow)) * (1 + float64(ModelError(g, narrow)))
	return si.Interval[si.InductanceFactor]{Low: si.InductanceFactor(low),
		High: si.InductanceFactor(high)}
}
