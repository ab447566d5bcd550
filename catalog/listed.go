package catalog

import (
	"math"
	"reflect"
	"slices"
	"strings"
	"unicode"

	"sparewright/catalog/si"
)

// Listed fills a part from the table row of its designation, if there is one and it does not
// contradict the part.
func Listed[P Part](p P) P {
	switch own := any(p).(type) {
	case Switcher:
		return any(listedSwitcher(own)).(P)
	case Clamp:
		return any(listedClamp(own)).(P)
	case Capacitor:
		return any(listedCapacitor(own)).(P)
	}
	return listed(p)
}

// listed is Listed for the kinds without a rule of their own.
func listed[P Part](p P) P {
	row, _, ok := Lookup(p.Kind(), p.Designation())
	if !ok || disagrees(p, row) {
		return p
	}
	return Fill(p, row)
}

// disagrees reports whether a word the part states differs from the table row: then the name means
// another thing.
func disagrees(p, row Part) bool {
	a, b := reflect.ValueOf(p), reflect.ValueOf(row)
	for _, f := range Schema(p.Kind()) {
		if f.Numeric || len(f.Words) == 0 || !f.Required {
			continue
		}
		if mine, theirs := a.Field(f.index).String(), b.Field(f.index).String(); mine != "" &&
			theirs != "" && mine != theirs {
			return true
		}
	}
	return false
}

// Fill copies into p what row knows and p does not, except the fields named in without. Where the
// part states one figure of a lowest, typical, highest row, printed neighbours on the wrong side of
// it stay out.
func Fill[P Part](p P, row Part, without ...string) P {
	v, from := reflect.New(reflect.TypeOf(p)).Elem(), reflect.ValueOf(row)
	v.Set(reflect.ValueOf(p))
	fields := Schema(p.Kind())
	for i := range fields {
		f := &fields[i]
		if slices.Contains(without, f.Name) {
			continue
		}
		if !f.Numeric {
			if v.Field(f.index).Len() == 0 {
				v.Field(f.index).SetString(from.Field(f.index).String())
			}
			continue
		}
		number, basis := figure(from, f)
		if _, mine := figure(v, f); mine == Unknown && basis != Unknown &&
			inOrder(v, fields, f, number) {
			setFigure(v, f, number, basis)
		}
	}
	return v.Interface().(P)
}

// inOrder reports whether a figure to be filled in keeps the order lowest, typical, highest with
// those of the part.
func inOrder(v reflect.Value, fields []Field, f *Field, number float64) bool {
	for _, j := range f.below {
		if low, basis := figure(v, &fields[j]); basis != Unknown && low > number {
			return false
		}
	}
	for _, j := range f.above {
		if high, basis := figure(v, &fields[j]); basis != Unknown && high < number {
			return false
		}
	}
	return true
}

// listedSwitcher fills a switcher from the table. The same number in two packages is two parts: one
// of the named package is taken before the row of the bare number, which has the worse figures of
// all.
func listedSwitcher(p Switcher) Switcher {
	key, pack := bareKey(KindSwitcher, p.Name), packageKey(p.Package)
	if key == "" || pack == "" {
		return listed(p)
	}
	for _, r := range rowsOf(KindSwitcher).rows {
		row := r.part.(Switcher)
		more := r.bare != key && strings.HasPrefix(r.bare, key)
		if more && packageKey(row.Package) == pack && !disagrees(p, row) {
			return Fill(p, row)
		}
	}
	return listed(p)
}

// packageKey is a package as squeezed letters, then its pins: DIP-8 and 8-DIP are the same.
func packageKey(pack string) string {
	pins := strings.Map(func(r rune) rune {
		if r < '0' || r > '9' {
			return -1
		}
		return r
	}, pack)
	letters := strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' {
			return -1
		}
		return r
	}, squeeze(pack))
	return letters + pins
}

// listedClamp fills a suppressor from the table, unless its breakdown voltage lies more than a
// tenth outside the band of the row: then the name, or the voltage, means something else.
func listedClamp(p Clamp) Clamp {
	row, ok := SuppressorNamed(p.Name)
	if !ok {
		return p
	}
	b := p.Breakdown
	if b.Known() && (b.Value < 0.9*row.Lowest() || b.Value > 1.1*row.Highest()) {
		return p
	}
	return Fill(p, row)
}

// listedCapacitor fills an electrolytic capacitor from the table, unless its values are not those
// of the type number. Names that hold no letters of a series, such as 470u 25V, are not looked up:
// most capacitors of a drawer are named so.
func listedCapacitor(p Capacitor) Capacitor {
	if p.Dielectric != "electrolytic" || !strings.ContainsFunc(p.Name, unicode.IsUpper) {
		return p
	}
	row, ok := named[Capacitor](KindCapacitor, p.Name)
	if !ok || p.Capacitance.Known() && offBy(p.Capacitance.Value, row.Capacitance.Value) > 0.25 ||
		p.Volts.Known() && offBy(p.Volts.Value, row.Volts.Value) > 0.01 {
		return p
	}
	return Fill(p, row)
}

// offBy is how far a figure lies from another, as a part of it.
func offBy[Q si.Quantity](q, from Q) float64 { return math.Abs(float64(q)/float64(from) - 1) }

// sameWire is how far two diameters may differ and still be the same size of the table: the nominal
// sizes lie 5 % apart, so half a step less a little.
const sameWire = 0.02

// WireLike finds the table row of the same insulation whose diameter is nearest, within 2 %. Metric
// sizes come first, so an exact metric size wins over a gauge number of nearly the same diameter.
func WireLike(p Wire) (Wire, bool) {
	best, off := Wire{}, math.Inf(1)
	for _, r := range rowsOf(KindWire).rows {
		w := r.part.(Wire)
		if w.Insulation != p.Insulation || !w.Overall.Known() {
			continue
		}
		if d := math.Abs(float64(w.Diameter.Value/p.Diameter.Value) - 1); d < off {
			best, off = w, d
		}
	}
	return best, off <= sameWire
}
