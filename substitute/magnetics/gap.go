package magnetics

import (
	"math"

	"sparewright/catalog/si"
)

// Geometry is one closed pair of halves. Area, AreaMin, Path and Volume are the effective
// parameters; OuterArea is the section of both outer legs together, 0 meaning equal to Area.
// LegWidth and LegDepth describe the centre leg (diameter in LegWidth when RoundLeg); WindowWidth
// and WindowHeight the bare window, both halves together. Bar says that the second part is a flat
// bar (EI), so that the gap lies at the end of the window; the height of such a set is that of the
// E and its bar. The overall dimensions may be 0; they are then estimated from the legs, and they
// only enter the stray field of a shim, through a logarithm and a perimeter.
type Geometry struct {
	Area, AreaMin, OuterArea  si.Area
	Path                      si.Length
	Volume                    si.Volume
	RoundLeg, Bar             bool
	LegWidth, LegDepth        si.Length
	WindowWidth, WindowHeight si.Length
	BarHeight                 si.Length // thickness of the bar, 0 when not known

	OverallWidth, OverallDepth, OverallHeight si.Length
}

// Gap is all the air in the flux path. Ground is what is missing from the centre leg of the whole
// pair; Shim is the film thickness under all legs; Residual is the imperfect joint of the faces,
// both joints in series, as one equivalent length on the effective area.
type Gap struct {
	Ground, Shim, Residual si.Length
}

// ResidualJoint is the usual equivalent length of the joint of two lapped pairs of faces, centre
// and outer together, in m. Source: published pairs of mu_i and mu_e of ungapped sets give 4.8 um
// (N87, E13/7/4), 5.3 um (N30, RM8), 7.1 um (N87, RM8) and 11 um (N87, ETD34); AL of PC47 EE13,
// EE16 and EE19 gives 6.9 to 7.5 um.
const ResidualJoint si.Length = 7e-6

// ResidualJointBand is the spread of ResidualJoint over the same sets, 4 to 11 um.
func ResidualJointBand() si.Interval[si.Length] {
	return si.Interval[si.Length]{Low: 4e-6, High: 11e-6}
}

// Reluctance is the best estimate for the closed pair: ferrite le/(mu0 mu_i Ae), joint, centre-leg
// gap (Ground and Shim lie in the same gap) and outer-leg gap in series, the last two with their
// stray field (see fringing.go). It is +Inf when muI is not positive. Field solutions of an
// EF20-like pair are met within 3 % from 0.1 to 1 mm.
func Reluctance(g Geometry, muI si.Ratio, gap Gap) si.Reluctance {
	if !(muI > 0) {
		return si.Reluctance(math.Inf(1))
	}
	core := (float64(g.Path)/float64(muI) + float64(gap.Residual)) / (si.Mu0 * float64(g.Area))
	centre, outer := gapReluctances(g, gap)
	return si.Reluctance(core + centre + outer)
}

// InductanceFactor is AL, the inductance of one turn, 1/Reluctance.
func InductanceFactor(g Geometry, muI si.Ratio, gap Gap) si.InductanceFactor {
	return si.InductanceFactor(1 / Reluctance(g, muI, gap))
}

// Fringing is the factor >= 1 by which the gaps conduct better than the plain g/(mu0 A) of the same
// gaps, all legs taken together. It is 1 without a gap.
func Fringing(g Geometry, gap Gap) si.Ratio {
	centre, outer := gapReluctances(g, gap)
	if centre+outer <= 0 {
		return 1
	}
	plain := float64(gap.Ground+gap.Shim)/(si.Mu0*legArea(g)) +
		float64(gap.Shim)/(si.Mu0*outerArea(g))
	return si.Ratio(plain / (centre + outer))
}

// ResidualFromAL is the joint that explains the inductance factor al of the ungapped pair when the
// ferrite has permeability muI: le (1/mu_e - 1/mu_i), never below 0. Range: muI > 0, al > 0.
func ResidualFromAL(g Geometry, muI si.Ratio, al si.InductanceFactor) si.Length {
	muE := EffectivePermeability(g, al)
	return max(0, g.Path*si.Length(1/float64(muE)-1/float64(muI)))
}

// PermeabilityFromAL is the initial permeability of the ferrite from the inductance factor of the
// ungapped pair and its joint: 1/mu_i = 1/mu_e - residual/le. It is +Inf when the joint alone
// explains more than the reading.
func PermeabilityFromAL(g Geometry, al si.InductanceFactor, residual si.Length) si.Ratio {
	inverse := 1/float64(EffectivePermeability(g, al)) - float64(residual)/float64(g.Path)
	if inverse <= 0 {
		return si.Ratio(math.Inf(1))
	}
	return si.Ratio(1 / inverse)
}

// EffectivePermeability is mu_e = AL le/(mu0 Ae), gaps and joints included. Source: IEC 60205, AL =
// mu0 mu_e/C1.
func EffectivePermeability(g Geometry, al si.InductanceFactor) si.Ratio {
	return si.Ratio(float64(al) * float64(g.Path) / (si.Mu0 * float64(g.Area)))
}

// FluxDensity is the peak flux density L I/(N A) in a section of the given area. For saturation use
// the smallest section.
func FluxDensity(l si.Inductance, i si.Current, turns int, area si.Area) si.FluxDensity {
	return si.FluxDensity(float64(l) * float64(i) / (float64(turns) * float64(area)))
}
