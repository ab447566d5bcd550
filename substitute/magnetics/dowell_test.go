package magnetics_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/catalog/si"
	"sparewright/substitute/magnetics"
)

// Dowell's expression written out directly with the complex form M + (m^2-1) D/3 of the same paper
// (P. L. Dowell, Proc. IEE 113 (1966) 1387, eqs 10-11): M = a h coth(a h), D = 2 a h tanh(a h/2), a
// h = (1+j) q. A second route to the same figure.
func dowellComplex(q, layers float64) float64 {
	ah := complex(q, q)
	return real(ah*coth(ah)) + (layers*layers-1)/3*real(2*ah*tanh(ah/2))
}

func coth(z complex128) complex128 { return 1 / tanh(z) }

func tanh(z complex128) complex128 {
	// (e^2x - 1 ...)/(...) in real terms: (sinh 2x + j sin 2y)/(cosh 2x + cos 2y)
	x, y := 2*real(z), 2*imag(z)
	return complex(math.Sinh(x), math.Sin(y)) / complex(math.Cosh(x)+math.Cos(y), 0)
}

func TestLayerFactorAgainstComplexForm(t *testing.T) {
	for _, q := range []float64{0.02, 0.1, 0.3, 0.499, 0.501, 1, 2, 5, 17, 19, 40} {
		for _, p := range []float64{0.5, 1, 1.5, 2, 5, 36} {
			near(t, float64(magnetics.LayerFactor(ratio(q), p)), dowellComplex(q, p), 2e-7, q, p)
		}
	}
}

// E. C. Snelling, Soft Ferrites (from memory): for thin layers F = 1 + (5 p^2 - 1)/45 q^4.
func TestLayerFactorOfThinLayers(t *testing.T) {
	for _, p := range []float64{0.5, 1, 2, 10} {
		near(t, float64(magnetics.LayerFactor(0.05, p))-1, (5*p*p-1)/45*math.Pow(0.05, 4), 1e-3, p)
		near(t, float64(magnetics.LayerFactor(0.009, p))-1,
			float64(magnetics.LayerFactor(0.0101, p)-1)*math.Pow(0.009/0.0101, 4), 1e-3, p)
	}
}

func TestLayerFactorLimits(t *testing.T) {
	require.Equal(t, ratio(1), magnetics.DowellFactor(0, 100, mm(0.3), 3, 0.9))
	near(t, float64(magnetics.DowellFactor(1, 100, mm(0.3), 3, 0.9)), 1, 1e-9)
	near(t, float64(magnetics.LayerFactor(0, 3)), 1, 1e-15)
	// A thick single layer conducts in one skin depth: F = q.
	near(t, float64(magnetics.LayerFactor(30, 1)), 30, 1e-9)
}

func TestLayerFactorRises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := rapid.Float64Range(0, 4).Draw(t, "q")
		p := rapid.Float64Range(1, 20).Draw(t, "layers")
		f := magnetics.LayerFactor(ratio(q), p)
		if !(f >= 1) {
			t.Fatalf("below 1: %g", float64(f))
		}
		if !(magnetics.LayerFactor(ratio(q), p+1) >= f) {
			t.Fatalf("falls with layers")
		}
	})
}

// fourier integrates the k-th harmonic of the trapezoid by the midpoint rule.
func fourier(tr magnetics.Trapezoid, k int) float64 {
	const steps = 200000
	var re, im float64
	for i := range steps {
		x := (float64(i) + 0.5) / steps
		if d := float64(tr.Share); x < d {
			v := float64(tr.Valley) + float64(tr.Peak-tr.Valley)*x/d
			s, c := math.Sincos(2 * math.Pi * float64(k) * x)
			re, im = re+v*c, im+v*s
		}
	}
	return math.Sqrt2 * math.Hypot(re, im) / steps
}

func TestHarmonicsAgainstNumericFourier(t *testing.T) {
	for _, tr := range []magnetics.Trapezoid{{0, 1, 0.4}, {0.5, 1.2, 0.45}, {1, 0, 0.3},
		{2, 2, 0.5}, {0, 3, 1}} {
		for k := 1; k <= 12; k++ {
			require.InDelta(t, fourier(tr, k), float64(tr.Harmonic(k)),
				2e-5*float64(max(tr.Peak, tr.Valley)), "%+v %d", tr, k)
		}
		require.Equal(t, tr.Mean(), tr.Harmonic(0))
	}
	// A square wave of half the period: odd harmonics sqrt2 A/(pi k), even ones none (any textbook
	// on Fourier series).
	square := magnetics.Trapezoid{Valley: 1, Peak: 1, Share: 0.5}
	near(t, float64(square.Harmonic(3)), math.Sqrt2/(3*math.Pi), 1e-12)
	require.Less(t, float64(square.Harmonic(4)), 1e-12)
}

func TestParseval(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		amps := rapid.Float64Range(0, 5)
		tr := magnetics.Trapezoid{
			Valley: amp(amps.Draw(t, "valley")), Peak: amp(amps.Draw(t, "peak") + 0.1),
			Share: ratio(rapid.Float64Range(0.05, 1).Draw(t, "share")),
		}
		sum := float64(tr.Mean() * tr.Mean())
		for k := 1; k <= 4000; k++ {
			sum += float64(tr.Harmonic(k) * tr.Harmonic(k))
		}
		if total := float64(tr.RMS() * tr.RMS()); math.Abs(sum-total) > 2e-3*total {
			t.Fatalf("harmonics sum to %g of %g", sum, total)
		}
	})
}

// RMS of the triangle sqrt(D/3) Ipk and of the trapezoid: any power electronics text.
func TestTrapezoidRMS(t *testing.T) {
	near(t, float64(magnetics.Trapezoid{Valley: 0, Peak: 2, Share: 0.3}.RMS()),
		2*math.Sqrt(0.1), 1e-12)
	near(t, float64(magnetics.Trapezoid{Valley: 1, Peak: 2, Share: 0.5}.RMS()),
		math.Sqrt(0.5*7/3), 1e-12)
	near(t, float64(magnetics.Trapezoid{Valley: 1, Peak: 2, Share: 0.5}.Mean()), 0.75, 1e-12)
}

// slowEdges is the factor of the same current with edges that last 1 % of the period, by the sum
// over 1000 harmonics: each edge of duration w multiplies harmonic k by sin(pi k w)/(pi k w), which
// for a steep edge is convolution with a box of width w.
func slowEdges(tr magnetics.Trapezoid, f si.Frequency, strand si.Length, layers float64,
	share si.Ratio) float64 {
	const w = 0.01
	mean := float64(tr.Mean())
	sum, total := mean*mean, mean*mean
	for k := 1; k <= 1000; k++ {
		x := math.Pi * float64(k) * w
		h := float64(tr.Harmonic(k)) * math.Sin(x) / x
		sum += h * h * float64(magnetics.DowellFactor(si.Frequency(k)*f, 100, strand,
			layers, share))
		total += h * h
	}
	return sum / total
}

func TestACFactorAgainstLongSum(t *testing.T) {
	for _, tr := range []magnetics.Trapezoid{{0, 1, 0.4}, {1, 0, 0.5}, {0.5, 1, 0.45},
		{0.9, 1, 0.3}} {
		for _, wire := range []float64{0.1, 0.2, 0.315, 0.5, 0.8} {
			for _, layers := range []float64{1, 2, 4} {
				got := float64(magnetics.ACFactor(tr, kHz(66), 100, mm(wire), layers, 0.9))
				near(t, got, slowEdges(tr, kHz(66), mm(wire), layers, 0.9), 0.03, tr, wire, layers)
			}
		}
	}
}

func TestACFactorAtLeastOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tr := magnetics.Trapezoid{
			Valley: amp(rapid.Float64Range(0, 3).Draw(t, "valley")),
			Peak:   amp(rapid.Float64Range(0, 3).Draw(t, "peak")),
			Share:  ratio(rapid.Float64Range(0.01, 1).Draw(t, "share")),
		}
		f := magnetics.ACFactor(tr, kHz(rapid.Float64Range(0, 300).Draw(t, "kHz")), 100,
			mm(rapid.Float64Range(0.02, 1.5).Draw(t, "mm")),
			rapid.Float64Range(0.5, 12).Draw(t,
				"layers"), ratio(rapid.Float64Range(0.3, 1).Draw(t, "share of width")))
		if !(f >= 1) || math.IsInf(float64(f), 0) {
			t.Fatalf("%g", float64(f))
		}
	})
	require.Equal(t, ratio(1), magnetics.ACFactor(magnetics.Trapezoid{}, kHz(66), 100,
		mm(0.3), 3, 0.9))
	steady := magnetics.Trapezoid{Valley: 1, Peak: 1, Share: 1}
	near(t, float64(magnetics.ACFactor(steady, kHz(66), 100, mm(1), 6, 0.9)), 1, 1e-9)
}

func BenchmarkACFactor(b *testing.B) {
	tr := magnetics.Trapezoid{Valley: 0.2, Peak: 0.8, Share: 0.4}
	b.ReportAllocs()
	for b.Loop() {
		magnetics.ACFactor(tr, kHz(66), 100, mm(0.3), 4, 0.9)
	}
}
