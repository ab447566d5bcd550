package magnetics_test

import (
	"fmt"
	"math"
	"testing"

	"sparewright/catalog/si"
	"sparewright/substitute/magnetics"
	"sparewright/testdata/handbook"
)

func mm(x float64) si.Length             { return si.Length(x * 1e-3) }
func um(x float64) si.Length             { return si.Length(x * 1e-6) }
func cm(x float64) si.Length             { return si.Length(x * 1e-2) }
func mm2(x float64) si.Area              { return si.Area(x * 1e-6) }
func cm2(x float64) si.Area              { return si.Area(x * 1e-4) }
func mm3(x float64) si.Volume            { return si.Volume(x * 1e-9) }
func cm3(x float64) si.Volume            { return si.Volume(x * 1e-6) }
func nH(x float64) si.InductanceFactor   { return si.InductanceFactor(x * 1e-9) }
func uH(x float64) si.Inductance         { return si.Inductance(x * 1e-6) }
func amp(x float64) si.Current           { return si.Current(x) }
func tesla(x float64) si.FluxDensity     { return si.FluxDensity(x) }
func kHz(x float64) si.Frequency         { return si.Frequency(x * 1e3) }
func ratio(x float64) si.Ratio           { return si.Ratio(x) }
func inMM(x si.Length) float64           { return float64(x) * 1e3 }
func inNH(x si.InductanceFactor) float64 { return float64(x) * 1e9 }

// documentCopper scales a resistance of ours from IEC copper at 100 degC (2.266e-8) to the 2.3e-8
// ohm m that SLUP127 uses.
func documentCopper(r si.Resistance, rhoOhmCm float64) float64 {
	return float64(r) * rhoOhmCm * 1e-2 / si.CopperResistivity(100)
}

// foil is the diameter of the round wire with the section of a foil.
func foil(area si.Area) si.Length { return si.Length(math.Sqrt(4 / math.Pi * float64(area))) }

func ac(t magnetics.Trapezoid) float64 {
	return math.Sqrt(float64(t.RMS()*t.RMS() - t.Mean()*t.Mean()))
}

const (
	stage   = "power stage, not magnetics"
	product = "product of two printed figures"
	author  = "the author rounds freely: no formula behind it"
)

// flybackETD34 is D1-01. Where the document goes on with rounded figures (Ds 0.462, 14.7 A) so does
// the test.
func flybackETD34(t *testing.T, e example) map[string]verdict {
	secondary := magnetics.Trapezoid{Valley: amp(10 / 0.462), Peak: amp(10 / 0.462), Share: 0.462}
	primary := magnetics.Trapezoid{Valley: amp(10 / 0.462 / 5),
		Peak: amp(10 / 0.462 / 5), Share: 0.538}
	ls, ae := uH(e.in(t, "secondary inductance")), cm2(e.in(t, "Ae (ETD34)"))
	ns := magnetics.TurnsForFlux(ls, amp(5), tesla(0.06), ae)
	leg := magnetics.Geometry{Area: ae, RoundLeg: true, LegWidth: cm(1.08), Path: mm(78.6)}
	strip := foil(cm2(e.in(t, "secondary strip width") * e.in(t, "secondary strip thickness")))
	rdc := documentCopper(magnetics.WireResistance(6*cm(6.1), strip, 1, 100), 2.3e-6)
	litz := magnetics.EquivalentThickness(cm(0.0081), ratio(0.0081/0.0125))
	rdcPrimary := 0.00031 * 30 * e.in(t, "MLT")
	// a loss density read off a chart: K alone, in W/m3
	chart := magnetics.Steinmetz{K: 2.6e3, Temp: 100}
	return map[string]verdict{
		"turns ratio n": elsewhere(stage), "Dp at 24 V": elsewhere(stage),
		"Ds at 24 V": elsewhere(stage),
		"dBmax": digit(
			float64(magnetics.FluxDensity(uH(6.8), amp(5), 6, ae))),
		"secondary average peak Ispa": digit(float64(secondary.Peak)),
		"secondary rms":               digit(float64(secondary.RMS())),
		"secondary ac": rounded(ac(secondary), 0.003,
			"printed from 14.7 A, itself rounded by 0.1 %; doubled by the difference of squares"),
		"primary average peak": digit(float64(primary.Peak)),
		"primary dc":           digit(float64(primary.Mean())),
		"primary rms":          digit(float64(primary.RMS())),
		"primary ac":           digit(ac(primary)),
		"primary peak limit":   elsewhere(stage),
		"area product required": elsewhere("no area product in this program: every core in " +
			"the drawer is computed"),
		"loss limit": elsewhere("rise over thermal resistance"),
		"core loss": digit(1e3 *
			float64(coreLoss(chart, cm3(7.64), kHz(100), tesla(0.03), 100))),
		"Ns before rounding": digit(ns),
		"Np":                 exactly(5 * math.Ceil(ns)),
		"gap length": off(100*float64(handbook.GapBySides(leg, 6, ls)),
			"with N = 6 the printed equation gives 0.0736 cm; the substitution line shows 5^2; "+
				"neither is 0.080"),
		"current density secondary": elsewhere(author),
		"secondary Rdc":             digit(rdc),
		"secondary Rac": digit(rdc *
			float64(magnetics.LayerFactor(0.015/0.024, 6))),
		"primary Rdc": digit(rdcPrimary),
		"primary Rac": off(rdcPrimary*float64(magnetics.LayerFactor(0.225, 36)),
			"F_R 1.6 read off the chart; Dowell gives 1.37"),
		"litz effective layer thickness": digit(100 * float64(litz)),
		// the document rounds the constant to 0.83
		"Q of litz layer": digit(float64(litz/cm(0.024)) * 0.83 / math.Pow(math.Pi/4, 0.75)),
		"P secondary dc":  digit(100 * rdc),
		"P secondary ac":  elsewhere(product),
		"P primary dc": off(float64(primary.Mean()*primary.Mean())*rdcPrimary,
			"the source squares 2 A, not 2.33 A"),
		"P primary ac":       elsewhere(product),
		"total winding loss": elsewhere("sum of printed figures"), "Lp": elsewhere(stage),
	}
}

func chokeETD34(t *testing.T, e example) map[string]verdict {
	l, ae := uH(e.in(t, "L")), cm2(e.in(t, "Ae"))
	ripple := magnetics.Trapezoid{Valley: 0, Peak: amp(e.in(t, "ripple pk-pk")), Share: 1}
	leg := magnetics.Geometry{Area: ae, RoundLeg: true, LegWidth: cm(e.in(t, "pole diameter")),
		Path: mm(78.6)}
	rdc := documentCopper(magnetics.WireResistance(cm(30.9), foil(cm2(e.in(t, "foil area"))), 1,
		100), e.in(t, "rho Cu"))
	return map[string]verdict{
		"dB":                elsewhere("Bmax scaled by two printed currents"),
		"area product":      elsewhere("no area product in this program"),
		"N before rounding": digit(magnetics.TurnsForFlux(l, ripple.Peak, tesla(0.046), ae)),
		"gap":               digit(100 * float64(handbook.GapBySides(leg, 5, l))),
		"core loss":         elsewhere("loss density read off a chart, not printed"),
		"Rdc":               digit(rdc),
		"dc loss":           digit(2500 * rdc),
		"ripple rms":        digit(ac(ripple)),
		"ac loss":           digit(ac(ripple) * ac(ripple) * 0.035),
		"loss limit":        elsewhere("rise over thermal resistance"),
	}
}

const roundedInputs = "Ae printed as 76 without decimals (0.66 %), le to 0.1 mm (0.07 %)"

func gapETD29(t *testing.T, e example) map[string]verdict {
	g := etd29()
	mu := func(al float64) verdict {
		return rounded(float64(magnetics.EffectivePermeability(g, nH(al))), 0.0073, roundedInputs)
	}
	v := map[string]verdict{
		"Ve from le*Ae":     elsewhere("the source's own consistency"),
		"sum l/A":           digit(float64(g.Path) / float64(g.Area) * 1e-3),
		"mu_e ungapped N27": mu(2000), "mu_e ungapped N87": mu(2200),
	}
	for _, row := range []struct{ gap, tol, al float64 }{{0.1, 0.02, 621}, {0.2, 0.02, 383},
		{0.5, 0.05, 201}, {1, 0.05, 124}} {
		v[fmt.Sprintf("mu_e at s = %.2f mm", row.gap)] = mu(row.al)
		b := tableBand(g, 2200, 2200, row.gap, row.tol)
		v[fmt.Sprintf("AL at s = %.2f mm", row.gap)] = inBand(inNH(b.Low), inNH(b.High),
			"gap tolerance as printed")
	}
	return v
}

func gapE14E65(t *testing.T, e example) map[string]verdict {
	c1 := e.in(t, "E14 C1") // the printed C1; le/Ae is 1.448 from rounded figures
	e14 := magnetics.Geometry{Path: mm(c1), Area: mm2(1)}
	e65 := magnetics.Geometry{Path: mm(e.in(t, "E65 le")), Area: mm2(e.in(t, "E65 Ae"))}
	mu := func(g magnetics.Geometry, al float64) float64 {
		return float64(magnetics.EffectivePermeability(g, nH(al)))
	}
	return map[string]verdict{
		"E14 mu_e for AL 63": digit(mu(e14, 63)), "E14 mu_e for AL 100": digit(mu(e14, 100)),
		"E14 mu_e for AL 160": digit(mu(e14, 160)),
		"E65 mu_e at 0.5 mm":  digit(mu(e65, 1214)), "E65 mu_e at 1.0 mm": digit(mu(e65, 716)),
		"E65 mu_e at 1.5 mm": digit(mu(e65, 526)),
		"E65 mu_e at 2.5 mm": off(mu(e65, 360), "maker rounds 78.7 to 80, two figures"),
		"E65 mu_e at 4.0 mm": digit(mu(e65, 230)),
		"E65 Ve":             elsewhere("the source's own consistency"),
		"E65 sum l/A":        digit(float64(e65.Path) / float64(e65.Area) * 1e-3),
	}
}

func flybackEPC17(t *testing.T, e example) map[string]verdict {
	// The book carries L as 27 uH and the peak as 4.6 A; the gap comes from 27.3 uH (printed) and
	// 4.6 A.
	b := tesla(e.in(t, "Bmax") * 1e-4)
	return map[string]verdict{
		"Ipk": elsewhere(stage), "Iin nominal": elsewhere(stage), "Iin low line": elsewhere(stage),
		"Lpri": elsewhere(stage),
		"gap": digit(100 * float64(handbook.GapForEnergy(uH(27), amp(4.6), b,
			cm2(e.in(t, "Ac"))))),
		"Npri": digit(magnetics.TurnsForInductance(uH(27), nH(e.in(t, "AL")))),
	}
}

func chokeTurns(t *testing.T, e example) map[string]verdict {
	v := map[string]verdict{
		"t_off": elsewhere(stage), "f_min": elsewhere(stage), "L": elsewhere(stage),
		"C": elsewhere(stage), "ESR max": elsewhere(stage),
		"max ampere-turns": elsewhere("0.8 H le, printed figures only"),
	}
	for _, al := range e.inList(t, "AL candidates") { // mH per 1000 turns are nH
		v[fmt.Sprintf("turns at AL %g (rounded up)", al)] =
			exactly(math.Ceil(magnetics.TurnsForInductance(uH(107), nH(al))))
	}
	return v
}
