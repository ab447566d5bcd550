package substitute

import (
	"math"

	"sparewright/catalog/si"
)

// gauge is one limit held against one number while designs are compared; a Check is what becomes of it in a Build. Gauges
// carry no text so that a design can be measured without allocating.
type gauge struct {
	id     checkID
	value  float64
	limit  float64
	ideal  float64 // the value at which the room is whole; 0 for most upper limits
	lowest bool    // the limit is a minimum
}

// most is an upper limit.
func most[Q si.Quantity](id checkID, value, limit Q) gauge {
	return gauge{id: id, value: float64(value), limit: float64(limit)}
}

// least is a lower limit.
func least[Q si.Quantity](id checkID, value, limit Q) gauge {
	return gauge{id: id, value: float64(value), limit: float64(limit), lowest: true}
}

// from says at which value the room counts as whole: the set point for a voltage held near it, ambient for a temperature.
func (g gauge) from(ideal float64) gauge { g.ideal = ideal; return g }

// passed reports whether the limit is kept. NaN never passes.
func (g gauge) passed() bool {
	if g.lowest {
		return g.value >= g.limit
	}
	return g.value <= g.limit
}

// room is the share of the way from the ideal value to the limit that is still free: 1 = all, 0 = at the limit, negative =
// beyond. Different checks become comparable by it: 2 K of 60 K and 4 V of 120 V are the same room.
func (g gauge) room() float64 {
	span := g.limit - g.ideal
	if g.lowest && g.ideal == 0 {
		span = -g.limit
	}
	r := 1 - (g.value-g.ideal)/span
	if g.lowest && g.ideal == 0 {
		r = g.value/g.limit - 1
	}
	switch {
	case r <= 1 && r > math.Inf(-1):
		return r
	case r > 1:
		return 1
	}
	return math.Inf(-1) // NaN: never passes
}

// margin is the figure of the JSON contract: relative to the limit itself.
func (g gauge) margin() float64 {
	if g.limit == 0 {
		return 0
	}
	if g.lowest {
		return (g.value - g.limit) / math.Abs(g.limit)
	}
	return (g.limit - g.value) / math.Abs(g.limit)
}

// check writes the gauge out with its name, unit and the basis of its limit.
func (g gauge) check(basis string) Check {
	d := checkNames[g.id]
	sense := "max"
	if g.lowest {
		sense = "min"
	}
	if basis == "" {
		basis = d.basis
	}
	return Check{Name: d.name, Value: g.value, Limit: g.limit, Unit: d.unit, Sense: sense, Margin: g.margin(),
		Hard: !d.soft, Passed: g.passed(), Basis: basis, room: g.room(), shared: d.shared}
}

// tightest is the smallest room, in whole hundredths, and the check it belongs to, and whether a hard limit is broken. Limits that
// are met exactly by construction (creepage of the margins, thinnest shim) and limits shared by all builds give no reason to
// prefer one.
func tightest(gs []gauge) (room float64, binding checkID, failed bool) {
	room = math.Inf(1)
	for _, g := range gs {
		text := &checkNames[g.id]
		if !text.soft && !g.passed() {
			failed = true
		}
		if text.soft || text.shared || g.id == chkBarrierMargin || g.id == chkPinCreepage || g.id == chkSmallestGap {
			continue
		}
		if r := g.room(); r < room || math.IsNaN(r) {
			room, binding = r, g.id
		}
	}
	return percent(room), binding, failed
}

// worstOf is the hard gauge with the least room, and that room.
func worstOf(gs []gauge) (gauge, float64) {
	var found gauge
	least := math.Inf(1)
	for _, g := range gs {
		if r := g.room(); !checkNames[g.id].soft && r < least {
			found, least = g, r
		}
	}
	return found, least
}

// checkID numbers the limits; the order is the order of the list in a Build.
type checkID uint8

const (
	chkPower checkID = iota
	chkPowerEmpty
	chkDuty
	chkClass
	chkFlux
	chkSmallestGap
	chkDrain
	chkClampAbove
	chkClampPower
	chkReverse
	chkRectifierCurrent
	chkPulses
	chkBiasLow
	chkBiasHigh
	chkFill
	chkBarrierMargin
	chkPinCreepage
	chkPrimaryWire
	chkSecondaryWire
	chkCoilHot
	chkJunction
	chkInside
	chkBulkVoltage
	chkBulkValley
	chkBulkRipple
	chkBridgeVoltage
	chkBridgeCurrent
	chkOutputVoltage
	chkOutputRipple
	chkSetReach
	chkSetReachHigh
	chkOvercharge
	chkOpenWiper
	chkWarm
	chkCurrentHigh
	chkCurrentReach
	chkShuntPower
	chkBiasMinimum
	chkBiasMaximum
	chkSupplyHigh
	chkLamp
	chkLowestRegulated
	chkIsolation
	chkTouch
	chkOffset
	chkUnload
	chkPhaseVoltage
	chkPhaseCurrent
	chkSubharmonic
	chkDeclared
	chkSafeCurrent
	chkOwnChip
	chkStored
	chkPlatePower
	chkPlateCurrent
	chkLowMains
	chkAmbient
	chkZener
	chkFeedbackSupply
	chkCathode
	chkReflected
	chkConnectInput
	chkConnectShunt
	chkReversedFuse
	chkReversedOutput
	chkReversedReference
	chkClampHot
	chkRectifierHot
	chkOnTime
	chkCount
)

type checkText struct {
	name, unit, basis string
	soft, shared      bool
}

var checkNames = [chkCount]checkText{
	chkPower:             {name: "peak current needed at lowest mains, full pack", unit: "A", basis: "lowest current limit of the switcher"},
	chkPowerEmpty:        {name: "peak current needed at lowest mains, empty pack", unit: "A", basis: "lowest current limit of the switcher"},
	chkDuty:              {name: "duty at lowest mains", unit: "1", basis: "guaranteed maximum duty of the switcher"},
	chkClass:             {name: "output power", unit: "W", basis: "maker's power class for this mains range and case"},
	chkFlux:              {name: "flux density at the highest current limit", unit: "T"},
	chkSmallestGap:       {name: "shim thickness", unit: "m", basis: "0.051 mm, smallest gap that can be held (AN-18 p. 12)"},
	chkDrain:             {name: "drain voltage at highest mains", unit: "V"},
	chkClampAbove:        {name: "clamp voltage above the reflected voltage", unit: "V", basis: "1.3 x reflected voltage, or the clamp eats the load (SLVAFK6; AN-23)"},
	chkClampPower:        {name: "clamp power", unit: "W", basis: "0.8 x the steady rating of a suppressor, half that of a resistor; highest leakage"},
	chkReverse:           {name: "reverse voltage of the output rectifier", unit: "V", basis: "0.8 x its rating (AN-23 step 6)"},
	chkRectifierCurrent:  {name: "average current of the output rectifier", unit: "A", basis: "0.7 x its rating, for the heat inside (common practice, no source)"},
	chkPulses:            {name: "share of pulses used at lowest mains", unit: "1", basis: "0.95 of all clock cycles"},
	chkBiasLow:           {name: "chip supply from the bias winding, empty pack", unit: "V", basis: "stop voltage of the switcher + 5 %"},
	chkBiasHigh:          {name: "chip supply from the bias winding, full pack", unit: "V", basis: "highest supply voltage of the switcher; spikes x1.2 (from memory)"},
	chkFill:              {name: "winding build in the former", unit: "m", basis: "build height of the former; 10 % for bulging by hand (common practice, no source)"},
	chkBarrierMargin:     {name: "creepage across the winding barrier", unit: "m", basis: "6 mm across the barrier (covers 5.0 and 5.8 mm of IEC 60950-1/62368-1 test reports)"},
	chkPinCreepage:       {name: "creepage between the pin rows", unit: "m", basis: "6 mm across the barrier (covers 5.0 and 5.8 mm of IEC 60950-1/62368-1 test reports)"},
	chkPrimaryWire:       {name: "current density of the primary", unit: "A/m2", basis: "9.9 A/mm2 = 200 circular mils per ampere (AN-18 p. 10); the temperature decides", soft: true},
	chkSecondaryWire:     {name: "current density of the secondary", unit: "A/m2", basis: "9.9 A/mm2 = 200 circular mils per ampere (AN-18 p. 10); the temperature decides", soft: true},
	chkCoilHot:           {name: "transformer temperature", unit: "C", basis: "110 C, tape class 130 less hot spot; Curie margin of an unknown ferrite"},
	chkJunction:          {name: "switcher junction temperature", unit: "C"},
	chkInside:            {name: "air inside the case", unit: "C", basis: "75 C, electrolytics of 105 C class keep a useful life (halved per 10 K; rule)"},
	chkBulkVoltage:       {name: "bulk capacitor voltage at highest mains", unit: "V", basis: "rated voltage", shared: true},
	chkBulkValley:        {name: "valley of the bulk voltage at lowest mains", unit: "V", basis: "0.55 x crest: below it the capacitor is too small for this power (common practice, no source)"},
	chkBulkRipple:        {name: "ripple current of the bulk capacitor", unit: "A", basis: ""},
	chkBridgeVoltage:     {name: "reverse voltage of the bridge", unit: "V", basis: "0.7 x its rating: 600 V at least for 230 V mains (from memory)", shared: true},
	chkBridgeCurrent:     {name: "bridge current", unit: "A", basis: "half its rated average current", shared: true},
	chkOutputVoltage:     {name: "output capacitor voltage", unit: "V", basis: "rating / 1.2, the fault factor (from memory)", shared: true},
	chkOutputRipple:      {name: "ripple current of the output capacitor", unit: "A", basis: "rated ripple at 100 kHz of the set"},
	chkSetReach:          {name: "lowest reach of the upper trimmer end", unit: "V", basis: "the set point can be reached in every tolerance corner", shared: true},
	chkSetReachHigh:      {name: "highest reach of the lower trimmer end", unit: "V", basis: "the set point can be reached in every tolerance corner", shared: true},
	chkOvercharge:        {name: "highest pack voltage, any trimmer position and corner", unit: "V", basis: "absolute limit of the pack", shared: true},
	chkOpenWiper:         {name: "pack voltage with the trimmer wiper open", unit: "V", basis: "absolute limit of the pack", shared: true},
	chkWarm:              {name: "pack voltage with the reference hot, set on the bench", unit: "V", basis: "absolute limit of the pack; drift from 25 to 75 C", shared: true},
	chkCurrentHigh:       {name: "highest charging current, any trimmer position and corner", unit: "A", basis: "1.25 x the wanted current (half-C packs stay under 1C)", shared: true},
	chkCurrentReach:      {name: "lowest reach of the upper current end", unit: "A", basis: "the wanted current can be reached in every tolerance corner", shared: true},
	chkShuntPower:        {name: "shunt power", unit: "W", basis: "half its rating (substitution practice)", shared: true},
	chkBiasMinimum:       {name: "reference current at the lowest output reckoned with", unit: "A", basis: "least cathode current of the reference", shared: true},
	chkBiasMaximum:       {name: "reference current, full pack", unit: "A", basis: "highest cathode current of the reference", shared: true},
	chkSupplyHigh:        {name: "amplifier supply, full pack", unit: "V", basis: "highest supply voltage of the amplifier", shared: true},
	chkLamp:              {name: "optocoupler lamp current at the lowest output reckoned with", unit: "A", basis: "current that stops the switcher at the lowest transfer ratio", shared: true},
	chkLowestRegulated:   {name: "lowest output at which the current is still regulated", unit: "V", basis: "voltage of the empty pack", shared: true},
	chkIsolation:         {name: "optocoupler isolation", unit: "V", basis: "3750 V rms one minute, reinforced (5000 V preferred)", shared: true},
	chkTouch:             {name: "touch current through the Y capacitor", unit: "A", basis: "0.25 mA, class II, at 60 Hz or more and upper tolerance (IEC 60335-1, from memory)", shared: true},
	chkOffset:            {name: "amplifier offset against the sense voltage", unit: "V", basis: "5 % of the sense voltage", soft: true, shared: true},
	chkUnload:            {name: "output when the pack is taken off at full current", unit: "V", basis: "what output capacitor and amplifier bear", shared: true},
	chkPhaseVoltage:      {name: "phase margin of the voltage loop, worst corner", unit: "deg", basis: "30 degrees in the worst corner, 45 wanted (common practice, no source)", shared: true},
	chkPhaseCurrent:      {name: "phase margin of the current loop, worst corner", unit: "deg", basis: "30 degrees in the worst corner, 45 wanted (common practice, no source)", shared: true},
	chkSubharmonic:       {name: "duty in continuous mode", unit: "1", basis: "0.5: above it a current-mode chip needs slope compensation", soft: true},
	chkDeclared:          {name: "barrier declared whole by the builder", unit: "1", basis: "approved class II mains adapter, never opened or reheated: only its builder can know", shared: true},
	chkSafeCurrent:       {name: "primary current at the highest current limit", unit: "A"},
	chkOwnChip:           {name: "current limit of the donor's own switcher", unit: "A", basis: "the type this transformer was made for: its maker allowed for its highest limit (from memory)", shared: true},
	chkStored:            {name: "power that the energy of the transformer carries", unit: "W", basis: "half L I2 at its safe current, every cycle: no flyback passes more"},
	chkPlatePower:        {name: "power taken from the adapter", unit: "W", basis: "watts on the plate of the adapter"},
	chkPlateCurrent:      {name: "current taken from the adapter", unit: "A", basis: "amperes on the plate of the adapter"},
	chkLowMains:          {name: "lowest mains voltage", unit: "V", basis: "0.9 x the lowest mains on the plate (supply tolerance of IEC 60038)", shared: true},
	chkAmbient:           {name: "air around the adapter", unit: "C", basis: "40 C, the hottest room mains adapters are made for (from memory)", shared: true},
	chkZener:             {name: "output against the protection zener", unit: "V", basis: "0.95 x the zener voltage, its lower tolerance"},
	chkFeedbackSupply:    {name: "output needed by reference and optocoupler lamp", unit: "V", basis: "reference, lamp 1.4 V and its resistor at the current that stops the switcher"},
	chkCathode:           {name: "voltage at the reference of the adapter", unit: "V", basis: "36 V, highest cathode voltage of the usual shunt references"},
	chkReflected:         {name: "drain voltage before the spike", unit: "V"},
	chkConnectInput:      {name: "amplifier input current, pack put on a dead charger", unit: "A", basis: "25 mA, half of what an LM358 input bears below ground (from memory); its clamp diode takes most of it", shared: true},
	chkConnectShunt:      {name: "energy in the shunt, pack put on a dead charger", unit: "J", basis: "its rating x 0.1 s (film) or 1 s (wire, strip), pulses of a millisecond (from memory)", soft: true, shared: true},
	chkReversedFuse:      {name: "let-through of the output fuse, pack reversed", unit: "A2s", basis: "what the diode across the output bears once, half its surge squared over 8.3 ms; fuse: 10 s x its amperes squared, fast 1 s (from memory)", soft: true, shared: true},
	chkReversedOutput:    {name: "output below ground, pack reversed", unit: "V", basis: "1.5 V, an electrolytic for less than a second (from memory); cured by the diode across the output", soft: true, shared: true},
	chkReversedReference: {name: "reference current backwards, pack reversed", unit: "A", basis: "100 mA out of the cathode of a TL431 (from memory)", soft: true, shared: true},
	chkClampHot:          {name: "suppressor junction temperature", unit: "C", basis: "150 C, the lowest of its sheets; 75 K/W to the air"},
	chkRectifierHot:      {name: "output rectifier junction temperature", unit: "C"},
	chkOnTime:            {name: "on-time at highest mains, empty pack", unit: "s", basis: "blanking 0.3 us and delay of the switcher (from memory)"},
}
