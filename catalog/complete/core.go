package complete

import (
	"math"

	"sparewright/catalog"
	"sparewright/catalog/drawing"
	"sparewright/catalog/si"
)

// notOfShape are the figures of a shape's row that belong to the ferrite or to the one pair in
// hand.
var notOfShape = []string{"ferrite", "al", "gap", "permeability", "saturation", "former",
	"pin_creepage", "shape"}

// core fills a core from its shape's row, then from its own letters, then from its ferrite.
// The gap, the former's pin creepage and the inductance factor are never filled in: they must be
// measured.
func core(p catalog.Core) catalog.Core {
	name, shape := p.Shape, ""
	if name == "" {
		name = p.Name
	}
	if row, ok := catalog.ShapeNamed(name); ok && (p.Family == "" || p.Family == row.Family) {
		p = catalog.Fill(p, row, notOfShape...)
		shape = row.Shape
		if p.Shape == "" {
			p.Shape = shape
		}
	}
	p = effective(drawn(window(p)))
	p = former(p)
	p = ferriteOf(p)
	p.Rise = riseOf(p, shape)
	if p.Former == "" {
		p.Former = "plain"
	}
	return p
}

// window derives the bare window from the letters of the drawing.
func window(p catalog.Core) catalog.Core {
	p.WindowWidth.Derive((p.E.Value-p.F.Value)/2, p.E.Basis, p.F.Basis)
	halves := si.Length(2)
	if p.Family == "EI" {
		halves = 1
	}
	p.WindowHeight.Derive(halves*p.D.Value, p.D.Basis)
	return p
}

// centreLegs is the section of the centre leg of a family.
var centreLegs = map[string]string{"E": "rect", "EI": "rect", "ETD": "round", "ER": "round",
	"EFD": "flat", "PQ": "round", "RM": "round"}

// drawn computes area, path and smallest section from the letters by the rules of IEC 60205 where
// they are not known otherwise. The rules are good for 3 % of the path and 6 % of the area, so that
// what they give is estimated at best.
func drawn(p catalog.Core) catalog.Core {
	if p.CentreLeg == "" {
		p.CentreLeg = centreLegs[p.Family]
	}
	if p.Area.Known() && (p.Path.Known() || p.Volume.Known()) ||
		p.Path.Known() && p.Volume.Known() {
		return p
	}
	e, err := drawing.ParametersOf(catalog.OutlineOf(p))
	if err != nil {
		return p // not enough letters, or a family without a rule
	}
	bases := []catalog.Basis{p.A.Basis, p.B.Basis, p.C.Basis, p.D.Basis, p.E.Basis, p.F.Basis}
	p.Area.Derive(e.Area, bases...)
	p.Path.Derive(e.Path, bases...)
	p.AreaMin.Derive(min(e.AreaMin, p.Area.Value), bases...)
	return p
}

// smallestShare is the smallest section assumed when nothing is known, as part of the effective
// area. E30/15/7 has 49/60 and EFD15/8/5 12.2/15, the lowest of the shapes table.
const smallestShare = 0.8

// effective derives volume, path or area from the two others (Ve = Ae le, IEC 60205) and the
// smallest section from the letters: centre leg, both outer legs or yoke of rectangular pairs, the
// centre leg of round ones.
func effective(p catalog.Core) catalog.Core {
	p.Volume.Derive(si.Volume(float64(p.Area.Value)*float64(p.Path.Value)),
		p.Area.Basis, p.Path.Basis)
	p.Path.Derive(si.Length(float64(p.Volume.Value)/float64(p.Area.Value)),
		p.Volume.Basis, p.Area.Basis)
	p.Area.Derive(si.Area(float64(p.Volume.Value)/float64(p.Path.Value)),
		p.Volume.Basis, p.Path.Basis)
	if !p.Area.Known() {
		return p
	}
	area := float64(p.Area.Value)
	f, c := float64(p.F.Value), float64(p.C.Value)
	switch p.CentreLeg {
	case "rect":
		least := math.Min(area, f*c)
		if p.A.Known() && p.E.Known() {
			least = math.Min(least, float64(p.A.Value-p.E.Value)*c)
		}
		p.AreaMin.Derive(si.Area(least), p.Area.Basis, p.F.Basis, p.C.Basis)
	case "round":
		p.AreaMin.Derive(si.Area(math.Min(area, math.Pi/4*f*f)), p.Area.Basis, p.F.Basis)
	}
	p.AreaMin.Assume(si.Area(smallestShare * area))
	return p
}

// former derives the space on a one-section former from the bare window, and the mean turn from the
// leg. The wall and cheek allowances are a fit made here to the published and remembered formers of
// EF12.6 to EF32, ETD29 to ETD39, EFD15 to EFD30 and PQ20 to PQ26 (a core without a former gets the
// space of one that is bought): height = 0.89 window width - 0.9 mm, width = 0.94 window height -
// 1.8 mm, within -21 and +6 % of their winding areas. The mean turn is 1.07 times leg perimeter
// plus pi times window width (fit to the same formers).
func former(p catalog.Core) catalog.Core {
	p.FormerWidth.Derive(0.94*p.WindowHeight.Value-1.8e-3, p.WindowHeight.Basis)
	p.FormerHeight.Derive(0.89*p.WindowWidth.Value-0.9e-3, p.WindowWidth.Basis)
	f, c := p.F.Value, p.C.Value
	around := si.Length(math.Pi) * p.WindowWidth.Value
	switch p.CentreLeg {
	case "rect":
		p.MeanTurn.Derive(1.07*(2*(f+c)+around), p.F.Basis, p.C.Basis, p.WindowWidth.Basis)
	case "round":
		p.MeanTurn.Derive(1.07*(si.Length(math.Pi)*f+around), p.F.Basis, p.WindowWidth.Basis)
	case "flat":
		thick := si.Length(float64(p.Area.Value) / float64(f))
		p.MeanTurn.Derive(1.07*(2*(f+thick)+around), p.F.Basis, p.Area.Basis, p.WindowWidth.Basis)
	}
	return p
}

// ferriteOf fills permeability and hot saturation from the grade. An unknown grade takes the
// cautious class: the filter class when the stated permeability is above every power grade's
// tolerance, else the power class; its figures are assumed.
func ferriteOf(p catalog.Core) catalog.Core {
	f, known := catalog.FerriteNamed(p.Ferrite)
	if !known && p.Permeability.Known() && p.Permeability.Value > catalog.FilterPermeability {
		f = catalog.FerriteExactly(catalog.UnknownFilter)
		p.Ferrite = catalog.UnknownFilter
	}
	if !known || p.Ferrite == catalog.UnknownPower || p.Ferrite == catalog.UnknownFilter {
		p.Permeability.Assume(f.Permeability.Value)
		p.Saturation.Assume(f.Sat100.Value)
		return p
	}
	if !p.Permeability.Known() {
		p.Permeability = f.Permeability
	}
	if !p.Saturation.Known() {
		p.Saturation = f.Sat100
	}
	// for a listed grade whose row lacks one of the two
	standIn := catalog.FerriteExactly(catalog.UnknownPower)
	p.Permeability.Assume(standIn.Permeability.Value)
	p.Saturation.Assume(standIn.Sat100.Value)
	return p
}

// riseMargin is added to the volume rule: 26 comparisons with maker figures scatter by 16 % around
// it and reach 27 % below.
const riseMargin = 1.3

// riseOf is the thermal resistance of the wound pair: stated, else the maker's for the shape, else
// 1.3 times 53 Ve^-0.54 K/W with Ve in cm3 (S. Maniktala, Switching Power Supplies A-Z, 2nd ed.
// 2012, p. 155; range 0.3 to 80 cm3).
func riseOf(p catalog.Core, shape string) catalog.Datum[si.ThermalResistance] {
	if p.Rise.Known() {
		return p.Rise
	}
	if r, ok := catalog.RiseOf(shape); ok {
		return r
	}
	if p.Volume.Known() {
		p.Rise.Derive(si.ThermalResistance(
			riseMargin*53*math.Pow(float64(p.Volume.Value)*1e6, -0.54)), p.Volume.Basis)
	}
	return p.Rise
}
