package stock

import (
	"math"
	"strconv"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/regulation/resistors"
)

// Resistors, trimmers and references stand on no shelf of the list: there are too many values to
// try. Where the regulation network of a target finds no parts, the design itself names those that
// help, and these are laid on a shelf of their own.

// SoldTrimmer begins the name of a trimmer as it is bought.
const SoldTrimmer = "trimmer "

// quarterWatt is the rating of a resistor whose name states none.
const quarterWatt si.Power = 0.25

// SoldResistance is the name a resistor or trimmer is bought by: 4k7 1%, 0R22 1% 1W, trimmer 1k.
func SoldResistance(p resistors.Piece, trimmer bool) string {
	if trimmer {
		return SoldTrimmer + resistors.ValueText(p.Ohm)
	}
	name := resistors.ValueText(p.Ohm) + " " +
		strconv.FormatFloat(math.Round(float64(p.Tolerance)*1e4)/100, 'f', -1, 64) + "%"
	if p.Power > quarterWatt {
		name += " " + strconv.FormatFloat(float64(p.Power), 'f', -1, 64) + "W"
	}
	return name
}

// SoldPart is the part of that name as it is bought: a resistor or trimmer by what its name says,
// anything else from the tables.
func SoldPart(kind catalog.Kind, name string) (catalog.Part, bool) {
	switch kind {
	case catalog.KindResistor:
		words := strings.Fields(name)
		if len(words) < 2 {
			return nil, false
		}
		ohm, err := si.Parse[si.Resistance](words[0])
		tolerance, fault := si.Parse[si.Ratio](words[1])
		power := quarterWatt
		if len(words) == 3 && fault == nil {
			power, fault = si.Parse[si.Power](words[2])
		}
		return catalog.Resistor{Named: catalog.Named{Name: name}, Resistance: catalog.Of(ohm),
			Tolerance: catalog.Of(tolerance),
			Rating:    catalog.Of(power)}, err == nil && fault == nil
	case catalog.KindTrimmer:
		ohm, err := si.Parse[si.Resistance](strings.TrimPrefix(name, SoldTrimmer))
		return catalog.Trimmer{Named: catalog.Named{Name: name}, Resistance: catalog.Of(ohm),
			Track: "cermet"}, err == nil
	}
	p, _, ok := catalog.Lookup(kind, name)
	if !ok && kind == catalog.KindClamp {
		return soldSuppressor(name)
	}
	return p, ok
}
