package magnetics

import (
	"math"

	"sparewright/catalog/si"
)

// What only tests ask for.

// Harmonic is the rms value of the k-th harmonic, k >= 1; 0 gives the mean. It is the Fourier
// integral of the straight piece in closed form.
func (t Trapezoid) Harmonic(k int) si.Current {
	if k == 0 {
		return t.Mean()
	}
	s, c := math.Sincos(2 * math.Pi * float64(k) * float64(t.Share))
	return si.Current(math.Sqrt(t.harmonicSquare(float64(k), s, c)))
}

// ACFactor is the factor by which the DC resistance of a winding section must be multiplied so that
// it gives the loss with the rms value of the trapezoid of frequency f: (Idc^2 + sum Ik^2 F(k
// f))/Irms^2 with F of DowellFactor. The edges of the current are taken to last 1 % of the period
// (common practice, no source), which keeps the sum finite: harmonics 1 to 24 are added one by one,
// 25 to 99 in four groups. It agrees with the long sum within 3 %. It is at least 1, and 1 without
// current or frequency.
func ACFactor(tr Trapezoid, f si.Frequency, t si.Celsius, strand si.Length, layers float64,
	porosity si.Ratio) si.Ratio {
	s := NewLayerSpectrum(f, t, strand, layers, porosity)
	return s.ACFactor(tr)
}

// BareCopper is the enamel of a wire without any, for WireFromMass and its kin.
func BareCopper(si.Length) Known[si.Ratio] { return Known[si.Ratio]{} }

// GapBandFromAL is the interval of centre-leg gaps that explain the reading al within the intervals
// of permeability and joint. The model error of the stray field is not in it; see ModelError.
func GapBandFromAL(g Geometry, muI si.Interval[si.Ratio], residual si.Interval[si.Length],
	al si.Interval[si.InductanceFactor],
) si.Interval[si.Length] {
	return si.Interval[si.Length]{
		Low:  GapFromAL(g, muI.Low, residual.High, al.High),
		High: GapFromAL(g, muI.High, residual.Low, al.Low),
	}
}

// PermeabilityBand is the interval of the initial permeability from the reading of an ungapped pair
// and the interval of its joint. The upper end is +Inf when the widest joint alone explains the
// reading. On small pairs the joint makes it -20 .. +30 %.
func PermeabilityBand(g Geometry, al si.Interval[si.InductanceFactor],
	residual si.Interval[si.Length]) si.Interval[si.Ratio] {
	return si.Interval[si.Ratio]{
		Low:  PermeabilityFromAL(g, al.Low, residual.Low),
		High: PermeabilityFromAL(g, al.High, residual.High),
	}
}

// MagneticLength is mu0 Ae/AL: ferrite path over permeability and all gaps as one length of air on
// the effective area. It is all a design needs as long as the gap stays as it is.
func MagneticLength(g Geometry, al si.InductanceFactor) si.Length {
	return si.Length(si.Mu0 * float64(g.Area) / float64(al))
}

// GeometryFromOutline returns everything the gap model wants to know about a pair from its outline.
// Errors as FromOutline.
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
