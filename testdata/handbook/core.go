package handbook

import (
	"math"

	"sparewright/catalog/si"
	"sparewright/substitute/magnetics"
)

// GapForEnergy is the gap that stores L I^2/2 at flux density b in the section area without stray
// field: mu0 L I^2/(A B^2). Source: M. Brown, Power Supply Cookbook, 2nd ed. 2001, sect. 4.7.2.
func GapForEnergy(l si.Inductance, i si.Current, b si.FluxDensity, area si.Area) si.Length {
	return si.Length(si.Mu0 * float64(l) * float64(i) * float64(i) /
		(float64(area) * float64(b) * float64(b)))
}

// GapBySides is the centre-leg gap for inductance l with a whole number of turns by the rule that
// adds the gap to the sides of the pole and leaves the ferrite out: g = mu0 N^2 A/L times (1 +
// g/D)^2 for a round leg, (1 + g/a)(1 + g/b) for a rectangular one. Source: L. Dixon, SLUP127, pp.
// 5-9, 5-10; stated as good while the correction is below 20 %. It is a second opinion beside
// magnetics.GapFromAL; field solutions show it 8 to 19 % low in AL. It is +Inf when the rule has no
// solution.
func GapBySides(g magnetics.Geometry, turns int, l si.Inductance) si.Length {
	a, b := float64(g.LegWidth), float64(g.LegDepth)
	if g.RoundLeg {
		b = a
	}
	n := float64(turns)
	plain := si.Mu0 * n * n * float64(g.Area) / float64(l)
	// x = plain (1 + x/a)(1 + x/b) is a quadratic in x; the smaller root is the gap.
	qa, qb := plain/(a*b), plain*(1/a+1/b)-1
	root := qb*qb - 4*qa*plain
	if root < 0 || qb > 0 {
		return si.Length(math.Inf(1))
	}
	return si.Length(2 * plain / (-qb + math.Sqrt(root)))
}

// GaugeDiameter is the bare diameter of an American wire gauge number, 0.127 mm x 92^((36-n)/39).
// Source: ASTM B258. 0 stands for 1/0; larger sizes count down from there (2/0 = -1).
func GaugeDiameter(gauge int) si.Length {
	return si.Length(0.127e-3 * math.Pow(92, float64(36-gauge)/39))
}
