package magnetics

import (
	"sparewright/catalog/si"
)

// The inverse problems: what a meter and a caliper say about a pair of unknown make.

// widest is the largest gap searched for, in m: beyond it the stray field of any pair rules and a
// gap has no meaning.
const widest = 10e-3

// GapFromAL is the centre-leg ground gap of the pair that has inductance factor al with
// permeability muI and the given joint, on the same model as InductanceFactor. It is 0 when the
// pair without gap already reads al or less, and 10 mm when even that gap leaves more than a wider
// one would.
func GapFromAL(g Geometry, muI si.Ratio, residual si.Length, al si.InductanceFactor) si.Length {
	return solveLength(func(x si.Length) bool {
		return InductanceFactor(g, muI, Gap{Ground: x, Residual: residual}) > al
	})
}

// ShimFromAL is the thickness of a film laid under all legs that lowered the inductance factor from
// before to after. What was there before is taken as a centre-leg gap found by GapFromAL. It is 0
// when after is not below before.
func ShimFromAL(g Geometry, muI si.Ratio, residual si.Length, before,
	after si.InductanceFactor) si.Length {
	ground := GapFromAL(g, muI, residual, before)
	return ShimForAL(g, muI, Gap{Ground: ground, Residual: residual}, after)
}

// ShimForAL is the film thickness under all legs that brings a pair with the given gaps to the
// inductance factor al, replacing gap.Shim. It is 0 when the pair without shim already reads al or
// less, 10 mm when no film is thick enough.
func ShimForAL(g Geometry, muI si.Ratio, gap Gap, al si.InductanceFactor) si.Length {
	return solveLength(func(x si.Length) bool {
		gap.Shim = x
		return InductanceFactor(g, muI, gap) > al
	})
}

// solveLength bisects for the length at which tooMuch turns false; it is true below and false
// above.
func solveLength(tooMuch func(si.Length) bool) si.Length {
	low, high := si.Length(0), si.Length(widest)
	if !tooMuch(low) {
		return 0
	}
	if tooMuch(high) {
		return widest
	}
	for high-low > 1e-10 {
		middle := (low + high) / 2
		if tooMuch(middle) {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2
}
