package catalog_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
)

// loss is the core loss of a grade in kW/m3 at f in kHz, b in mT (peak) and t in degrees C, as its
// row defines it.
func loss(f catalog.Ferrite, khz, mt, t float64) float64 {
	return f.K * math.Pow(khz*1e3, f.Alpha) * math.Pow(mt*1e-3, f.Beta) *
		(f.CT0 - f.CT1*t + f.CT2*t*t) / 1e3
}

func ferrite(t *testing.T, name string) catalog.Ferrite {
	t.Helper()
	f, ok := catalog.FerriteNamed(name)
	require.True(t, ok, name)
	return f
}

// Published loss points against the rows' formulas. The tolerance is the largest deviation of the
// fit as stated at the row: TDK summary 1998 p. 110/111 (PC40 15 %, PE22 9 %), Magnetics 2013 p. 3
// (R 7 %, P 5 %, F 6 %), ETD29 sheet 2008 (3C94: 3.0 W of 5.47 cm3, which the fit is 3 % above).
// Points through which a fit was laid carry 1 %. The fits of R, P and F follow the charts of the
// 2013 catalogue, the points here its table; for R the two disagree a little: the fit gives 62.4
// where the table prints 58, 7.7 %, so that point carries 8 %.
func TestFerriteLossAtPublishedPoints(t *testing.T) {
	for _, c := range []struct {
		grade         string
		khz, mt, temp float64
		want, within  float64
	}{
		{"PC40", 100, 200, 100, 410, 0.15}, {"PC40", 25, 200, 100, 70, 0.15},
		{"PE22", 100, 200, 100, 520, 0.09}, {"PE22", 25, 200, 100, 80, 0.09},
		{"PC44", 100, 200, 100, 300, 0.01},
		// TDK summary 1998, page of PC45 and PC46: 250 kW/m3 at 75 and at 45 C, 460 and 660 at 100
		// C
		{"PC45", 100, 200, 75, 250, 0.01}, {"PC45", 100, 200, 100, 460, 0.01},
		{"PC46", 100, 200, 45, 250, 0.01}, {"PC46", 100, 200, 100, 660, 0.01},
		{"R", 100, 100, 100, 58, 0.08},
		{"R", 25, 200, 100, 60, 0.07},
		{"P", 100, 100, 100, 65, 0.05}, {"P", 25, 200, 100, 65, 0.05},
		{"F", 100, 100, 100, 110, 0.06},
		{"F", 25, 200, 100, 90, 0.06},
		{"T", 100, 100, 100, 55, 0.01}, {"T", 25, 200, 100, 70, 0.01},
		{"3C94", 100, 200, 100, 548, 0.035}, {"CF139", 100, 200, 100, 380, 0.01},
		{"CF139", 100, 100, 100, 60, 0.01},
	} {
		near(t, loss(ferrite(t, c.grade), c.khz, c.mt, c.temp), c.want, c.within, c.grade)
	}
}

// The maker's limits for finished ETD29 sets (Ferroxcube ETD29/16/10 sheet, 1 Sep 2008: 0.66 W at
// 25 kHz 200 mT, 0.69 W at 100 kHz 100 mT, 5.47 cm3) are not exceeded by the typical formula of
// 3C90.
func TestFerriteLossBelowTheLimits(t *testing.T) {
	f := ferrite(t, "3C90")
	require.Less(t, loss(f, 25, 200, 100)*5.47e-3, 0.66)
	require.Less(t, loss(f, 100, 100, 100)*5.47e-3, 0.69)
	for _, name := range []string{"3C90", "3C94", "3C30"} {
		g := ferrite(t, name)
		near(t, g.CT0-g.CT1*100+g.CT2*1e4, 1, 1e-9, "temperature factor is normalised at 100 C")
	}
	// arithmetic on the published polynomial
	near(t, f.CT0-f.CT1*25+f.CT2*625, 1.778, 1e-3, "cold start")
}

// The unknown power grade is an envelope: no power grade of the table is lossier at 100 C from 25
// to 130 kHz and 50 to 300 mT inside its own range, and none saturates lower. Grades for above 300
// kHz (N49) and the measured rows at 90 C are no salvage from adapters and are left out.
func TestUnknownPowerIsAnEnvelope(t *testing.T) {
	unknown := ferrite(t, catalog.UnknownPower)
	for _, f := range catalog.Ferrites() {
		if f.Class != "power" || f.K == 0 || f.LossTemp == 90 || f.FrequencyMin > 30e3 {
			continue
		}
		for _, khz := range []float64{30, 50, 65, 100, 130} {
			if khz*1e3 > float64(f.FrequencyMax) {
				continue
			}
			for _, mt := range []float64{50, 100, 150, 200, 300} {
				require.LessOrEqual(t, loss(f, khz, mt, 100), loss(unknown, khz, mt, 100)*1.0001,
					"%s %g kHz %g mT", f.Name, khz, mt)
			}
		}
		if f.Sat100.Known() {
			require.GreaterOrEqual(t, f.Sat100.Value, unknown.Sat100.Value, f.Name)
		}
	}
}

// A second collection (TDK summary p. 110, Magnetics 2013 p. 3, SIFERRIT N87 sheet 2017):
// permeability, flux density in mT at 25 and 100 C, lowest Curie temperature; 0 where it prints
// none. The two agree exactly where both are printed.
func TestFerritesAgainstTheSecondCollection(t *testing.T) {
	for _, c := range []struct {
		grade                 string
		mu, cold, hot, curieC float64
	}{
		{"PC40", 2300, 510, 390, 215}, {"PC44", 2400, 510, 390, 215}, {"H5C2", 10000, 400, 0, 120},
		{"R", 2300, 470, 0, 210}, {"P", 2500, 470, 0, 210}, {"F", 3000, 470, 0, 210},
		{"T", 3000, 530, 0, 220}, {"3C90", 2300, 0, 0, 0},
		{"3C94", 2300, 0, 0, 0},
		{"N87", 2200, 490, 390, 0}, {"PC47", 2500, 530, 420, 230}, {"PC95", 3300, 530, 410, 215},
		{"DMR40", 2300, 510, 390, 215}, {"N97", 2300, 0, 0, 0}, {"3C96", 2000, 0, 0, 0},
	} {
		f := ferrite(t, c.grade)
		require.Equal(t, c.mu, float64(f.Permeability.Value), c.grade)
		if c.cold > 0 {
			near(t, float64(f.Sat25.Value)*1e3, c.cold, 1e-9, c.grade)
		}
		if c.hot > 0 {
			near(t, float64(f.Sat100.Value)*1e3, c.hot, 1e-9, c.grade)
		}
		if c.curieC > 0 {
			require.Equal(t, c.curieC, float64(f.Curie.Value), c.grade)
		}
	}
}

func TestFerriteNames(t *testing.T) {
	for _, typed := range []string{"N87", "n 87", "EPCOS N87", "n-87"} {
		require.Equal(t, "N87", ferrite(t, typed).Name)
	}
	require.Equal(t, "R", ferrite(t, "R material").Name)
	for _, typed := range []string{"", "unknown", "mystery"} {
		f, ok := catalog.FerriteNamed(typed)
		require.False(t, ok, typed)
		require.Equal(t, catalog.UnknownPower, f.Name, typed)
	}
	list := catalog.Ferrites()
	list[0].Name = "changed"
	require.NotEqual(t, "changed", catalog.Ferrites()[0].Name, "the slice is a copy")
}

// Physical bounds of soft ferrite, handbook ranges from memory: permeability 500 to 15000,
// saturation 0.2 to 0.6 T and lower when hot, Curie 100 to 320 C, Steinmetz exponents 0.9 to 1.9
// and 2 to 3.3.
func TestFerritesAreFerrites(t *testing.T) {
	for _, f := range catalog.Ferrites() {
		require.Contains(t, []string{"power", "filter"}, f.Class, f.Name)
		require.True(t, f.Permeability.Known(),
			"%s: what is missing here is assumed for every design on it", f.Name)
		if f.Permeability.Known() {
			require.True(t, f.Permeability.Value >= 500 && f.Permeability.Value <= 15000, f.Name)
		}
		if f.Sat25.Known() && f.Sat100.Known() {
			require.Less(t, f.Sat100.Value, f.Sat25.Value, f.Name)
		}
		for _, s := range []float64{float64(f.Sat25.Or(0.4)), float64(f.Sat100.Or(0.4))} {
			require.True(t, s >= 0.2 && s <= 0.6, f.Name)
		}
		if f.K > 0 {
			require.True(t, f.Alpha > 0.9 && f.Alpha < 1.9 && f.Beta > 2 && f.Beta < 3.3, f.Name)
			require.Less(t, f.FrequencyMin, f.FrequencyMax, f.Name)
			require.NotEqual(t, catalog.Unknown, f.LossBasis, f.Name)
			require.True(t, f.CT1 > 0 || f.LossTemp >= 90 && f.LossTemp <= 100,
				"%s: known at %v C only, used hot", f.Name, f.LossTemp)
			require.True(t, f.FluxMax == 0 || f.FluxMin < f.FluxMax, f.Name)
		}
	}
}
