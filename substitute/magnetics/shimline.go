package magnetics

import (
	"errors"
	"fmt"
	"math"

	"sparewright/catalog/si"
)

// ShimStep is the inductance factor read with a number of equal films under all legs.
type ShimStep struct {
	Films int
	AL    si.InductanceFactor
}

// ShimLine is what equal shim steps tell about a pair without knowing its permeability. Length is the magnetic length
// X0 of the pair as found (le/mu_i and all gaps, as air); Area the effective area that the slope implies, to be
// compared with the caliper. The deviations are standard deviations. FirstOff says that the reading without film lies
// off the line of the others by more than three times its error: the faces did not close; fit again without it.
type ShimLine struct {
	Length, LengthDeviation si.Length
	Area, AreaDeviation     si.Area
	FirstOff                bool
}

// LegFactor is k = 1 + Ac/Ao, by which a film under all legs counts on the centre leg: 2 when both outer legs together
// have the section of the centre leg.
func LegFactor(g Geometry) si.Ratio { return si.Ratio(1 + float64(g.Area)/outerArea(g)) }

// FitShims fits 1/AL = (X0 + k t n)/(mu0 A) to readings with n films of thickness film, known to the relative standard
// deviation filmError; each AL is known to alError. The stray field bends the line, which makes X0 of wide gaps too
// long: keep k t n below a twentieth of the leg width. Errors: fewer than two different film counts, figures not above
// 0, a line that does not rise.
func FitShims(steps []ShimStep, film si.Length, k, filmError, alError si.Ratio) (ShimLine, error) {
	if !(film > 0 && k > 1 && alError > 0 && filmError >= 0) {
		return ShimLine{}, fmt.Errorf("film %g m: thickness, leg factor above 1 and errors are needed; check the record", float64(film))
	}
	l, err := fitLine(steps, float64(alError))
	if err != nil {
		return ShimLine{}, err
	}
	kt := float64(k) * float64(film)
	x0 := kt * l.intercept / l.slope
	area := kt / (si.Mu0 * l.slope)
	// Ratio a/b with covariance, then the film error, which is common to all steps.
	ra, rb := math.Sqrt(l.varIntercept)/l.intercept, math.Sqrt(l.varSlope)/l.slope
	ratio := ra*ra + rb*rb - 2*l.covariance/(l.intercept*l.slope)
	ft := float64(filmError)
	out := ShimLine{
		Length:          si.Length(x0),
		LengthDeviation: si.Length(math.Abs(x0) * math.Sqrt(max(0, ratio)+ft*ft)),
		Area:            si.Area(area),
		AreaDeviation:   si.Area(area * math.Sqrt(rb*rb+ft*ft)),
	}
	out.FirstOff = firstOff(steps, float64(alError))
	return out, nil
}

// line is y = intercept + slope n in 1/H with its covariance.
type line struct{ intercept, slope, varIntercept, varSlope, covariance float64 }

func fitLine(steps []ShimStep, alError float64) (line, error) {
	var w, wn, wy, wnn, wny float64
	for _, s := range steps {
		if !(s.AL > 0) || s.Films < 0 {
			return line{}, fmt.Errorf("shim step %d films: inductance factor and count must be above 0; measure again", s.Films)
		}
		n, y := float64(s.Films), 1/float64(s.AL)
		k := 1 / (alError * y * alError * y)
		w, wn, wy, wnn, wny = w+k, wn+k*n, wy+k*y, wnn+k*n*n, wny+k*n*y
	}
	det := w*wnn - wn*wn
	if !(det > 1e-9*w*wnn) {
		return line{}, errors.New("shim steps: fewer than two different film counts; add a reading with one more film")
	}
	l := line{
		intercept: (wnn*wy - wn*wny) / det, slope: (w*wny - wn*wy) / det,
		varIntercept: wnn / det, varSlope: w / det, covariance: -wn / det,
	}
	if !(l.slope > 0) {
		return line{}, errors.New("shim steps: inductance does not fall with more films; check the order and the clamping")
	}
	return l, nil
}

// firstOff holds the reading without film against the line through the others; it needs three others to judge.
func firstOff(steps []ShimStep, alError float64) bool {
	var others []ShimStep
	var first *ShimStep
	for i := range steps {
		if steps[i].Films == 0 {
			first = &steps[i]
		} else {
			others = append(others, steps[i])
		}
	}
	if first == nil || len(others) < 3 {
		return false
	}
	l, err := fitLine(others, alError)
	if err != nil {
		return false
	}
	y := 1 / float64(first.AL)
	return math.Abs(y-l.intercept) > 3*math.Sqrt(l.varIntercept+alError*y*alError*y)
}

// FilmFromLine turns the line round: with the effective area known it measures the film, t = mu0 A b/k. The line is
// given by its result for an assumed film, which cancels.
func FilmFromLine(l ShimLine, assumed si.Length, area si.Area) si.Length {
	return assumed * si.Length(float64(area)/float64(l.Area))
}

// NextFilm is how much film to add under all legs to bring a winding of turns from inductance now to wanted (negative:
// take away): (mu0 A N^2/k)(1/wanted - 1/now) times own, the ratio of the computed to the measured change of 1/L for
// this pair (1 before the first pair of readings; OwnFactor gives it).
func NextFilm(g Geometry, turns int, now, wanted si.Inductance, own si.Ratio) si.Length {
	n := float64(turns)
	change := 1/float64(wanted) - 1/float64(now)
	return si.Length(si.Mu0 * float64(g.Area) * n * n * change / float64(LegFactor(g)) * float64(own))
}

// OwnFactor compares what the plain formula promised for a film under all legs with what two readings show: the change
// of 1/L computed over the change measured. It is NaN when both readings are equal.
func OwnFactor(g Geometry, turns int, film si.Length, before, after si.Inductance) si.Ratio {
	n := float64(turns)
	computed := float64(LegFactor(g)) * float64(film) / (si.Mu0 * float64(g.Area) * n * n)
	return si.Ratio(computed / (1/float64(after) - 1/float64(before)))
}
