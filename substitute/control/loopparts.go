package control

import (
	"cmp"
	"slices"

	"sparewright/catalog"
	"sparewright/substitute/stock"
)

// What may be a part of a loop. Common practice, no source.
const (
	LoopCapacityLow  = 20e-9 // F
	LoopCapacityHigh = 1e-6
	LoopPieces       = 5 // equal capacitors side by side
	DampingLeast     = 470.0
	DampingMost      = 100e3 // ohm
	DampingStep      = 1.3   // between values that are tried
	LeadLow          = 470e-12
	LeadHigh         = 47e-9
)

// dampersOf lists the resistors that may damp a loop, in rising order.
func dampersOf(d *stock.Drawer) []*stock.Stock[catalog.Resistor] {
	var out []*stock.Stock[catalog.Resistor]
	for i := range d.Resistors {
		p := d.Resistors[i].Part
		if p.Resistance.Value >= DampingLeast && p.Resistance.Value <= DampingMost && p.Type != "fusible" && p.Rating.Value < 1 && !d.Resistors[i].Buy {
			out = append(out, &d.Resistors[i])
		}
	}
	slices.SortStableFunc(out, func(a, b *stock.Stock[catalog.Resistor]) int {
		return cmp.Compare(a.Part.Resistance.Value, b.Part.Resistance.Value)
	})
	return out
}
