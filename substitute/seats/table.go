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

	// what a part must hold; nil = what the search works out otherwise
	needs      func(c *Circuit, p Figures) []Need
	partByPart bool                                // needs look at the part
	prefers    func(c *Circuit, p Figures) float64 // least first
	pieces     int                                 // 0 = one
	// nil = the seat may stay empty, or the search words what to buy
	bought func(c *Circuit) string
	// what matters about one that is bought, where its designation does not say it
	asked string
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
	Adapter:     {name: "adapter", mark: "", kind: catalog.KindAdapter, measure: "output at no load and at the load of its plate; plug to output above 100 Mohm"},
	Transformer: {name: "transformer, unopened", mark: "T1", kind: catalog.KindTransformer, measure: "primary inductance; the same with the secondary shorted; resistance of both; primary to secondary above 100 Mohm"},
	Core:        {name: "core pair", mark: "T1", kind: catalog.KindCore, measure: "faces clean, no chip, halves of one pair; inductance with ten test turns, no film between"},
	Former:      {name: "former", mark: "T1", kind: catalog.KindCore, measure: "width between the cheeks, height, distance between the pin rows"},
	Shim: {name: "shim", mark: "T1", kind: catalog.KindFilm,
		measure: "thickness of the whole stack with the caliper; flat, no crease",
		needs:   shim},
	WirePrimary: {name: "wire, primary", mark: "T1", kind: catalog.KindWire, measure: wireBare,
		needs: wire},
	WirePrimaryFirst: {name: "wire, primary 1st half", mark: "T1", kind: catalog.KindWire,
		measure: wireBare,
		needs:   wire},
	WirePrimarySecond: {name: "wire, primary 2nd half", mark: "T1", kind: catalog.KindWire,
		measure: wireBare,
		needs:   wire},
	WireSecondary: {name: "wire, secondary", mark: "T1", kind: catalog.KindWire,
		measure: "diameter over all; no nick in the insulation",
		needs:   wire},
	WireBias: {name: "wire, bias", mark: "T1", kind: catalog.KindWire, measure: wireBare,
		needs: wire},
	Tape: {name: "tape", mark: "T1", kind: catalog.KindFilm,
		measure: "width and thickness; sold as insulation",
		needs:   tape},
	VoltageTrimmer: {name: "voltage trimmer", mark: "RV1", kind: catalog.KindTrimmer,
		measure: trackTest,
		needs:   trimmer},
	CurrentTrimmer: {name: "current trimmer", mark: "RV2", kind: catalog.KindTrimmer,
		measure: trackTest,
		needs:   trimmer},
	DividerTop: {name: "divider top", mark: "R5", kind: catalog.KindResistor, measure: ohmTest,
		needs: legResistor},
	DividerBottom: {name: "divider bottom", mark: "R6", kind: catalog.KindResistor,
		measure: ohmTest,
		needs:   legResistor},
	Shunt: {name: "shunt", mark: "R7", kind: catalog.KindResistor, measure: fourWires,
		needs: shunt},
	SenseTop: {name: "current divider top", mark: "R8", kind: catalog.KindResistor,
		measure: ohmTest,
		needs:   legResistor},
	SenseBottom: {name: "current divider bottom", mark: "R9", kind: catalog.KindResistor,
		measure: ohmTest,
		needs:   legResistor},
	ReferenceBias: {name: "reference bias", mark: "R10", kind: catalog.KindResistor,
		measure: ohmTest,
		needs:   legResistor},
	LEDResistor: {name: "LED resistor", mark: "R11", kind: catalog.KindResistor, measure: ohmTest,
		needs: legResistor},
	Amplifier: {name: "amplifier", mark: "U3", kind: catalog.KindAmplifier,
		measure: "as follower: output equals input within its offset",
		needs:   amplifier},
	Reference: {name: "reference", mark: "U4", kind: catalog.KindReference,
		measure: "its voltage at 1 mA and at 10 mA",
		needs:   reference, partByPart: true},
	Optocoupler: {name: "optocoupler", mark: "U2", kind: catalog.KindOptocoupler,
		measure: "LED in diode test; transistor current with 1 mA and with 5 mA in the LED",
		needs:   optocoupler, prefers: most("ratio_min")},
	JoiningDiode: {name: "diode joining the loops", mark: "D5 D6", kind: catalog.KindRectifier,
		measure: diodeTest,
		needs:   joiningDiode, prefers: least("average"), pieces: 2,
		bought: plainly("small signal diode 100 mA 75 V")},
	LEDCharging: {name: "LED, charging (current holds)", mark: "H2", kind: catalog.KindLED,
		measure: ledTest,
		needs:   led, prefers: ofColour("red"), bought: plainly("LED, red")},
	LEDFull: {name: "LED, full (voltage holds)", mark: "H1", kind: catalog.KindLED,
		measure: ledTest,
		needs:   led, prefers: ofColour("green"), bought: plainly("LED, green")},
	LoopInput: {name: "loop resistor, one a loop", mark: "R12 R13", kind: catalog.KindResistor,
		measure: ohmTest,
		needs:   loopInput, prefers: nearInSteps("resistance",
			2200), pieces: 2, bought: plainly("resistor 2k2 0.25 W"), asked: "1 to 4.7 kohm"},
	SenseInput: {name: "input resistor at SENSE", mark: "R19", kind: catalog.KindResistor,
		measure: ohmTest,
		needs:   loopInput, prefers: nearInSteps("resistance",
			2200), bought: plainly("resistor 2k2 0.25 W"), asked: "equal to the loop resistors"},
	SenseClamp: {name: "input clamp at SENSE", mark: "D10", kind: catalog.KindRectifier,
		measure: diodeTest,
		needs:   senseClamp, prefers: least("average"),
		bought: plainly("small signal diode 100 mA 75 V")},
	Bypass: {name: "supply bypass of the amplifier", mark: "C9", kind: catalog.KindCapacitor,
		measure: faradTest,
		needs:   smallCapacitor, prefers: nearTo("capacitance",
			float64(BypassFarad)), bought: plainly("ceramic 100 nF 50 V")},
	FeedbackCapacitor: {name: "feedback capacitor", mark: "C11", kind: catalog.KindCapacitor,
		measure: faradTest,
		needs:   smallCapacitor, bought: feedbackBought},
	OutputChoke: {name: "output choke", mark: "L2", kind: catalog.KindChoke, measure: chokeTest,
		needs: outputChoke, prefers: least("inductance")},
	BehindChoke: {name: "output capacitor behind the choke", mark: "C12",
		kind: catalog.KindCapacitor, measure: canTest,
		needs: behindChoke, prefers: nearInSteps("capacitance", 10e-6), bought: behindBought},
	PinSeries: {name: "series resistor at the control pin", mark: "R21", kind: catalog.KindResistor,
		measure: faradTest,
		needs:   pinSeries, prefers: nearInSteps("resistance", 6.8)},
	VoltageCapacitor: {name: "loop capacitor, voltage", mark: "C7", kind: catalog.KindCapacitor,
		measure: faradTest,
		needs:   smallCapacitor, bought: ceramicBought},
	VoltageDamping: {name: "loop damping, voltage", mark: "R14", kind: catalog.KindResistor,
		measure: ohmTest,
		needs:   damping, bought: dampingBought, asked: "5 %"},
	CurrentCapacitor: {name: "loop capacitor, current", mark: "C8", kind: catalog.KindCapacitor,
		measure: faradTest,
		needs:   smallCapacitor, bought: ceramicBought},
	CurrentDamping: {name: "loop damping, current", mark: "R20", kind: catalog.KindResistor,
		measure: ohmTest,
		needs:   damping, bought: dampingBought, asked: "5 %"},
	FeedForward: {name: "lead capacitor", mark: "C13", kind: catalog.KindCapacitor,
		measure: faradTest,
		needs:   feedForward, bought: ceramicBought},
	OutputStop: {name: "output stop", mark: "D8", kind: catalog.KindClamp, measure: faradTest,
		needs: outputStop, partByPart: true, prefers: least("breakdown"), bought: stopBought},
	MainsFuse: {name: "mains fuse", mark: "F1", kind: catalog.KindFuse, measure: fuseTest,
		needs: mainsFuse, prefers: smallestFuse, bought: mainsFuseBought},
	InrushLimiter: {name: "inrush limiter", mark: "RT1", kind: catalog.KindThermistor,
		measure: "cold resistance; no burn mark",
		needs:   inrushLimiter, prefers: nearTo("cold",
			10), bought: plainly("inrush limiter 10 ohm, 1 A")},
	XCapacitor: {name: "X capacitor", mark: "C1", kind: catalog.KindCapacitor, measure: safetyTest,
		needs: xCapacitor, prefers: nearTo("capacitance",
			float64(BareX)), bought: plainly("X2 capacitor 100 nF 275 V ac")},
	XDischarge: {name: "X discharge, two in series", mark: "R17 R18", kind: catalog.KindResistor,
		measure: pairTest,
		needs:   xDischarge, partByPart: true, prefers: most("resistance"), pieces: 2},
	MainsChoke: {name: "mains choke", mark: "L1", kind: catalog.KindChoke, measure: chokeTest,
		needs: mainsChoke, prefers: nearTo("inductance",
			15e-3), bought: plainly("common-mode choke 10 mH")},
	Bridge: {name: "bridge", mark: "D1", kind: catalog.KindBridge, measure: diodeTest,
		needs: bridge, prefers: least("average"), bought: plainly("bridge 1 A 1000 V"),
		asked: "bridge of 600 V or more, 1 A or more"},
	BulkCapacitor: {name: "bulk capacitor", mark: "C2", kind: catalog.KindCapacitor,
		measure: canTest,
		needs:   bulkCapacitor},
	BulkBleed: {name: "bulk bleed, two in series", mark: "R1 R2", kind: catalog.KindResistor,
		measure: pairTest,
		needs:   bulkBleed, partByPart: true, prefers: most("resistance"), pieces: 2,
		bought: bulkBleedBought, asked: "two equal ones in series; fewer ohms empty it faster " +
			"but run hotter"},
	DrainClamp: {name: "drain clamp", mark: "D7", kind: catalog.KindClamp,
		measure: "breakdown voltage at 1 mA from a current-limited supply",
		needs:   drainClamp, partByPart: true},
	ClampResistor: {name: "clamp resistor", mark: "R3", kind: catalog.KindResistor,
		measure: ohmTest,
		needs:   clampResistor},
	ClampCapacitor: {name: "clamp capacitor", mark: "C3", kind: catalog.KindCapacitor,
		measure: faradTest,
		needs:   clampCapacitor, prefers: least("capacitance"), bought: clampCapacitorBought},
	ClampDiode: {name: "clamp diode", mark: "D2", kind: catalog.KindRectifier, measure: diodeTest,
		needs: clampDiode, prefers: func(_ *Circuit, p Figures) float64 {
			return p.Figure("recovery")
		}, bought: plainly("ultrafast diode 1 A 1000 V")},
	Switcher: {name: "switcher", mark: "U1", kind: catalog.KindSwitcher,
		measure: "drain to source in diode test: one way only; drain to every other pin " +
			"above 1 Mohm",
		needs: switcher},
	LimitResistor: {name: "limit resistor", mark: "R4", kind: catalog.KindResistor,
		measure: fourWires,
		needs:   limitResistor},
	BiasRectifier: {name: "bias rectifier", mark: "D3", kind: catalog.KindRectifier,
		measure: diodeTest,
		needs:   biasRectifier, prefers: least("average"), bought: biasRectifierBought},
	ChipSupply: {name: "chip supply capacitor", mark: "C4", kind: catalog.KindCapacitor,
		measure: canTest,
		needs:   chipSupply, prefers: nearestStore, bought: chipSupplyBought},
	StartResistor: {name: "start resistor, two in series", mark: "R15 R16",
		kind: catalog.KindResistor, measure: pairTest,
		needs: startResistor, partByPart: true, prefers: most("resistance"), pieces: 2,
		bought: startResistorBought},
	BiasCapacitor: {name: "bias capacitor", mark: "C10", kind: catalog.KindCapacitor,
		measure: faradTest,
		needs:   chipSupply, prefers: nearestStore, bought: chipSupplyBought},
	OutputRectifier: {name: "output rectifier", mark: "D4", kind: catalog.KindRectifier,
		measure: diodeTest,
		needs:   outputRectifier, partByPart: true},
	OutputCapacitor: {name: "output capacitor", mark: "C6", kind: catalog.KindCapacitor,
		measure: canTest,
		needs:   outputCapacitor},
	OutputFuse: {name: "output fuse", mark: "F2", kind: catalog.KindFuse, measure: fuseTest,
		needs: outputFuse, prefers: least("current"), bought: outputFuseBought},
	PackDiode: {name: "reversed-pack diode", mark: "D11", kind: catalog.KindRectifier,
		measure: diodeTest,
		needs:   packDiode, partByPart: true, prefers: least("average")},
	YCapacitor: {name: "Y capacitor", mark: "C5", kind: catalog.KindCapacitor, measure: safetyTest,
		needs: yCapacitor, partByPart: true, prefers: most("capacitance"),
		bought: plainly("Y1 capacitor 1 nF 250 V ac")},
	ProtectionZener: {name: "protection zener", mark: "D9", kind: catalog.KindZener, measure: "its voltage at 1 mA from a current-limited supply"},
}
