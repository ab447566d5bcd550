package typed

import (
	"fmt"
	"math"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/si"
)

// Unit says how the bare number of an option is read, where the option is no figure of a part.
type Unit struct {
	units            []string
	likely, possible [2]float64 // in the base unit
	printed          bool       // the value of a resistor, which may be a code
	capacitor        bool       // the value of a capacitor
	fixed            bool       // the option says the unit of a bare number itself
}

// The units of options. The likely ranges are common practice, no source: a spool or hank of 0.1 g
// to 50 kg, errors of meters of 0.01 % to 50 %.
var (
	// Error is a tolerance or the error of a meter: a percentage.
	Error = Unit{units: []string{"%"}, likely: [2]float64{1e-4, 0.5}, possible: [2]float64{0, 1}}
	// Mass is that of a spool or hank: grams.
	Mass = Unit{units: []string{"g"}, likely: [2]float64{1e-4, 50}, possible: [2]float64{0, 1e3}}
	// Millimetres is a length under the caliper. A bare number is in mm whatever its size.
	Millimetres = Unit{units: []string{"mm"}, fixed: true}
	// Thickness is that of a film: um, or mm where it is that small a number.
	Thickness = Unit{units: []string{"um", "mm"}, likely: [2]float64{3e-6, 2e-3},
		possible: [2]float64{0, 1}}
	// Henries is an inductance: uH or mH.
	Henries = Unit{units: []string{"uH", "mH"}, likely: [2]float64{1e-8, 10},
		possible: [2]float64{0, 1e6}}
	// Nanohenries is an inductance factor.
	Nanohenries = Unit{units: []string{"nH"}, likely: [2]float64{1e-9, 2e-5},
		possible: [2]float64{0, 1}}
	// Micrometres is a joint between faces.
	Micrometres = Unit{units: []string{"um"}, likely: [2]float64{1e-7, 1e-3},
		possible: [2]float64{0, 1}}
	// SquareMillimetres is the section of a core.
	SquareMillimetres = Unit{units: []string{"mm2"}, likely: [2]float64{1e-6, 2e-3},
		possible: [2]float64{0, 1}}
	// Microseconds is the length of a pulse.
	Microseconds = Unit{units: []string{"us"}, likely: [2]float64{1e-7, 0.01},
		possible: [2]float64{0, 1}}
	// Picofarads is a stray capacitance.
	Picofarads = Unit{units: []string{"pF"}, likely: [2]float64{1e-13, 1e-8},
		possible: [2]float64{0, 1}}
	// Hertz is a resonance: kHz.
	Hertz = Unit{units: []string{"kHz"}, likely: [2]float64{500, 2e7}, possible: [2]float64{0, 1e9}}
	// Ohms is the value of a resistor or trimmer, or what a meter read on one.
	Ohms = Unit{printed: true}
	// Farads is the value of a capacitor of unknown dielectric.
	Farads = Unit{capacitor: true}
	// Base is the base unit.
	Base = Unit{}
)

// Option reads the value of an option. name stands in what is said and in the error, a
// catalog.Fault.
func Option[Q si.Quantity](name, text string, unit Unit) (v Q, remark string, err error) {
	var out Value
	switch {
	case unit.printed:
		out, err = Resistance(text)
	case unit.capacitor:
		out, err = Capacitance(text, "")
	default:
		out, err = usual{si.DimensionOf[Q](), unit.units, unit.likely,
			unit.possible}.read(name, text)
	}
	if unit.fixed {
		out.Said = ""
	}
	return Q(out.Number), out.Said, err
}

// publicSupply is how far the mains may lie from the nominal voltage at the terminals of a
// customer: 10 % either way (EN 50160, 4.2.2.2, supply voltage variations).
const publicSupply = 0.1

// Mains reads a range of mains voltages, 195-265. A single number is a nominal voltage with the
// tolerance of public supplies, and that is said. Both ends alike, 230-230, stay as they are.
func Mains(text string) (si.Interval[si.Voltage], string, error) {
	v, err := si.Parse[si.Voltage](text)
	if err != nil {
		span, err := si.ParseRange[si.Voltage](text)
		return span, "", err
	}
	low, high := math.Round(float64(v)*(1-publicSupply)*10)/10,
		math.Round(float64(v)*(1+publicSupply)*10)/10
	return si.Interval[si.Voltage]{Low: si.Voltage(low), High: si.Voltage(high)},
		fmt.Sprintf("mains %s is read as %s to %s, the +-10 %% of public supplies (EN 50160)",
			si.ASCII(v), si.ASCII(si.Voltage(low)),
			si.ASCII(si.Voltage(high))), nil
}

// Box reads the three outer lengths of a case, 90x60x40, in mm where no unit is written. A unit
// behind the last one counts for all; units behind some are refused.
func Box(text string) (sides [3]si.Length, err error) {
	parts := strings.FieldsFunc(text, func(r rune) bool {
		return r == 'x' || r == 'X' || r == '\u00d7'
	})
	if len(parts) != 3 {
		return sides, fmt.Errorf("write three lengths in mm, such as 90x60x40")
	}
	bare := 0
	for i, part := range parts {
		parts[i] = strings.TrimSpace(part)
		if bareText().MatchString(parts[i]) {
			bare++
		}
	}
	unit := "mm"
	switch last := strings.TrimLeft(parts[2], "0123456789. "); {
	case bare == 0:
		unit = ""
	case bare == 2 && last != "":
		unit, parts[2] = last, strings.TrimSpace(strings.TrimSuffix(parts[2], last))
	case bare < 3:
		return sides, fmt.Errorf("the sides without a unit may be in mm or in that of the " +
			"others; write one unit at the end, " +
			"such as 9x6x4cm, or one behind each")
	}
	for i, part := range parts {
		if sides[i], err = si.Parse[si.Length](part + unit); err != nil {
			return sides, err
		}
	}
	return sides, nil
}

// FigureNamed is Figure for the name of a figure. The error of an unknown name is a catalog.Fault.
func FigureNamed(k catalog.Kind, name, text string) (Value, error) {
	f, ok := catalog.FieldNamed(k, name)
	if !ok || !f.Numeric {
		return Value{}, catalog.Fault{Field: name, Input: text,
			Why: "no such figure of " + k.WithArticle()}
	}
	return Figure(k, f, text, "")
}
