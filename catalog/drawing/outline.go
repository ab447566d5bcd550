// Package drawing computes the effective parameters of a ferrite pair from the letters of its
// drawing by the rules of IEC 60205. It takes plain lengths and knows no catalogue.
package drawing

import (
	"fmt"
	"math"

	"sparewright/catalog/si"
)

// Outline is the drawing of one core half with the letters of IEC 62317: A overall width, B height
// of one half, C depth, D window height of one half, E distance between the outer legs, F
// centre-leg width (diameter when round), I thickness of the bar of an EI set, K thickness of a
// flat centre leg (EFD). Use the mean of each tolerance band. Family is one of E, EE, EF, EI, ETD,
// ER, EER, EFD.
type Outline struct {
	Family                 string
	A, B, C, D, E, F, I, K si.Length
}

// Effective holds the effective parameters of a closed pair. Area, Path and Volume are Ae, le and
// Ve of IEC 60205; AreaMin is the smallest section along the path; OuterArea is the section of both
// outer legs together.
type Effective struct {
	Area, AreaMin si.Area
	Path          si.Length
	Volume        si.Volume
	OuterArea     si.Area
}

// segment is one piece of the flux path: length in m, section in m2 (parallel legs added).
type segment struct{ length, area float64 }

// legs describes what differs between the families: sections in m2, lengths in m.
type legs struct {
	centre, outer float64 // sections of the centre leg and of both outer legs
	half          float64 // half width of the centre leg as the corner sees it
	window        float64 // window height of the whole pair
	yokes         [2]float64
}

// ParametersOf returns the effective parameters of a pair from its outline by the rules of IEC
// 60205:2009 clause 2: the path is cut into legs, yokes and quarter-circle corners with the mean of
// the adjoining sections, C1 = sum l/A, C2 = sum l/A^2, Ae = C1/C2, le = C1^2/C2, Ve = C1^3/C2^2.
// The division into segments was checked against 39 printed shapes: le within 3 %, Ae within 6 %,
// within 1 % where the drawing gives two-sided tolerances. The corner width of a round leg is half
// the side of the square of equal area, the choice that fits printed ETD and ER tables.
//
// It refuses families whose outer legs it does not describe (EPC, PQ, RM) and outlines that cannot
// be closed.
func ParametersOf(o Outline) (Effective, error) {
	l, err := o.legs()
	if err != nil {
		return Effective{}, err
	}
	a, c, e, f := float64(o.A), float64(o.C), float64(o.E), float64(o.F)
	p, m := (a-e)/2, (e-f)/2
	segs := []segment{{l.window, l.outer}, {l.window, l.centre}}
	least := min(l.outer, l.centre)
	for _, h := range l.yokes {
		yoke := 2 * h * c
		least = min(least, yoke)
		segs = append(segs,
			segment{m, yoke},
			segment{math.Pi / 8 * (p + h), (l.outer + yoke) / 2},
			segment{math.Pi / 8 * (l.half + h), (l.centre + yoke) / 2})
	}
	var c1, c2 float64
	for _, s := range segs {
		c1 += s.length / s.area
		c2 += s.length / (s.area * s.area)
	}
	return Effective{
		Area:      si.Area(c1 / c2),
		AreaMin:   si.Area(least),
		Path:      si.Length(c1 * c1 / c2),
		Volume:    si.Volume(c1 * c1 * c1 / (c2 * c2)),
		OuterArea: si.Area(l.outer),
	}, nil
}

// legs maps the family to sections; it also holds the outline against what can exist.
func (o Outline) legs() (legs, error) {
	a, b, c, d, e, f := float64(o.A), float64(o.B), float64(o.C), float64(o.D),
		float64(o.E), float64(o.F)
	switch {
	case !(a > e && e > f && f > 0):
		return legs{}, fmt.Errorf("outline %q: needs A > E > F > 0; measure the widths again",
			o.Family)
	case !(b > d && d > 0 && c > 0):
		return legs{}, fmt.Errorf("outline %q: needs B > D > 0 and C > 0; measure the "+
			"heights again", o.Family)
	}
	l := legs{centre: f * c, outer: (a - e) * c, half: f / 2, window: 2 * d,
		yokes: [2]float64{b - d, b - d}}
	switch o.Family {
	case "E", "EE", "EF":
	case "EI":
		if o.I <= 0 {
			return legs{}, fmt.Errorf("outline %q: thickness I of the bar is missing; measure it",
				o.Family)
		}
		l.window, l.yokes[1] = d, float64(o.I)
	case "EFD":
		if o.K <= 0 {
			return legs{}, fmt.Errorf("outline %q: thickness K of the flat centre leg is "+
				"missing; measure it", o.Family)
		}
		l.centre = f * float64(o.K)
	case "ER", "EER":
		l.centre, l.half = roundLeg(f)
	case "ETD":
		if c >= e {
			return legs{}, fmt.Errorf("outline %q: needs C < E for hollowed outer legs; "+
				"measure again", o.Family)
		}
		l.centre, l.half = roundLeg(f)
		// The outer legs are hollowed by a cylinder of diameter E: rectangle A x C less the part of
		// the circle inside the depth.
		l.outer = a*c - (c*math.Sqrt(e*e-c*c)/2 + e*e/2*math.Asin(c/e))
	default:
		return legs{}, fmt.Errorf("outline %q: no formula for this family; enter the printed "+
			"effective parameters", o.Family)
	}
	if l.outer <= 0 {
		return legs{}, fmt.Errorf("outline %q: outer legs vanish; measure A, C and E again",
			o.Family)
	}
	return l, nil
}

func roundLeg(diameter float64) (area, half float64) {
	return math.Pi * diameter * diameter / 4, diameter / 2 * math.Sqrt(math.Pi) / 2
}
