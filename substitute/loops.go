package substitute

import (
	"sparewright/catalog/si"
)

// LoopChoice is what keeps the two loops from oscillating and from letting the output run up.
type LoopChoice struct {
	Input      si.Resistance  `json:"input_ohm"`
	Damping    si.Resistance  `json:"damping_ohm,omitempty"` // of the voltage loop
	Capacitor  si.Capacitance `json:"capacitor_f"`           // of the voltage loop
	Voltage    LoopFigures    `json:"voltage"`
	Current    LoopFigures    `json:"current"`
	Middle     si.Ratio       `json:"-"`                    // gain of the voltage amplifier above the corner of its capacitor
	Filter     si.Capacitance `json:"feedback_f,omitempty"` // at the feedback pin of the switcher
	UnloadPeak si.Voltage     `json:"unload_peak_v"`        // output when the pack is taken off at full current
	StartPeak  si.Voltage     `json:"start_peak_v"`         // output when the mains comes on, no pack on it

	// wanted at the supply pin of the chip, so that it outlasts a fall of OUT without a pack
	ChipStore si.Capacitance `json:"-"`

	Cure string `json:"-"` // what to buy where a loop is not steady
	Lack string `json:"-"` // the same as Refusal.Lack, where damping resistors are all that is missing
}

// LoopFigures is how a loop is compensated and does between its corners.
type LoopFigures struct {
	Slow      si.Frequency   `json:"crossover_low_hz"`
	Fast      si.Frequency   `json:"crossover_high_hz"`
	Margin    float64        `json:"phase_margin_deg"`         // least of all corners
	Nominal   float64        `json:"nominal_phase_margin_deg"` // with nominal parts
	Gain      si.Ratio       `json:"gain_margin"`              // by which the gain may rise or fall in the worst corner
	Capacitor si.Capacitance `json:"capacitor_f"`
	Damping   si.Resistance  `json:"damping_ohm,omitempty"`
	Lead      si.Capacitance `json:"lead_f,omitempty"` // over the upper leg of the divider
}
