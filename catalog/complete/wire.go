package complete

import (
	"math"

	"sparewright/catalog"
	"sparewright/catalog/si"
)

// wire fills overall diameter, resistance and class. The overall diameter comes from the
// table row of the same insulation and nearest diameter within 2 %, as the largest over grade 2
// enamel, else from a formula; it is estimated, for the grade of a salvaged wire is not known. The
// resistance is that of copper of the stated diameter (IEC 60028).
func wire(p catalog.Wire) catalog.Wire {
	if row, ok := catalog.WireLike(p); ok {
		p.Overall.Derive(max(row.Overall.Value, p.Diameter.Value), p.Diameter.Basis,
			row.Overall.Basis)
		if p.Diameter.Value == row.Diameter.Value && !p.Resistance.Known() {
			p.Resistance = row.Resistance
		}
	}
	p.Overall.Derive(overallOf(p), p.Diameter.Basis)
	if !p.Resistance.Known() && p.Diameter.Value > 0 {
		p.Resistance = catalog.Datum[si.LineResistance]{
			Value: catalog.CopperPerMetre(p.Diameter.Value),
			Basis: min(p.Diameter.Basis, catalog.Published)}
	}
	if p.Insulation == "triple-insulated" {
		p.Class.Assume(120) // class E is the lowest offered; from memory
	} else {
		// solderable polyurethane MW-2-C; McLyman, Handbook 3rd ed., table 4-8, lowest row
		p.Class.Assume(105)
	}
	return p
}

// overallOf is a cautious overall diameter. Triple-insulated: conductor + 0.305 mm (McLyman,
// Handbook 3rd ed., table 4-16, three layers of 0.002 inch). Enamelled, d in mm: d + 0.0015 + 0.096
// d^0.4, an envelope made here of the grade 2 maxima of the table from 0.05 to 2.6 mm; it is above
// each of them, by 0.017 mm at most.
func overallOf(p catalog.Wire) si.Length {
	if p.Insulation == "triple-insulated" {
		return p.Diameter.Value + 0.305e-3
	}
	mm := float64(p.Diameter.Value) * 1e3
	return si.Length((mm + 0.0015 + 0.096*math.Pow(mm, 0.4)) * 1e-3)
}

// film assumes a spread of 10 % (common practice, no source), tapes of class B (130 C, the
// polyester of IEC 60085) and paper-like sheets of class Y (90 C); a film that is not said to
// insulate or to bear the gap is taken not to.
func film(p catalog.Film) catalog.Film {
	catalog.Spread(&p.ThicknessMin, &p.Thickness, &p.ThicknessMax, 0.10)
	if p.Form == "tape" {
		p.Class.Assume(130)
	} else {
		p.Class.Assume(90)
	}
	if p.Insulates == "" {
		p.Insulates = "no"
	}
	if p.Shim == "" {
		p.Shim = "no"
	}
	return p
}
