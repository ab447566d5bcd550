package catalog

import (
	"math"
	"sync"

	"sparewright/catalog/drawing"
	"sparewright/catalog/si"
)

// notOfShape are the figures of a shape's row that belong to the ferrite or to the one pair in
// hand.
var notOfShape = []string{"ferrite", "al", "gap", "permeability", "saturation", "former",
	"pin_creepage", "shape"}

// completeCore fills a core from its shape's row, then from its own letters, then from its ferrite.
// The gap, the former's pin creepage and the inductance factor are never filled in: they must be
// measured.
func completeCore(p Core) Core {
	name, shape := p.Shape, ""
	if name == "" {
		name = p.Name
	}
	if row, ok := ShapeNamed(name); ok && (p.Family == "" || p.Family == row.Family) {
		p = fill(p, row, notOfShape...)
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
func window(p Core) Core {
	derive(&p.WindowWidth, (p.E.Value-p.F.Value)/2, p.E.Basis, p.F.Basis)
	halves := si.Length(2)
	if p.Family == "EI" {
		halves = 1
	}
	derive(&p.WindowHeight, halves*p.D.Value, p.D.Basis)
	return p
}

// centreLegs is the section of the centre leg of a family.
var centreLegs = map[string]string{"E": "rect", "EI": "rect", "ETD": "round", "ER": "round",
	"EFD": "flat", "PQ": "round", "RM": "round"}

// drawn computes area, path and smallest section from the letters by the rules of IEC 60205 where
// they are not known otherwise. The rules are good for 3 % of the path and 6 % of the area, so that
// what they give is estimated at best.
func drawn(p Core) Core {
	if p.CentreLeg == "" {
		p.CentreLeg = centreLegs[p.Family]
	}
	if p.Area.Known() && (p.Path.Known() || p.Volume.Known()) ||
		p.Path.Known() && p.Volume.Known() {
		return p
	}
	e, err := drawing.ParametersOf(OutlineOf(p))
	if err != nil {
		return p // not enough letters, or a family without a rule
	}
	bases := []Basis{p.A.Basis, p.B.Basis, p.C.Basis, p.D.Basis, p.E.Basis, p.F.Basis}
	derive(&p.Area, e.Area, bases...)
	derive(&p.Path, e.Path, bases...)
	derive(&p.AreaMin, min(e.AreaMin, p.Area.Value), bases...)
	return p
}

// OutlineOf is the drawing of a core as far as its letters are known; what is not known is 0.
func OutlineOf(p Core) drawing.Outline {
	return drawing.Outline{Family: p.Family, A: p.A.Value, B: p.B.Value, C: p.C.Value, D: p.D.Value,
		E: p.E.Value, F: p.F.Value,
		I: p.I.Value, K: p.K.Value}
}

// smallestShare is the smallest section assumed when nothing is known, as part of the effective
// area. E30/15/7 has 49/60 and EFD15/8/5 12.2/15, the lowest of the shapes table.
const smallestShare = 0.8

// effective derives volume, path or area from the two others (Ve = Ae le, IEC 60205) and the
// smallest section from the letters: centre leg, both outer legs or yoke of rectangular pairs, the
// centre leg of round ones.
func effective(p Core) Core {
	derive(&p.Volume, si.Volume(float64(p.Area.Value)*float64(p.Path.Value)),
		p.Area.Basis, p.Path.Basis)
	derive(&p.Path, si.Length(float64(p.Volume.Value)/float64(p.Area.Value)),
		p.Volume.Basis, p.Area.Basis)
	derive(&p.Area, si.Area(float64(p.Volume.Value)/float64(p.Path.Value)),
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
		derive(&p.AreaMin, si.Area(least), p.Area.Basis, p.F.Basis, p.C.Basis)
	case "round":
		derive(&p.AreaMin, si.Area(math.Min(area, math.Pi/4*f*f)), p.Area.Basis, p.F.Basis)
	}
	assume(&p.AreaMin, si.Area(smallestShare*area))
	return p
}

// former derives the space on a one-section former from the bare window, and the mean turn from the
// leg. The wall and cheek allowances are a fit made here to the published and remembered formers of
// EF12.6 to EF32, ETD29 to ETD39, EFD15 to EFD30 and PQ20 to PQ26 (a core without a former gets the
// space of one that is bought): height = 0.89 window width - 0.9 mm, width = 0.94 window height -
// 1.8 mm, within -21 and +6 % of their winding areas. The mean turn is 1.07 times leg perimeter
// plus pi times window width (fit to the same formers).
func former(p Core) Core {
	derive(&p.FormerWidth, 0.94*p.WindowHeight.Value-1.8e-3, p.WindowHeight.Basis)
	derive(&p.FormerHeight, 0.89*p.WindowWidth.Value-0.9e-3, p.WindowWidth.Basis)
	f, c := p.F.Value, p.C.Value
	around := si.Length(math.Pi) * p.WindowWidth.Value
	switch p.CentreLeg {
	case "rect":
		derive(&p.MeanTurn, 1.07*(2*(f+c)+around), p.F.Basis, p.C.Basis, p.WindowWidth.Basis)
	case "round":
		derive(&p.MeanTurn, 1.07*(si.Length(math.Pi)*f+around), p.F.Basis, p.WindowWidth.Basis)
	case "flat":
		thick := si.Length(float64(p.Area.Value) / float64(f))
		derive(&p.MeanTurn, 1.07*(2*(f+thick)+around), p.F.Basis, p.Area.Basis, p.WindowWidth.Basis)
	}
	return p
}

// ferriteOf fills permeability and hot saturation from the grade. An unknown grade takes the
// cautious class: the filter class when the stated permeability is above every power grade's
// tolerance, else the power class; its figures are assumed.
func ferriteOf(p Core) Core {
	f, known := FerriteNamed(p.Ferrite)
	if !known && p.Permeability.Known() && p.Permeability.Value > filterPermeability {
		f = ferriteExactly(UnknownFilter)
		p.Ferrite = UnknownFilter
	}
	if !known || p.Ferrite == UnknownPower || p.Ferrite == UnknownFilter {
		assume(&p.Permeability, f.Permeability.Value)
		assume(&p.Saturation, f.Sat100.Value)
		return p
	}
	if !p.Permeability.Known() {
		p.Permeability = f.Permeability
	}
	if !p.Saturation.Known() {
		p.Saturation = f.Sat100
	}
	standIn := ferriteExactly(UnknownPower) // for a listed grade whose row lacks one of the two
	assume(&p.Permeability, standIn.Permeability.Value)
	assume(&p.Saturation, standIn.Sat100.Value)
	return p
}

// riseMargin is added to the volume rule: 26 comparisons with maker figures scatter by 16 % around
// it and reach 27 % below.
const riseMargin = 1.3

var riseTable = sync.OnceValue(func() map[string]Datum[si.ThermalResistance] {
	m := map[string]Datum[si.ThermalResistance]{}
	for _, c := range readTable("rise.tsv") {
		m[c.text("designation")] = datum[si.ThermalResistance](c, "rise")
	}
	return m
})

// riseOf is the thermal resistance of the wound pair: stated, else the maker's for the shape, else
// 1.3 times 53 Ve^-0.54 K/W with Ve in cm3 (S. Maniktala, Switching Power Supplies A-Z, 2nd ed.
// 2012, p. 155; range 0.3 to 80 cm3).
func riseOf(p Core, shape string) Datum[si.ThermalResistance] {
	if p.Rise.Known() {
		return p.Rise
	}
	if r, ok := riseTable()[shapeAlone(shape)]; ok {
		return r
	}
	if p.Volume.Known() {
		derive(&p.Rise, si.ThermalResistance(
			riseMargin*53*math.Pow(float64(p.Volume.Value)*1e6, -0.54)), p.Volume.Basis)
	}
	return p.Rise
}
