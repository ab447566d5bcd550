package magnetics

import (
	"sparewright/catalog/drawing"
)

// Outline is the drawing of one core half; see package drawing.
type Outline = drawing.Outline

// Effective holds the effective parameters of a closed pair; see package drawing.
type Effective = drawing.Effective

// FromOutline returns the effective parameters of a pair from its outline. Errors as drawing.ParametersOf.
func FromOutline(o Outline) (Effective, error) { return drawing.ParametersOf(o) }

// GeometryFromOutline returns everything the gap model wants to know about a pair from its outline. Errors as
// FromOutline.
func GeometryFromOutline(o Outline) (Geometry, error) {
	e, err := FromOutline(o)
	if err != nil {
		return Geometry{}, err
	}
	g := Geometry{
		Area: e.Area, AreaMin: e.AreaMin, OuterArea: e.OuterArea, Path: e.Path, Volume: e.Volume,
		LegWidth: o.F, LegDepth: o.C, WindowWidth: (o.E - o.F) / 2, WindowHeight: 2 * o.D,
		OverallWidth: o.A, OverallDepth: o.C, OverallHeight: 2 * o.B,
	}
	switch o.Family {
	case "EI":
		g.Bar, g.BarHeight, g.WindowHeight, g.OverallHeight = true, o.I, o.D, o.B+o.I
	case "EFD":
		g.LegDepth = o.K
	case "ER", "EER", "ETD":
		g.RoundLeg, g.LegDepth = true, o.F
	}
	return g, nil
}
