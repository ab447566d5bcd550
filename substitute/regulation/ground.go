package regulation

import (
	"sparewright/catalog/si"
)

// Ground says on which side of the shunt the control ground lies. The two must not be mixed in one
// build.
type Ground uint8

const (
	// ConverterSide: the divider sees the battery plus the shunt drop; the circuit's own current
	// stays out of the shunt.
	ConverterSide Ground = iota
	// BatterySide: the divider sees the battery alone; the circuit's own current flows through the
	// shunt.
	BatterySide
)

// String names the side.
func (g Ground) String() string {
	if g == BatterySide {
		return "battery side of the shunt"
	}
	return "converter side of the shunt"
}

// Battery is what the battery gets when the sensed node is set to a voltage and the shunt to a
// current.
type Battery struct {
	Ground Ground
	// to be read while setting: at the node the divider senses, against the control ground
	Node    si.Voltage
	Full    si.Voltage // at the battery when the current has died away
	Knee    si.Voltage // at the battery where the current begins to fall
	Current si.Current // into the battery in constant current
}

// AtBattery returns what the battery gets: node is the voltage set at the divider, set the current
// set in the shunt, own the current the secondary circuit takes from the output. Ohm's law at the
// shunt; control ground on the converter side: the knee lies set times shunt below the node
// voltage. On the battery side: the battery gets the set current less own.
func AtBattery(g Ground, node si.Voltage, set, own si.Current, shunt si.Resistance) Battery {
	b := Battery{Ground: g, Node: node, Full: node, Knee: node, Current: set}
	if g == BatterySide {
		b.Current = set - own
		return b
	}
	b.Knee = node - drop(set, shunt)
	return b
}
