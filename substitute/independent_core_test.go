package substitute_test

import (
	"math"

	"sparewright/catalog"
)

func auditCore(a audit) {
	b, f := a.build, a.figures()
	p := f.core
	agrees(a, b.Core.Area, p.Area.Value, exact, "effective area")
	agrees(a, b.Core.AreaMin, p.AreaMin.Or(p.Area.Value), exact, "smallest section")
	agrees(a, b.Core.Path, p.Path.Value, exact, "path")
	agrees(a, b.Core.Volume, p.Volume.Value, exact, "volume")
	limit, mu := a.ferrite(p)
	agrees(a, b.Core.FluxLimit, limit, exact, "flux limit")
	agrees(a, b.Core.Permeability, mu, exact, "initial permeability")
	a.gap()
}

// ferrite is the flux limit, 80 % of the saturation at 100 degC and 0.33 T at most, held to 0.25 T
// where that is from memory or the grade is not known, and the permeability.
func (a audit) ferrite(p catalog.Core) (limit, mu float64) {
	row, known := catalog.FerriteNamed(p.Ferrite)
	known = known && row.Name != catalog.UnknownPower && row.Name != catalog.UnknownFilter
	limit, mu = 0.25, float64(row.Permeability.Or(2200))
	switch {
	case p.Saturation.Basis == catalog.Measured:
		limit = 0.8 * float64(p.Saturation.Value)
	case known && row.Sat100.Known():
		limit = 0.8 * float64(row.Sat100.Value)
		if !row.Sat100.Firm() {
			limit = min(limit, 0.25)
		}
	}
	if p.Permeability.Basis == catalog.Measured || p.Permeability.Known() && !known {
		mu = float64(p.Permeability.Value)
	}
	return min(limit, 0.33), mu
}

// gap: the stack is whole layers of films that may lie in a gap, none thinner in all than 0.051 mm
// (AN-18 p. 12).
func (a audit) gap() {
	g := a.build.Gap
	sum, layers := 0.0, 0
	for _, l := range g.Layers {
		for _, u := range a.uses("shim") {
			film, is := a.part(u).(catalog.Film)
			a.isTrue(is && (film.Shim == "yes" || u.Source == "buy" && film.Form == "sheet"),
				"%s is no film for a gap", u.Designation)
		}
		sum += float64(l.Thickness) * float64(l.Count)
		layers += l.Count
	}
	agrees(a, g.Shim, sum, exact, "shim")
	a.isTrue(layers <= 3, "%d films spring", layers)
	if layers > 0 {
		judged(a, "shim thickness", sum, 51e-6, exact)
	}
	method := map[[2]bool]string{{false, false}: "as-found", {false, true}: "as-found",
		{true, false}: "shim-all-legs",
		{true, true}:  "as-found-plus-shim"}[[2]bool{layers > 0, g.Ground > 0}]
	a.isTrue(g.Method == method, "method %q, it is %q", g.Method, method)
}

// auditInductance holds the printed band against another model: core, joint and one gap as long as
// all gaps on the path together, with the fringing factor F = 1 + (g/sqrt A) ln(2 G/g), G the
// window height (W. T. McLyman, Transformer and Inductor Design Handbook, 3rd ed., ch. 8, from
// memory). On 3-D field solutions of an EF20-like pair this model is 3 to 11 % low; the band is the
// tolerance.
func auditInductance(a audit) {
	b, f := a.build, a.figures()
	t, p := b.Transformer, f.core
	a.isTrue(t.InductanceLow < t.Inductance && t.Inductance < t.InductanceHigh,
		"inductance %g outside its band",
		float64(t.Inductance))
	window := 2 * float64(p.D.Value)
	if p.Family == "EI" {
		window = float64(p.D.Value)
	}
	if !p.D.Known() {
		window = float64(p.WindowHeight.Value)
	}
	r := reluctance{area: float64(p.Area.Value), path: float64(p.Path.Value),
		mu: float64(b.Core.Permeability), window: window}
	// two lapped joints in series, 4 to 11 um by published pairs of mu_i and mu_e
	ground, joint := 0.0, 7e-6
	if p.Gap.Known() {
		ground = float64(p.Gap.Value)
	}
	if p.AL.Basis == catalog.Measured {
		if ground == 0 && p.Gap.Known() {
			joint = max(0, 4e-7*math.Pi*r.area/float64(p.AL.Value)-r.path/r.mu)
		} else {
			ground = r.gapOf(float64(p.AL.Value), joint)
		}
	}
	turns := float64(t.PrimaryTurns)
	l := turns * turns * r.al(ground+2*float64(b.Gap.Shim), joint)
	between(a, l, t.InductanceLow, t.InductanceHigh,
		"inductance by the handbook's fringing factor, held against the printed band")
}

type reluctance struct{ area, path, mu, window float64 }

// al is the inductance of one turn with a gap and a joint.
func (r reluctance) al(gap, joint float64) float64 {
	fringing := 1.0
	if gap > 0 {
		fringing = 1 + gap/math.Sqrt(r.area)*math.Log(2*r.window/gap)
	}
	return 4e-7 * math.Pi * r.area / (r.path/r.mu + joint + gap/fringing)
}

// gapOf is the gap that explains an inductance factor, found by halving.
func (r reluctance) gapOf(al, joint float64) float64 {
	low, high := 0.0, 5e-3
	for range 60 {
		if mid := (low + high) / 2; r.al(mid, joint) > al {
			low = mid
		} else {
			high = mid
		}
	}
	return high
}
