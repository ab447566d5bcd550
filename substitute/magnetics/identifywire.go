package magnetics

import (
	"errors"
	"math"

	"sparewright/catalog/si"
)

// CopperDensity is that of annealed copper in kg/m3. Source: IEC 60028, 8890.
const CopperDensity = 8890.0

// Workbench is the temperature of a room: 20 degC within 5.
func Workbench() Known[si.Celsius] { return Give[si.Celsius](20, 5) }

const (
	cureOhms   = "take a longer piece, or measure with four wires"
	cureLength = "measure a longer piece"
	cureMass   = "weigh a longer piece, or on a finer balance"
	cureTemp   = "let the wire reach room temperature and read a thermometer"
	cureEnamel = "burn the enamel off a short piece, or measure ohms and length"
)

func ohmMetres(celsius float64) float64 { return si.CopperResistivity(si.Celsius(celsius)) }

func diameterOf(section float64) float64 { return math.Sqrt(4 * section / math.Pi) }

var errWire = errors.New("wire: readings must be above 0; measure again")

// WireFromOhms is the copper diameter from resistance and length: d = sqrt(4 rho l/(pi R)), IEC
// 60028 copper at temperature t.
func WireFromOhms(ohms Known[si.Resistance], length Known[si.Length],
	t Known[si.Celsius]) (Estimate[si.Length], error) {
	if !(ohms.Value > 0 && length.Value > 0) {
		return Estimate[si.Length]{}, errWire
	}
	return propagate[si.Length](func(x []float64) float64 {
		return diameterOf(ohmMetres(x[2]) * x[1] / x[0])
	},
		from(ohms, "resistance", cureOhms), from(length, "length", cureLength), from(t,
			"temperature", cureTemp)), nil
}

// WireFromMass is the copper diameter from mass and length.
func WireFromMass(mass Known[si.Mass], length Known[si.Length],
	enamel Enamel) (Estimate[si.Length], error) {
	if !(mass.Value > 0 && length.Value > 0) {
		return Estimate[si.Length]{}, errWire
	}
	return enamel.settled(func(share Known[si.Ratio]) Estimate[si.Length] {
		return propagate[si.Length](func(x []float64) float64 {
			return diameterOf(x[0] * (1 - x[2]) / (CopperDensity * x[1]))
		},
			from(mass, "mass", cureMass), from(length, "length", cureLength), from(share,
				"enamel", cureEnamel))
	}), nil
}

// WireFromOhmsAndMass is the copper diameter of a coil whose length is not known: the section is
// sqrt(rho m/(density R)).
func WireFromOhmsAndMass(ohms Known[si.Resistance], mass Known[si.Mass],
	t Known[si.Celsius], enamel Enamel,
) (Estimate[si.Length], error) {
	if !(ohms.Value > 0 && mass.Value > 0) {
		return Estimate[si.Length]{}, errWire
	}
	return enamel.settled(func(share Known[si.Ratio]) Estimate[si.Length] {
		return propagate[si.Length](func(x []float64) float64 {
			return diameterOf(math.Sqrt(ohmMetres(x[2]) * x[1] * (1 - x[3]) /
				(CopperDensity * x[0])))
		}, from(ohms, "resistance", cureOhms), from(mass, "mass", cureMass),
			from(t, "temperature", cureTemp),
			from(share, "enamel", cureEnamel))
	}), nil
}

// SpoolFromOhms is the length on a spool from its resistance and the copper diameter.
func SpoolFromOhms(ohms Known[si.Resistance], diameter Known[si.Length],
	t Known[si.Celsius]) (Estimate[si.Length], error) {
	if !(ohms.Value > 0 && diameter.Value > 0) {
		return Estimate[si.Length]{}, errWire
	}
	return propagate[si.Length](func(x []float64) float64 {
		return x[0] * math.Pi * x[1] * x[1] / 4 / ohmMetres(x[2])
	},
		from(ohms, "resistance", "measure with four wires"),
		from(diameter, "diameter", "identify the wire from ohms and a measured length"), from(t,
			"temperature", cureTemp)), nil
}

// SpoolFromMass is the length on a spool from the mass of spool and wire, that of the empty spool,
// and the copper diameter. Error: the empty spool is not lighter.
func SpoolFromMass(full, empty Known[si.Mass], diameter Known[si.Length],
	enamel Enamel) (Estimate[si.Length], error) {
	if !(full.Value > empty.Value && empty.Value >= 0 && diameter.Value > 0) {
		return Estimate[si.Length]{}, errors.New("spool: with wire it must weigh more than " +
			"empty; weigh again")
	}
	return propagate[si.Length](func(x []float64) float64 {
		return (x[0] - x[1]) * (1 - x[3]) / (CopperDensity * math.Pi * x[2] * x[2] / 4)
	}, from(full, "mass with wire", cureMass),
		from(empty, "mass of the spool", "weigh an empty spool of the same kind"),
		from(diameter, "diameter", "identify the wire from ohms and a measured length"),
		from(enamel(diameter.Value), "enamel", cureEnamel)), nil
}
