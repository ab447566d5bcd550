package inventory

import (
	"cmp"
	"math"
	"slices"

	"sparewright/catalog"
	"sparewright/catalog/si"
)

// Bound is what the plate of a donor says of the parts in it: the part in that place was good for
// at least Value. It is no figure of a part before somebody has seen that the part was in that
// place.
type Bound struct {
	Place string       // where in the donor, such as output capacitor
	Side  BoundSide    // of the barrier
	Kind  catalog.Kind // of the part
	Field string       // figure of that kind; empty for the power that passed the transformer
	Value float64      // in the SI base unit of the figure, watts for the transformer
	Why   string

	// the figure itself as it is printed, not only what it is at least: the plate is that of the
	// part
	Printed bool
}

func atLeast(place string, side BoundSide, k catalog.Kind, field string, v float64,
	why string) Bound {
	return Bound{Place: place, Side: side, Kind: k, Field: field, Value: v, Why: why}
}

// BoundSide is the side of the barrier a part lay on.
type BoundSide string

// The sides; the transformer has both.
const (
	MainsSide  BoundSide = "mains"
	OutputSide BoundSide = "output"
	BothSides  BoundSide = "both"
)

// Text writes the bound as a figure with its unit.
func (b Bound) Text() string { return b.dimension().Format(b.Value, 3) }

// Exact writes the bound with as many digits as it holds, as a figure is typed.
func (b Bound) Exact() string { return b.dimension().FormatExact(b.Value) }

// Unit is the unit of Value in ASCII.
func (b Bound) Unit() string { return b.dimension().ASCII }

func (b Bound) dimension() *si.Dimension {
	if f, ok := catalog.FieldNamed(b.Kind, b.Field); ok {
		return f.Dimension()
	}
	return si.DimensionOf[si.Power]()
}

// Bounds lists what parts of the donor were good for, by its plate alone. They hold for any usual
// circuit:
//
//   - The output capacitor holds the whole output voltage.
//   - The output rectifier carries the whole output current on average, because no direct current
//     flows in the capacitor
//     (several in parallel share it), and blocks more than the output voltage: the winding swings
//     to the other sign, or is
//     higher in the first place.
//   - The bulk capacitor is charged to the peak of the highest mains voltage, root 2 times its
//     value; of two settings only
//     the lower counts, because a doubler shares between two capacitors. Bridge and switch block
//     the peak of the higher.
//   - The bridge delivers at least the output power at no more than the peak of the lowest mains
//     voltage.
//   - The fuse carries the input current of the plate and stands the mains voltage, the mains choke
//     carries that current.
//
// Bare transformers (AC output) give the transformer only; equipment fed with direct current has no
// mains side.
func (p Plate) Bounds() []Bound {
	return append(p.outputBounds(), p.mainsBounds()...)
}

func (p Plate) outputBounds() []Bound {
	var out []Bound
	if w := p.passed(); w > 0 {
		out = append(out, atLeast("transformer", BothSides, catalog.KindCore, "", float64(w),
			"passed the output power"))
	}
	for _, o := range p.Outputs {
		if o.AC {
			continue
		}
		out = append(out,
			atLeast("output capacitor", OutputSide, catalog.KindCapacitor, "volts", float64(o.Low),
				"held the output voltage"),
			atLeast("output rectifier", OutputSide, catalog.KindRectifier, "reverse",
				float64(o.Low), "blocked more than the output voltage"))
		if o.Current > 0 {
			out = append(out,
				atLeast("output rectifier", OutputSide, catalog.KindRectifier, "average",
					float64(o.Current), "carried the output current"),
				atLeast("output choke", OutputSide, catalog.KindChoke, "current",
					float64(o.Current), "carried the output current"))
		}
	}
	return out
}

// passed is the power that surely went through the transformer: the printed one when the outputs
// can add up to it, else that of the strongest output, because outputs may be alternatives.
func (p Plate) passed() si.Power {
	var strongest, sum si.Power
	for _, o := range p.Outputs {
		strongest = max(strongest, o.Power())
		sum += o.Power()
	}
	const rounding = 1.05 // plates round watts
	if p.Watts >= strongest && (sum == 0 || p.Watts <= sum*rounding) {
		return p.Watts
	}
	return strongest
}

// bare reports a transformer without rectifier.
func (p Plate) bare() bool {
	return len(p.Outputs) > 0 && !slices.ContainsFunc(p.Outputs,
		func(o PlateOutput) bool { return !o.AC })
}

func (p Plate) mainsBounds() []Bound {
	in := p.Input
	if !in.Mains() {
		return nil
	}
	out := []Bound{atLeast("mains fuse", MainsSide, catalog.KindFuse, "volts", float64(in.High),
		"stood the mains voltage")}
	if in.Current > 0 {
		out = append(out,
			atLeast("mains fuse", MainsSide, catalog.KindFuse, "current", float64(in.Current),
				"carried the input current"),
			atLeast("mains choke", MainsSide, catalog.KindChoke, "current", float64(in.Current),
				"carried the input current"))
	}
	if p.bare() {
		return out
	}
	peak := math.Sqrt2 * float64(in.High)
	capacitor := peak
	if in.Settings {
		capacitor = math.Sqrt2 * float64(in.Low)
	}
	out = append(out,
		atLeast("bulk capacitor", MainsSide, catalog.KindCapacitor, "volts", capacitor,
			"held the peak of the mains"),
		atLeast("mains bridge", MainsSide, catalog.KindBridge, "reverse", peak,
			"blocked the peak of the mains"),
		atLeast("mains switch", MainsSide, catalog.KindSwitcher, "breakdown", peak,
			"blocked the peak of the mains"))
	if w := p.passed(); w > 0 {
		out = append(out, atLeast("mains bridge", MainsSide, catalog.KindBridge, "average",
			float64(w)/(math.Sqrt2*float64(in.Low)), "delivered the output power"))
	}
	return out
}

// asWhole is what the plate says of the parts that bear it whole: the transformer passed the output
// power, if it belongs to a switching supply; of a whole adapter it is the adapter's own plate,
// where that names one output at one voltage. Two mains settings are no range, so that they say
// nothing of the lowest and the highest mains voltage.
func (p Plate) asWhole() []Bound {
	var out []Bound
	if w := p.passed(); w > 0 && !p.bare() {
		out = append(out, atLeast("transformer", BothSides, catalog.KindTransformer, "passed",
			float64(w), "passed the output power"))
	}
	own := func(field string, v float64) {
		out = append(out, Bound{Place: "whole adapter", Side: BothSides, Kind: catalog.KindAdapter,
			Field: field, Value: v,
			Why: "is its own plate", Printed: true})
	}
	if len(p.Outputs) != 1 || p.bare() {
		return out
	}
	if o := p.Outputs[0]; o.Low == o.High && o.Current > 0 {
		own("volts", float64(o.Low))
		own("amps", float64(o.Current))
	}
	if in := p.Input; in.Mains() && !in.Settings {
		own("mains_min", float64(in.Low))
		own("mains_max", float64(in.High))
	}
	return out
}

// For returns the bounds that may stand for a figure of a kind of part on one side, the lowest of
// each figure: of several outputs nobody knows which one the part came from. The current of a fuse
// is left out: to take a fuse for smaller than it may be is no caution.
func (p Plate) For(k catalog.Kind, side BoundSide) []Bound {
	var out []Bound
	for _, b := range append(p.Bounds(), p.asWhole()...) {
		f, known := catalog.FieldNamed(k, b.Field)
		protects := k == catalog.KindFuse && b.Field == "current"
		if b.Kind != k || b.Side != side || !known || !f.Within(b.Value) || protects {
			continue
		}
		i := slices.IndexFunc(out, func(o Bound) bool { return o.Field == b.Field })
		switch {
		case i < 0:
			out = append(out, b)
		case b.Value < out[i].Value:
			out[i] = b
		}
	}
	return out
}

// Offer is a bound that may stand for a figure nobody knows of a lot, if the part was in that
// place.
type Offer struct {
	Lot int64
	Bound
}

// Offers lists, for lots of this donor, the figures that are not known, or known worse than by the
// plate, with what the plate says. Parts named in the tables are left out: there the name says
// more. Nothing is changed.
func (p Plate) Offers(lots []Lot) []Offer {
	var out []Offer
	for _, l := range lots {
		kind := l.Part.Kind()
		if _, _, listed := catalog.Lookup(kind, l.Part.Designation()); listed {
			continue
		}
		for _, b := range p.For(kind, sideOf(l.Part)) {
			if unsure(l, b) && mayHavePassed(l.Part) {
				out = append(out, Offer{l.ID, b})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Offer) int { return cmp.Compare(a.Lot, b.Lot) })
	return out
}

// sideOf is the side of the barrier a part lies on by what it is. An electrolytic for 100 V and
// more is a bulk capacitor, and a standard diode rectifies mains (common practice, no source).
func sideOf(p catalog.Part) BoundSide {
	switch v := p.(type) {
	case catalog.Capacitor:
		if v.Safety != "" || v.Dielectric != "electrolytic" && v.Dielectric != "polymer" {
			return BothSides // across the mains or in a filter: the plate says nothing of it
		}
		if v.Volts.Value >= 100 {
			return MainsSide
		}
		return OutputSide
	case catalog.Rectifier:
		if v.Technology == "standard" {
			return MainsSide
		}
		return OutputSide
	case catalog.Choke:
		if v.Use == "output" {
			return OutputSide
		}
	case catalog.Transformer, catalog.Adapter:
		return BothSides
	}
	return MainsSide
}

// mayHavePassed reports whether the power of the plate says anything of a transformer: a flyback
// kept it in its gap, others pass power on without.
func mayHavePassed(p catalog.Part) bool {
	t, is := p.(catalog.Transformer)
	return !is || t.Topology == "flyback"
}

// unsure reports whether a lot does not state the figure of a bound, or only as an estimate below
// it.
func unsure(l Lot, b Bound) bool {
	for _, v := range catalog.Describe(Effective(l)).Values {
		if v.Field == b.Field {
			return v.Basis < catalog.Published && v.Number < b.Value
		}
	}
	return true
}
