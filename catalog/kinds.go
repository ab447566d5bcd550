package catalog

import "sparewright/catalog/si"

// Part is anything that can lie in a drawer. The set of kinds is closed: one struct a kind, all in
// this file.
//
// The struct tags are the single description of a kind's figures. From them come the columns of the
// published tables and of exchange files, the words of `put`, the rows kept in the drawer file, the
// fields of --json and the checks:
//
//	field name as typed and printed, then options: "required"; "unit=..." is never needed, the Go
//	      type says it
//	range  lowest and highest physically possible value, in the base unit
//	usual the units the trade prints it in, where that is not the base unit; a bare number is read
//	      in them (package typed)
//	likely narrower than range, in the base unit: where two readings of a bare number are possible,
//	      the likely one is meant
//	one    the words allowed, for text fields
//	doc    what the figure means, in the words of the trade
type Part interface {
	Kind() Kind
	Designation() string
	Validate() error
}

// Kind is the word for a kind of part as typed and stored.
type Kind string

// The kinds.
const (
	KindCore        Kind = "core"
	KindWire        Kind = "wire"
	KindFilm        Kind = "film"
	KindSwitcher    Kind = "switcher"
	KindRectifier   Kind = "rectifier"
	KindBridge      Kind = "bridge"
	KindClamp       Kind = "clamp"
	KindOptocoupler Kind = "optocoupler"
	KindAmplifier   Kind = "amplifier"
	KindReference   Kind = "reference"
	KindResistor    Kind = "resistor"
	KindTrimmer     Kind = "trimmer"
	KindCapacitor   Kind = "capacitor"
	KindChoke       Kind = "choke"
	KindLED         Kind = "led"
	KindFuse        Kind = "fuse"
	KindThermistor  Kind = "thermistor"
	KindZener       Kind = "zener"
	KindTransformer Kind = "transformer"
	KindAdapter     Kind = "adapter"
	KindController  Kind = "controller"
	KindTransistor  Kind = "transistor"
)

// Unused reports whether no build takes parts of the kind: they are kept, listed and found, and
// nothing more.
func (k Kind) Unused() bool { return k == KindController }

// Named carries the designation every part has.
type Named struct {
	Name string
}

// Designation is the part's name as printed on it or as its owner calls it.
func (n Named) Designation() string { return n.Name }

// Core is a pair of ferrite halves with what is known of its shape, ferrite, existing gap and
// former (bobbin). Letters a..f are those of IEC 62317 drawings: a overall width, b height of one
// half, c depth, d window height of one half, e distance between the outer legs, f centre-leg width
// (diameter when round). Figures left out are taken from the shape's row.
type Core struct {
	Named
	Shape        string                      `field:"shape" doc:"standard shape, such as E25/13/7; its table row fills what is left out"`
	Ferrite      string                      `field:"ferrite" doc:"ferrite grade, or unknown"`
	Family       string                      `field:"family" one:"E|EI|ETD|ER|EFD|EPC|PQ|RM" doc:"shape family"`
	CentreLeg    string                      `field:"centre_leg" one:"rect|round|flat" doc:"section of the centre leg"`
	A            Datum[si.Length]            `field:"a" range:"0.003,0.2" usual:"mm" doc:"overall width"`
	B            Datum[si.Length]            `field:"b" range:"0.001,0.1" usual:"mm" doc:"height of one half"`
	C            Datum[si.Length]            `field:"c" range:"0.001,0.1" usual:"mm" doc:"depth"`
	D            Datum[si.Length]            `field:"d" range:"0.0005,0.1" usual:"mm" doc:"window height of one half"`
	E            Datum[si.Length]            `field:"e" range:"0.002,0.2" usual:"mm" doc:"distance between the outer legs"`
	F            Datum[si.Length]            `field:"f" range:"0.0005,0.1" usual:"mm" doc:"centre-leg width or diameter"`
	I            Datum[si.Length]            `field:"i" range:"0.0005,0.1" usual:"mm" doc:"thickness of the bar of an EI set"`
	K            Datum[si.Length]            `field:"k" range:"0.0005,0.1" usual:"mm" doc:"thickness of a flat centre leg"`
	Area         Datum[si.Area]              `field:"area" range:"1e-6,2e-3" usual:"mm2" doc:"effective area Ae of the pair"`
	AreaMin      Datum[si.Area]              `field:"area_min" range:"1e-6,2e-3" usual:"mm2" doc:"smallest section"`
	Path         Datum[si.Length]            `field:"path" range:"0.005,0.6" usual:"mm" doc:"effective path le of the pair"`
	Volume       Datum[si.Volume]            `field:"volume" range:"1e-8,1e-3" usual:"mm3" doc:"effective volume Ve of the pair"`
	WindowWidth  Datum[si.Length]            `field:"window_width" range:"0.0005,0.1" usual:"mm" doc:"radial width of the bare core window"`
	WindowHeight Datum[si.Length]            `field:"window_height" range:"0.001,0.2" usual:"mm" doc:"axial height of the bare core window, both halves"`
	FormerWidth  Datum[si.Length]            `field:"former_width" range:"0.001,0.2" usual:"mm" doc:"winding width between the cheeks of the former"`
	FormerHeight Datum[si.Length]            `field:"former_height" range:"0.0003,0.1" usual:"mm" doc:"winding build height on the former"`
	MeanTurn     Datum[si.Length]            `field:"mean_turn" range:"0.005,0.5" usual:"mm" doc:"mean length of a turn on a full former"`
	Former       string                      `field:"former" one:"plain|split|none" doc:"former on hand: plain (one chamber), split (two chambers) or none"`
	PinCreepage  Datum[si.Length]            `field:"pin_creepage" range:"0.0005,0.1" usual:"mm" doc:"creepage between the pin rows of the former"`
	Gap          Datum[si.Length]            `field:"gap" range:"0,0.005" usual:"mm" doc:"gap already ground into the centre leg, whole pair"`
	Permeability Datum[si.Ratio]             `field:"permeability" range:"20,20000" doc:"initial permeability of the ferrite"`
	AL           Datum[si.InductanceFactor]  `field:"al" range:"1e-9,2e-5" usual:"nH" doc:"inductance of one turn with the existing gap, no shim"`
	Saturation   Datum[si.FluxDensity]       `field:"saturation" range:"0.1,0.7" usual:"mT" doc:"flux density at the knee, hot"`
	Rise         Datum[si.ThermalResistance] `field:"rise" range:"1,300" doc:"thermal resistance of the wound pair in still air"`
}

// Kind returns KindCore.
func (Core) Kind() Kind { return KindCore }

// Wire is a spool or hank; it is counted in metres.
type Wire struct {
	Named
	Insulation string                   `field:"insulation,required" one:"enamelled|triple-insulated" doc:"enamelled, or triple-insulated (reinforced insulation by itself)"`
	Diameter   Datum[si.Length]         `field:"diameter,required" range:"2e-5,5e-3" usual:"mm" doc:"bare copper diameter"`
	Overall    Datum[si.Length]         `field:"overall" range:"2e-5,8e-3" usual:"mm" doc:"diameter over the insulation, largest"`
	Resistance Datum[si.LineResistance] `field:"resistance" range:"1e-4,100" doc:"resistance per metre at 20 C"`
	Class      Datum[si.Celsius]        `field:"class" range:"80,260" doc:"temperature class of the insulation"`
}

// Kind returns KindWire.
func (Wire) Kind() Kind { return KindWire }

// Film is tape or shim stock: what goes between layers and into the gap. It is counted in metres
// (tape) or pieces (sheets).
type Film struct {
	Named
	Form         string            `field:"form,required" one:"tape|sheet" doc:"tape on a roll, or sheets to cut shims from"`
	Thickness    Datum[si.Length]  `field:"thickness,required" range:"3e-6,2e-3" usual:"um|mm" doc:"thickness of one layer, adhesive included"`
	ThicknessMin Datum[si.Length]  `field:"thickness_min" range:"3e-6,2e-3" usual:"um|mm" doc:"thinnest"`
	ThicknessMax Datum[si.Length]  `field:"thickness_max" range:"3e-6,2e-3" usual:"um|mm" doc:"thickest"`
	Width        Datum[si.Length]  `field:"width" range:"0.001,1" usual:"mm" doc:"width of the tape"`
	Insulates    string            `field:"insulates" one:"yes|no" doc:"sold as electrical insulation (may stand between windings)"`
	Shim         string            `field:"shim" one:"yes|no" doc:"may be laid into the gap (bears the heat and keeps its thickness)"`
	Strength     Datum[si.Voltage] `field:"strength" range:"100,50000" doc:"breakdown voltage of one layer"`
	Class        Datum[si.Celsius] `field:"class" range:"50,300" doc:"temperature class"`
}

// Kind returns KindFilm.
func (Film) Kind() Kind { return KindFilm }

// Switcher is a monolithic off-line switcher: power switch and control in one package.
type Switcher struct {
	Named
	Control       string                      `field:"control,required" one:"fixed-frequency|on-off|quasi-resonant|valley-duty|primary-regulated|bipolar|other" doc:"kind of control"`
	FrequencyMin  Datum[si.Frequency]         `field:"frequency_min" range:"1e4,1e6" usual:"kHz" doc:"lowest switching frequency"`
	Frequency     Datum[si.Frequency]         `field:"frequency" range:"1e4,1e6" usual:"kHz" doc:"typical switching frequency"`
	FrequencyMax  Datum[si.Frequency]         `field:"frequency_max" range:"1e4,1e6" usual:"kHz" doc:"highest switching frequency"`
	Setting       string                      `field:"setting" one:"internal|external" doc:"current limit fixed inside, or set by an external resistor"`
	LimitMin      Datum[si.Current]           `field:"limit_min" range:"0.02,20" doc:"lowest current limit (external: at the smallest allowed resistor)"`
	Limit         Datum[si.Current]           `field:"limit" range:"0.02,20" doc:"typical current limit"`
	LimitMax      Datum[si.Current]           `field:"limit_max" range:"0.02,20" doc:"highest current limit"`
	SenseMin      Datum[si.Voltage]           `field:"sense_min" range:"0.05,3" doc:"lowest threshold across an external sense resistor"`
	Sense         Datum[si.Voltage]           `field:"sense" range:"0.05,3" doc:"typical threshold across an external sense resistor"`
	SenseMax      Datum[si.Voltage]           `field:"sense_max" range:"0.05,3" doc:"highest threshold across an external sense resistor"`
	DutyMax       Datum[si.Ratio]             `field:"duty_max" range:"0.2,1" usual:"%" doc:"guaranteed maximum duty"`
	Breakdown     Datum[si.Voltage]           `field:"breakdown" range:"200,1700" doc:"drain breakdown voltage"`
	OnResistance  Datum[si.Resistance]        `field:"on_resistance" range:"0.02,200" doc:"largest on-resistance at 25 C"`
	OnHot         Datum[si.Resistance]        `field:"on_hot" range:"0.02,300" doc:"largest on-resistance at 100 C"`
	Coss          Datum[si.Capacitance]       `field:"coss" range:"1e-12,2e-9" usual:"pF" doc:"output capacitance"`
	SelfSupply    string                      `field:"self_supply" one:"yes|no" doc:"feeds itself from the drain, no bias winding needed"`
	SupplyStart   Datum[si.Voltage]           `field:"supply_start" range:"2,60" doc:"supply voltage at which it starts, highest printed"`
	SupplyMin     Datum[si.Voltage]           `field:"supply_min" range:"2,40" doc:"supply voltage at which it stops, highest"`
	SupplyMax     Datum[si.Voltage]           `field:"supply_max" range:"4,60" doc:"highest allowed supply voltage, overvoltage protection included"`
	SupplyCurrent Datum[si.Current]           `field:"supply_current" range:"1e-5,0.05" usual:"mA" doc:"own supply current while switching"`
	SealedNarrow  Datum[si.Power]             `field:"sealed_230v" range:"0.5,300" doc:"maker's power class, sealed adapter, 195-265 V"`
	OpenNarrow    Datum[si.Power]             `field:"open_230v" range:"0.5,300" doc:"maker's power class, open frame, 195-265 V"`
	SealedWide    Datum[si.Power]             `field:"sealed_wide" range:"0.5,300" doc:"maker's power class, sealed adapter, 85-265 V"`
	OpenWide      Datum[si.Power]             `field:"open_wide" range:"0.5,300" doc:"maker's power class, open frame, 85-265 V"`
	SelfNarrow    Datum[si.Power]             `field:"self_230v" range:"0.5,300" doc:"maker's power class without a bias winding, 195-265 V"`
	SelfWide      Datum[si.Power]             `field:"self_wide" range:"0.5,300" doc:"maker's power class without a bias winding, 85-265 V"`
	JunctionAir   Datum[si.ThermalResistance] `field:"junction_air" range:"1,300" doc:"thermal resistance junction to air as mounted"`
	Copper        Datum[si.Area]              `field:"junction_copper" range:"1e-6,0.05" usual:"mm2" doc:"copper area the package is soldered to for that"`
	JunctionMax   Datum[si.Celsius]           `field:"junction_max" range:"80,200" doc:"lowest thermal shutdown temperature"`
	Feedback      string                      `field:"feedback" one:"pulls-down|pulls-enable|feeds-in|feeds-control" doc:"what the optocoupler does: pulls the feedback pin down, pulls the enable pin down, feeds current in, or feeds the control/supply pin"`
	FeedbackStop  Datum[si.Current]           `field:"feedback_stop" range:"1e-6,0.05" usual:"mA" doc:"optocoupler current that surely stops the switching"`
	Delay         Datum[si.Time]              `field:"delay" range:"1e-8,2e-6" usual:"ns" doc:"turn-off delay after the limit is reached"`
	LeastOn       Datum[si.Time]              `field:"least_on" range:"1e-8,5e-6" usual:"ns" doc:"on-time it cannot go below: blanking and delay together"`
	Law           string                      `field:"law" one:"peak-current|duty|gated" doc:"what the feedback sets: the peak current, the duty, or whether a pulse comes at all"`
	FeedbackOhm   Datum[si.Resistance]        `field:"feedback_resistance" range:"1,1e6" doc:"resistance the optocoupler works into at the feedback pin, highest: its pull-up, or the input of a fed pin"`
	FeedbackSpan  Datum[si.Current]           `field:"feedback_span" range:"1e-6,0.05" usual:"mA" doc:"least change of the optocoupler current from full power to none"`
	Overvoltage   Datum[si.Voltage]           `field:"overvoltage" range:"4,60" doc:"supply voltage at which its overvoltage protection may act, lowest"`
	Latches       string                      `field:"latches" one:"yes|no" doc:"after an overvoltage or overheating it stays off until the mains is taken off"`
	Start         string                      `field:"start" one:"inside|pin|resistor" doc:"how it starts: from inside, through a start-up pin at bulk +, or through a resistor from bulk + to its supply pin"`
	StartCurrent  Datum[si.Current]           `field:"start_current" range:"1e-7,0.01" usual:"uA|mA" doc:"highest supply current before it starts, where a resistor starts it"`
	SoftStart     Datum[si.Time]              `field:"soft_start" range:"1e-5,1" usual:"ms" doc:"time over which it lets the peak rise at a start, longest printed"`
	FeedbackPin   string                      `field:"feedback_pin" doc:"name of the pin the optocoupler goes to"`
	Overload      string                      `field:"overload" one:"timed|none" doc:"timed = a source charges the feedback pin, and a start that takes too long counts as an overload"`
	FeedbackStore Datum[si.Capacitance]       `field:"feedback_capacitor" range:"1e-10,1e-5" usual:"nF|uF" doc:"least capacitor at the feedback pin, without which it takes every start for an overload"`
	Pins          string                      `field:"pins" doc:"what its other pins want"`
	Package       string                      `field:"package" doc:"package"`
}

// Kind returns KindSwitcher.
func (Switcher) Kind() Kind { return KindSwitcher }

// Rectifier is a diode for the output, the clamp or the bias winding. Figures are per leg when Legs
// is 2.
type Rectifier struct {
	Named
	Technology  string                      `field:"technology,required" one:"schottky|ultrafast|fast|standard" doc:"kind of junction"`
	Reverse     Datum[si.Voltage]           `field:"reverse,required" range:"5,3000" doc:"repetitive reverse voltage"`
	Average     Datum[si.Current]           `field:"average,required" range:"0.01,200" doc:"average forward current"`
	Surge       Datum[si.Current]           `field:"surge" range:"0.1,3000" doc:"single half-wave surge current"`
	Forward     Datum[si.Voltage]           `field:"forward" range:"0.1,3" doc:"largest forward voltage at the stated current"`
	ForwardAt   Datum[si.Current]           `field:"forward_at" range:"0.001,200" doc:"current at which the forward voltage is stated"`
	ForwardHot  Datum[si.Voltage]           `field:"forward_hot" range:"0.1,3" doc:"forward voltage hot at the same current"`
	Recovery    Datum[si.Time]              `field:"recovery" range:"1e-9,1e-4" usual:"ns" doc:"reverse recovery time"`
	Leakage     Datum[si.Current]           `field:"leakage" range:"1e-9,0.5" usual:"uA|mA" doc:"reverse leakage hot at full voltage"`
	JunctionAir Datum[si.ThermalResistance] `field:"junction_air" range:"0.5,300" doc:"thermal resistance junction to air as mounted"`
	Legs        Datum[si.Ratio]             `field:"legs" range:"1,2" doc:"1, or 2 for a common-cathode pair"`
}

// Kind returns KindRectifier.
func (Rectifier) Kind() Kind { return KindRectifier }

// Bridge is a mains bridge rectifier.
type Bridge struct {
	Named
	Reverse Datum[si.Voltage] `field:"reverse,required" range:"50,2000" doc:"repetitive reverse voltage"`
	Average Datum[si.Current] `field:"average,required" range:"0.1,100" doc:"average output current"`
	Surge   Datum[si.Current] `field:"surge" range:"1,2000" doc:"single half-wave surge current"`
	Forward Datum[si.Voltage] `field:"forward" range:"0.3,2" doc:"forward voltage of one diode"`
}

// Kind returns KindBridge.
func (Bridge) Kind() Kind { return KindBridge }

// Clamp is a transient suppressor used as a drain clamp or as an overvoltage stop at the output.
type Clamp struct {
	Named
	Standoff    Datum[si.Voltage]           `field:"standoff" range:"3,600" doc:"stand-off voltage"`
	Breakdown   Datum[si.Voltage]           `field:"breakdown,required" range:"3,700" doc:"breakdown voltage at 1 mA, nominal"`
	Tolerance   Datum[si.Ratio]             `field:"tolerance" range:"0.01,0.2" usual:"%" doc:"tolerance of the breakdown voltage"`
	Clamping    Datum[si.Voltage]           `field:"clamping" range:"3,1500" doc:"largest voltage at the rated pulse current, 10/1000 us"`
	ClampingAt  Datum[si.Current]           `field:"clamping_at" range:"0.05,5000" doc:"rated pulse current, 10/1000 us"`
	Resistance  Datum[si.Resistance]        `field:"resistance" range:"1e-4,1000" doc:"dynamic resistance above breakdown, highest"`
	Drift       Datum[si.TempCo]            `field:"drift" range:"1e-5,2e-3" usual:"ppm/K" doc:"temperature coefficient of the breakdown voltage, highest"`
	Steady      Datum[si.Power]             `field:"steady" range:"0.1,20" doc:"steady power as mounted"`
	Pulse       Datum[si.Power]             `field:"pulse" range:"50,30000" doc:"10/1000 us pulse power"`
	JunctionAir Datum[si.ThermalResistance] `field:"junction_air" range:"1,300" doc:"thermal resistance junction to air as mounted"`
	JunctionMax Datum[si.Celsius]           `field:"junction_max" range:"80,200" doc:"highest junction temperature"`
}

// Kind returns KindClamp.
func (Clamp) Kind() Kind { return KindClamp }

// Optocoupler carries the control signal over the barrier.
type Optocoupler struct {
	Named
	Output     string              `field:"output" one:"phototransistor|darlington|logic" doc:"kind of output"`
	RatioMin   Datum[si.Ratio]     `field:"ratio_min,required" range:"0.01,50" usual:"%" likely:"0.05,10" doc:"lowest current transfer ratio"`
	RatioMax   Datum[si.Ratio]     `field:"ratio_max" range:"0.01,100" usual:"%" likely:"0.05,10" doc:"highest current transfer ratio"`
	RatioAt    Datum[si.Current]   `field:"ratio_at" range:"1e-4,0.1" usual:"mA" doc:"LED current at which the ratio is stated"`
	Forward    Datum[si.Voltage]   `field:"forward" range:"0.8,2.5" doc:"largest forward voltage of the LED"`
	Collector  Datum[si.Voltage]   `field:"collector" range:"10,400" doc:"collector voltage rating"`
	Isolation  Datum[si.Voltage]   `field:"isolation,required" range:"100,20000" doc:"isolation test voltage, rms, one minute"`
	Creepage   Datum[si.Length]    `field:"creepage" range:"0.001,0.03" usual:"mm" doc:"outside creepage"`
	LeadSpread Datum[si.Length]    `field:"lead_spread" range:"0.002,0.03" usual:"mm" doc:"distance between the pin rows"`
	CutOff     Datum[si.Frequency] `field:"cut_off" range:"100,1e8" usual:"kHz" doc:"frequency at which the signal has fallen by 3 dB, with 100 ohm at the collector and 2 mA through it"`
}

// Kind returns KindOptocoupler.
func (Optocoupler) Kind() Kind { return KindOptocoupler }

// Amplifier is a dual op-amp, or a chip that combines two amplifiers and a reference.
type Amplifier struct {
	Named
	Function      string            `field:"function,required" one:"dual|single|comparator|combined|controller" doc:"dual op-amp, single op-amp, comparator, two op-amps with a reference tied to one input (combined), or fixed-purpose controller"`
	SupplyMin     Datum[si.Voltage] `field:"supply_min,required" range:"0.9,20" doc:"lowest supply voltage"`
	SupplyMax     Datum[si.Voltage] `field:"supply_max,required" range:"3,60" doc:"highest supply voltage"`
	SupplyCurrent Datum[si.Current] `field:"supply_current" range:"1e-6,0.05" usual:"mA" doc:"supply current, whole chip, highest"`
	Offset        Datum[si.Voltage] `field:"offset" range:"1e-6,0.05" usual:"mV" doc:"largest input offset voltage"`
	BiasCurrent   Datum[si.Current] `field:"bias_current" range:"1e-15,1e-5" usual:"nA" doc:"largest input bias current"`
	InputLow      Datum[si.Voltage] `field:"input_low" range:"-1,5" doc:"lowest input voltage above the negative rail"`
	Headroom      Datum[si.Voltage] `field:"headroom" range:"0,5" doc:"how far below the positive rail the inputs must stay, and the output at 5 V"`
	HeadroomHigh  Datum[si.Voltage] `field:"headroom_30v" range:"0,10" doc:"how far below the positive rail the output may stay at a supply of 30 V"`
	Source        Datum[si.Current] `field:"source" range:"1e-5,1" usual:"mA" doc:"current the output can surely deliver"`
	Sink          Datum[si.Current] `field:"sink" range:"1e-6,1" usual:"mA" doc:"current the output can surely take"`
	Vref          Datum[si.Voltage] `field:"vref" range:"0.5,10" doc:"built-in reference voltage"`
	VrefMin       Datum[si.Voltage] `field:"vref_min" range:"0.5,10" doc:"built-in reference, lowest"`
	VrefMax       Datum[si.Voltage] `field:"vref_max" range:"0.5,10" doc:"built-in reference, highest"`
	CathodeMin    Datum[si.Current] `field:"cathode_min" range:"1e-6,0.05" usual:"mA" doc:"current the built-in reference needs"`
	CathodeMax    Datum[si.Current] `field:"cathode_max" range:"1e-4,0.5" usual:"mA" doc:"current the built-in reference bears"`
}

// Kind returns KindAmplifier.
func (Amplifier) Kind() Kind { return KindAmplifier }

// Reference is a shunt reference.
type Reference struct {
	Named
	Vref         Datum[si.Voltage] `field:"vref,required" range:"0.5,15" doc:"reference voltage, nominal"`
	VrefMin      Datum[si.Voltage] `field:"vref_min" range:"0.5,15" doc:"lowest at 25 C"`
	VrefMax      Datum[si.Voltage] `field:"vref_max" range:"0.5,15" doc:"highest at 25 C"`
	Drift        Datum[si.TempCo]  `field:"drift" range:"1e-7,1e-3" usual:"ppm/K" doc:"temperature coefficient"`
	CathodeMin   Datum[si.Current] `field:"cathode_min" range:"1e-6,0.05" usual:"mA" doc:"current it needs to regulate"`
	CathodeMax   Datum[si.Current] `field:"cathode_max" range:"1e-4,0.5" usual:"mA" doc:"current it bears"`
	CathodeVolts Datum[si.Voltage] `field:"cathode_volts" range:"1,60" doc:"highest cathode voltage"`
	InputCurrent Datum[si.Current] `field:"input_current" range:"1e-9,1e-4" usual:"uA" doc:"current into the reference input"`
}

// Kind returns KindReference.
func (Reference) Kind() Kind { return KindReference }

// Resistor is a fixed resistor, shunts and fusible types included.
type Resistor struct {
	Named
	Resistance Datum[si.Resistance] `field:"resistance,required" range:"1e-4,1e9" doc:"resistance"`
	Tolerance  Datum[si.Ratio]      `field:"tolerance" range:"1e-5,0.3" usual:"%" doc:"tolerance"`
	Rating     Datum[si.Power]      `field:"power" range:"0.01,100" doc:"power rating"`
	Volts      Datum[si.Voltage]    `field:"volts" range:"10,10000" doc:"working voltage"`
	Drift      Datum[si.TempCo]     `field:"drift" range:"1e-7,0.01" usual:"ppm/K" doc:"temperature coefficient"`
	Type       string               `field:"type" one:"film|carbon|wirewound|shunt|fusible" doc:"construction"`
}

// Kind returns KindResistor.
func (Resistor) Kind() Kind { return KindResistor }

// Trimmer is an adjustable resistor.
type Trimmer struct {
	Named
	Resistance Datum[si.Resistance] `field:"resistance,required" range:"1,1e7" doc:"end-to-end resistance"`
	Tolerance  Datum[si.Ratio]      `field:"tolerance" range:"0.01,0.4" usual:"%" doc:"tolerance"`
	End        Datum[si.Resistance] `field:"end" range:"0,1000" doc:"largest resistance left at the end stop"`
	Rating     Datum[si.Power]      `field:"power" range:"0.01,10" doc:"power rating"`
	Drift      Datum[si.TempCo]     `field:"drift" range:"1e-7,0.01" usual:"ppm/K" doc:"temperature coefficient"`
	Turns      Datum[si.Ratio]      `field:"turns" range:"1,40" doc:"turns from end to end"`
	Track      string               `field:"track" one:"cermet|carbon|wirewound" doc:"resistive track"`
}

// Kind returns KindTrimmer.
func (Trimmer) Kind() Kind { return KindTrimmer }

// Capacitor is a capacitor of any kind.
type Capacitor struct {
	Named
	Dielectric  string                `field:"dielectric,required" one:"electrolytic|polymer|film|ceramic|ceramic-class1" doc:"dielectric"`
	Capacitance Datum[si.Capacitance] `field:"capacitance,required" range:"1e-13,0.5" doc:"capacitance"`
	Tolerance   Datum[si.Ratio]       `field:"tolerance" range:"0.001,0.9" usual:"%" doc:"tolerance"`
	Volts       Datum[si.Voltage]     `field:"volts,required" range:"2,10000" doc:"voltage rating"`
	Safety      string                `field:"safety" one:"X1|X2|Y1|Y2" doc:"safety class of IEC 60384-14"`
	ESR         Datum[si.Resistance]  `field:"esr" range:"1e-4,500" doc:"series resistance at 100 kHz"`
	Ripple      Datum[si.Current]     `field:"ripple" range:"0.001,50" usual:"mA" doc:"ripple current at 100 kHz"`
	Heat        Datum[si.Celsius]     `field:"heat" range:"50,180" doc:"temperature rating"`
}

// Kind returns KindCapacitor.
func (Capacitor) Kind() Kind { return KindCapacitor }

// Choke is an inductor bought or salvaged wound: mains filter or output choke.
type Choke struct {
	Named
	Use        string               `field:"use,required" one:"common-mode|output" doc:"common-mode mains choke or output choke"`
	Inductance Datum[si.Inductance] `field:"inductance,required" range:"1e-8,1" usual:"mH|uH" doc:"inductance (one winding)"`
	Current    Datum[si.Current]    `field:"current,required" range:"0.01,100" doc:"rated current"`
	Resistance Datum[si.Resistance] `field:"resistance" range:"1e-4,100" doc:"resistance (one winding)"`
}

// Kind returns KindChoke.
func (Choke) Kind() Kind { return KindChoke }

// LED is an indicator LED.
type LED struct {
	Named
	Colour  string            `field:"colour,required" one:"red|green|yellow|orange|blue|white" doc:"colour"`
	Forward Datum[si.Voltage] `field:"forward" range:"1.2,4" doc:"forward voltage"`
	Current Datum[si.Current] `field:"current" range:"1e-4,0.1" usual:"mA" doc:"highest current"`
}

// Kind returns KindLED.
func (LED) Kind() Kind { return KindLED }

// Fuse is a mains fuse-link of IEC 60127, or a fusible resistor sold as such.
type Fuse struct {
	Named
	Current  Datum[si.Current] `field:"current,required" range:"0.03,20" doc:"rated current"`
	Volts    Datum[si.Voltage] `field:"volts" range:"30,1000" doc:"rated voltage"`
	Speed    string            `field:"speed" one:"time-lag|fast" doc:"time-lag (T) or fast (F)"`
	Breaking Datum[si.Current] `field:"breaking" range:"10,50000" doc:"breaking capacity"`
}

// Kind returns KindFuse.
func (Fuse) Kind() Kind { return KindFuse }

// Thermistor is an inrush limiter (NTC).
type Thermistor struct {
	Named
	Cold    Datum[si.Resistance] `field:"cold,required" range:"0.2,1000" doc:"resistance at 25 C"`
	Current Datum[si.Current]    `field:"current" range:"0.1,50" doc:"highest steady current"`
}

// Kind returns KindThermistor.
func (Thermistor) Kind() Kind { return KindThermistor }

// Zener is a voltage-limiting diode of small power: a zener, or a low-voltage suppressor that no
// pulse power is known of. What is sold for pulses is a Clamp; the search takes no zener for one.
type Zener struct {
	Named
	Voltage   Datum[si.Voltage] `field:"voltage,required" range:"1.5,300" doc:"zener voltage, nominal, at the test current"`
	Tolerance Datum[si.Ratio]   `field:"tolerance" range:"0.005,0.2" usual:"%" doc:"tolerance of the zener voltage"`
	Rating    Datum[si.Power]   `field:"power" range:"0.05,100" doc:"power rating as mounted"`
	At        Datum[si.Current] `field:"at" range:"1e-5,1" usual:"mA" doc:"test current at which the voltage is stated"`
}

// Kind returns KindZener.
func (Zener) Kind() Kind { return KindZener }

// Transformer is the wound transformer of a donor, whole and never opened: what is read at its pins
// with all else cut off. The three words of barrier are the builder's own: no meter reads an
// insulation class.
type Transformer struct {
	Named
	Shape        string               `field:"shape" doc:"core outline by the caliper, such as EE19; for loss and heat"`
	Former       string               `field:"former" doc:"former and pins, in words"`
	Topology     string               `field:"topology" one:"flyback|half-bridge|forward|unknown" doc:"what the donor used it for"`
	Barrier      string               `field:"barrier" one:"yes|no|unknown" doc:"declared by the builder: yes = from an approved class II mains adapter, never opened, never reheated"`
	Inductance   Datum[si.Inductance] `field:"inductance,required" range:"1e-5,1" usual:"mH|uH" doc:"primary inductance, everything else open"`
	Secondary    Datum[si.Inductance] `field:"secondary" range:"1e-8,0.1" usual:"uH" doc:"secondary inductance, everything else open"`
	Bias         Datum[si.Inductance] `field:"bias" range:"1e-8,0.1" usual:"uH" doc:"inductance of the bias winding, everything else open"`
	Ratio        Datum[si.Ratio]      `field:"ratio" range:"0.3,100" doc:"primary volts over secondary volts, open"`
	BiasRatio    Datum[si.Ratio]      `field:"bias_ratio" range:"0.3,100" doc:"primary volts over bias volts, open"`
	PrimaryTurns Datum[si.Ratio]      `field:"primary_turns" range:"2,1000" doc:"primary turns against a helper winding of known turns"`
	Meter        Datum[si.Ratio]      `field:"meter" range:"0.001,0.3" usual:"%" doc:"relative error of the inductance readings"`
	Scope        Datum[si.Ratio]      `field:"scope" range:"0.001,0.3" usual:"%" doc:"relative error of the voltage ratios and of the helper winding"`
	Leakage      Datum[si.Inductance] `field:"leakage" range:"1e-8,0.01" usual:"uH" doc:"primary inductance with the secondary shorted at its pins"`
	PrimaryOhm   Datum[si.Resistance] `field:"primary_ohm" range:"0.001,1000" doc:"resistance of the primary, cold"`
	SecondaryOhm Datum[si.Resistance] `field:"secondary_ohm" range:"1e-5,100" doc:"resistance of the secondary, cold"`
	Saturation   Datum[si.Current]    `field:"saturation" range:"0.005,50" doc:"primary current at the knee of a saturation pulse, cold: inductance fallen by a fifth"`
	Passed       Datum[si.Power]      `field:"passed" range:"0.5,2000" doc:"output power on the plate of its working flyback donor"`
	Chip         string               `field:"chip" doc:"switcher of the donor; its table row gives frequency and limit"`
	PassedAt     Datum[si.Frequency]  `field:"passed_at" range:"1e4,1e6" usual:"kHz" doc:"highest switching frequency of the donor"`
	PassedLimit  Datum[si.Current]    `field:"passed_limit" range:"0.02,20" doc:"lowest current limit of the donor's switcher"`
}

// Kind returns KindTransformer.
func (Transformer) Kind() Kind { return KindTransformer }

// Adapter is a whole mains adapter, working or not, with what stands on its plate and was read off
// its board.
type Adapter struct {
	Named
	Volts            Datum[si.Voltage]     `field:"volts,required" range:"2,60" doc:"output voltage on the plate"`
	Amps             Datum[si.Current]     `field:"amps,required" range:"0.02,20" doc:"output current on the plate"`
	MainsMin         Datum[si.Voltage]     `field:"mains_min" range:"80,280" doc:"lowest mains voltage on the plate"`
	MainsMax         Datum[si.Voltage]     `field:"mains_max" range:"80,280" doc:"highest mains voltage on the plate"`
	State            string                `field:"state" one:"working|dead|unknown" doc:"tried with a load"`
	Barrier          string                `field:"barrier" one:"yes|no|unknown" doc:"declared by the builder: yes = class II marked, approved, transformer never opened or reheated"`
	Regulation       string                `field:"regulation" one:"secondary|primary|unknown" doc:"divider at the output with an optocoupler, or at a winding of the mains side"`
	Chip             string                `field:"chip" doc:"its switcher; its table row gives breakdown, duty, supply and limit"`
	Breakdown        Datum[si.Voltage]     `field:"breakdown" range:"200,1700" doc:"drain breakdown voltage"`
	Vref             Datum[si.Voltage]     `field:"vref" range:"0.5,15" doc:"voltage at the tap of its divider"`
	Top              Datum[si.Resistance]  `field:"top" range:"10,1e7" doc:"upper leg of its divider"`
	Bottom           Datum[si.Resistance]  `field:"bottom" range:"10,1e7" doc:"lower leg of its divider"`
	LEDResistor      Datum[si.Resistance]  `field:"led_resistor" range:"1,1e5" doc:"resistor in series with the LED of its optocoupler"`
	Capacitance      Datum[si.Capacitance] `field:"capacitance" range:"1e-6,0.1" usual:"uF" doc:"output capacitors together"`
	CapacitorVolts   Datum[si.Voltage]     `field:"capacitor_volts" range:"2,500" doc:"rating of the output capacitors"`
	Rectifier        string                `field:"rectifier" doc:"type of its output rectifier"`
	RectifierReverse Datum[si.Voltage]     `field:"rectifier_reverse" range:"5,3000" doc:"reverse voltage of its output rectifier"`
	RectifierAverage Datum[si.Current]     `field:"rectifier_average" range:"0.01,200" doc:"average current of its output rectifier, both legs"`
	RectifierDrop    Datum[si.Voltage]     `field:"rectifier_drop" range:"0.1,2" doc:"forward voltage of its output rectifier at the current of the plate"`
	Protection       string                `field:"protection" one:"zener|none|unknown" doc:"what stops an overvoltage at its output"`
	Zener            Datum[si.Voltage]     `field:"zener" range:"2,100" doc:"voltage of that zener"`
	Reflected        Datum[si.Voltage]     `field:"reflected" range:"10,400" doc:"reflected voltage read at the drain, output at the plate"`
	Ratio            Datum[si.Ratio]       `field:"ratio" range:"0.3,100" doc:"primary turns over secondary turns"`
	ChipSupply       Datum[si.Voltage]     `field:"chip_supply" range:"3,60" doc:"supply of the chip from its bias winding, output at the plate"`
	Clamp            string                `field:"clamp" one:"suppressor|resistor|unknown" doc:"what clamps the drain"`
	ClampVolts       Datum[si.Voltage]     `field:"clamp_volts" range:"30,700" doc:"breakdown voltage printed on that suppressor"`
	ClampPulse       Datum[si.Power]       `field:"clamp_pulse" range:"100,50000" doc:"pulse power of that suppressor, 1.5 kW for types 1.5KE"`
	ClampOhm         Datum[si.Resistance]  `field:"clamp_ohm" range:"1000,1e7" doc:"resistor of that clamp"`
	Leakage          Datum[si.Inductance]  `field:"leakage" range:"1e-8,0.01" usual:"uH" doc:"leakage inductance seen from the primary"`
	Bulk             Datum[si.Capacitance] `field:"bulk" range:"1e-7,0.01" usual:"uF" doc:"bulk capacitor"`
	BulkVolts        Datum[si.Voltage]     `field:"bulk_volts" range:"100,600" doc:"rating of the bulk capacitor"`
	YCapacitor       Datum[si.Capacitance] `field:"y_capacitor" range:"1e-12,1e-7" usual:"nF|pF" doc:"capacitor across the barrier, all together"`
}

// Kind returns KindAdapter.
func (Adapter) Kind() Kind { return KindAdapter }

// Controller is a pulse-width control chip for a separate power transistor. No build uses one.
type Controller struct {
	Named
	Control       string                      `field:"control,required" one:"fixed-frequency|quasi-resonant|other" doc:"kind of control"`
	FrequencyMin  Datum[si.Frequency]         `field:"frequency_min" range:"1e4,1e6" usual:"kHz" doc:"lowest switching frequency"`
	Frequency     Datum[si.Frequency]         `field:"frequency" range:"1e4,1e6" usual:"kHz" doc:"typical switching frequency"`
	FrequencyMax  Datum[si.Frequency]         `field:"frequency_max" range:"1e4,1e6" usual:"kHz" doc:"highest switching frequency"`
	SenseMin      Datum[si.Voltage]           `field:"sense_min" range:"0.05,3" doc:"lowest threshold across the sense resistor"`
	Sense         Datum[si.Voltage]           `field:"sense" range:"0.05,3" doc:"typical threshold across the sense resistor"`
	SenseMax      Datum[si.Voltage]           `field:"sense_max" range:"0.05,3" doc:"highest threshold across the sense resistor"`
	DutyMax       Datum[si.Ratio]             `field:"duty_max" range:"0.2,1" usual:"%" doc:"guaranteed maximum duty"`
	Delay         Datum[si.Time]              `field:"delay" range:"1e-8,2e-6" usual:"ns" doc:"turn-off delay after the limit is reached"`
	Blanking      Datum[si.Time]              `field:"blanking" range:"1e-8,5e-6" usual:"ns" doc:"leading-edge blanking, longest"`
	SoftStart     Datum[si.Time]              `field:"soft_start" range:"1e-5,1" usual:"ms" doc:"time over which it lets the peak rise at a start, longest printed"`
	SupplyStart   Datum[si.Voltage]           `field:"supply_start" range:"2,60" doc:"supply voltage at which it starts, highest printed"`
	SupplyMin     Datum[si.Voltage]           `field:"supply_min" range:"2,40" doc:"supply voltage at which it stops, highest"`
	SupplyMax     Datum[si.Voltage]           `field:"supply_max" range:"4,60" doc:"highest allowed supply voltage, overvoltage protection included"`
	Overvoltage   Datum[si.Voltage]           `field:"overvoltage" range:"4,60" doc:"supply voltage at which its overvoltage protection may act, lowest"`
	StartCurrent  Datum[si.Current]           `field:"start_current" range:"1e-7,0.01" usual:"uA|mA" doc:"highest supply current before it starts"`
	SupplyCurrent Datum[si.Current]           `field:"supply_current" range:"1e-5,0.05" usual:"mA" doc:"own supply current while switching, highest printed"`
	Feedback      string                      `field:"feedback" one:"pulls-down|feeds-in" doc:"what the optocoupler does: pulls the feedback pin down, or feeds current in"`
	FeedbackOhm   Datum[si.Resistance]        `field:"feedback_resistance" range:"1,1e6" doc:"pull-up of the feedback pin, highest"`
	GateVolts     Datum[si.Voltage]           `field:"gate_volts" range:"3,30" doc:"voltage to which it clamps the gate, highest"`
	GateCurrent   Datum[si.Current]           `field:"gate_current" range:"0.01,5" doc:"peak current that it drives into the gate"`
	JunctionAir   Datum[si.ThermalResistance] `field:"junction_air" range:"1,400" doc:"thermal resistance junction to air, of the worst package"`
	JunctionMax   Datum[si.Celsius]           `field:"junction_max" range:"80,200" doc:"lowest thermal shutdown temperature"`
	Package       string                      `field:"package" doc:"package"`
}

// Kind returns KindController.
func (Controller) Kind() Kind { return KindController }

// Transistor is a power MOSFET with n channel.
type Transistor struct {
	Named
	Drain        Datum[si.Voltage]           `field:"drain,required" range:"10,2000" doc:"drain voltage rating at 25 C"`
	Current      Datum[si.Current]           `field:"current" range:"0.01,500" doc:"drain current with the case at 25 C"`
	CurrentHot   Datum[si.Current]           `field:"current_hot" range:"0.01,500" doc:"drain current with the case at 100 C"`
	OnResistance Datum[si.Resistance]        `field:"on_resistance" range:"1e-4,200" doc:"largest on-resistance at 25 C, 10 V at the gate"`
	OnHot        Datum[si.Resistance]        `field:"on_hot" range:"1e-4,500" doc:"largest on-resistance hot"`
	Coss         Datum[si.Capacitance]       `field:"coss" range:"1e-12,2e-8" usual:"pF" doc:"output capacitance at 25 V"`
	GateCharge   Datum[si.Charge]            `field:"gate_charge" range:"1e-10,1e-5" usual:"nC" doc:"gate charge, highest printed"`
	ThresholdMin Datum[si.Voltage]           `field:"threshold_min" range:"0.3,10" doc:"lowest gate threshold"`
	Threshold    Datum[si.Voltage]           `field:"threshold" range:"0.3,10" doc:"typical gate threshold"`
	ThresholdMax Datum[si.Voltage]           `field:"threshold_max" range:"0.3,10" doc:"highest gate threshold"`
	GateMax      Datum[si.Voltage]           `field:"gate_max" range:"5,40" doc:"highest voltage between gate and source"`
	Avalanche    Datum[si.Energy]            `field:"avalanche" range:"1e-6,100" usual:"mJ" doc:"single avalanche energy"`
	JunctionCase Datum[si.ThermalResistance] `field:"junction_case" range:"0.1,50" doc:"thermal resistance junction to case"`
	JunctionAir  Datum[si.ThermalResistance] `field:"junction_air" range:"1,300" doc:"thermal resistance junction to air"`
	Package      string                      `field:"package" doc:"package"`
}

// Kind returns KindTransistor.
func (Transistor) Kind() Kind { return KindTransistor }
