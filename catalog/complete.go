package catalog

import (
	"reflect"
	"slices"
)

// Complete fills in what a part does not state and never changes what it does state. In this order:
// figures from the table row of the designation (for cores the shape and the ferrite, for wires the
// diameter), figures that follow from stated ones (marked estimated), and cautious stand-ins
// (marked assumed; their source or "common practice, no source" stands beside each in the code).
// Cautious means towards the failure the figure guards against: assumed ratings and outputs are
// low, assumed tolerances, losses, leakages and thermal resistances are high, the assumed largest
// duty is low (0.6).
//
// A figure that nothing can be said about stays unknown, for example the transfer ratio of an
// unlisted optocoupler. Complete of a completed part is the part itself.
func Complete(p Part) Part {
	switch p := p.(type) {
	case Core:
		return completeCore(p)
	case Wire:
		return completeWire(p)
	case Film:
		return completeFilm(listed(p))
	case Switcher:
		return completeSwitcher(listedSwitcher(p))
	case Rectifier:
		return completeRectifier(listed(p))
	case Bridge:
		return completeBridge(listed(p))
	case Clamp:
		return completeClamp(listedClamp(p))
	case Optocoupler:
		return completeOptocoupler(listed(p))
	case Amplifier:
		return completeAmplifier(listed(p))
	case Reference:
		return completeReference(listed(p))
	case Resistor:
		return completeResistor(p)
	case Trimmer:
		return completeTrimmer(p)
	case Capacitor:
		return completeCapacitor(listedCapacitor(p))
	case Choke:
		return completeChoke(p)
	case LED:
		return completeLED(p)
	case Fuse:
		return completeFuse(p)
	case Thermistor:
		return completeThermistor(p)
	case Zener:
		return completeZener(p)
	case Transformer:
		return completeTransformer(p)
	case Adapter:
		return completeAdapter(p)
	case Controller:
		return listed(p)
	case Transistor:
		return completeTransistor(listed(p))
	}
	return p
}

// listed fills a part from the table row of its designation, if there is one and it does not
// contradict the part.
func listed[P Part](p P) P {
	row, _, ok := Lookup(p.Kind(), p.Designation())
	if !ok || disagrees(p, row) {
		return p
	}
	return fill(p, row)
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

// fill copies into p what row knows and p does not, except the fields named in without. Where the
// part states one figure of a lowest, typical, highest row, printed neighbours on the wrong side of
// it stay out.
func fill[P Part](p P, row Part, without ...string) P {
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
