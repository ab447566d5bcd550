package main

import (
	"fmt"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/substitute/magnetics"
)

// Usual errors of resistance, length and mass typed without one.
const (
	usualOhms   si.Ratio = 0.01
	usualLength si.Ratio = 0.01
	usualMass   si.Ratio = 0.02
)

func (id *identifying) temperature() magnetics.Known[si.Celsius] {
	if r := valueOf[si.Celsius](id, "temperature"); r.given() {
		if r.stated {
			return r.known(0)
		}
		return magnetics.Give[si.Celsius](r.value, 2) // a thermometer beside the wire
	}
	return magnetics.Workbench()
}

func identifyWire(id *identifying) (finding, error) {
	ohms, length, mass := valueOf[si.Resistance](id, "ohms"), valueOf[si.Length](id, "length"),
		valueOf[si.Mass](id, "mass")
	var e magnetics.Estimate[si.Length]
	var err error
	switch {
	case ohms.given() && length.given() && mass.given():
		return finding{}, wrongCall("identify wire", "",
			"two of --ohms, --length and --mass are enough; leave the third out")
	case ohms.given() && length.given():
		e, err = magnetics.WireFromOhms(ohms.known(usualOhms), length.known(usualLength),
			id.temperature())
	case mass.given() && length.given():
		e, err = magnetics.WireFromMass(mass.known(usualMass), length.known(usualLength),
			magnetics.EnamelShare)
	case ohms.given() && mass.given():
		e, err = magnetics.WireFromOhmsAndMass(ohms.known(usualOhms), mass.known(usualMass),
			id.temperature(),
			magnetics.EnamelShare)
	default:
		return finding{}, wrongCall("identify wire", "", "needs two of --ohms, --length and --mass")
	}
	if err != nil {
		return finding{}, err
	}
	f := finding{kind: catalog.KindWire, Figures: []identified{asFigure("copper diameter", e)},
		Shares: e.Shares}
	for _, w := range catalog.Wires() {
		if w.Insulation == "enamelled" && e.Band.Contains(w.Diameter.Value) && len(f.Notes) < 4 {
			f.Notes = append(f.Notes, "may be "+w.Name+", "+si.Text(w.Diameter.Value))
		}
	}
	if len(f.Notes) == 0 {
		f.Notes = append(f.Notes, "no listed size lies in the band: stretched wire, several "+
			"strands, or not copper")
	}
	keeps(&f, "diameter", e)
	return f, nil
}

func identifySpool(id *identifying) (finding, error) {
	ohms, mass := valueOf[si.Resistance](id, "ohms"), valueOf[si.Mass](id, "mass")
	if ohms.given() == mass.given() {
		return finding{}, wrongCall("identify spool", "", "needs --ohms, or --mass and --empty")
	}
	diameter, err := id.spoolDiameter()
	if err != nil {
		return finding{}, err
	}
	var e magnetics.Estimate[si.Length]
	if ohms.given() {
		e, err = magnetics.SpoolFromOhms(ohms.known(usualOhms), diameter, id.temperature())
	} else {
		if err := id.need("empty"); err != nil {
			return finding{}, err
		}
		e, err = magnetics.SpoolFromMass(mass.known(usualMass),
			valueOf[si.Mass](id, "empty").known(usualMass), diameter,
			magnetics.EnamelShare)
	}
	if err != nil {
		return finding{}, err
	}
	sure := float64(e.Band.Low)
	note := fmt.Sprintf("count on %s m, the lower end; that is what --store sets the lot to",
		inventory.FormatCount(inventory.RoundCount(sure)))
	return finding{kind: catalog.KindWire, Figures: []identified{asFigure("wire on the spool", e)},
		Shares: e.Shares,
		Notes:  []string{note}, metres: &sure}, nil
}

// spoolDiameter is --diameter, or that of the wire in the lot of --store.
func (id *identifying) spoolDiameter() (magnetics.Known[si.Length], error) {
	if r := valueOf[si.Length](id, "diameter"); r.given() {
		return r.known(0.01), nil
	}
	if !id.c.IsSet("store") {
		return magnetics.Known[si.Length]{}, id.need("diameter")
	}
	n, err := lotNumber(id.c.String("store"))
	if err != nil {
		return magnetics.Known[si.Length]{}, err
	}
	snapshot, err := id.env.snapshot(id.c)
	if err != nil {
		return magnetics.Known[si.Length]{}, err
	}
	l, ok := snapshot.Lot(n)
	if !ok {
		return magnetics.Known[si.Length]{}, inventory.NoLot{Lot: n}
	}
	w, ok := inventory.Effective(l).(catalog.Wire)
	if !ok {
		return magnetics.Known[si.Length]{},
			wrongCall("--store", id.c.String("store"), "the lot is no wire")
	}
	return magnetics.Within(w.Diameter.Value, 0.01), nil
}

func identifyFilm(id *identifying) (finding, error) {
	var e magnetics.Estimate[si.Length]
	var err error
	if id.c.IsSet("stack") {
		if err := id.need("layers"); err != nil {
			return finding{}, err
		}
		r := valueOf[si.Length](id, "stack")
		stack := magnetics.Give[si.Length](r.value, 0.02e-3)
		if r.stated {
			stack = r.known(0)
		}
		e, err = magnetics.FilmFromStack(stack, id.number("layers"))
	} else {
		e, err = id.filmFromInductance()
	}
	if err != nil {
		return finding{}, err
	}
	f := finding{kind: catalog.KindFilm, Figures: []identified{asFigure("film thickness", e)},
		Shares: e.Shares}
	if e.Error() <= inventory.MaxMeterError {
		keeps(&f, "thickness", e)
	} else {
		f.Notes = append(f.Notes, "too uncertain to be kept")
	}
	return f, nil
}

// filmFromInductance needs the pair, so --store alone does not name it: the lot stored into is the
// film.
func (id *identifying) filmFromInductance() (magnetics.Estimate[si.Length], error) {
	var none magnetics.Estimate[si.Length]
	if err := id.need("before", "after", "turns"); err != nil {
		return none, err
	}
	if !id.c.IsSet("shape") && !id.c.IsSet("core") {
		return none, id.need("shape")
	}
	p, err := id.part()
	if err != nil {
		return none, err
	}
	pair, err := id.pair(p)
	if err != nil {
		return none, err
	}
	mu, err := id.permeability(p)
	if err != nil {
		return none, err
	}
	n := float64(id.number("turns"))
	factor := func(name string) magnetics.Known[si.InductanceFactor] {
		k := valueOf[si.Inductance](id, name).known(id.meter())
		per := func(l si.Inductance) si.InductanceFactor {
			return si.InductanceFactor(float64(l) / (n * n))
		}
		return magnetics.Known[si.InductanceFactor]{Value: per(k.Value),
			Band: si.Interval[si.InductanceFactor]{Low: per(k.Band.Low), High: per(k.Band.High)}}
	}
	return magnetics.IdentifyFilm(pair, factor("before"), factor("after"), mu, id.joint())
}

func identifyInductance(id *identifying) (finding, error) {
	list, err := resonances(id.list("resonance"))
	if err != nil {
		return finding{}, err
	}
	f := finding{kind: catalog.KindChoke}
	var e magnetics.Estimate[si.Inductance]
	if len(list) == 1 {
		stray := magnetics.Give[si.Capacitance](30e-12, 30e-12)
		if r := valueOf[si.Capacitance](id, "stray"); r.given() {
			stray = r.known(0.5)
		}
		e, err = magnetics.ResonanceInductance(list[0].frequency, list[0].capacitor, stray)
	} else {
		if id.c.IsSet("stray") {
			return f, wrongCall("--stray", "", "two resonances tell it; leave it out")
		}
		var two magnetics.TwoCapacitors
		two, err = magnetics.ResonanceWithTwo(list[0].frequency, list[1].frequency,
			list[0].capacitor, list[1].capacitor)
		e = two.Inductance
		f.Notes = append(f.Notes, "winding and leads have about "+si.Text(two.Winding))
	}
	if err != nil {
		return f, err
	}
	if v := list[0].frequency.Value; v < 5e3 || v > 300e3 {
		f.Notes = append(f.Notes, "aim at 10 to 100 kHz with another capacitor")
	}
	f.Figures, f.Shares = []identified{asFigure("inductance", e)}, e.Shares
	keeps(&f, "inductance", e)
	return f, nil
}
