package magnetics

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"sparewright/catalog/si"
)

// ShimStep is the inductance factor read with a number of equal films under all legs.
type ShimStep struct {
	Films int
	AL    si.InductanceFactor
}

// ShimResult is what readings with films tell about a pair.
type ShimResult struct {
	// le/mu_i and all gaps as one length of air on the effective area, without film
	Length Estimate[si.Length]
	Gap    Estimate[si.Length] // ground into the centre leg
	// Misfit is the worst reading against the fit, Strain the worst figure noted beforehand (film,
	// area, ferrite, joint), both in standard deviations. Above 3 the readings contradict each
	// other, or what was noted.
	Misfit, Strain si.Ratio
	FirstOff       bool // the reading without film does not fit the others: the faces did not close
}

// places of the unknowns of a shim fit; all but the gap are deviations from what was noted, in
// units of its standard deviation.
const (
	shimGap = iota
	shimFilm
	shimArea
	shimMu
	shimJoint
	shimStray
	shimUnknowns
)

var shimInputs = [shimUnknowns]struct{ name, cure string }{
	shimFilm:  {"film thickness", "fold the film, measure the stack and divide"},
	shimArea:  {"area", cureArea},
	shimMu:    {"permeability", cureMu},
	shimJoint: {"joint", cureJoint},
	shimStray: {"stray field", "keep the films thin against the leg"},
}

// gapUnit scales the unknown gap to the size of the others, in m.
const gapUnit = 10e-6

// shimFit finds the gap that best explains readings with films under all legs, on InductanceFactor
// and with everything else left free within what is known of it (greatest posterior density,
// Gauss-Newton; the gap itself may be anything from 0 up).
type shimFit struct {
	pair  Pair
	film  Known[si.Length]
	mu    Known[si.Ratio]
	joint Known[si.Length]
	meter float64 // standard deviation of a reading
	x     []float64
}

// within is a figure z standard deviations off; the ends of a band are two.
func within[Q si.Quantity](k Known[Q], z float64) Q {
	half := k.Band.High - k.Value
	if z < 0 {
		half = k.Value - k.Band.Low
	}
	return max(k.Value/20, k.Value+half*Q(z/2))
}

// logAL is the natural logarithm of the inductance factor with so many films, at the unknowns x.
func (f *shimFit) logAL(films int, x []float64) float64 {
	g := f.pair.Geometry
	air := Gap{Ground: si.Length(max(0, x[shimGap]) * gapUnit),
		Shim: si.Length(films) * within(f.film, x[shimFilm])}
	core := (float64(g.Path)/float64(within(f.mu, x[shimMu])) +
		float64(within(f.joint, x[shimJoint]))) / (si.Mu0 * float64(g.Area))
	centre, outer := gapReluctances(g, air)
	stray := x[shimStray] / 2 * float64(StrayError(g, air))
	area := x[shimArea] / 2 * float64(f.pair.AreaError)
	return area - math.Log(core+(centre+outer)*(1+stray))
}

// slope is the change of logAL with every unknown.
func (f *shimFit) slope(films int) []float64 {
	const h = 1e-3
	out, x := make([]float64, shimUnknowns), slices.Clone(f.x)
	for i := range x {
		x[i] = f.x[i] + h
		up, span := f.logAL(films, x), 2*h
		x[i] = f.x[i] - h
		if i == shimGap && x[i] < 0 {
			x[i], span = f.x[i], h
		}
		out[i] = (up - f.logAL(films, x)) / span
		x[i] = f.x[i]
	}
	return out
}

func (f *shimFit) off(s ShimStep) float64 {
	return (math.Log(float64(s.AL)) - f.logAL(s.Films, f.x)) / f.meter
}

func (f *shimFit) cost(steps []ShimStep) float64 {
	sum := 0.0
	for _, s := range steps {
		sum += f.off(s) * f.off(s)
	}
	for _, z := range f.x[shimGap+1:] {
		sum += z * z
	}
	return sum
}

// solve brings x to the best fit and returns the variance of the unknowns there.
func (f *shimFit) solve(steps []ShimStep) [][]float64 {
	cost := f.cost(steps)
	for range 60 {
		curve, right := f.normal(steps)
		step := times(inverse(curve), right)
		from, moved := slices.Clone(f.x), false
		for share := 1.0; share > 1e-4; share /= 2 {
			for i := range f.x {
				f.x[i] = from[i] + share*step[i]
			}
			f.x[shimGap] = max(0, f.x[shimGap])
			if c := f.cost(steps); c < cost {
				moved = cost-c > 1e-10
				cost = c
				break
			}
			copy(f.x, from)
		}
		if !moved {
			break
		}
	}
	curve, _ := f.normal(steps)
	return inverse(curve)
}

// normal is half the second derivative of the cost and minus half the first. The gap has no figure
// of before; what keeps the matrix from being singular is worth 10 mm.
func (f *shimFit) normal(steps []ShimStep) (curve [][]float64, right []float64) {
	curve, right = make([][]float64, shimUnknowns), make([]float64, shimUnknowns)
	for i := range curve {
		curve[i] = make([]float64, shimUnknowns)
		curve[i][i] = 1
		right[i] = -f.x[i]
	}
	curve[shimGap][shimGap], right[shimGap] = gapUnit*gapUnit/(widest*widest), 0
	for _, s := range steps {
		g, off := f.slope(s.Films), f.off(s)/f.meter
		for i := range g {
			right[i] += off * g[i]
			for j := range g {
				curve[i][j] += g[i] * g[j] / (f.meter * f.meter)
			}
		}
	}
	return curve, right
}

// IdentifyGapByShims reads the gap ground into the centre leg off two or more readings with equal
// films under all legs, on the stray-field law of InductanceFactor. What is known of film, area,
// permeability and joint only narrows it. meter is the relative error of each reading. Errors:
// figures not above 0, fewer than two different film counts, an inductance that does not fall with
// the films, readings above those of the closed pair.
func IdentifyGapByShims(p Pair, steps []ShimStep, film Known[si.Length], mu Known[si.Ratio],
	joint Known[si.Length],
	meter si.Ratio,
) (ShimResult, error) {
	if err := checkSteps(steps, film.Value, meter); err != nil {
		return ShimResult{}, err
	}
	f := newShimFit(p, steps, film, mu, joint, meter)
	variance := f.solve(steps)
	r := ShimResult{Gap: f.gap(steps, variance), Length: f.length(steps, variance)}
	for _, s := range steps {
		r.Misfit = max(r.Misfit, si.Ratio(math.Abs(f.off(s))))
	}
	for _, z := range f.x[shimGap+1:] {
		r.Strain = max(r.Strain, si.Ratio(math.Abs(z)))
	}
	r.FirstOff = f.firstOff(steps)
	if r.Gap.Value <= 0 && r.Gap.Band.High <= 0 {
		return r, errors.New("gap: the readings are above those of the closed pair; check turns, " +
			"shape and ferrite grade")
	}
	return r, nil
}

func newShimFit(p Pair, steps []ShimStep, film Known[si.Length], mu Known[si.Ratio],
	joint Known[si.Length], meter si.Ratio) *shimFit {
	f := &shimFit{pair: p, film: film, mu: mu, joint: joint, meter: float64(meter) / 2,
		x: make([]float64, shimUnknowns)}
	least := slices.MinFunc(steps, func(a, b ShimStep) int { return cmp.Compare(a.Films, b.Films) })
	start := solveLength(func(x si.Length) bool {
		return InductanceFactor(p.Geometry, mu.Value,
			Gap{Ground: x, Shim: si.Length(least.Films) * film.Value, Residual: joint.Value}) >
			least.AL
	})
	f.x[shimGap] = float64(start) / gapUnit
	return f
}

func checkSteps(steps []ShimStep, film si.Length, meter si.Ratio) error {
	if !(film > 0 && meter > 0) {
		return fmt.Errorf("film %g m: thickness and meter error must be above 0; check the record",
			float64(film))
	}
	sorted := slices.Clone(steps)
	slices.SortStableFunc(sorted, func(a, b ShimStep) int { return cmp.Compare(a.Films, b.Films) })
	for _, s := range sorted {
		if !(s.AL > 0) || s.Films < 0 {
			return fmt.Errorf("shim step %d films: inductance factor and count must be above 0; "+
				"measure again", s.Films)
		}
	}
	if len(sorted) == 0 || sorted[0].Films == sorted[len(sorted)-1].Films {
		return errors.New("shim steps: fewer than two different film counts; add a reading with " +
			"one more film")
	}
	if sorted[len(sorted)-1].AL >= sorted[0].AL {
		return errors.New("shim steps: inductance does not fall with more films; check the order " +
			"and the clamping")
	}
	return nil
}

// weights is how an estimate whose slope with the unknowns is given moves with every input: the
// readings first, then the figures known beforehand, each by one standard deviation.
func (f *shimFit) weights(steps []ShimStep, variance [][]float64,
	slope []float64) (readings float64, inputs []float64) {
	pull := times(variance, slope)
	for _, s := range steps {
		w := 0.0
		for i, g := range f.slope(s.Films) {
			w += pull[i] * g / f.meter
		}
		readings += w * w
	}
	inputs = make([]float64, shimUnknowns)
	for i := shimGap + 1; i < shimUnknowns; i++ {
		inputs[i] = pull[i] * pull[i]
	}
	return readings, inputs
}

// shares are the causes of the variance of an estimate, the largest first.
func (f *shimFit) shares(steps []ShimStep, variance [][]float64, slope []float64) []Share {
	readings, inputs := f.weights(steps, variance, slope)
	total := readings
	for _, v := range inputs {
		total += v
	}
	shares := []Share{{"inductance readings", si.Ratio(readings / total),
		"add a step with more films, or read each twice"}}
	for i := shimGap + 1; i < shimUnknowns; i++ {
		shares = append(shares, Share{shimInputs[i].name, si.Ratio(inputs[i] / total),
			shimInputs[i].cure})
	}
	slices.SortStableFunc(shares, func(a, b Share) int { return cmp.Compare(b.Part, a.Part) })
	return shares
}

// gap is the estimate of the ground gap.
func (f *shimFit) gap(steps []ShimStep, variance [][]float64) Estimate[si.Length] {
	slope := make([]float64, shimUnknowns)
	slope[shimGap] = 1
	half := 2 * math.Sqrt(variance[shimGap][shimGap]) * gapUnit
	value := f.x[shimGap] * gapUnit
	return Estimate[si.Length]{Value: si.Length(value),
		Band: si.Interval[si.Length]{Low: si.Length(max(0, value-half)),
			High: si.Length(value + half)},
		Shares: f.shares(steps, variance, slope)}
}

// length is mu0 A/AL without film, on the area as noted times what the readings say of it. The
// factor of the area that logAL carries falls out of the quotient.
func (f *shimFit) length(steps []ShimStep, variance [][]float64) Estimate[si.Length] {
	x := slices.Clone(f.x)
	x[shimArea] = 0
	value := si.Mu0 * float64(f.pair.Geometry.Area) / math.Exp(f.logAL(0, x))
	slope := f.slope(0)
	slope[shimArea] = 0
	relative := 0.0
	for i, v := range times(variance, slope) {
		relative += slope[i] * v
	}
	w := math.Exp(2 * math.Sqrt(max(0, relative)))
	return Estimate[si.Length]{Value: si.Length(value),
		Band:   si.Interval[si.Length]{Low: si.Length(value / w), High: si.Length(value * w)},
		Shares: f.shares(steps, variance, slope)}
}

// firstOff holds the readings without film against the fit of the others; two others with different
// counts are needed to judge.
func (f *shimFit) firstOff(steps []ShimStep) bool {
	var first, others []ShimStep
	for _, s := range steps {
		if s.Films == 0 {
			first = append(first, s)
		} else {
			others = append(others, s)
		}
	}
	if len(first) == 0 || checkSteps(others, f.film.Value, si.Ratio(f.meter)) != nil {
		return false
	}
	rest := newShimFit(f.pair, others, f.film, f.mu, f.joint, si.Ratio(2*f.meter))
	variance := rest.solve(others)
	slope := rest.slope(0)
	expected := f.meter * f.meter
	for i, v := range times(variance, slope) {
		expected += slope[i] * v
	}
	return slices.ContainsFunc(first, func(s ShimStep) bool {
		return math.Abs(math.Log(float64(s.AL))-rest.logAL(0, rest.x)) > 3*math.Sqrt(expected)
	})
}
