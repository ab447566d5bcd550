package stock

import (
	"sparewright/substitute/regulation/resistors"
)

// Piece is the i-th resistor of the drawer as the network design sees it; its lot is its place in
// the drawer, from 1.
func (d *Drawer) Piece(i int) resistors.Piece {
	p := d.Resistors[i].Part
	return resistors.Piece{Lot: int64(i + 1), Ohm: p.Resistance.Value, Tolerance: p.Tolerance.Value,
		Count: int(d.Resistors[i].Count + 1e-9), Power: p.Rating.Value, Volts: p.Volts.Value,
		Drift: p.Drift.Value}
}
