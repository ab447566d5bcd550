package control

import (
	"slices"
	"strings"

	"sparewright/catalog"
	"sparewright/substitute/regulation"
	"sparewright/substitute/stock"
)

// tightReference is the reference to buy where no resistor helps: the narrowest of the tables that
// is common (common practice, no source).
const tightReference = "TL431B"

// lackOf names the parts of the first cure that is nothing but a purchase, as KIND:NAME parted by
// semicolons. Where a divider has no such cure the spread of the reference is in the way, and a
// tighter one is named.
func lackOf(s regulation.Shortfall) string {
	for _, c := range s.Cures {
		var names []string
		for _, p := range c.Buy {
			kind := catalog.KindResistor
			if c.Trimmer {
				kind = catalog.KindTrimmer
			}
			names = append(names, string(kind)+":"+stock.SoldResistance(p, c.Trimmer))
		}
		if len(names) > 0 {
			return strings.Join(names, ";")
		}
	}
	if s.Divider() {
		names := []string{string(catalog.KindReference) + ":" + tightReference}
		for _, s := range stock.Shelves {
			for _, name := range s.Names {
				if s.Kind == catalog.KindAmplifier {
					names = append(names, string(s.Kind)+":"+name)
				}
			}
		}
		return strings.Join(names, ";")
	}
	return ""
}

// joinLacks is what any of two pairs of amplifier and reference lacks.
func joinLacks(a, b string) string {
	names := strings.Split(a, ";")
	for _, name := range strings.Split(b, ";") {
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return strings.Trim(strings.Join(names, ";"), ";")
}
