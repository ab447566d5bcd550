package magnetics

import (
	"math"

	"sparewright/catalog/si"
)

// enamelDensity is that of polyurethane and polyester-imide enamels in kg/m3 (from memory: 1200 to
// 1450).
const enamelDensity = 1350.0

// enamelled are diameters in m over the enamel of a copper wire: the least that grade 1 allows and
// the most that grade 2 allows. Source: IEC 60317-0-1 by the tables of sh-wire.de, read up to 0.118
// mm, from memory above and below 0.05 mm.
var enamelled = []struct{ copper, least, most float64 }{
	{0.020e-3, 0.022e-3, 0.027e-3}, {0.030e-3, 0.033e-3, 0.041e-3}, {0.040e-3, 0.044e-3, 0.054e-3},
	{0.050e-3, 0.055e-3, 0.066e-3}, {0.063e-3, 0.069e-3, 0.083e-3}, {0.080e-3, 0.087e-3, 0.101e-3},
	{0.100e-3, 0.108e-3, 0.125e-3}, {0.125e-3, 0.135e-3, 0.154e-3}, {0.160e-3, 0.172e-3, 0.194e-3},
	{0.200e-3, 0.214e-3, 0.239e-3}, {0.250e-3, 0.267e-3, 0.297e-3}, {0.315e-3, 0.334e-3, 0.367e-3},
	{0.400e-3, 0.421e-3, 0.459e-3}, {0.500e-3, 0.524e-3, 0.566e-3}, {0.630e-3, 0.657e-3, 0.704e-3},
	{0.800e-3, 0.830e-3, 0.884e-3}, {1.000e-3, 1.034e-3, 1.094e-3}, {1.250e-3, 1.285e-3, 1.349e-3},
	{1.600e-3, 1.638e-3, 1.706e-3}, {2.000e-3, 2.040e-3, 2.112e-3},
}

// EnamelShare is the mass of the enamel as part of the whole for a copper diameter: from grade 1 at
// its thinnest to grade 2 at its thickest. It is 3 to 10 % at 0.05 mm, 2 to 6 % at 0.2 mm and 1 to
// 3 % at 1 mm. Sizes off the table take the proportions of its end.
func EnamelShare(copper si.Length) Known[si.Ratio] {
	d := min(max(float64(copper), enamelled[0].copper), enamelled[len(enamelled)-1].copper)
	i := 1
	for i < len(enamelled)-1 && d > enamelled[i].copper {
		i++
	}
	a, b := enamelled[i-1], enamelled[i]
	at := math.Log(d/a.copper) / math.Log(b.copper/a.copper)
	share := func(low, high float64) float64 {
		over := low + at*(high-low) // overall over copper diameter
		enamel := enamelDensity * (over*over - 1)
		return enamel / (CopperDensity + enamel)
	}
	low, high := share(a.least/a.copper, b.least/b.copper), share(a.most/a.copper, b.most/b.copper)
	return Known[si.Ratio]{Value: si.Ratio((low + high) / 2),
		Band: si.Interval[si.Ratio]{Low: si.Ratio(low), High: si.Ratio(high)}}
}

// Enamel tells the share of the enamel in the mass of a wire of some copper diameter.
type Enamel func(copper si.Length) Known[si.Ratio]

// settled finds the diameter whose own enamel share explains it; find is the diameter for a share.
func (e Enamel) settled(find func(share Known[si.Ratio]) Estimate[si.Length]) Estimate[si.Length] {
	found := find(Known[si.Ratio]{})
	for range 4 { // the share changes by a tenth where the diameter changes by a fifth
		found = find(e(found.Value))
	}
	return found
}
