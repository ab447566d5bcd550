package magnetics

import (
	"math"

	"sparewright/catalog/si"
)

// Trapezoid is the current of a flyback winding: it goes straight from Valley to Peak, or the other
// way round, during Share of the period and is zero for the rest. Valley 0 is the triangle of
// discontinuous mode. Range: 0 < Share <= 1.
type Trapezoid struct {
	Valley, Peak si.Current
	Share        si.Ratio
}

// Mean is the average over the whole period in A: Share (Valley + Peak)/2.
func (t Trapezoid) Mean() si.Current {
	return si.Current(float64(t.Share)) *
		(t.Valley + t.Peak) / 2
}

// RMS is the root mean square over the whole period in A: sqrt(Share (Valley^2 + Valley Peak +
// Peak^2)/3). The same value in other letters: SLUS223E (Texas Instruments, 2017) eq. 19 and ON
// Semiconductor NCP1028 data sheet p. 25.
func (t Trapezoid) RMS() si.Current { return si.Current(math.Sqrt(t.square())) }

// Alternating is sqrt(rms^2 - mean^2) in A, never below zero when rounding makes the difference
// negative; infinite currents stay so.
func Alternating(rms, mean si.Current) si.Current {
	r, m := float64(rms), float64(mean)
	if math.IsInf(r, 1) {
		return rms
	}
	return si.Current(math.Sqrt(max(0, r*r-m*m)))
}

// square is the mean of the squared current in A2.
func (t Trapezoid) square() float64 {
	v, p := float64(t.Valley), float64(t.Peak)
	return float64(t.Share) * (v*v + v*p + p*p) / 3
}

// harmonicSquare is the squared rms value in A2 of harmonic k; s, c are the sine and cosine of 2 pi
// k Share.
//
// With a = 2 pi k d and slope D = Peak - Valley the coefficient is d times the integral over u =
// 0..1 of (V + D u) exp(-j a u): real part V s/a + D (s/a + (c-1)/a^2), imaginary part V (c-1)/a +
// D (c/a - s/a^2). The rms value is sqrt 2 times its size.
func (t Trapezoid) harmonicSquare(k, s, c float64) float64 {
	d := float64(t.Share)
	v, slope := float64(t.Valley), float64(t.Peak-t.Valley)
	a := 2 * math.Pi * k * d
	re := v*s/a + slope*(s/a+(c-1)/(a*a))
	im := v*(c-1)/a + slope*(c/a-s/(a*a))
	return 2 * d * d * (re*re + im*im)
}

// LayerSpectrum is what the layers of one winding section do to each harmonic of a frequency: F - 1
// of DowellFactor. It serves for any current shape of that frequency.
type LayerSpectrum struct {
	single [harmonics + 1]float64 // with what the edge leaves of each harmonic
	groups [4]float64
	none   bool
}

// NewLayerSpectrum computes the factors of a section of round copper strands at temperature t.
func NewLayerSpectrum(f si.Frequency, t si.Celsius, strand si.Length, layers float64,
	porosity si.Ratio) (out LayerSpectrum) {
	if !(f > 0) {
		out.none = true
		return out
	}
	q1 := float64(EquivalentThickness(strand, porosity)) / float64(SkinDepth(f, t))
	weight := 2 * (layers*layers - 1) / 3
	for k := 1; k <= harmonics; k++ {
		out.single[k] = spectrum.edge[k] * (layerFactor(q1*spectrum.root[k], weight) - 1)
	}
	for i, g := range spectrum.groups {
		out.groups[i] = g.part * (layerFactor(q1*g.root, weight) - 1)
	}
	return out
}

// ACFactor is ACFactor for a current of that frequency.
func (l *LayerSpectrum) ACFactor(tr Trapezoid) si.Ratio {
	total := tr.square()
	if l.none || !(total > 0) {
		return 1
	}
	mean := float64(tr.Mean())
	rest := total - mean*mean // the square above the harmonics added so far
	extra := 0.0              // sum of Ik^2 (F - 1)
	s1, c1 := math.Sincos(2 * math.Pi * float64(tr.Share))
	s, c := s1, c1
	for k := 1; k <= harmonics; k++ {
		square := tr.harmonicSquare(float64(k), s, c)
		extra += square * l.single[k]
		rest -= square
		s, c = s*c1+c*s1, c*c1-s*s1
	}
	if rest > 0 {
		for _, g := range l.groups {
			extra += rest * g
		}
	}
	return si.Ratio(max(1, 1+extra/total))
}

// harmonics is how many harmonics ACFactor adds one by one.
const harmonics = 24

// group stands for a run of high harmonics: root of its middle harmonic number, and its part of all
// that a steep edge holds above the single harmonics.
type group struct{ root, part float64 }

// spectrum holds what ACFactor needs of the harmonic numbers alone: their roots (skin depth falls
// with the root of frequency), what an edge of 1 % of the period leaves of their square, and the
// groups above.
var spectrum = newSpectrum()

type spectra struct {
	root, edge [harmonics + 1]float64
	groups     [4]group
}

func newSpectrum() (s spectra) {
	const edge = 0.01
	left := func(k float64) float64 {
		x := math.Pi * k * edge
		return math.Sin(x) * math.Sin(x) / (x * x)
	}
	for k := 1; k <= harmonics; k++ {
		s.root[k], s.edge[k] = math.Sqrt(float64(k)), left(float64(k))
	}
	bounds := [...]float64{harmonics + 1, 34, 46, 64, 100}
	for i := range s.groups {
		var part, middle float64
		// a steep edge has harmonics in proportion to 1/k
		for k := bounds[i]; k < bounds[i+1]; k++ {
			w := left(k) / (k * k)
			part, middle = part+w, middle+w*k
		}
		// The sum of 1/k^2 above 24 is 1/24.5.
		s.groups[i] = group{root: math.Sqrt(middle / part), part: part * (harmonics + 0.5)}
	}
	return s
}
