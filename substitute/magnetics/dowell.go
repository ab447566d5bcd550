package magnetics

import (
	"math"

	"sparewright/catalog/si"
)

// SkinDepth is sqrt(rho/(pi f mu0)) of copper at temperature t. Range: f > 0. Source: W. T.
// McLyman, Transformer and Inductor Design Handbook, 3rd ed., ch. 4; resistivity of IEC 60028.
func SkinDepth(f si.Frequency, t si.Celsius) si.Length {
	return si.Length(math.Sqrt(si.CopperResistivity(t) / (math.Pi * si.Mu0 * float64(f))))
}

// EquivalentThickness is the thickness of the foil that stands for one layer of round strands:
// (pi/4)^0.75 d sqrt(share), with share = strand diameter times strands across the width, divided
// by the width (1 = touching). This is the square of equal section with the porosity of P. L.
// Dowell, Proc. IEE 113 (1966) 1387; L. Dixon, SLUP127, rounds the constant to 0.83.
func EquivalentThickness(strand si.Length, share si.Ratio) si.Length {
	return si.Length(roundToFoil * float64(strand) * math.Sqrt(float64(share)))
}

// roundToFoil is (pi/4)^0.75.
const roundToFoil = 0.8342893

// LayerFactor is the ratio of AC to DC resistance, at one frequency, of a winding section of the
// given number of layers, each q skin depths thick, whose field rises from zero on one side to its
// full value on the other:
//
//	q [(sinh 2q + sin 2q)/(cosh 2q - cos 2q)
//	   + 2 (layers^2 - 1)/3 (sinh q - sin q)/(cosh q + cos q)]
//
// Source: P. L. Dowell, Proc. IEE 113 (1966) 1387-1394. A section between two others that carries
// half its ampere-turns to each side counts with half its layers. Range: q >= 0, layers >= 0.5.
func LayerFactor(q si.Ratio, layers float64) si.Ratio {
	return si.Ratio(layerFactor(float64(q), 2*(layers*layers-1)/3))
}

// layerFactor is LayerFactor with the proximity weight 2 (p^2-1)/3 worked out, so that a sum over
// harmonics shares it.
func layerFactor(q, weight float64) float64 {
	switch {
	case q > 18: // both quotients are 1 within 1e-7
		return q * (1 + weight)
	case q < 0.01:
		// 1 + (5p^2-1)/45 q^4, with 5p^2-1 = 7.5 weight + 4; the next terms are below 1e-10
		return 1 + (7.5*weight+4)/45*q*q*q*q
	}
	up := math.Exp(q)
	sh, ch := (up-1/up)/2, (up+1/up)/2
	sn, cs := math.Sincos(q)
	skin := (sh*ch + sn*cs) / (sh*sh + sn*sn)
	diff := sh - sn
	if q < 0.5 { // sinh q - sin q = q^3/3 + q^7/2520 + ..., without the cancellation
		q3 := q * q * q
		diff = q3/3 + q3*q3*q/2520
	}
	return q * (skin + weight*diff/(ch+cs))
}

// DowellFactor is LayerFactor for layers of round copper strands at frequency f and temperature t.
// It is 1 when f is not positive.
func DowellFactor(f si.Frequency, t si.Celsius, strand si.Length, layers float64,
	porosity si.Ratio) si.Ratio {
	if !(f > 0) {
		return 1
	}
	return LayerFactor(si.Ratio(EquivalentThickness(strand, porosity)/SkinDepth(f, t)), layers)
}
