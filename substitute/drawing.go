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

	// StandIn is a build with a stage that stands for the inside of a whole adapter where netlist,
	// curves and faults need one; its inductance is assumed. nil for every other build.
	StandIn *Build
}

// GapStep is the same core with another stack of films.
type GapStep struct {
	Layers     []ShimFilm    `json:"layers"`
	Shim       si.Length     `json:"shim_m"`
	Inductance si.Inductance `json:"inductance_h"`
}
