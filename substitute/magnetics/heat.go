package magnetics

import (
	"math"

	"sparewright/catalog/si"
)

// RiseResistance is the thermal resistance of an open, free-standing wound pair in still air, 53
// Ve^-0.54 K/W with Ve in cm3, for core and copper loss together. Source: S. Maniktala, Switching
// Power Supplies A-Z, 2nd ed. 2012, p. 155, as quoted by S. Zurek, Encyclopedia Magnetica, "Thermal
// resistance of ferrite cores", eq. (1). Range: 0.4 to 80 cm3; makers' figures differ from it by
// -27 to +9 % for E, EF and EFD (EF25: 40 K/W against 29), so add 30 % to the rise unless the
// maker's figure is known.
func RiseResistance(v si.Volume) si.ThermalResistance {
	return si.ThermalResistance(53 * math.Pow(float64(v)*1e6, -0.54))
}
