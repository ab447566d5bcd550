package seats

import (
	"sparewright/catalog"
)

// seat is one row of the table.
type seat struct {
	name    string // in parts lists and documents; a promise of the JSON form, never changed
	mark    string // in the drawings, several apart by blanks
	kind    catalog.Kind
	measure string // on the bench, before it goes in
}

// Measurements that several places share.
const (
	wireBare   = "diameter bare and over all; enamel whole"
	canTest    = "capacitance, ESR, leakage at working voltage; no bulge"
	safetyTest = "capacitance; safety marks printed on it; no crack"
	diodeTest  = "diode test both ways"
	pairTest   = "resistance of each and of both in series"
	ohmTest    = "resistance, out of circuit"
	ledTest    = "colour and forward voltage at 2 mA"
	trackTest  = "whole track; wiper to end moves without jumps"
	fourWires  = "voltage across it at a known current, four wires"
	fuseTest   = "rating printed on the cap; continuity"
	chokeTest  = "resistance of every winding; no burnt varnish"
	faradTest  = "capacitance"
)

var table = [count]seat{
	Adapter:           {name: "adapter", mark: "", kind: catalog.KindAdapter, measure: "output at no load and at the load of its plate; plug to output above 100 Mohm"},
	Transformer:       {name: "transformer, unopened", mark: "T1", kind: catalog.KindTransformer, measure: "primary inductance; the same with the secondary shorted; resistance of both; primary to secondary above 100 Mohm"},
	Core:              {name: "core pair", mark: "T1", kind: catalog.KindCore, measure: "faces clean, no chip, halves of one pair; inductance with ten test turns, no film between"},
	Former:            {name: "former", mark: "T1", kind: catalog.KindCore, measure: "width between the cheeks, height, distance between the pin rows"},
	Shim:              {name: "shim", mark: "T1", kind: catalog.KindFilm, measure: "thickness of the whole stack with the caliper; flat, no crease"},
	WirePrimary:       {name: "wire, primary", mark: "T1", kind: catalog.KindWire, measure: wireBare},
	WirePrimaryFirst:  {name: "wire, primary 1st half", mark: "T1", kind: catalog.KindWire, measure: wireBare},
	WirePrimarySecond: {name: "wire, primary 2nd half", mark: "T1", kind: catalog.KindWire, measure: wireBare},
	WireSecondary:     {name: "wire, secondary", mark: "T1", kind: catalog.KindWire, measure: "diameter over all; no nick in the insulation"},
	WireBias:          {name: "wire, bias", mark: "T1", kind: catalog.KindWire, measure: wireBare},
	Tape:              {name: "tape", mark: "T1", kind: catalog.KindFilm, measure: "width and thickness; sold as insulation"},
	VoltageTrimmer:    {name: "voltage trimmer", mark: "RV1", kind: catalog.KindTrimmer, measure: trackTest},
	CurrentTrimmer:    {name: "current trimmer", mark: "RV2", kind: catalog.KindTrimmer, measure: trackTest},
	DividerTop:        {name: "divider top", mark: "R5", kind: catalog.KindResistor, measure: ohmTest},
	DividerBottom:     {name: "divider bottom", mark: "R6", kind: catalog.KindResistor, measure: ohmTest},
	Shunt:             {name: "shunt", mark: "R7", kind: catalog.KindResistor, measure: fourWires},
	SenseTop:          {name: "current divider top", mark: "R8", kind: catalog.KindResistor, measure: ohmTest},
	SenseBottom:       {name: "current divider bottom", mark: "R9", kind: catalog.KindResistor, measure: ohmTest},
	ReferenceBias:     {name: "reference bias", mark: "R10", kind: catalog.KindResistor, measure: ohmTest},
	LEDResistor:       {name: "lamp resistor", mark: "R11", kind: catalog.KindResistor, measure: ohmTest},
	Amplifier:         {name: "amplifier", mark: "U3", kind: catalog.KindAmplifier, measure: "as follower: output equals input within its offset"},
	Reference:         {name: "reference", mark: "U4", kind: catalog.KindReference, measure: "its voltage at 1 mA and at 10 mA"},
	Optocoupler:       {name: "optocoupler", mark: "U2", kind: catalog.KindOptocoupler, measure: "lamp in diode test; transistor current with 1 mA and with 5 mA in the lamp"},
	JoiningDiode:      {name: "diode joining the loops", mark: "D5 D6", kind: catalog.KindRectifier, measure: diodeTest},
	LEDCharging:       {name: "lamp, charging (current holds)", mark: "H2", kind: catalog.KindLamp, measure: ledTest},
	LEDFull:           {name: "lamp, full (voltage holds)", mark: "H1", kind: catalog.KindLamp, measure: ledTest},
	LoopInput:         {name: "loop resistor, one a loop", mark: "R12 R13", kind: catalog.KindResistor, measure: ohmTest},
	SenseInput:        {name: "input resistor at SENSE", mark: "R19", kind: catalog.KindResistor, measure: ohmTest},
	SenseClamp:        {name: "input clamp at SENSE", mark: "D10", kind: catalog.KindRectifier, measure: diodeTest},
	Bypass:            {name: "supply bypass of the amplifier", mark: "C9", kind: catalog.KindCapacitor, measure: faradTest},
	FeedbackCapacitor: {name: "feedback capacitor", mark: "C11", kind: catalog.KindCapacitor, measure: faradTest},
	OutputChoke:       {name: "output choke", mark: "L2", kind: catalog.KindChoke, measure: chokeTest},
	BehindChoke:       {name: "output capacitor behind the choke", mark: "C12", kind: catalog.KindCapacitor, measure: canTest},
	PinSeries:         {name: "series resistor at the control pin", mark: "R21", kind: catalog.KindResistor, measure: faradTest},
	VoltageCapacitor:  {name: "loop capacitor, voltage", mark: "C7", kind: catalog.KindCapacitor, measure: faradTest},
	VoltageDamping:    {name: "loop damping, voltage", mark: "R14", kind: catalog.KindResistor, measure: ohmTest},
	CurrentCapacitor:  {name: "loop capacitor, current", mark: "C8", kind: catalog.KindCapacitor, measure: faradTest},
	CurrentDamping:    {name: "loop damping, current", mark: "R20", kind: catalog.KindResistor, measure: ohmTest},
	FeedForward:       {name: "lead capacitor", mark: "C13", kind: catalog.KindCapacitor, measure: faradTest},
	OutputStop:        {name: "output stop", mark: "D8", kind: catalog.KindClamp, measure: faradTest},
	MainsFuse:         {name: "mains fuse", mark: "F1", kind: catalog.KindFuse, measure: fuseTest},
	InrushLimiter:     {name: "inrush limiter", mark: "RT1", kind: catalog.KindThermistor, measure: "cold resistance; no burn mark"},
	XCapacitor:        {name: "X capacitor", mark: "C1", kind: catalog.KindCapacitor, measure: safetyTest},
	XDischarge:        {name: "X discharge, two in series", mark: "R17 R18", kind: catalog.KindResistor, measure: pairTest},
	MainsChoke:        {name: "mains choke", mark: "L1", kind: catalog.KindChoke, measure: chokeTest},
	Bridge:            {name: "bridge", mark: "D1", kind: catalog.KindBridge, measure: diodeTest},
	BulkCapacitor:     {name: "bulk capacitor", mark: "C2", kind: catalog.KindCapacitor, measure: canTest},
	BulkBleed:         {name: "bulk bleed, two in series", mark: "R1 R2", kind: catalog.KindResistor, measure: pairTest},
	DrainClamp:        {name: "drain clamp", mark: "D7", kind: catalog.KindClamp, measure: "breakdown voltage at 1 mA from a current-limited supply"},
	ClampResistor:     {name: "clamp resistor", mark: "R3", kind: catalog.KindResistor, measure: ohmTest},
	ClampCapacitor:    {name: "clamp capacitor", mark: "C3", kind: catalog.KindCapacitor, measure: faradTest},
	ClampDiode:        {name: "clamp diode", mark: "D2", kind: catalog.KindRectifier, measure: diodeTest},
	Switcher:          {name: "switcher", mark: "U1", kind: catalog.KindSwitcher, measure: "drain to source in diode test: one way only; drain to every other pin above 1 Mohm"},
	LimitResistor:     {name: "limit resistor", mark: "R4", kind: catalog.KindResistor, measure: fourWires},
	BiasRectifier:     {name: "bias rectifier", mark: "D3", kind: catalog.KindRectifier, measure: diodeTest},
	ChipSupply:        {name: "chip supply capacitor", mark: "C4", kind: catalog.KindCapacitor, measure: canTest},
	StartResistor:     {name: "start resistor, two in series", mark: "R15 R16", kind: catalog.KindResistor, measure: pairTest},
	BiasCapacitor:     {name: "bias capacitor", mark: "C10", kind: catalog.KindCapacitor, measure: faradTest},
	OutputRectifier:   {name: "output rectifier", mark: "D4", kind: catalog.KindRectifier, measure: diodeTest},
	OutputCapacitor:   {name: "output capacitor", mark: "C6", kind: catalog.KindCapacitor, measure: canTest},
	OutputFuse:        {name: "output fuse", mark: "F2", kind: catalog.KindFuse, measure: fuseTest},
	PackDiode:         {name: "reversed-pack diode", mark: "D11", kind: catalog.KindRectifier, measure: diodeTest},
	YCapacitor:        {name: "Y capacitor", mark: "C5", kind: catalog.KindCapacitor, measure: safetyTest},
	ProtectionZener:   {name: "protection zener", mark: "D9", kind: catalog.KindZener, measure: "its voltage at 1 mA from a current-limited supply"},
}
