package magnetics_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog/si"
	"sparewright/substitute/magnetics"
)

func outlineOf(family string, d ...float64) magnetics.Outline {
	o := magnetics.Outline{Family: family, A: mm(d[0]), B: mm(d[1]), C: mm(d[2]), D: mm(d[3]),
		E: mm(d[4]), F: mm(d[5])}
	if len(d) > 6 {
		o.I, o.K = mm(d[6]), mm(d[6])
	}
	return o
}

func effective(t *testing.T, o magnetics.Outline) [3]float64 {
	e, err := magnetics.FromOutline(o)
	require.NoError(t, err)
	return [3]float64{float64(e.Path) * 1e3, float64(e.Area) * 1e6, float64(e.Volume) * 1e9}
}

// drawingSpread is how far le (mm), Ae (mm2) and Ve (mm3) move when every letter moves by half of
// the last digit that drawings are printed with, 0.05 mm, each in its worse direction.
func drawingSpread(t *testing.T, o magnetics.Outline) [3]float64 {
	base := effective(t, o)
	var sum [3]float64
	for _, letter := range []*si.Length{&o.A, &o.B, &o.C, &o.D, &o.E, &o.F} {
		kept := *letter
		*letter = kept + mm(0.05)
		moved := effective(t, o)
		*letter = kept
		for i := range sum {
			sum[i] += math.Abs(moved[i] - base[i])
		}
	}
	return sum
}

// outlines is D3-01.
func outlines(t *testing.T, e example) map[string]verdict {
	v := map[string]verdict{}
	for _, core := range []string{"E19/8/5", "E25/13/7", "E25/13/11", "E31/15/7"} {
		o := outlineOf("E", e.inList(t, core+" A,B,C,D,E,F (mean of tolerance)")...)
		got, spread := effective(t, o), drawingSpread(t, o)
		for i, name := range []string{" le", " Ae", " Ve"} {
			v[core+name] = verdict{value: got[i], extra: spread[i], how: "digit",
				why: "letters known to 0.05 mm"}
			if core == "E31/15/7" && i != 1 {
				v[core+name] = off(got[i],
					"the columns L and M of the same catalogue line contradict its A, E and F")
			}
		}
	}
	return v
}

func consistency(t *testing.T, e example) map[string]verdict {
	v := map[string]verdict{}
	const own = "the source's own consistency: le times Ae"
	for _, name := range []string{"Ferroxcube ETD29", "EPCOS ETD29", "Magnetics ETD34",
		"Magnetics ETD39", "Magnetics E19/8/5"} {
		v[name+" Ve"] = elsewhere(own)
	}
	g := magnetics.Geometry{Path: mm(e.in(t, "Ferroxcube ETD29 le")),
		Area: mm2(e.in(t, "Ferroxcube ETD29 Ae"))}
	v["Ferroxcube ETD29 C1"] = digit(float64(g.Path) / float64(g.Area) * 1e-3)
	// the source goes on with its printed C1
	g = magnetics.Geometry{Path: mm(e.in(t, "Ferroxcube ETD29 C1")), Area: mm2(1)}
	mu := func(al float64) float64 { return float64(magnetics.EffectivePermeability(g, nH(al))) }
	v["Ferroxcube ETD29 mu_e for AL 2350"] = digit(mu(2350))
	const three = "mu_e printed with three figures, AL in steps of 10 nH"
	v["Ferroxcube ETD29 mu_e for AL 2860"] = rounded(mu(2860), 5.0/2860+5.0/2160, three)
	v["Ferroxcube ETD29 mu_e for AL 2200"] = rounded(mu(2200), 5.0/2200+5.0/1660, three)
	return v
}

// Printed effective parameters against the outline. Letters: Magnetics (Spang), Ferrite Cores 2013
// Catalog, pp. 24-25, 40-45; EF12.6: Ferroxcube data sheet E13/7/4, 2008; ETD34: EPCOS/TDK B66361,
// May 2017; EFD20: Ferroxcube data sheet EFD20/10/7, 2008; EI: TDK, E cores EI/EE/EF/EER/ETD, April
// 2011, p. 2, where E is a minimum: the true E lies some 0.3 mm above (common practice, no source).
// The shape clauses for ER and EFD were not at hand: dividing these shapes plainly comes out up to
// 1.5 % (ER) and 2 % (EFD) short in le.
func TestOutlineAgainstPrintedParameters(t *testing.T) {
	for _, c := range []struct {
		name         string
		o            magnetics.Outline
		le, ae, amin float64
		eMinimum     bool
	}{
		{"EF12.6", outlineOf("EF", 12.65, 6.4, 3.55, 4.65, 9.2, 3.55), 29.7, 12.4, 12.2, false},
		{"EF25", outlineOf("EF", 25.05, 12.6, 7.2, 9.0, 17.95, 7.25), 57.8, 51.8, 51.8, false},
		{"ETD29 EPCOS", outlineOf("ETD", 29.8, 15.8, 9.5, 11.0, 22.7, 9.5), 70.4, 76.0, 71.0,
			false},
		{"ETD34", outlineOf("ETD", 34.2, 17.3, 10.8, 12.1, 26.3, 10.8), 78.6, 97.1, 91.6, false},
		{"ETD39", outlineOf("ETD", 39.1, 19.8, 12.5, 14.6, 30.1, 12.5), 92.2, 125, 123, false},
		{"ER28", outlineOf("ER", 28.55, 14.0, 11.4, 9.75, 21.75, 9.9), 64.0, 81.4, 77.0, false},
		{"EER35", outlineOf("EER", 35.0, 20.7, 11.4, 14.75, 26.15, 11.3), 90.8, 107, 100, false},
		{"EFD15", outlineOf("EFD", 15.0, 7.5, 4.65, 5.5, 11.0, 5.3, 2.4), 34.0, 15.0, 12.2, false},
		{"EFD20", outlineOf("EFD", 20.0, 10.0, 6.65, 7.7, 15.4, 8.9, 3.6), 47.0, 31.0, 0, false},
		{"EFD30", outlineOf("EFD", 30.0, 15.0, 9.1, 11.2, 22.4, 14.6, 4.9), 68.0, 69.0, 0, false},
		{"EI16", outlineOf("EI", 16.0, 12.2, 4.8, 10.2, 11.6, 4.0, 2.0), 34.6, 19.8, 0, true},
		{"EI22", outlineOf("EI", 22.0, 14.55, 5.75, 10.55, 13.0, 5.75, 4.5), 39.3, 42.0, 0, true},
		{"EI28", outlineOf("EI", 28.0, 16.75, 10.6, 12.25, 18.4, 7.2, 3.5), 48.2, 86.0, 0, true},
		{"EI30", outlineOf("EI", 30.0, 21.25, 10.7, 16.25, 19.7, 10.7, 5.5), 58.0, 111, 0, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, spread := effective(t, c.o), drawingSpread(t, c.o)
			printed := [2]float64{c.le, c.ae}
			for i := range printed {
				allowed := spread[i] + 0.005*printed[i] // printed with three figures
				allowed += map[string]float64{"ER": 0.010, "EER": 0.010, "EFD": 0.015}[c.o.Family] *
					printed[i]
				if c.eMinimum {
					wide := c.o
					wide.E += mm(0.3)
					allowed += math.Abs(effective(t, wide)[i] - got[i])
				}
				require.InDelta(t, printed[i], got[i], allowed)
				require.Less(t, allowed, 0.07*printed[i], "the allowance must stay a test")
			}
			if c.amin > 0 && c.name != "EFD15" && c.name != "EF25" {
				e, err := magnetics.FromOutline(c.o)
				require.NoError(t, err)
				near(t, float64(e.AreaMin)*1e6, c.amin, 0.035, "smallest section")
			}
		})
	}
}

func TestOutlineRefusals(t *testing.T) {
	good := []float64{25.05, 12.6, 7.2, 9.0, 17.95, 7.25}
	for _, family := range []string{"EPC", "PQ", "RM", "toroid", ""} {
		_, err := magnetics.FromOutline(outlineOf(family, good...))
		require.ErrorContains(t, err, "no formula for this family", family)
	}
	_, err := magnetics.FromOutline(outlineOf("EI", good...))
	require.ErrorContains(t, err, "thickness I")
	_, err = magnetics.FromOutline(outlineOf("EFD", good...))
	require.ErrorContains(t, err, "thickness K")
	_, err = magnetics.FromOutline(outlineOf("E", 10, 12.6, 7.2, 9.0, 17.95, 7.25))
	require.ErrorContains(t, err, "A > E > F")
	_, err = magnetics.FromOutline(outlineOf("E", 25.05, 8, 7.2, 9.0, 17.95, 7.25))
	require.ErrorContains(t, err, "B > D")
	_, err = magnetics.FromOutline(outlineOf("ETD", 25.05, 12.6, 18, 9.0, 17.95, 7.25))
	require.ErrorContains(t, err, "C < E")
	_, err = magnetics.GeometryFromOutline(outlineOf("E", math.NaN(), 12.6, 7.2, 9.0, 17.95, 7.25))
	require.Error(t, err)
}
