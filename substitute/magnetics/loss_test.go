package magnetics_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog/si"
	"sparewright/substitute/magnetics"
)

// Fits of the Ferroxcube brochure "Design of Planar Power Transformers" (2001), table 1 p. 4, in
// mW/cm3 = 1e3 W/m3.
var (
	fit3C90 = magnetics.Steinmetz{K: 3.2, Alpha: 1.46, Beta: 2.75, Temp: 100, C0: 2.45,
		C1: 0.031, C2: 1.65e-4}
	fit3C94 = magnetics.Steinmetz{K: 2.37, Alpha: 1.46, Beta: 2.75, Temp: 100, C0: 2.45,
		C1: 0.031, C2: 1.65e-4}
	fit3C30 = magnetics.Steinmetz{K: 7.13, Alpha: 1.42, Beta: 3.02, Temp: 100, C0: 4,
		C1: 0.0665, C2: 3.65e-4}
)

// finishedCore is D4-01: guaranteed limits of a finished set against the typical fit, which passes
// one limit by 3 %.
func finishedCore(t *testing.T, e example) map[string]verdict {
	v := cm3(e.in(t, "Ve ETD29 (Ferroxcube)"))
	loss := func(s magnetics.Steinmetz, f, b float64) verdict {
		return most(float64(coreLoss(s, v, kHz(f), tesla(b), 100)), 0.05,
			"three-figure fit at the edge of its range")
	}
	at100 := func(s magnetics.Steinmetz) verdict {
		flat := s
		flat.C0 = 0 // no temperature factor
		return exactly(float64(s.Density(kHz(100), tesla(0.1), 100) /
			flat.Density(kHz(100), tesla(0.1), 100)))
	}
	return map[string]verdict{
		"ETD29 3C90 25 kHz 200 mT (limit)":  loss(fit3C90, 25, 0.2),
		"ETD29 3C90 100 kHz 100 mT (limit)": loss(fit3C90, 100, 0.1),
		"ETD29 3C94 100 kHz 100 mT (limit)": loss(fit3C94, 100, 0.1),
		"ETD29 3C94 100 kHz 200 mT (limit)": loss(fit3C94, 100, 0.2),
		"CT at 100 C for 3C90":              at100(fit3C90), "CT at 100 C for 3C94": at100(fit3C94),
		"CT at 100 C for 3C30": at100(fit3C30),
	}
}

// The envelope must lie at or above published losses of power grades in its range (25 to 200 kHz,
// 50 to 200 mT, 25 to 100 degC). Sources: TDK, Ferrite cores summary, June 1998, p. 111 (PC40,
// PC44); Magnetics, Ferrite Cores 2013 Catalog, p. 3 (R, P, F, T); EPCOS limits at 25 kHz, 200 mT,
// 100 degC for N41 and N27. kW/m3.
func TestUnknownPowerIsAnEnvelope(t *testing.T) {
	temps := []si.Celsius{25, 60, 100}
	for _, p := range []struct {
		grade  string
		f, b   float64
		losses []float64
	}{
		{"PC40", 25, 0.2, []float64{120, 80, 70}}, {"PC40", 100, 0.2, []float64{600, 450, 410}},
		{"PC44", 100, 0.2, []float64{600, 400, 300}},
		{"R", 25, 0.2, []float64{90, 65, 60}}, {"R", 100, 0.1, []float64{87, 64, 58}},
		{"P", 25, 0.2, []float64{180, 110, 65}}, {"P", 100, 0.1, []float64{70, 50, 65}},
		{"F", 25, 0.2, []float64{60, 55, 90}}, {"F", 100, 0.1, []float64{70, 65, 110}},
		{"T", 25, 0.2, []float64{80, 75, 70}}, {"T", 100, 0.1, []float64{65, 57, 55}},
	} {
		for i, loss := range p.losses {
			got := float64(magnetics.UnknownPower.Density(kHz(p.f), tesla(p.b), temps[i])) / 1e3
			require.GreaterOrEqual(t, got, loss, "%s %g kHz %g T %g C", p.grade, p.f, p.b,
				float64(temps[i]))
			require.Less(t, got, 7*loss, "an envelope far above everything would refuse every core")
		}
	}
	hot := float64(magnetics.UnknownPower.Density(kHz(25), tesla(0.2), 100)) / 1e3
	require.GreaterOrEqual(t, hot, 194.0, "N27 limit")
}

// ferrites_by_maker notes to the 3C90 fit: 113 kW/m3 at 100 kHz, 100 mT, 100 degC and 201 kW/m3 at
// 25 degC; 101 kW/m3 at 25 kHz, 200 mT.
func TestFitOf3C90(t *testing.T) {
	for _, c := range []struct {
		f, b, temp, want float64
	}{{100, 0.1, 100, 113}, {100, 0.1, 25, 201}, {25, 0.2, 100, 101}} {
		require.InDelta(t, c.want, float64(
			fit3C90.Density(kHz(c.f), tesla(c.b), si.Celsius(c.temp)))/1e3, 1.0)
	}
	require.InDelta(t, 202, float64(magnetics.UnknownPower.Density(kHz(25), tesla(0.2), 100))/1e3,
		2.0, "twice below 50 kHz")
	require.Zero(t, fit3C90.Density(0, 0.1, 100))
	require.Zero(t, fit3C90.Density(1e5, 0, 100))
}

// The brochure "Design of Planar Power Transformers" (2001), p. 8, quotes 385 kW/m3 of 3C30 for a
// triangular flux of 120 kHz, 160 mT, 95 degC; its row for 100 to 200 kHz (table 1: temperature
// factor 3.8, 0.068, 0.0004) gives 436 for a sine. The equation keeps to the quoted figure within 6
// %, where the sine law is 13 % above. A sine cut into many straight flanks must lose what a sine
// loses: 400 steps of the integral within 1 %.
func TestTriangleLoss(t *testing.T) {
	upper := fit3C30
	upper.C0, upper.C1, upper.C2 = 3.8, 0.068, 4e-4
	near(t, float64(upper.At(kHz(120), 95).Triangle(tesla(0.32), 0.5, 0.5))/1e3, 385, 0.06)
	for _, s := range []magnetics.Steinmetz{fit3C90, fit3C30} {
		c := s.At(kHz(100), 100)
		// Triangle says ki swing^(b-a) (swing/(part T))^a part for each of two flanks: half of an
		// equal pair is one.
		// per flank and part^(1-a)
		coefficient := float64(c.LeastTriangle(1)) / 2 / math.Pow(0.5, 1-s.Alpha)
		sum, steps := 0.0, 400
		for i := range steps {
			x := 2 * math.Pi * (float64(i) + 0.5) / float64(steps)
			slope := math.Abs(math.Cos(x)) * math.Pi // dB/dt over one period for a swing of 1
			sum += math.Pow(slope, s.Alpha) / float64(steps)
		}
		near(t, coefficient*sum, float64(c.Density(0.5)), 0.01)
		require.Greater(t, c.Triangle(tesla(0.2), 0.2, 0.3), c.Triangle(tesla(0.2), 0.5, 0.5))
		require.GreaterOrEqual(t, c.Triangle(tesla(0.2), 0.4, 0.6), c.LeastTriangle(tesla(0.2)))
		require.Zero(t, c.Triangle(0, 0.5, 0.5))
		require.Zero(t, c.Triangle(0.1, 0, 0.5))
	}
}

// coreLoss is what a core of this volume burns.
func coreLoss(s magnetics.Steinmetz, v si.Volume, f si.Frequency, peak si.FluxDensity,
	t si.Celsius) si.Power {
	return si.Power(float64(s.Density(f, peak, t)) * float64(v))
}
