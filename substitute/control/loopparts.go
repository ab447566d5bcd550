package control

import (
	"cmp"
	"slices"

	"sparewright/catalog"
	"sparewright/substitute/seats"
	"sparewright/substitute/stock"
)

// What may be a part of a loop. Common practice, no source.
const (
	LoopCapacityLow = 20e-9 // F
	LoopPieces      = 5     // equal capacitors side by side
	DampingStep     = 1.3   // between values that are tried
)

// dampersOf lists the resistors that may damp a loop, in rising order; of equal ones those on hand
// come before those to buy.
func dampersOf(d *stock.Drawer) []*stock.Stock[catalog.Resistor] {
	var out []*stock.Stock[catalog.Resistor]
	suits := stock.Suits[catalog.Resistor](seats.VoltageDamping, &seats.Circuit{})
	for i := range d.Resistors {
		if suits(&d.Resistors[i]) {
			out = append(out, &d.Resistors[i])
		}
	}
	slices.SortStableFunc(out, func(a, b *stock.Stock[catalog.Resistor]) int {
		return cmp.Compare(a.Part.Resistance.Value, b.Part.Resistance.Value)
	})
	return out
}
