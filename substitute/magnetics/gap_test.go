package magnetics_test

import (
	"encoding/csv"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/catalog/si"
	"sparewright/substitute/magnetics"
	"sparewright/testdata/handbook"
)

// etd29 is the EPCOS/TDK ETD 29/16/10 (B66358, May 2017): le 70.4, Ae 76.0, Amin 71; drawing as
// Magnetics 2013 Catalog pp. 44-45.
func etd29() magnetics.Geometry {
	return magnetics.Geometry{
		Area: mm2(76), AreaMin: mm2(71), Path: mm(70.4), Volume: mm3(5350), RoundLeg: true,
		LegWidth:    mm(9.5),
		WindowWidth: mm(6.6), WindowHeight: mm(22), OverallWidth: mm(29.8), OverallDepth: mm(9.5),
		OverallHeight: mm(31.6),
	}
}

// e65 is EPCOS/TDK E 65/32/27 (B66387, April 2018): le 147, Ae 535; outline from memory of IEC
// 62317-8.
func e65() magnetics.Geometry {
	return magnetics.Geometry{
		Area: mm2(535), Path: mm(147), LegWidth: mm(20), LegDepth: mm(27.4), WindowWidth: mm(12.1),
		WindowHeight: mm(44.4),
	}
}

// ef20 is the pair of the field solutions, from its letters.
func ef20(t testing.TB) magnetics.Geometry {
	g, err := magnetics.GeometryFromOutline(outlineOf("EF", 20, 10, 5.65, 7.2, 14.5, 5.7))
	require.NoError(t, err)
	return g
}

// rm is a pair without centre hole unless least is given (mm2, from memory for the holes 4.4, 5.4
// and 3.05 mm).
func rm(le, ae, leg, window, half, least float64) magnetics.Geometry {
	return magnetics.Geometry{
		Area: mm2(ae), AreaMin: mm2(least), Path: mm(le), RoundLeg: true, LegWidth: mm(leg),
		WindowWidth: mm(window), WindowHeight: mm(2 * half),
	}
}

func rows(t testing.TB, file string) [][]string {
	r := csv.NewReader(strings.NewReader(string(reference(t, file))))
	r.Comment = '#'
	all, err := r.ReadAll()
	require.NoError(t, err)
	return all[1:]
}

func number(t testing.TB, s string) float64 {
	x, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return x
}

func TestFieldSolutionsWithin5Percent(t *testing.T) {
	g := ef20(t)
	n := 0
	for _, r := range rows(t, "fem_al.csv") {
		gap, al := number(t, r[2]), number(t, r[3])
		air := magnetics.Gap{Ground: mm(gap)}
		if r[1] == "shim" {
			air = magnetics.Gap{Shim: mm(gap / 2)}
		}
		got := inNH(magnetics.InductanceFactor(g, 2300, air))
		t.Logf("%s %.1f mm: %.2f nH, field solution %.2f, %+.1f %%", r[1], gap, got, al,
			100*(got/al-1))
		near(t, got, al, 0.05, r)
		near(t, got, al, 0.03, r, "what the comment of Reluctance promises")
		n++
	}
	require.Equal(t, 10, n)
}

// The estimate of the overall size from the legs must not spoil the shim.
func TestShimWithoutOverallSize(t *testing.T) {
	g := ef20(t)
	bare := g
	bare.OverallWidth, bare.OverallDepth, bare.OverallHeight = 0, 0, 0
	for _, shim := range []float64{0.05, 0.1, 0.2, 0.35, 0.5} {
		air := magnetics.Gap{Shim: mm(shim)}
		near(t, inNH(magnetics.InductanceFactor(bare, 2300, air)),
			inNH(magnetics.InductanceFactor(g, 2300, air)), 0.01)
	}
}

// tableBand is the band for a pair whose ungapped AL (nH) the maker prints, at a ground gap in mm
// with its tolerance.
func tableBand(g magnetics.Geometry, mu, ungapped, gap,
	tol float64) si.Interval[si.InductanceFactor] {
	res := magnetics.ResidualFromAL(g, ratio(mu), nH(ungapped))
	ground := si.Interval[si.Length]{Low: mm(max(0, gap-tol)), High: mm(gap + tol)}
	return magnetics.InductanceFactorBand(g, si.Exactly(ratio(mu)), ground,
		si.Interval[si.Length]{}, si.Exactly(res))
}

// tablePair returns geometry, nominal permeability, printed ungapped AL (0 unknown) and gap
// tolerance in mm of a table row. RM: EPCOS data sheets B65807, B65811, B65813 for le and Ae, leg
// and window as Magnetics 2013 Catalog pp. 56-57. E14/3.5/5: le, Ae Ferroxcube 2004, outline from
// memory. Permeabilities: EPCOS materials N27 2000, N87 2200, N41 2800, N48 2300, M33 750;
// Ferroxcube 3C90 2300 (from memory).
func tablePair(t *testing.T, name, material string, gap float64) (g magnetics.Geometry, mu,
	ungapped, tol float64) {
	mu = map[string]float64{"N27": 2000, "N87": 2200, "N41": 2800, "N48": 2300, "M33": 750,
		"3C90": 2300}[material]
	require.NotZero(t, mu, material)
	switch name {
	case "ETD29":
		tol = 0.02
		if gap > 0.3 {
			tol = 0.05
		}
		return etd29(), mu, map[string]float64{"N27": 2000, "N87": 2200}[material], tol
	case "E65/32/27":
		return e65(), mu, map[string]float64{"N27": 7200, "N87": 7900}[material], 0.05
	case "EFD15":
		g = magnetics.Geometry{
			Area: mm2(15), AreaMin: mm2(12.2), OuterArea: mm2(18.6), Path: mm(34),
			LegWidth: mm(5.3), LegDepth: mm(2.4),
			WindowWidth: mm(2.85), WindowHeight: mm(11),
		}
		return g, mu, 780, 0
	case "E14/3.5/5 (planar)":
		g = magnetics.Geometry{
			Area: mm2(14.3), Path: mm(20.7), LegWidth: mm(3), LegDepth: mm(5), WindowWidth: mm(4),
			WindowHeight: mm(4),
		}
		return g, mu, 1280, 0
	case "RM6":
		return rm(28.6, 36.6, 6.25, 3.2, 4.1, 31), mu, 0, 0
	case "RM6 (centre hole)":
		return rm(26.9, 31.3, 6.25, 3.2, 4.1, 23.4), mu, 0, 0
	case "RM8":
		return rm(38, 64, 8.4, 4.45, 5.5, 55), mu,
			map[string]float64{"N41": 4100, "N87": 3300}[material], 0
	case "RM8 (centre hole)":
		return rm(35.1, 52, 8.4, 4.45, 5.5, 40.2), mu, 0, 0
	case "RM10":
		return rm(44, 98, 10.7, 5.475, 6.35, 90), mu,
			map[string]float64{"N41": 5500, "N87": 4200}[material], 0
	case "RM10 (centre hole)":
		return rm(42, 83, 10.7, 5.475, 6.35, 67), mu, 0, 0
	}
	require.Failf(t, "no geometry", "%s", name)
	return
}

func TestBandHoldsEveryPublishedValue(t *testing.T) {
	n := 0
	for _, r := range rows(t, "al_gap.csv") {
		gap, al := number(t, r[2]), number(t, r[3])
		g, mu, ungapped, tol := tablePair(t, r[0], r[1], gap)
		if gap == 0 {
			require.Equal(t, ungapped, al, r)
			continue
		}
		muBand, residual := si.Exactly(ratio(mu)),
			si.Exactly(magnetics.ResidualFromAL(g, ratio(mu), nH(ungapped)))
		if ungapped == 0 { // initial permeability of the grades is +-20 to 25 %
			muBand, residual = si.Around(ratio(mu), 0.2), magnetics.ResidualJointBand()
		}
		ground := si.Interval[si.Length]{Low: mm(max(0, gap-tol)), High: mm(gap + tol)}
		b := magnetics.InductanceFactorBand(g, muBand, ground, si.Interval[si.Length]{}, residual)
		best := inNH(magnetics.InductanceFactor(g, ratio(mu),
			magnetics.Gap{Ground: mm(gap), Residual: residual.Mid()}))
		t.Logf("%-20s %-5s %.2f mm: printed %5.0f, estimate %6.1f (%+.1f %%), band %.0f .. %.0f",
			r[0], r[1], gap, al, best, 100*(best/al-1), inNH(b.Low), inNH(b.High))
		require.True(t, b.Contains(nH(al)), "%v: band %g .. %g nH", r, inNH(b.Low), inNH(b.High))
		n++
	}
	require.Equal(t, 45, n)
}

// Two makers print 315 nH (Ferroxcube) and 250 nH (EPCOS) for EF12.6 at 0.04 mm; the estimate must
// lie between them. Ungapped AL 800 nH: Ferroxcube data sheet E13/7/4, 2008.
func TestBetweenDisagreeingMakers(t *testing.T) {
	g, err := magnetics.GeometryFromOutline(outlineOf("EF", 12.65, 6.4, 3.55, 4.65, 9.2, 3.55))
	require.NoError(t, err)
	residual := magnetics.ResidualFromAL(g, 2300, nH(800))
	al := inNH(magnetics.InductanceFactor(g, 2300,
		magnetics.Gap{Ground: mm(0.04), Residual: residual}))
	require.Greater(t, al, 250.0)
	require.Less(t, al, 315.0)
}

// The makers' own power laws (al_gap_law.csv) over their printed range, against the band at the
// exact gap.
func TestBandHoldsMakersLaws(t *testing.T) {
	for _, r := range rows(t, "al_gap_law.csv") {
		k1, k2, from, to := number(t, r[2]), number(t, r[3]), number(t, r[4]), number(t, r[5])
		for s := from; s <= to*1.0001; s *= 1.2 {
			g, mu, ungapped, _ := tablePair(t, r[0], "N87", s)
			b := tableBand(g, mu, ungapped, s, 0)
			law := k1 * math.Pow(s, k2)
			require.True(t, b.Contains(nH(law)), "%s at %.2f mm: law %.1f, band %.1f .. %.1f", r[0],
				s, law, inNH(b.Low), inNH(b.High))
		}
	}
}

// AN-18 of Power Integrations: the film under all legs is half of the centre gap for the same
// inductance when the areas are equal. The field solutions say 1 % less to 4 % more AL for the
// film.
func TestHalfTheThicknessUnderAllLegs(t *testing.T) {
	g := ef20(t)
	for _, gap := range []float64{0.1, 0.2, 0.4} {
		centre := inNH(magnetics.InductanceFactor(g, 2300, magnetics.Gap{Ground: mm(gap)}))
		shim := inNH(magnetics.InductanceFactor(g, 2300, magnetics.Gap{Shim: mm(gap / 2)}))
		near(t, shim, centre, 0.03, gap)
	}
}

func TestPlainReluctanceWithoutGap(t *testing.T) {
	g := etd29()
	// B66358: N87 AL 2200 nH, mu_e 1610 to 1622 (see D2-02); mu_i 2200: the joint that explains it
	// is about 11 um, what the same maker prints for ETD34 implies.
	residual := magnetics.ResidualFromAL(g, 2200, nH(2200))
	require.InDelta(t, 11.4, float64(residual)*1e6, 0.7)
	near(t, inNH(magnetics.InductanceFactor(g, 2200, magnetics.Gap{Residual: residual})), 2200,
		1e-9)
	near(t, float64(magnetics.PermeabilityFromAL(g, nH(2200), residual)), 2200, 1e-9)
	require.Equal(t, ratio(1), magnetics.Fringing(g, magnetics.Gap{Residual: residual}))
	require.True(t, math.IsInf(float64(magnetics.Reluctance(g, 0, magnetics.Gap{})), 1))
	require.Zero(t, magnetics.ResidualFromAL(g, 2200, nH(9000)),
		"a reading above the ferrite leaves no joint")
	require.True(t, math.IsInf(float64(magnetics.PermeabilityFromAL(g, nH(9000), um(20))), 1))
	// mu0 mu_e/C1 with C1 of IEC 60205, C1 = le/Ae.
	near(t, inNH(magnetics.InductanceFactor(g, 1622, magnetics.Gap{})),
		si.Mu0*1622*76e-6/70.4e-3*1e9, 1e-12)
}

// Published pairs of initial and effective permeability and what joint they imply: N87 RM8 2200,
// 1560 -> 7.1 um (EPCOS B65811); N30 RM8 4300, 2680 -> 5.3 um. They must lie inside the band of the
// joint.
func TestJointOfPublishedPairs(t *testing.T) {
	for _, c := range []struct{ le, ae, muI, muE, joint float64 }{
		{38, 64, 2200, 1560, 7.1}, {38, 64, 4300, 2680, 5.3}, {29.6, 12.4, 2200, 1620, 4.8},
		{78.6, 97.1, 2200, 1670, 11},
	} {
		g := magnetics.Geometry{Path: mm(c.le), Area: mm2(c.ae)}
		al := si.InductanceFactor(si.Mu0 * c.muE * c.ae / c.le * 1e-3)
		got := magnetics.ResidualFromAL(g, ratio(c.muI), al)
		require.InDelta(t, c.joint, float64(got)*1e6, 0.5)
		require.True(t, magnetics.ResidualJointBand().Contains(got-um(0.4)), "%g um",
			float64(got)*1e6)
	}
	require.True(t, magnetics.ResidualJointBand().Contains(magnetics.ResidualJoint))
}

// anyPair draws a pair of the usual proportions, 8 to 65 mm wide, E, round-legged or with a bar.
func anyPair(t *rapid.T) magnetics.Geometry {
	a := rapid.Float64Range(8, 65).Draw(t, "A")
	o := magnetics.Outline{
		Family: rapid.SampledFrom([]string{"E", "EI", "ER", "EFD"}).Draw(t, "family"),
		A:      mm(a), B: mm(a * 0.5), C: mm(a * rapid.Float64Range(0.2, 0.4).Draw(t, "C")),
		D: mm(a * 0.36),
		E: mm(a * 0.72), F: mm(a * rapid.Float64Range(0.2, 0.45).Draw(t, "F")), I: mm(a * 0.15),
		K: mm(a * 0.15),
	}
	g, err := magnetics.GeometryFromOutline(o)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

func anyGap(t *rapid.T) magnetics.Gap {
	length := rapid.Float64Range(0, 3)
	return magnetics.Gap{
		Ground: mm(length.Draw(t, "ground")), Shim: mm(length.Draw(t, "shim") / 2),
		Residual: um(rapid.Float64Range(0, 30).Draw(t, "joint")),
	}
}

func TestInductanceFallsWithEveryGap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g, gap, mu := anyPair(t), anyGap(t), ratio(rapid.Float64Range(500, 10000).Draw(t, "mu"))
		base := magnetics.InductanceFactor(g, mu, gap)
		step := um(rapid.Float64Range(1, 500).Draw(t, "step"))
		for _, wider := range []magnetics.Gap{
			{Ground: gap.Ground + step, Shim: gap.Shim, Residual: gap.Residual},
			{Ground: gap.Ground, Shim: gap.Shim + step, Residual: gap.Residual},
			{Ground: gap.Ground, Shim: gap.Shim, Residual: gap.Residual + step},
		} {
			if !(magnetics.InductanceFactor(g, mu, wider) < base) {
				t.Fatalf("AL does not fall from %+v to %+v", gap, wider)
			}
		}
		if !(magnetics.Fringing(g, gap) >= 1) {
			t.Fatalf("fringing below 1")
		}
		if !(magnetics.InductanceFactor(g, mu*1.1, gap) > base) {
			t.Fatalf("AL does not rise with permeability")
		}
	})
}

func TestBandHoldsEstimate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g, gap, mu := anyPair(t), anyGap(t), ratio(rapid.Float64Range(500, 10000).Draw(t, "mu"))
		tol := ratio(rapid.Float64Range(0, 0.3).Draw(t, "tol"))
		b := magnetics.InductanceFactorBand(g, si.Around(mu, tol), si.Around(gap.Ground, tol),
			si.Around(gap.Shim, tol),
			si.Around(gap.Residual, tol))
		best := magnetics.InductanceFactor(g, mu, gap)
		if !(b.Low < best && best < b.High && b.Low > 0) {
			t.Fatalf("%g not in %g .. %g", inNH(best), inNH(b.Low), inNH(b.High))
		}
	})
}

// The rule of adding the gap to the pole sides has no solution once the plain gap nears a quarter
// of a round pole.
func TestGapBySidesEnds(t *testing.T) {
	leg := magnetics.Geometry{Area: mm2(71), RoundLeg: true, LegWidth: mm(9.5)}
	gap := handbook.GapBySides(leg, 20, uH(30))
	plain := si.Mu0 * 400 * 71e-6 / 30e-6
	near(t, float64(gap), plain*math.Pow(1+float64(gap)/9.5e-3, 2), 1e-9,
		"it solves its own equation")
	require.True(t, math.IsInf(float64(handbook.GapBySides(leg, 20, uH(10))), 1))
}

// Before anything is known but Ae and le the model still works: square leg, no window.
func TestBareMinimumOfGeometry(t *testing.T) {
	g := magnetics.Geometry{Area: mm2(31.6), Path: mm(46.4)}
	got := inNH(magnetics.InductanceFactor(g, 2300, magnetics.Gap{Ground: mm(0.4)}))
	require.Greater(t, got, 96.0, "plain gap: 26 % below the field solution of 130.5 nH")
	near(t, got, 130.5, 0.1)
}

// A bar conducts better at the gap than the pole of a second half, and the outer legs see it as
// well; plain is the floor.
func TestBarGap(t *testing.T) {
	g, err := magnetics.GeometryFromOutline(outlineOf("EI", 25.3, 15.55, 6.75, 12.35, 19, 6.5, 2.7))
	require.NoError(t, err)
	require.True(t, g.Bar)
	pair := g
	pair.Bar = false
	for _, gap := range []magnetics.Gap{{Ground: mm(0.3)}, {Shim: mm(0.15)}} {
		require.Greater(t, magnetics.Fringing(g, gap), ratio(1))
		require.Greater(t, magnetics.Fringing(g, gap), magnetics.Fringing(pair, gap))
		require.Less(t, magnetics.Fringing(g, gap), magnetics.Fringing(pair, gap)*1.4)
		require.Greater(t, magnetics.ModelError(g, gap), ratio(0.149))
	}
}

func BenchmarkInductanceFactor(b *testing.B) {
	g := ef20(b)
	gap := magnetics.Gap{Ground: mm(0.1), Shim: mm(0.1), Residual: um(7)}
	b.ReportAllocs()
	for b.Loop() {
		magnetics.InductanceFactor(g, 2300, gap)
	}
}
