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
