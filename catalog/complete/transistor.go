package complete

import "sparewright/catalog"

// transistor assumes a MOSFET that closes late and bears little at its gate: 4 V of
// threshold and 16 V, the least of logic-level types (International Rectifier IRLZ44N: 16 V, from
// memory). Hot it has 1.8 times its cold resistance (silicon at 120 C, from memory).
func transistor(p catalog.Transistor) catalog.Transistor {
	p.ThresholdMax.Assume(4)
	p.GateMax.Assume(16)
	p.OnHot.Derive(1.8*p.OnResistance.Value, p.OnResistance.Basis)
	return p
}
