package magnetics

import (
	"math"

	"sparewright/catalog/si"
)

// WireResistance is the DC resistance at temperature t of strands in parallel, each of the given
// length and bare diameter. Resistivity and temperature coefficient of IEC 60028 copper.
func WireResistance(length, bare si.Length, strands int, t si.Celsius) si.Resistance {
	area := math.Pi / 4 * float64(bare) * float64(bare) * float64(strands)
	return si.Resistance(si.CopperResistivity(t) * float64(length) / area)
}

// GaugeDiameter is the bare diameter of an American wire gauge number, 0.127 mm x 92^((36-n)/39).
// Source: ASTM B258. 0 stands for 1/0; larger sizes count down from there (2/0 = -1).
func GaugeDiameter(gauge int) si.Length {
	return si.Length(0.127e-3 * math.Pow(92, float64(36-gauge)/39))
}
