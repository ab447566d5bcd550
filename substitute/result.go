// Package substitute answers the one question of this program: which charger can be built from the
// parts in these drawers?
//
// Advise is a pure function of the target, the snapshot of the drawers and the published tables.
// Refusals, missing parts and warnings are values in its Result. Every number a builder winds or
// solders by is in a Build, every limit it was held against in a Check. Field names of the JSON
// form carry their unit; what is unknown is left out.
package substitute

import (
	"sparewright/catalog/si"
	"sparewright/substitute/regulation/resistors"
	"sparewright/substitute/seats"
)

// Verdict says whether a build can be started from the drawer.
type Verdict string

// A build is feasible from the drawer, or needs parts that must be bought first. Refused builds
// never become a Build.
const (
	Feasible   Verdict = "feasible"
	NeedsParts Verdict = "needs-parts"
)

// Result is the whole answer for one target.
type Result struct {
	Target  Target    `json:"target"`
	Builds  []Build   `json:"builds"`
	Refused []Refusal `json:"refused"`
	// what is wrong with the nearest that cannot be built, and what makes the answer yes, the
	// cheapest first; none where the drawer alone serves
	Misses   []NearMiss `json:"misses"`
	Cures    []Cure     `json:"cures"`
	Searched Searched   `json:"searched"`
	Cautions []string   `json:"cautions"`
}

// Searched counts what was looked at.
type Searched struct {
	Designs int64   `json:"designs"`
	Seconds float64 `json:"seconds,omitempty"`
}

// Refusal is a combination, or a whole target, that cannot be built, with the check that binds and
// a cure found by trying it.
type Refusal struct {
	Switcher string  `json:"switcher,omitempty"`
	Core     string  `json:"core,omitempty"`
	Check    string  `json:"check"`
	Value    float64 `json:"value,omitempty"`
	Limit    float64 `json:"limit,omitempty"`
	Unit     string  `json:"unit,omitempty"`
	Why      string  `json:"why,omitempty"`
	Cure     string  `json:"cure,omitempty"`

	Miss float64 `json:"-"` // how far off, as a share of the limit; orders the list
	Lack string  `json:"-"` // resistors and trimmers whose purchase cures it, see lackOf
}

// BuildKind says how much of a donor a build takes over.
type BuildKind string

// Wound here on a core of the drawer; with the transformer of a donor as found; or a whole adapter
// with our regulation.
const (
	Wound            BuildKind = "wound"
	DonorTransformer BuildKind = "donor-transformer"
	DonorAdapter     BuildKind = "donor-adapter"
)

// Build is one charger with everything that was computed for it. A build of a whole adapter has no
// core, gap, windings, stage and losses of ours; Adapter stands in their place. One with the
// transformer of a donor has no windings.
type Build struct {
	Rank        int            `json:"rank"`
	Kind        BuildKind      `json:"kind"`
	Verdict     Verdict        `json:"verdict"`
	Switcher    SwitcherChoice `json:"switcher,omitzero"`
	Core        CoreChoice     `json:"core,omitzero"`
	Gap         GapChoice      `json:"gap,omitzero"`
	Transformer Transformer    `json:"transformer,omitzero"`
	Windings    []Winding      `json:"windings,omitempty"`
	Donor       *DonorReading  `json:"donor_transformer,omitempty"`
	Adapter     *AdapterUse    `json:"donor_adapter,omitempty"`
	Stage       Stage          `json:"stage,omitzero"`
	Losses      Losses         `json:"losses_w,omitzero"`
	Efficiency  float64        `json:"efficiency,omitzero"`
	Junction    si.Celsius     `json:"junction_c,omitzero"`
	CoilHot     si.Celsius     `json:"transformer_c,omitzero"`
	Inside      si.Celsius     `json:"inside_c,omitzero"`
	Regulation  Regulation     `json:"regulation"`
	Parts       []PartUse      `json:"parts"`
	Checks      []Check        `json:"checks"`
	Warnings    []string       `json:"warnings,omitempty"`
	Score       Score          `json:"score"`

	// Drawing is what the build sheet needs beside these.
	Drawing Drawing `json:"-"`
}

// Score is what builds are ranked by, in this order.
type Score struct {
	Missing int     `json:"missing"`                // lines to buy
	Cost    float64 `json:"cost" figures:"entered"` // of the lines missing, by the price list of a shop; else one a line
	Margin  float64 `json:"margin"`                 // smallest normalised margin of the checks that differ between builds
	Binding string  `json:"binding"`
	Loss    float64 `json:"loss_w"`
	Parts   int     `json:"parts"`
	Steps   int     `json:"measured_steps,omitempty"` // measurements that finish the build

	// Scarce are the parts of the build after which no other of their kind is left in the drawer.
	Scarce []string `json:"scarce,omitempty"`
	Reason string   `json:"reason"` // why it stands where it does, in one line
}

// SwitcherChoice is the power switch and what was assumed of it.
type SwitcherChoice struct {
	Lot         int64         `json:"lot,omitempty"`
	Designation string        `json:"designation"`
	Control     string        `json:"control"`
	Frequency   si.Frequency  `json:"frequency_hz"`
	LimitMin    si.Current    `json:"limit_min_a"`
	LimitMax    si.Current    `json:"limit_max_a"`
	Breakdown   si.Voltage    `json:"breakdown_v"`
	Sense       si.Resistance `json:"sense_ohm,omitempty"`
	// FeedbackStop is the current through the transistor of the optocoupler that stops the
	// switcher.
	FeedbackStop si.Current `json:"feedback_stop_a"`
}

// CoreChoice is the core pair.
type CoreChoice struct {
	Lot          int64          `json:"lot,omitempty"`
	Designation  string         `json:"designation"`
	Area         si.Area        `json:"area_m2"`
	AreaMin      si.Area        `json:"area_min_m2"`
	Path         si.Length      `json:"path_m"`
	Volume       si.Volume      `json:"volume_m3"`
	Permeability si.Ratio       `json:"initial_permeability"`
	FluxLimit    si.FluxDensity `json:"flux_limit_t"`
	Ferrite      string         `json:"ferrite"`
}

// GapChoice is how the air gap is made.
type GapChoice struct {
	Method   string     `json:"method"`
	Shim     si.Length  `json:"shim_m"`
	Layers   []ShimFilm `json:"layers"`
	Ground   si.Length  `json:"ground_m"`
	Fringing si.Ratio   `json:"fringing"`
}

// ShimFilm is one film of the shim stack, Count layers of it under every leg.
type ShimFilm struct {
	Lot         int64     `json:"lot,omitempty"`
	Designation string    `json:"designation"`
	Thickness   si.Length `json:"thickness_m"`
	Count       int       `json:"count"`
}

// Transformer sums up the wound part.
type Transformer struct {
	PrimaryTurns   int            `json:"primary_turns"`
	SecondaryTurns int            `json:"secondary_turns"`
	BiasTurns      int            `json:"bias_turns"`
	Inductance     si.Inductance  `json:"inductance_h"`
	InductanceLow  si.Inductance  `json:"inductance_low_h"`
	InductanceHigh si.Inductance  `json:"inductance_high_h"`
	WallPower      si.Inductance  `json:"wall_power_h"`
	WallSaturation si.Inductance  `json:"wall_saturation_h"`
	Holds          *Window        `json:"holds,omitempty"` // inductance with which every limit holds; none for a closed transformer
	FluxPeak       si.FluxDensity `json:"flux_peak_t"`
	FluxSwing      si.FluxDensity `json:"flux_swing_t"`
	Reflected      si.Voltage     `json:"reflected_v"`
	Leakage        si.Inductance  `json:"leakage_h"`
	Barrier        string         `json:"barrier"`
	Order          string         `json:"order"`
	WindowFill     si.Ratio       `json:"window_fill,omitzero"`
	Margin         si.Length      `json:"margin_m"`
	Tape           []TapeUse      `json:"tape,omitempty"`
}

// TapeUse is one place of the winding where tape goes.
type TapeUse struct {
	Where  string    `json:"where"`
	Lot    int64     `json:"lot,omitempty"`
	Layers int       `json:"layers"`
	Length si.Length `json:"length_m"`
}

// Winding is one section in the order it is wound.
type Winding struct {
	Name       string        `json:"name"`
	Lot        int64         `json:"lot,omitempty"`
	Wire       string        `json:"wire"`
	Turns      int           `json:"turns"`
	WireD      si.Length     `json:"wire_m"`
	Overall    si.Length     `json:"overall_m"`
	Strands    int           `json:"strands"`
	PerLayer   int           `json:"turns_per_layer"`
	Layers     int           `json:"layers"`
	Length     si.Length     `json:"length_m"` // of one strand, tails included
	Resistance si.Resistance `json:"resistance_ohm"`
	ACFactor   si.Ratio      `json:"ac_factor"`
	RMS        si.Current    `json:"current_rms_a"`
}

// Stage is the power stage at its hardest corner, lowest mains and full pack unless the name says
// otherwise.
type Stage struct {
	BusMin          si.Voltage     `json:"bus_min_v"`
	BusMax          si.Voltage     `json:"bus_max_v"`
	Mode            string         `json:"mode"`
	DutyMax         si.Ratio       `json:"duty_max"`
	PrimaryPeak     si.Current     `json:"primary_peak_a"`
	PrimaryRMS      si.Current     `json:"primary_rms_a"`
	SecondaryPeak   si.Current     `json:"secondary_peak_a"`
	SecondaryRMS    si.Current     `json:"secondary_rms_a"`
	DrainPeak       si.Voltage     `json:"drain_peak_v"`
	Clamp           si.Voltage     `json:"clamp_v"`
	ReverseVoltage  si.Voltage     `json:"rectifier_reverse_v"`
	CapacitorRipple si.Current     `json:"capacitor_ripple_a"`
	Throughput      si.Power       `json:"throughput_w"`
	InputPower      si.Power       `json:"input_w"`
	BulkCapacity    si.Capacitance `json:"bulk_f"`
	PulseShare      si.Ratio       `json:"pulse_share"` // of all clock cycles; 1 unless the control is on/off
	RectifierDrop   si.Voltage     `json:"rectifier_v"`
	BiasMin         si.Voltage     `json:"bias_min_v,omitempty"`
	BiasMax         si.Voltage     `json:"bias_max_v,omitempty"`
}

// Losses by part, in watts, at full current into a full pack at lowest mains.
type Losses struct {
	Switch    si.Power `json:"switch"`
	Core      si.Power `json:"core"`
	Copper    si.Power `json:"copper"`
	Clamp     si.Power `json:"clamp"`
	Rectifier si.Power `json:"rectifier"`
	Shunt     si.Power `json:"shunt"`
	Bridge    si.Power `json:"bridge"`
	Other     si.Power `json:"other"`
}

func (l Losses) Total() si.Power {
	return l.Switch + l.Core + l.Copper + l.Clamp + l.Rectifier + l.Shunt + l.Bridge + l.Other
}

// Regulation is the secondary control network.
type Regulation struct {
	Ground          string        `json:"control_ground"`
	Reference       si.Voltage    `json:"reference_v"`
	Top             si.Resistance `json:"top_ohm"`
	Bottom          si.Resistance `json:"bottom_ohm"`
	Trimmer         si.Resistance `json:"trimmer_ohm,omitempty"`
	SetLow          si.Voltage    `json:"set_low_v"`
	SetHigh         si.Voltage    `json:"set_high_v"`
	WorstLow        si.Voltage    `json:"worst_low_v"`
	WorstHigh       si.Voltage    `json:"worst_high_v"`
	OpenWiper       si.Voltage    `json:"open_wiper_v"`
	Step            *MeasuredStep `json:"measured_step,omitempty"`
	KneeVoltage     si.Voltage    `json:"knee_v"` // battery voltage at which the current begins to fall
	Shunt           si.Resistance `json:"shunt_ohm"`
	ShuntPower      si.Power      `json:"shunt_w"`
	Sense           si.Voltage    `json:"sense_v"`
	SenseTop        si.Resistance `json:"sense_top_ohm"`
	SenseBottom     si.Resistance `json:"sense_bottom_ohm"`
	SenseTrimmer    si.Resistance `json:"sense_trimmer_ohm,omitempty"`
	CurrentLow      si.Current    `json:"current_low_a"`
	CurrentHigh     si.Current    `json:"current_high_a"`
	CurrentWorst    si.Current    `json:"current_worst_high_a"`
	Bias            si.Resistance `json:"bias_ohm"`
	BiasMin         si.Current    `json:"bias_min_a"`
	BiasMax         si.Current    `json:"bias_max_a"`
	LEDResistor     si.Resistance `json:"led_resistor_ohm"`
	LEDNeed         si.Current    `json:"led_need_a"`
	LEDHave         si.Current    `json:"led_have_a"`
	LowestRegulated si.Voltage    `json:"lowest_regulated_v"`
	IdleDraw        si.Current    `json:"idle_draw_a"` // most that a full pack gives to the circuit while the mains is off
	Networks        []NetworkUse  `json:"networks"`
	Circuit         Circuit       `json:"circuit"`
	Loops           LoopChoice    `json:"loops"`
	Protection      Protection    `json:"protection"`
}

// MeasuredStep finishes a voltage divider of ordinary resistors: the meter says which resistor lies
// across its bottom leg. All voltages are at the output with no pack on it.
type MeasuredStep struct {
	BeforeLow  si.Voltage    `json:"before_low_v"`  // over all tolerances, without the resistor
	BeforeHigh si.Voltage    `json:"before_high_v"` // the same with drift and heat: below the limit of the pack
	AcceptLow  si.Voltage    `json:"accept_low_v"`  // what the meter has to read in the end
	AcceptHigh si.Voltage    `json:"accept_high_v"`
	Meter      si.Ratio      `json:"meter"`   // error that was allowed for
	Choices    []SetResistor `json:"choices"` // of which one goes in, rising

	// the one that goes in where every part is what is printed on it; 0 where none does
	Likely si.Resistance `json:"likely_ohm,omitempty"`
}

// SetResistor is one resistor, or two of the drawer that make it, that goes in when the meter read
// From to To without it.
type SetResistor struct {
	Ohm    si.Resistance `json:"ohm"`
	Wiring string        `json:"wiring"`
	From   si.Voltage    `json:"from_v"`
	To     si.Voltage    `json:"to_v"`
}

// LikelyBottom is the bottom leg of the voltage divider with what lies across it when every part is
// what is printed on it; without the track of a trimmer.
func (r *Regulation) LikelyBottom() si.Resistance {
	if r.Step == nil || r.Step.Likely == 0 {
		return r.Bottom
	}
	return 1 / (1/r.Bottom + 1/r.Step.Likely)
}

// Protection is the overvoltage protection of the output, which shares no part with the regulation:
// a reference of its own watches OUT, an optocoupler of its own opens the switch in the lead to the
// pack's minus.
type Protection struct {
	Reference  si.Voltage    `json:"reference_v"`
	Top        si.Resistance `json:"top_ohm"`
	Bottom     si.Resistance `json:"bottom_ohm"`
	Trimmer    si.Resistance `json:"trimmer_ohm,omitempty"`
	Position   si.Ratio      `json:"trimmer_position,omitempty"` // share of its track in circuit at the trip
	TripLow    si.Voltage    `json:"trip_low_v"`                 // at OUT, over all tolerances and hot
	Trip       si.Voltage    `json:"trip_v"`
	TripHigh   si.Voltage    `json:"trip_high_v"`
	Series     si.Resistance `json:"series_ohm"` // with the LED
	Bypass     si.Resistance `json:"bypass_ohm"` // across it
	Gate       si.Resistance `json:"gate_ohm"`   // from OUT to the gate
	Divider    si.Resistance `json:"gate_divider_ohm,omitempty"`
	Ratio      si.Ratio      `json:"transfer_ratio"` // of the optocoupler, lowest, after ageing
	LEDNeed    si.Current    `json:"led_need_a"`
	LEDHave    si.Current    `json:"led_have_a"`
	Ceiling    si.Voltage    `json:"ceiling_v"`     // OUT with nothing holding it
	SwitchOpen si.Voltage    `json:"switch_open_v"` // most across the open switch
	SwitchHeat si.Power      `json:"switch_w"`      // in the closed one at the full current
}

// Circuit is what the semiconductors of the control circuit were reckoned with: the figure of the
// part, else the cautious one taken for it.
type Circuit struct {
	AmplifierMin si.Voltage `json:"amplifier_min_v"`
	Headroom     si.Voltage `json:"headroom_v"` // supply less the highest input and the highest output
	Offset       si.Voltage `json:"offset_v"`
	InputBias    si.Current `json:"input_bias_a"`
	Supply       si.Current `json:"supply_a"`
	Source       si.Current `json:"source_a"`               // what an output surely drives, or takes when it pulls down
	Drive        string     `json:"drive"`                  // up: a loop that regulates raises its output; down: it pulls the LED down
	OutputLow    si.Voltage `json:"output_low_v,omitempty"` // down to which it pulls
	CathodeMin   si.Current `json:"cathode_min_a"`
	CathodeMax   si.Current `json:"cathode_max_a"`
	Ratio        si.Ratio   `json:"transfer_ratio"` // of the optocoupler, lowest, after ageing
	Forward      si.Voltage `json:"forward_v"`      // of its LED, highest
	LEDs         bool       `json:"indicator_leds"` // LEDs join the two amplifiers, else diodes
	JoinDrop     si.Voltage `json:"join_v"`         // of that LED or diode, highest
}

// NetworkUse is one leg made of one to three resistors from the drawer.
type NetworkUse struct {
	Role   seats.ID      `json:"role"`
	Ohm    si.Resistance `json:"ohm"`
	Wiring string        `json:"wiring"`
	Parts  []ResistorUse `json:"parts"`

	// Network is the leg itself: how its parts are wired, their values and tolerances.
	Network resistors.Network `json:"-"`
}

// ResistorUse is how many of one lot a network takes.
type ResistorUse struct {
	Lot   int64         `json:"lot,omitempty"`
	Ohm   si.Resistance `json:"ohm" figures:"entered"`
	Count int           `json:"count"`
}

// PartUse is one line of the parts list.
type PartUse struct {
	Role        seats.ID `json:"role"`
	Lot         int64    `json:"lot,omitempty"`
	Designation string   `json:"designation"`
	Quantity    float64  `json:"quantity"`
	Unit        string   `json:"unit"`
	Source      string   `json:"source"` // drawer or buy
	Bin         string   `json:"bin,omitempty"`
	Requirement string   `json:"requirement,omitempty"`
}

// Check is one limit a build was held against.
type Check struct {
	Name   string  `json:"name"`
	Value  float64 `json:"value"`
	Limit  float64 `json:"limit"`
	Unit   string  `json:"unit"`
	Sense  string  `json:"sense"` // max or min
	Margin float64 `json:"margin"`
	Hard   bool    `json:"hard"`
	Passed bool    `json:"passed"`
	Basis  string  `json:"basis"`

	shared bool // the same for every build of this target, so no reason to prefer one
}
