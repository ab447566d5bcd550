package substitute

import (
	"math"

	"sparewright/catalog/si"
)

// Gauge is one limit held against one number while designs are compared; a Check is what becomes of
// it in a Build. Gauges carry no text so that a design can be measured without allocating.
type Gauge struct {
	Id     CheckID
	Value  float64
	Limit  float64
	ideal  float64 // the value at which the margin is whole; 0 for most upper limits
	Lowest bool    // the limit is a minimum
}

// Most is an upper limit.
func Most[Q si.Quantity](id CheckID, value, limit Q) Gauge {
	return Gauge{Id: id, Value: float64(value), Limit: float64(limit)}
}

// Least is a lower limit.
func Least[Q si.Quantity](id CheckID, value, limit Q) Gauge {
	return Gauge{Id: id, Value: float64(value), Limit: float64(limit), Lowest: true}
}

// From says at which value the margin counts as whole: the set point for a voltage held near it,
// ambient for a temperature.
func (g Gauge) From(ideal float64) Gauge { g.ideal = ideal; return g }

// Passed reports whether the limit is kept. NaN never passes.
func (g Gauge) Passed() bool {
	if g.Lowest {
		return g.Value >= g.Limit
	}
	return g.Value <= g.Limit
}

// Margin is the share of the way from the ideal value to the limit that is still free: 1 = all, 0 =
// at the limit, negative = beyond. Different checks become comparable by it: 2 K of 60 K and 4 V of
// 120 V are the same margin.
func (g Gauge) Margin() float64 {
	span := g.Limit - g.ideal
	if g.Lowest && g.ideal == 0 {
		span = -g.Limit
	}
	r := 1 - (g.Value-g.ideal)/span
	if g.Lowest && g.ideal == 0 {
		r = g.Value/g.Limit - 1
	}
	switch {
	case r <= 1 && r > math.Inf(-1):
		return r
	case r > 1:
		return 1
	}
	return math.Inf(-1) // NaN: never passes
}

// Worse reports that a gauge has less margin than another of the same check. Margins end at the
// whole, so that those far from their limit are told apart by their margins.
func (g Gauge) Worse(than Gauge) bool {
	a, b := g.Margin(), than.Margin()
	return a < b || a == b && g.Distance() < than.Distance()
}

// Distance is what lies between value and limit, relative to the limit itself; negative beyond it.
func (g Gauge) Distance() float64 {
	if g.Limit == 0 {
		return 0
	}
	if g.Lowest {
		return (g.Value - g.Limit) / math.Abs(g.Limit)
	}
	return (g.Limit - g.Value) / math.Abs(g.Limit)
}

// printed is the margin of a document: a limit that is its own ideal value leaves no way to take a
// share of, and its margin is that of the limit itself.
func (g Gauge) printed() float64 {
	if m := g.Margin(); !math.IsInf(m, -1) {
		return m
	}
	return g.Distance()
}

// Check writes the gauge out with its name, unit and the basis of its limit.
func (g Gauge) Check(basis string) Check {
	d := CheckNames[g.Id]
	sense := "max"
	if g.Lowest {
		sense = "min"
	}
	if basis == "" {
		basis = d.Basis
	}
	return Check{Name: d.Name, Value: g.Value, Limit: g.Limit, Unit: d.Unit, Sense: sense,
		Margin: g.printed(),
		Hard:   !d.Soft, Passed: g.Passed(), Basis: basis, shared: d.shared}
}

// Tightest is the smallest margin, in whole hundredths, and the check it belongs to, and whether a
// hard limit is broken. Limits that are met exactly by construction (creepage of the margins,
// thinnest shim, trimmer ends, trip of the protection) and limits shared by all builds give no
// reason to prefer one.
func Tightest(gs []Gauge) (margin float64, binding CheckID, failed bool) {
	margin = math.Inf(1)
	for _, g := range gs {
		text := &CheckNames[g.Id]
		if !text.Soft && !g.Passed() {
			failed = true
		}
		if text.Soft || text.shared || g.Id == ChkBarrierMargin || g.Id == ChkPinCreepage ||
			g.Id == ChkSmallestGap {
			continue
		}
		if r := g.Margin(); r < margin || math.IsNaN(r) {
			margin, binding = r, g.Id
		}
	}
	return Percent(margin), binding, failed
}

// WorstOf is the hard gauge with the least margin, and that margin.
func WorstOf(gs []Gauge) (Gauge, float64) {
	var found Gauge
	least := math.Inf(1)
	for _, g := range gs {
		if r := g.Margin(); !CheckNames[g.Id].Soft && r < least {
			found, least = g, r
		}
	}
	return found, least
}

// InsideLimit is the hottest air in the case, in C.
const InsideLimit = 75.0

// CheckID numbers the limits; the order is the order of the list in a Build.
type CheckID uint8

const (
	ChkPower CheckID = iota
	ChkPowerEmpty
	ChkDuty
	ChkClass
	ChkFlux
	ChkSmallestGap
	ChkDrain
	ChkClampAbove
	ChkClampPower
	ChkReverse
	ChkRectifierCurrent
	ChkPulses
	ChkBiasLow
	ChkBiasHigh
	ChkFill
	ChkBarrierMargin
	ChkPinCreepage
	ChkPrimaryWire
	ChkSecondaryWire
	ChkCoilHot
	ChkJunction
	ChkInside
	ChkBulkVoltage
	ChkBulkValley
	ChkBulkRipple
	ChkBridgeVoltage
	ChkBridgeCurrent
	ChkOutputVoltage
	ChkOutputRipple
	ChkSetReach
	ChkSetReachHigh
	ChkOvercharge
	ChkOpenWiper
	ChkWarm
	ChkCurrentHigh
	chkCurrentReach
	ChkShuntPower
	ChkBiasMinimum
	ChkBiasMaximum
	ChkSupplyHigh
	ChkLED
	ChkLowestRegulated
	ChkIsolation
	ChkTouch
	ChkOffset
	ChkUnload
	ChkPhaseVoltage
	ChkPhaseCurrent
	ChkSubharmonic
	ChkDeclared
	ChkSafeCurrent
	ChkOwnChip
	ChkStored
	ChkPlatePower
	ChkPlateCurrent
	ChkLowMains
	ChkAmbient
	ChkZener
	ChkFeedbackSupply
	ChkCathode
	ChkReflected
	ChkConnectInput
	ChkConnectShunt
	ChkReversedFuse
	ChkReversedOutput
	ChkReversedReference
	ChkClampHot
	ChkRectifierHot
	ChkOnTime
	ChkDrive
	ChkTripHigh
	ChkTripLow
	ChkGuardLED
	ChkSwitchOpen
	ChkStart
	ChkConnectSwitch
	ChkConnectIdle
	ChkConnectFuse
	ChkShort
	ChkGroundShort
	ChkDeep
	ChkPreCharge
	ChkIdleDraw
	ChkCount
)

type checkText struct {
	Name, Unit, Basis string
	Soft, shared      bool
}

var CheckNames = [ChkCount]checkText{
	ChkPower:             {Name: "peak current needed at lowest mains, full pack", Unit: "A", Basis: "lowest current limit of the switcher"},
	ChkPowerEmpty:        {Name: "peak current needed at lowest mains, empty pack", Unit: "A", Basis: "lowest current limit of the switcher"},
	ChkDuty:              {Name: "duty at lowest mains", Unit: "1", Basis: "guaranteed maximum duty of the switcher"},
	ChkClass:             {Name: "output power", Unit: "W", Basis: "maker's power class for this mains range and case"},
	ChkFlux:              {Name: "flux density at the highest current limit", Unit: "T"},
	ChkSmallestGap:       {Name: "shim thickness", Unit: "m", Basis: "0.051 mm, smallest gap that can be held (AN-18 p. 12)"},
	ChkDrain:             {Name: "drain voltage at highest mains", Unit: "V"},
	ChkClampAbove:        {Name: "clamp voltage above the reflected voltage", Unit: "V", Basis: "1.3 x reflected voltage, or the clamp eats the load (SLVAFK6; AN-23)"},
	ChkClampPower:        {Name: "clamp power", Unit: "W", Basis: "0.8 x the steady rating of a suppressor, half that of a resistor; highest leakage"},
	ChkReverse:           {Name: "reverse voltage of the output rectifier", Unit: "V", Basis: "0.8 x its rating (AN-23 step 6)"},
	ChkRectifierCurrent:  {Name: "average current of the output rectifier", Unit: "A", Basis: "0.7 x its rating, for the heat inside (common practice, no source)"},
	ChkPulses:            {Name: "share of pulses used at lowest mains", Unit: "1", Basis: "0.95 of all clock cycles"},
	ChkBiasLow:           {Name: "chip supply from the bias winding, empty pack", Unit: "V", Basis: "stop voltage of the switcher + 5 %"},
	ChkBiasHigh:          {Name: "chip supply from the bias winding, full pack", Unit: "V", Basis: "highest supply voltage of the switcher; spikes x1.2 (from memory)"},
	ChkFill:              {Name: "winding build in the former", Unit: "m", Basis: "build height of the former; 10 % for bulging by hand (common practice, no source)"},
	ChkBarrierMargin:     {Name: "creepage across the winding barrier", Unit: "m", Basis: "6 mm across the barrier (covers 5.0 and 5.8 mm of IEC 60950-1/62368-1 test reports)"},
	ChkPinCreepage:       {Name: "creepage between the pin rows", Unit: "m", Basis: "6 mm across the barrier (covers 5.0 and 5.8 mm of IEC 60950-1/62368-1 test reports)"},
	ChkPrimaryWire:       {Name: "current density of the primary", Unit: "A/m2", Basis: "9.9 A/mm2 = 200 circular mils per ampere (AN-18 p. 10); the temperature decides", Soft: true},
	ChkSecondaryWire:     {Name: "current density of the secondary", Unit: "A/m2", Basis: "9.9 A/mm2 = 200 circular mils per ampere (AN-18 p. 10); the temperature decides", Soft: true},
	ChkCoilHot:           {Name: "transformer temperature", Unit: "C", Basis: "110 C, tape class 130 less hot spot; Curie margin of an unknown ferrite"},
	ChkJunction:          {Name: "switcher junction temperature", Unit: "C"},
	ChkInside:            {Name: "air inside the case", Unit: "C", Basis: "75 C, electrolytics of 105 C class keep a useful life (halved per 10 K; rule)"},
	ChkBulkVoltage:       {Name: "bulk capacitor voltage at highest mains", Unit: "V", Basis: "rated voltage", shared: true},
	ChkBulkValley:        {Name: "valley of the bulk voltage at lowest mains", Unit: "V", Basis: "0.55 x crest: below it the capacitor is too small for this power (common practice, no source)"},
	ChkBulkRipple:        {Name: "ripple current of the bulk capacitor", Unit: "A", Basis: ""},
	ChkBridgeVoltage:     {Name: "reverse voltage of the bridge", Unit: "V", Basis: "0.7 x its rating: 600 V at least for 230 V mains (from memory)", shared: true},
	ChkBridgeCurrent:     {Name: "bridge current", Unit: "A", Basis: "half its rated average current", shared: true},
	ChkOutputVoltage:     {Name: "output capacitor voltage", Unit: "V", Basis: "rating / 1.2, the fault factor (from memory)", shared: true},
	ChkOutputRipple:      {Name: "ripple current of the output capacitor", Unit: "A", Basis: "rated ripple at 100 kHz of the set"},
	ChkSetReach:          {Name: "lowest reach of the upper trimmer end", Unit: "V", Basis: "the set point can be reached in every tolerance corner", shared: true},
	ChkSetReachHigh:      {Name: "highest reach of the lower trimmer end", Unit: "V", Basis: "the set point can be reached in every tolerance corner", shared: true},
	ChkOvercharge:        {Name: "highest pack voltage, any trimmer position and corner", Unit: "V", Basis: "absolute limit of the pack", shared: true},
	ChkOpenWiper:         {Name: "pack voltage with the trimmer wiper open", Unit: "V", Basis: "absolute limit of the pack", shared: true},
	ChkWarm:              {Name: "pack voltage with the reference hot, set on the bench", Unit: "V", Basis: "absolute limit of the pack; drift from 25 to 75 C", shared: true},
	ChkCurrentHigh:       {Name: "highest charging current, any trimmer position and corner", Unit: "A", Basis: "1.25 x the wanted current (half-C packs stay under 1C)", shared: true},
	chkCurrentReach:      {Name: "lowest reach of the upper current end", Unit: "A", Basis: "the wanted current can be reached in every tolerance corner", shared: true},
	ChkShuntPower:        {Name: "shunt power", Unit: "W", Basis: "half its rating (substitution practice)", shared: true},
	ChkBiasMinimum:       {Name: "reference current at the lowest output reckoned with", Unit: "A", Basis: "least cathode current of the reference", shared: true},
	ChkBiasMaximum:       {Name: "reference current, full pack", Unit: "A", Basis: "highest cathode current of the reference", shared: true},
	ChkSupplyHigh:        {Name: "amplifier supply, full pack", Unit: "V", Basis: "highest supply voltage of the amplifier", shared: true},
	ChkLED:               {Name: "optocoupler LED current at the lowest output reckoned with", Unit: "A", Basis: "current that stops the switcher at the lowest transfer ratio", shared: true},
	ChkLowestRegulated:   {Name: "lowest output at which the current is still regulated", Unit: "V", Basis: "voltage of the empty pack"},
	ChkIsolation:         {Name: "optocoupler isolation", Unit: "V", Basis: "3750 V rms one minute, reinforced (5000 V preferred)", shared: true},
	ChkTouch:             {Name: "touch current through the Y capacitor", Unit: "A", Basis: "0.25 mA, class II, at 60 Hz or more and upper tolerance (IEC 60335-1, from memory)", shared: true},
	ChkOffset:            {Name: "amplifier offset against the sense voltage", Unit: "V", Basis: "5 % of the sense voltage", Soft: true, shared: true},
	ChkUnload:            {Name: "output when the pack is taken off at full current", Unit: "V", Basis: "what output capacitor and amplifier bear"},
	ChkPhaseVoltage:      {Name: "phase margin of the voltage loop, worst corner", Unit: "deg", Basis: "30 degrees in the worst corner, 45 wanted (common practice, no source)"},
	ChkPhaseCurrent:      {Name: "phase margin of the current loop, worst corner", Unit: "deg", Basis: "30 degrees in the worst corner, 45 wanted (common practice, no source)"},
	ChkSubharmonic:       {Name: "duty in continuous mode", Unit: "1", Basis: "0.5: above it a current-mode chip needs slope compensation", Soft: true},
	ChkDeclared:          {Name: "barrier declared whole by the builder", Unit: "1", Basis: "approved class II mains adapter, never opened or reheated: only its builder can know", shared: true},
	ChkSafeCurrent:       {Name: "primary current at the highest current limit", Unit: "A"},
	ChkOwnChip:           {Name: "current limit of the donor's own switcher", Unit: "A", Basis: "the type this transformer was made for: its maker allowed for its highest limit (from memory)", shared: true},
	ChkStored:            {Name: "power that the energy of the transformer carries", Unit: "W", Basis: "half L I2 at its safe current, every cycle: no flyback passes more"},
	ChkPlatePower:        {Name: "power taken from the adapter", Unit: "W", Basis: "watts on the plate of the adapter"},
	ChkPlateCurrent:      {Name: "current taken from the adapter", Unit: "A", Basis: "amperes on the plate of the adapter"},
	ChkLowMains:          {Name: "lowest mains voltage", Unit: "V", Basis: "0.9 x the lowest mains on the plate (supply tolerance of IEC 60038)", shared: true},
	ChkAmbient:           {Name: "air around the adapter", Unit: "C", Basis: "40 C, the hottest room mains adapters are made for (from memory)", shared: true},
	ChkZener:             {Name: "output against the protection zener", Unit: "V", Basis: "0.95 x the zener voltage, its lower tolerance"},
	ChkFeedbackSupply:    {Name: "output needed by reference and optocoupler LED", Unit: "V", Basis: "reference, LED 1.4 V and its resistor at the current that stops the switcher"},
	ChkCathode:           {Name: "voltage at the reference of the adapter", Unit: "V", Basis: "36 V, highest cathode voltage of the usual shunt references"},
	ChkReflected:         {Name: "drain voltage before the spike", Unit: "V"},
	ChkConnectInput:      {Name: "amplifier input current, pack put on a dead charger", Unit: "A", Basis: "25 mA, half of what an LM358 input bears below ground (from memory); its clamp diode takes most of it", shared: true},
	ChkConnectShunt:      {Name: "energy in the shunt, pack put on a dead charger", Unit: "J", Basis: "its rating x 0.1 s (film) or 1 s (wire, strip), pulses of a millisecond (from memory)", Soft: true, shared: true},
	ChkReversedFuse:      {Name: "let-through of the output fuse, pack reversed", Unit: "A2s", Basis: "what the diode across the output bears once, half its surge squared over 8.3 ms; fuse: 10 s x its amperes squared, fast 1 s (from memory)", Soft: true, shared: true},
	ChkReversedOutput:    {Name: "output below ground, pack reversed", Unit: "V", Basis: "1.5 V, an electrolytic for less than a second (from memory); cured by the diode across the output", Soft: true, shared: true},
	ChkReversedReference: {Name: "reference current backwards, pack reversed", Unit: "A", Basis: "100 mA out of the cathode of a TL431 (from memory)", Soft: true, shared: true},
	ChkClampHot:          {Name: "suppressor junction temperature", Unit: "C", Basis: "the lowest of its sheets, 150 C at most types; heat to the air as its family is rated"},
	ChkRectifierHot:      {Name: "output rectifier junction temperature", Unit: "C"},
	ChkDrive:             {Name: "amplifier current that stops the switcher", Unit: "A", Basis: "what the amplifier sinks or sources at least", shared: true},
	ChkOnTime:            {Name: "on-time at highest mains, empty pack", Unit: "s", Basis: "its printed least on-time; else blanking 0.3 us and delay, or 2.7 % of a period where the duty is set (from memory)"},
	ChkTripHigh:          {Name: "pack voltage after the worst single fault", Unit: "V", Basis: "absolute limit of the pack; the protection's own tolerances, hot", shared: true},
	ChkTripLow:           {Name: "lowest trip of the overvoltage protection", Unit: "V", Basis: "the set voltage: below it the protection ends a charge early", Soft: true, shared: true},
	ChkGuardLED:          {Name: "LED current of the overvoltage protection", Unit: "A", Basis: "holds the gate of the pack switch down at the lowest transfer ratio"},
	ChkSwitchOpen:        {Name: "voltage across the open pack switch", Unit: "V", Basis: "0.8 x its rating"},
	ChkStart:             {Name: "output when the mains comes on without a pack", Unit: "V", Basis: "what output capacitor and amplifier bear"},
	ChkConnectSwitch:     {Name: "surge in the pack switch, pack put on a dead charger", Unit: "A", Basis: "4 x its drain current, the usual pulse rating of MOSFET and body diode (from memory)"},
	ChkConnectIdle:       {Name: "surge in the pack switch, empty pack put on an idle charger", Unit: "A", Basis: "4 x its drain current, the usual pulse rating of a MOSFET (from memory)"},
	ChkConnectFuse:       {Name: "squared current in the output fuse, pack put on a dead charger", Unit: "A2s", Basis: "a quarter of what the fuse lets through at most, which does not melt it (from memory)", Soft: true},
	ChkShort:             {Name: "lasting current, leads or output shorted", Unit: "A", Basis: "average rating of the output rectifier; the fuse opens within two minutes at 2.1 x its own (IEC 60127-2); beyond it a short may cost the rectifier, never the pack", Soft: true},
	ChkGroundShort:       {Name: "energy in the shunt, output put to control ground with a pack on", Unit: "J", Basis: "its rating x 0.1 s (film) or 1 s (wire, strip), until the output fuse has opened (from memory); beyond it measure the shunt after such a short", Soft: true, shared: true},
	ChkDeep:              {Name: "mean current into a pack below its lowest voltage", Unit: "A", Basis: "1.25 x the wanted current", Soft: true},
	ChkPreCharge:         {Name: "current into a pack at 0 V through the pre-charge resistor", Unit: "A", Basis: "a tenth of the charging current (makers of lithium cells, from memory)", shared: true},
	ChkIdleDraw:          {Name: "current that the unplugged charger takes from a full pack", Unit: "A", Basis: "1 mA, 9 Ah a year; above it the pack is taken off, or a diode in its plus lead blocks", Soft: true, shared: true},
}

// Broken tells which hard limit of a finished build fails, if one does, the one that misses by most.
func Broken(b *Build) (Refusal, bool) {
	var worst *Check
	for i := range b.Checks {
		if c := &b.Checks[i]; c.Hard && !c.Passed && (worst == nil || c.Margin < worst.Margin) {
			worst = c
		}
	}
	if worst == nil {
		return Refusal{}, false
	}
	r := Refusal{Switcher: b.Switcher.Designation, Core: b.Core.Designation, Check: worst.Name,
		Limit: worst.Limit, Unit: worst.Unit, Miss: -worst.Margin, Why: worst.Basis}
	if !math.IsNaN(worst.Value) && !math.IsInf(worst.Value, 0) { // which no document can hold
		r.Value = worst.Value
	}
	return r, true
}
