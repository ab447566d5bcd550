package stock

import (
	"sparewright/substitute/regulation/resistors"
)

// Piece is the i-th resistor of the drawer as the network design sees it; its lot is its place in the drawer, from 1.
func (d *Drawer) Piece(i int) resistors.Piece {
	p := d.Resistors[i].Part
	return resistors.Piece{Lot: int64(i + 1), Ohm: p.Resistance.Value, Tolerance: p.Tolerance.Or(0.05),
		Count: int(d.Resistors[i].Count + 1e-9), Power: p.Rating.Or(0.25), Volts: p.Volts.Or(200), Drift: p.Drift.Or(0)}
}
