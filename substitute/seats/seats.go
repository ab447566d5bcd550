// Package seats is the one table of places in the circuit of a charger: what each is called in a
// parts list, what it is called in the drawings, which kind of part sits there, what a part must
// hold to sit there, which of those that do is preferred, how one is bought, and what is measured
// on it before it goes in.
//
// The search fills seats from a drawer, swap holds stand-ins against them, plan counts the parts
// they need, the sheet and the netlist name them. None of them writes a role or a limit of its own.
package seats

import (
	"fmt"
	"strings"

	"sparewright/catalog"
)

// ID is a place in the circuit. Its text is the name in parts lists and documents.
type ID uint16

// The places, in the order in which a builder meets them: transformer, control circuit, mains inlet
// to output.
const (
	None ID = iota
	Adapter
	Transformer // unopened, of a donor
	Core
	Former
	Shim
	WirePrimary
	WirePrimaryFirst
	WirePrimarySecond
	WireSecondary
	WireBias
	Tape
	VoltageTrimmer
	CurrentTrimmer
	DividerTop
	DividerBottom
	SetResistor
	Shunt
	SenseTop
	SenseBottom
	ReferenceBias
	LEDResistor
	Amplifier
	Reference
	Optocoupler
	JoiningDiode
	LEDCharging
	LEDFull
	LoopInput
	SenseInput
	SenseClamp
	Bypass
	FeedbackCapacitor
	OutputChoke
	BehindChoke
	PinSeries
	VoltageCapacitor
	VoltageDamping
	CurrentCapacitor
	CurrentDamping
	FeedForward
	OutputStop
	MainsFuse
	InrushLimiter
	XCapacitor
	XDischarge
	MainsChoke
	Bridge
	BulkCapacitor
	BulkBleed
	DrainClamp
	ClampResistor
	ClampCapacitor
	ClampDiode
	Switcher
	LimitResistor
	BiasRectifier
	ChipSupply
	StartResistor
	BiasCapacitor
	OutputRectifier
	OutputCapacitor
	OutputFuse
	PackDiode
	YCapacitor
	ProtectionZener
	GuardReference
	GuardOptocoupler
	GuardTop
	GuardBottom
	GuardTrimmer
	GuardLEDResistor
	GuardBypass
	GateResistor
	GateDivider
	PackSwitch
	count
)

// String is the name in parts lists and documents; empty for None.
func (id ID) String() string { return table[id].name }

// Mark is what the seat is called in the drawings, several apart by blanks; empty where it is not
// drawn.
func (id ID) Mark() string { return table[id].mark }

// Marks are those of the single parts of a seat.
func (id ID) Marks() []string { return strings.Fields(table[id].mark) }

// Kind is the kind of part that sits there.
func (id ID) Kind() catalog.Kind { return table[id].kind }

// ByTurns reports that what sits there depends on turns, gap, winding or clamp: what is missing at
// any other seat is missing whatever they are.
func (id ID) ByTurns() bool { return table[id].byTurns }

// Measure is what to measure on a part before it goes in; common bench practice, no source.
func (id ID) Measure() string { return table[id].measure }

// Winding is what the winding is called that the wire at this seat makes; of other seats their
// name.
func (id ID) Winding() string { return strings.TrimPrefix(id.String(), "wire, ") }

// Base is the seat as rules know it: the halves of a split primary are one winding.
func (id ID) Base() ID {
	if id == WirePrimaryFirst || id == WirePrimarySecond {
		return WirePrimary
	}
	return id
}

// All lists every seat in the order of the table.
func All() []ID {
	out := make([]ID, 0, count-1)
	for id := None + 1; id < count; id++ {
		out = append(out, id)
	}
	return out
}

// Named finds a seat by its name, or by the one it had in an earlier version.
func Named(name string) (ID, bool) {
	if now, ok := earlierNames[name]; ok {
		name = now
	}
	for id := None + 1; id < count; id++ {
		if table[id].name == name {
			return id, true
		}
	}
	return None, false
}

// Names are the names of seats in their order.
func Names(ids []ID) []string {
	out := make([]string, len(ids))
	for i, id := range ids {
		out[i] = id.String()
	}
	return out
}

// MarshalText writes the name.
func (id ID) MarshalText() ([]byte, error) { return []byte(id.String()), nil }

// UnmarshalText reads a name. An unknown one is an error that says so.
func (id *ID) UnmarshalText(text []byte) error {
	found, ok := Named(string(text))
	if !ok && len(text) > 0 {
		return fmt.Errorf("no place in the circuit is called %q; a parts list names them", text)
	}
	*id = found
	return nil
}
