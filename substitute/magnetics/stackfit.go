package magnetics

import (
	"errors"
	"fmt"
	"math"

	"sparewright/catalog/si"
)

// Vague is a figure above 0 that is known only roughly: its best value and the standard deviation
// of its logarithm. A value of 0 is exactly 0.
type Vague[Q si.Quantity] struct {
	Value  Q
	Spread si.Ratio
}

// VagueIn is a figure of which only the ends are known, every value between them (on a logarithmic
// scale) as likely as the next: the standard deviation is half the width over sqrt 3. An end at 0
// counts as a twentieth of the other.
func VagueIn[Q si.Quantity](best Q, ends si.Interval[Q]) Vague[Q] {
	low, high := float64(ends.Low), float64(ends.High)
	if !(best > 0) || !(high > 0) {
		return Vague[Q]{}
	}
	return Vague[Q]{best, si.Ratio(math.Log(high/max(low, high/20)) / 2 / math.Sqrt(3))}
}

// Deviation is the standard deviation of the logarithm of a figure known within plus or minus e,
// every value as likely.
func Deviation(e si.Ratio) si.Ratio { return si.Ratio(math.Log1p(float64(e)) / math.Sqrt(3)) }

// StackPrior is what is known of a pair and of films before they are measured together.
type StackPrior struct {
	Geometry     Geometry
	Permeability Vague[si.Ratio]
	Ground       Vague[si.Length] // centre-leg gap
	Residual     Vague[si.Length] // joint of the faces
	Films        []Vague[si.Length]
	// deviation of the reluctance of the gaps from the stray-field model, see ModelError
	Stray si.Ratio
}

// Stack is the number of layers of each film of StackPrior.Films under all legs.
type Stack []int

// StackReading is the inductance factor read with a stack in. Error is plus or minus, of the meter
// alone.
type StackReading struct {
	Stack Stack
	AL    si.InductanceFactor
	Error si.Ratio
}

// Figures the fit reckons with beside those of the prior.
const (
	// strayDrift is by how much the error of the stray-field model may change when the air in the
	// path grows e-fold, one standard deviation. On the field solutions and tables in fringing.go
	// plain formulas drift by 2 to 6 % over 2.3 e-folds, the best model by less than 2 %.
	strayDrift = 0.05
	strayAt    = 0.3e-3 // m of air where Stray counts as it is
	// seating is how well the same stack repeats when the pair is opened and clamped again; common
	// practice, no source.
	seating = 0.01
)

// StackFit is what readings with several stacks tell about a pair: the most likely figures, and how
// well they are known, correlations included. It predicts other stacks.
type StackFit struct {
	prior    StackPrior
	z        []float64 // deviations from the prior in units of its standard deviation
	variance [][]float64
	// Misfit is the worst reading against the fit, in standard deviations of that reading; Strain
	// the worst figure against the prior. Above 3 the readings contradict each other, or what was
	// noted about the parts.
	Misfit, Strain si.Ratio
}

// places of the unknowns in z; films follow.
const (
	zMu = iota
	zGround
	zResidual
	zStray
	zDrift
	zFilms
)

// FitStacks finds the figures that best explain all readings together with what was known before
// (greatest posterior density, logarithms taken as bell curves; Gauss-Newton). Errors: no readings,
// figures not above 0, a stack of the wrong length.
func FitStacks(prior StackPrior, readings []StackReading) (StackFit, error) {
	f := StackFit{prior: prior, z: make([]float64, zFilms+len(prior.Films))}
	if len(readings) == 0 {
		return f, errors.New("readings: none given; measure the inductance with a stack of film in")
	}
	if !(prior.Permeability.Value > 0) || !(prior.Geometry.Area > 0) {
		return f, errors.New("core: permeability and area must be above 0; check the record")
	}
	for i, r := range readings {
		if !(r.AL > 0) || !(r.Error > 0) || len(r.Stack) != len(prior.Films) {
			return f, fmt.Errorf("reading %d: inductance and meter error must be above 0; "+
				"measure again", i+1)
		}
	}
	cost := f.cost(readings)
	for range 40 {
		step := f.newton(readings)
		taken, better := f.descend(step, readings, cost)
		if !taken || cost-better < 1e-12 {
			break
		}
		cost = better
	}
	f.variance = inverse(f.curvature(readings))
	for _, r := range readings {
		f.Misfit = max(f.Misfit, si.Ratio(math.Abs(f.off(r))))
	}
	for _, z := range f.z {
		f.Strain = max(f.Strain, si.Ratio(math.Abs(z)))
	}
	return f, nil
}

// logAL is the natural logarithm of the inductance factor with a stack in, at deviations z.
func (f *StackFit) logAL(s Stack, z []float64) float64 {
	p := &f.prior
	mu := float64(p.Permeability.Value) * math.Exp(float64(p.Permeability.Spread)*z[zMu])
	gap := Gap{Ground: at(p.Ground, z[zGround]), Residual: at(p.Residual, z[zResidual])}
	for i, n := range s {
		gap.Shim += si.Length(n) * at(p.Films[i], z[zFilms+i])
	}
	core := (float64(p.Geometry.Path)/mu + float64(gap.Residual)) /
		(si.Mu0 * float64(p.Geometry.Area))
	centre, outer := gapReluctances(p.Geometry, gap)
	if centre+outer <= 0 {
		return -math.Log(core)
	}
	air := float64(gap.Ground + 2*gap.Shim)
	stray := float64(p.Stray)*z[zStray] + strayDrift*z[zDrift]*math.Log(max(air, 1e-6)/strayAt)
	return -math.Log(core + (centre+outer)*math.Exp(stray))
}

func at(v Vague[si.Length], z float64) si.Length {
	return v.Value * si.Length(math.Exp(float64(v.Spread)*z))
}

// spreadOf is one standard deviation of a reading: meter and seating.
func spreadOf(r StackReading) float64 { return math.Hypot(float64(Deviation(r.Error)), seating) }

// off is how far a reading lies from the fit, in its standard deviations.
func (f *StackFit) off(r StackReading) float64 {
	return (math.Log(float64(r.AL)) - f.logAL(r.Stack, f.z)) / spreadOf(r)
}

func (f *StackFit) cost(readings []StackReading) float64 {
	sum := 0.0
	for _, r := range readings {
		sum += f.off(r) * f.off(r)
	}
	for _, z := range f.z {
		sum += z * z
	}
	return sum
}

// slope is the change of logAL with every deviation.
func (f *StackFit) slope(s Stack) []float64 {
	const h = 1e-4
	out := make([]float64, len(f.z))
	z := append([]float64(nil), f.z...)
	for i := range z {
		if i >= zFilms && s[i-zFilms] == 0 {
			continue
		}
		z[i] = f.z[i] + h
		up := f.logAL(s, z)
		z[i] = f.z[i] - h
		out[i] = (up - f.logAL(s, z)) / (2 * h)
		z[i] = f.z[i]
	}
	return out
}

// curvature is half the second derivative of the cost, Gauss-Newton: the inverse of the variance.
func (f *StackFit) curvature(readings []StackReading) [][]float64 {
	n := len(f.z)
	m := make([][]float64, n)
	for i := range m {
		m[i] = make([]float64, n)
		m[i][i] = 1
	}
	for _, r := range readings {
		g, w := f.slope(r.Stack), 1/(spreadOf(r)*spreadOf(r))
		for i := range g {
			for j := range g {
				m[i][j] += w * g[i] * g[j]
			}
		}
	}
	return m
}

// newton is the Gauss-Newton step from where the fit stands.
func (f *StackFit) newton(readings []StackReading) []float64 {
	right := make([]float64, len(f.z))
	for i := range right {
		right[i] = -f.z[i]
	}
	for _, r := range readings {
		g, w := f.slope(r.Stack), f.off(r)/spreadOf(r)
		for i := range g {
			right[i] += w * g[i]
		}
	}
	return times(inverse(f.curvature(readings)), right)
}

// descend goes along the step as far as the cost falls.
func (f *StackFit) descend(step []float64, readings []StackReading, cost float64) (bool, float64) {
	from := append([]float64(nil), f.z...)
	for share := 1.0; share > 1e-3; share /= 2 {
		for i := range f.z {
			f.z[i] = from[i] + share*step[i]
		}
		if c := f.cost(readings); c < cost {
			return true, c
		}
	}
	copy(f.z, from)
	return false, cost
}

// Prediction is the inductance factor expected with a stack, and the standard deviation of its
// logarithm.
type Prediction struct {
	AL        si.InductanceFactor
	Deviation si.Ratio
}

// Expect is the most likely inductance factor with a stack, without its deviation.
func (f StackFit) Expect(s Stack) si.InductanceFactor {
	return si.InductanceFactor(math.Exp(f.logAL(s, f.z)))
}

// Predict tells what a stack will give.
func (f StackFit) Predict(s Stack) Prediction {
	g := f.slope(s)
	v := seating * seating
	for i, x := range times(f.variance, g) {
		v += g[i] * x
	}
	return Prediction{f.Expect(s), si.Ratio(math.Sqrt(v))}
}

// Band is where the inductance factor lies 19 times out of 20.
func (p Prediction) Band() si.Interval[si.InductanceFactor] {
	w := si.InductanceFactor(math.Exp(2 * float64(p.Deviation)))
	return si.Interval[si.InductanceFactor]{Low: p.AL / w, High: p.AL * w}
}

// Chance is the probability that the inductance factor lies inside the walls.
func (p Prediction) Chance(walls si.Interval[si.InductanceFactor]) si.Ratio {
	if !(walls.Low > 0) || !(walls.High > walls.Low) {
		return 0
	}
	low, high := p.distances(walls)
	return si.Ratio(max(0, (math.Erf(high/math.Sqrt2)+math.Erf(low/math.Sqrt2))/2))
}

// Centred is the smaller distance to the walls in standard deviations; negative outside.
func (p Prediction) Centred(walls si.Interval[si.InductanceFactor]) float64 {
	if !(walls.Low > 0) || !(walls.High > walls.Low) {
		return math.Inf(-1)
	}
	low, high := p.distances(walls)
	return min(low, high)
}

func (p Prediction) distances(walls si.Interval[si.InductanceFactor]) (low, high float64) {
	d := float64(p.Deviation)
	return math.Log(float64(p.AL/walls.Low)) / d, math.Log(float64(walls.High/p.AL)) / d
}

// Film is the thickness of a layer of the film, and its band.
func (f StackFit) Film(i int) Known[si.Length] {
	return f.known(f.prior.Films[i], zFilms+i)
}

// Ground is the centre-leg gap, and its band.
func (f StackFit) Ground() Known[si.Length] { return f.known(f.prior.Ground, zGround) }

// Permeability is that of the ferrite, and its band.
func (f StackFit) Permeability() Known[si.Ratio] {
	p := f.prior.Permeability
	k := f.known(Vague[si.Length]{si.Length(p.Value), p.Spread}, zMu)
	return Known[si.Ratio]{
		Value: si.Ratio(k.Value),
		Band:  si.Interval[si.Ratio]{Low: si.Ratio(k.Band.Low), High: si.Ratio(k.Band.High)},
	}
}

func (f StackFit) known(v Vague[si.Length], i int) Known[si.Length] {
	k := at(v, f.z[i])
	w := si.Length(math.Exp(2 * float64(v.Spread) * math.Sqrt(f.variance[i][i])))
	return Known[si.Length]{Value: k, Band: si.Interval[si.Length]{Low: k / w, High: k * w}}
}

// inverse inverts a symmetric positive matrix by Gauss-Jordan elimination; the diagonal never
// vanishes since the prior adds 1.
func inverse(m [][]float64) [][]float64 {
	n := len(m)
	a, out := make([][]float64, n), make([][]float64, n)
	for i := range m {
		a[i] = append([]float64(nil), m[i]...)
		out[i] = make([]float64, n)
		out[i][i] = 1
	}
	for k := range n {
		pivot := a[k][k]
		for j := range n {
			a[k][j] /= pivot
			out[k][j] /= pivot
		}
		for i := range n {
			if w := a[i][k]; i != k && w != 0 {
				for j := range n {
					a[i][j] -= w * a[k][j]
					out[i][j] -= w * out[k][j]
				}
			}
		}
	}
	return out
}

func times(m [][]float64, x []float64) []float64 {
	out := make([]float64, len(x))
	for i := range m {
		for j := range x {
			out[i] += m[i][j] * x[j]
		}
	}
	return out
}
