package substitute

import (
	"sparewright/catalog/si"
	"sparewright/substitute/magnetics"
	"sparewright/substitute/regulation"
)

// Drawing is what the build sheet draws and reckons with beside the figures of the Build: shapes,
// networks and neighbours that no script asks for.
type Drawing struct {
	Geometry magnetics.Geometry
	Former   magnetics.Former
	Joint    si.Length // residual joint of the faces, both joints in series
	Tape     si.Length // thickness of one layer of tape
	Thinner  *GapStep  // next smaller gap of the films on hand, nil when there is none
	Thicker  *GapStep  // next larger
	Voltage  regulation.VoltageNetwork
	Current  regulation.CurrentNetwork
	Bias     regulation.BiasNetwork
	Bridge   si.Voltage // drop of two diodes of the bridge

	// most that the bulk capacitor may have, 20 % above its nominal value
	BulkHigh    si.Capacitance
	Bleed       si.Resistance // across it
	BleedTime   si.Time       // from the highest mains down to BleedTo through Bleed
	BleedTo     si.Voltage
	Start       string         // how the switcher starts, word of the catalog; empty when not known
	OutputLeast si.Capacitance // of the output capacitor
	Unheld      si.Current     // into an empty pack with nothing holding the converter, the most
	FeedbackPin string         // its pin for the optocoupler, where that has a name of its own

	Overload string // what the switcher does about one, word of the catalog
	SelfFed  bool   // it runs without its bias winding
	// what the optocoupler does to the switcher, word of the catalog; empty when not known
	Feedback string
	ClampLow si.Voltage

	// Dynamics is what a simulation in time needs; none for a whole adapter
	Dynamics Dynamics

	// StandIn is a build with a stage that stands for the inside of a whole adapter where netlist,
	// curves and faults need one; its inductance is assumed. nil for every other build.
	StandIn *Build
}

// Dynamics is how a build moves: its chip as the loops see it, and what its output is made of.
type Dynamics struct {
	Law        string // what the feedback sets: peak-current, duty or gated
	Frequency  si.Interval[si.Frequency]
	Duty       si.Ratio // most
	LeastOn    si.Time  // shortest pulse
	Inductance si.Interval[si.Inductance]
	Spare      si.Ratio // by which the converter may pass its reckoned limit

	Stop           si.Current     // through the optocoupler, surely stops the chip
	Span           si.Current     // of it, from full power to none, usual
	PinResistance  si.Resistance  // that the optocoupler works into
	PinCapacitance si.Capacitance // at a pulled pin, the optocoupler's included
	Store          si.Capacitance // at a fed control pin
	StoreSeries    si.Resistance
	Transistor     si.Frequency // pole of the optocoupler at a fed control pin
	// what counts an overload at the pin: capacitor, current into it, rise that stops the chip; no
	// current: nothing does
	Timer       si.Capacitance
	TimerSource si.Current
	TimerRise   si.Voltage

	Supply    si.Interval[si.Voltage] // at which the chip stops, and starts
	Draw      si.Current              // of the running chip
	SoftStart si.Time
	ChipStore si.Capacitance // at its supply pin

	Most         si.Capacitance // of the output capacitor; Drawing has the least
	Series       si.Resistance  // of it
	Choke        si.Inductance  // 0: none
	ChokeOhm     si.Resistance
	Behind       si.Capacitance // after the choke; 0: none
	BehindSeries si.Resistance

	Amplifier si.Frequency  // at which its gain is 1
	Cells     si.Resistance // of one strong cell
	Leads     si.Resistance // of the pack, fuse and plug included
}

// GapStep is the same core with another stack of films.
type GapStep struct {
	Layers     []ShimFilm    `json:"layers"`
	Shim       si.Length     `json:"shim_m"`
	Inductance si.Inductance `json:"inductance_h"`
}
