package inventory

import (
	"cmp"
	"slices"

	"sparewright/catalog"
	"sparewright/catalog/si"
)

// Meter errors that are believable, and the one taken when a reading is given without any. 1 % is
// what a plain hand-held multimeter reaches with its last-digit error; common practice, no source.
const (
	MinMeterError     = 1e-6
	MaxMeterError     = 0.5
	DefaultMeterError = 0.01
)

func sortedReadings(ms []Measurement) []Measurement {
	return slices.SortedStableFunc(slices.Values(ms),
		func(a, b Measurement) int { return cmp.Compare(a.Field, b.Field) })
}

// Effective returns the part of a lot with what was measured in place of what was printed. Where a
// measured figure has a tolerance or a spread of its own, that becomes the error of the meter: a
// resistor read as 4.683 k within 0.2 % is a 0.2 % resistor of 4.683 k. A reading that does not fit
// the part is left out; Validate reports it.
func Effective(l Lot) catalog.Part {
	p := l.Part
	for _, m := range sortedReadings(l.Measured) {
		if q, err := catalog.WithMeasured(p, m.Field, m.Value); err == nil {
			p = narrowed(q, m)
		}
	}
	return p
}

// narrowed replaces the spread of the figure that was measured.
func narrowed(p catalog.Part, m Measurement) catalog.Part {
	spread := catalog.Datum[si.Ratio]{Value: si.Ratio(m.Error), Basis: catalog.Measured}
	switch v := p.(type) {
	case catalog.Resistor:
		if m.Field == "resistance" {
			v.Tolerance = spread
		}
		return v
	case catalog.Trimmer:
		if m.Field == "resistance" {
			v.Tolerance = spread
		}
		return v
	case catalog.Capacitor:
		if m.Field == "capacitance" {
			v.Tolerance = spread
		}
		return v
	case catalog.Clamp:
		if m.Field == "breakdown" {
			v.Tolerance = spread
		}
		return v
	case catalog.Zener:
		if m.Field == "voltage" {
			v.Tolerance = spread
		}
		return v
	case catalog.Transformer:
		switch m.Field { // the worst reading of each sort counts for all of that sort
		case "inductance", "secondary", "bias":
			v.Meter = wider(v.Meter, spread)
		case "ratio", "bias_ratio", "primary_turns":
			v.Scope = wider(v.Scope, spread)
		}
		return v
	case catalog.Film:
		if m.Field == "thickness" {
			v.ThicknessMin, v.ThicknessMax = ends(v.Thickness, m.Error)
		}
		return v
	case catalog.Reference:
		if m.Field == "vref" {
			v.VrefMin, v.VrefMax = ends(v.Vref, m.Error)
		}
		return v
	case catalog.Amplifier:
		if m.Field == "vref" {
			v.VrefMin, v.VrefMax = ends(v.Vref, m.Error)
		}
		return v
	}
	return p
}

func ends[Q si.Quantity](d catalog.Datum[Q], e float64) (low, high catalog.Datum[Q]) {
	low = catalog.Datum[Q]{Value: Q(float64(d.Value) * (1 - e)), Basis: catalog.Measured}
	high = catalog.Datum[Q]{Value: Q(float64(d.Value) * (1 + e)), Basis: catalog.Measured}
	return low, high
}

// wider is the larger of two errors; only one that was measured stands beside a reading.
func wider(a, b catalog.Datum[si.Ratio]) catalog.Datum[si.Ratio] {
	if a.Basis == catalog.Measured && a.Value > b.Value {
		return a
	}
	return b
}
