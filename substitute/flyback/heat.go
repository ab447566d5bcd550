package flyback

import (
	"math"

	"sparewright/catalog/si"
)

// Junction is the temperature in degC of a part that burns p through the thermal resistance r to
// ambient; resistances in series add. Source: M. Brown, Power Supply Cookbook, 2nd ed. (Newnes
// 2001), appendix A.6.
func Junction(ambient si.Celsius, p si.Power, r si.ThermalResistance) si.Celsius {
	return ambient + si.Celsius(float64(p)*float64(r))
}

const (
	stefanBoltzmann = 5.670374419e-8 // W/(m2 K4), CODATA 2018
	emissivity      = 0.9            // plastic or painted case, any colour; from memory
	absoluteZero    = -273.15        // degC
	// of the loss goes through the air inside, the rest by radiation; see SealedAir
	airShare = 0.5
)

// SealedAir is the temperature in degC of the air in a closed case that gets rid of loss through
// its whole outer surface (m2), standing free in still air at ambient. The wall stands above the
// room as SealedWall says. The inside air stands above the wall by natural convection of half the
// loss; hot parts radiate the other half straight to the wall. That half is an assumption without
// source, chosen because it comes near the charts of the makers of sealed cabinets (about 25 K at
// 108 W/m2 painted, from memory). Expect +-25 %: a case lying on wood or against a wall runs
// hotter, and air close to a hot part is hotter than the rest. No loss gives ambient, a surface at
// or below zero +Inf.
func SealedAir(ambient si.Celsius, loss si.Power, surface si.Area) si.Celsius {
	wall := SealedWall(ambient, loss, surface)
	if !(loss > 0 && surface > 0) {
		return wall
	}
	return wall + si.Celsius(convective(airShare*float64(loss)/float64(surface), film(surface)))
}

// SealedWall is the temperature in degC of the outside of that case, for the limits of touchable
// surfaces: natural convection with h = 1.42 (dT/L)^0.25 W/(m2 K), the usual short form for
// vertical plates in air while the flow is laminar (from memory; handbooks of heat transfer
// attribute it to McAdams), L being the edge of a cube of the same surface, plus radiation with
// emissivity 0.9.
func SealedWall(ambient si.Celsius, loss si.Power, surface si.Area) si.Celsius {
	switch {
	case !(surface > 0) || math.IsNaN(float64(loss)):
		return si.Celsius(inf)
	case loss <= 0:
		return ambient
	}
	flux, k := float64(loss)/float64(surface), film(surface) // W/m2, W/(m2 K^1.25)
	// without radiation it would be as hot as this
	rise := convective(flux, k)
	// the heat given off rises ever faster with the rise: Newton's steps come down and never pass
	// the root
	for range 20 {
		root := math.Sqrt(math.Sqrt(rise))
		hot := float64(ambient) - absoluteZero + rise
		step := (k*rise*root + radiation(ambient, rise) - flux) /
			(1.25*k*root + 4*emissivity*stefanBoltzmann*hot*hot*hot)
		if rise -= step; !(step > 1e-12*rise) {
			break
		}
	}
	return ambient + si.Celsius(rise)
}

// film is the factor k of natural convection, flux = k dT^1.25, in W/(m2 K^1.25).
func film(surface si.Area) float64 {
	edge := math.Sqrt(float64(surface) / 6) // m
	return 1.42 / math.Sqrt(math.Sqrt(edge))
}

// convective is the temperature difference in K at which convection alone carries flux (W/m2).
func convective(flux, k float64) float64 { return math.Exp(0.8 * math.Log(flux/k)) }

// radiation is the net radiated power in W/m2 of a wall rise kelvin above ambient.
func radiation(ambient si.Celsius, rise float64) float64 {
	cold := float64(ambient) - absoluteZero
	hot := cold + rise
	return emissivity * stefanBoltzmann * (hot*hot*hot*hot - cold*cold*cold*cold)
}
