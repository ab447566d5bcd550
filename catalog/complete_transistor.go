package catalog

// completeTransistor assumes a MOSFET that closes late and bears little at its gate: 4 V of
// threshold and 16 V, the least of logic-level types (International Rectifier IRLZ44N: 16 V, from
// memory). Hot it has 1.8 times its cold resistance (silicon at 120 C, from memory).
func completeTransistor(p Transistor) Transistor {
	assume(&p.ThresholdMax, 4)
	assume(&p.GateMax, 16)
	derive(&p.OnHot, 1.8*p.OnResistance.Value, p.OnResistance.Basis)
	return p
}
