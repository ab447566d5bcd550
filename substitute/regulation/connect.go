package regulation

import (
	"sparewright/catalog/si"
)

// Connection is a pack put on an output that stands at another voltage: two sources with what lies
// between them.
type Connection struct {
	// of the pack, and of the output capacitor before; Output is negative for none
	Pack, Output si.Voltage
	Cells, Leads si.Resistance  // of the pack, least, and of its leads with fuse and plug
	Shunt        si.Resistance  // least
	Series       si.Resistance  // of the output capacitor, least
	Capacitance  si.Capacitance // of the output, most
}

// Peak is the highest current that flows from the pack into the output, negative the other way:
// Ohm's law round the loop. An output choke lowers it; it is left out.
func (c Connection) Peak() si.Current {
	return si.Current(float64(c.Pack-c.Output) / float64(c.loop()))
}

// loop is the resistance of the whole loop in ohm.
func (c Connection) loop() si.Resistance { return c.Cells + c.Leads + c.Shunt + c.Series }

// ShuntEnergy is what the shunt turns to heat while the capacitor comes to the voltage of the pack:
// its share of half C V^2, which charging through a resistance loses whatever the resistance.
func (c Connection) ShuntEnergy() si.Energy {
	v := float64(c.Pack - c.Output)
	return si.Energy(0.5 * float64(c.Capacitance) * v * v * float64(c.Shunt/c.loop()))
}

// InputCurrent is what an amplifier's input at the far end of the shunt has to bear through its
// resistor at the peak, its clamp diode left out.
func (c Connection) InputCurrent(input si.Resistance) si.Current {
	return si.Current(float64(c.Peak()) * float64(c.Shunt) / float64(input))
}
