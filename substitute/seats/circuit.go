package seats

import (
	"sparewright/catalog/si"
)

// Circuit is what the rest of a charger asks of its seats. The search fills it from a measured
// design, swap from the numbers of a finished build; the fields of seats that nobody asks about
// stay zero.
type Circuit struct {
	// the target
	Current             si.Current // of the charge
	Absolute, Empty     si.Voltage // highest and lowest voltage of the pack
	MainsMax            si.Voltage
	OutputLeast         si.Voltage // what a part across the output must stand, with a fault
	RectifierLeast      si.Current // average rating over all its legs
	RectifierReverse    si.Voltage
	DischargeMost       si.Resistance  // of each of two that empty the X capacitor in time
	TouchMost           si.Capacitance // of a Y capacitor without tolerance
	LEDLeast            si.Current     // through an indicator
	SenseLow, SenseHigh si.Resistance  // of the shunt
	OffsetMost          si.Voltage

	// mains side
	Mains         si.Current // rms, at lowest mains
	BusMax        si.Voltage
	BridgeReverse si.Voltage
	BridgeAverage si.Current
	BleedMost     si.Resistance  // of each of two
	StartMost     si.Resistance  // of each of two
	ChipVolts     si.Voltage     // of a capacitor at the supply pin
	ChipStore     si.Capacitance // wanted there
	BiasReverse   si.Voltage
	Clamp         si.Voltage     // above the bus
	ClampPeriods  si.Capacitance // least of the capacitor that holds it
	ClampLow      si.Voltage     // least breakdown, without its tolerance
	ClampHigh     si.Voltage     // highest breakdown with tolerance
	ClampPower    si.Power
	Breakdown     si.Voltage // of the switcher
	ShimHeat      si.Celsius

	// output and loops
	StopLow, StopHigh si.Voltage     // of a suppressor across the output, tolerances apart
	Ripple            si.Current     // of the output capacitor
	FuseThrough       float64        // A2s of the output fuse
	ShuntPower        si.Power       // each part's share, doubled
	StopHolds         si.Voltage     // that it must hold
	Farad             si.Capacitance // worked out for the seat asked about; 0 = any
	Ohm               si.Resistance  // the same

	// overvoltage protection of the output
	Ceiling             si.Voltage    // of the output with nothing holding it
	GuardLow, GuardHigh si.Resistance // in series with the LED
	GuardPieces         int           // that make it; 0 = one
	GuardRatio          si.Ratio      // transfer ratio that holds the gate down
	SwitchVolts         si.Voltage    // across the open pack switch
	SwitchOhm           si.Resistance // hot, closed
	SwitchSurge         si.Current    // through it when a full pack is put on a dead charger
	GateOn, GatePeak    si.Voltage    // least that closes it, most it sees
	GateOhm             si.Resistance // of the resistor to OUT

	Now Figures // of the part in place, for stand-ins
}
