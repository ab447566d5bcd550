package sheet

import (
	"fmt"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/substitute"
	"sparewright/substitute/flyback"
	"sparewright/substitute/regulation"
	"sparewright/substitute/report"
	"sparewright/substitute/report/netlist"
	"sparewright/substitute/seats"
)

// Reading is what a meter must show at a test point of the drawings in one step of the first
// power-up.
type Reading struct {
	Step  string  `json:"step"`
	Point string  `json:"point"`
	What  string  `json:"what"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
	Unit  string  `json:"unit"` // V, A, W or ohm
}

// narrow is the width of a range, against its upper end, below which three digits blur it.
const narrow = 0.08

// Text writes the range, or the one value where both ends are the same.
func (r Reading) Text() string {
	digits := 3
	if r.High-r.Low < narrow*r.High { // rounded, an end could lie outside
		digits = 4
	}
	low, high := report.CheckFigure(r.Low, r.Unit, digits),
		report.CheckFigure(r.High, r.Unit, digits)
	switch {
	case r.Low == r.High:
		return report.CheckFigure(r.High, r.Unit, 4)
	case low == high:
		return high
	case r.Low == 0:
		return "up to " + high
	}
	return low + " to " + high
}

// Steps of the first power-up.
const (
	stepDry  = "1 mains unplugged, bench supply at OUT and 0 V"
	stepIdle = "2 mains through a series lamp, no battery"
	stepOhm  = "3 mains, a resistor in place of the pack, current set"
	stepLoad = "4 mains, discharged pack"
)

// Readings lists the test points. Ohm's law along each path, with the limits the network was
// designed with.
func Readings(t substitute.Target, b *substitute.Build) []Reading {
	r := b.Regulation
	c := r.Circuit
	volts := func(step, point, what string, low, high float64) Reading {
		return Reading{step, point, what, low, high, "V"}
	}
	ref, set := float64(r.Reference), float64(t.Set)
	ledOff, full := float64(t.Empty), set
	if r.Step != nil {
		full = float64(r.Step.AcceptHigh)
	}
	level := func(i si.Current) float64 { return float64(i) * float64(r.Shunt) }
	end := c.Headroom
	if Down(b) {
		end = c.OutputLow
	}
	most := (float64(t.Absolute) - float64(end) - float64(c.JoinDrop) - float64(c.Forward)) /
		float64(r.LEDResistor)
	feedback := func(out float64) (float64, float64) { // at FB with the trimmer at either end
		top := float64(r.Top)
		low, high := out*float64(r.Bottom)/(top+float64(r.Bottom)),
			out*float64(r.Bottom+r.Trimmer)/(top+float64(r.Bottom+r.Trimmer))
		return low, high
	}
	dryLow, dryHigh := feedback(ledOff)
	lamp := SeriesLamp(si.Power(set * float64(t.Current) / float64(b.Efficiency)))
	out := []Reading{
		{stepDry, "L N",
			"both mains pins together to OUT and 0 V, with an insulation tester, at least",
			leastInsulation, leastInsulation, "ohm"},
		volts(stepDry, "OUT", "bench supply, 50 mA limit, at the voltage of the empty pack",
			ledOff, ledOff),
		volts(stepDry, "REF", "reference", ref, ref),
		volts(stepDry, "FB", trimmedOrNot(r.Trimmer, "divider"), dryLow, dryHigh),
		volts(stepDry, "LEVEL", trimmedOrNot(r.SenseTrimmer, "current level"), level(r.CurrentLow),
			level(r.CurrentHigh)),
		volts(stepDry, "LED", "across the LED resistor: the loops ask for nothing", 0, 0),
		acting(r),
		{stepDry, "LED", "through the LED resistor with OUT at the highest voltage the pack may " +
			"see, at least",
			min(float64(r.LEDNeed), most), min(float64(r.LEDNeed), most), "A"},
	}
	out = append(out, setReadings(r)...)
	out = append(out, guardReadings(t, b)...)
	out = append(out, []Reading{
		{stepIdle, "LAMP", "filament lamp in series with the mains; it goes dark within a " +
			"second or two",
			lamp, lamp, "W"},
		volts(stepIdle, "BULK", "across the bulk capacitor, lowest to highest mains",
			float64(flyback.BusPeak(t.MainsMin, b.Drawing.Bridge)), float64(b.Stage.BusMax)),
	}...)
	if b.Transformer.BiasTurns > 0 {
		out = append(out, volts(stepIdle, "VCC", "chip supply, empty pack to full pack",
			float64(b.Stage.BiasMin), float64(b.Stage.BiasMax)))
	}
	out = append(out, idleOutputs(t, r)...)
	out = append(out,
		volts(stepIdle, "REF", "reference", ref, ref),
		volts(stepIdle, "FB", "equal to REF: the voltage loop holds", ref, ref),
		volts(stepIdle, "SENSE", "no current, no drop", 0, 0),
		Reading{stepIdle, "LED", "optocoupler LED, at most, from the voltage across its resistor",
			0, float64(r.LEDNeed), "A"})
	out = append(out, loadReadings(t, b)...)
	out = append(out,
		volts(stepLoad, "SENSE", "equal to LEVEL: the current loop holds", float64(r.Sense),
			float64(r.Sense)),
		volts(stepLoad, "OUT", "follows the pack", float64(t.Empty), full),
		volts(stepLoad, "OUT", "pack voltage at which the current begins to fall",
			float64(r.KneeVoltage), float64(r.KneeVoltage)))
	return out
}

// trimmedOrNot says to turn a trimmer where there is one.
func trimmedOrNot(track si.Resistance, what string) string {
	if track == 0 {
		return what
	}
	return what + ", trimmer from end to end"
}

// acting is the output at which the voltage loop begins to act, found on a bench supply before any
// mains.
func acting(r substitute.Regulation) Reading {
	const raise = "raise it until the LED resistor takes voltage: "
	switch {
	case r.Step != nil:
		return Reading{stepDry, "OUT", raise + "without " + seats.SetResistor.Mark() +
			", write it down",
			float64(r.Step.BeforeLow), float64(r.Step.BeforeHigh), "V"}
	case r.Trimmer == 0:
		return Reading{stepDry, "OUT", raise + "set by the divider alone", float64(r.WorstLow),
			float64(r.WorstHigh), "V"}
	}
	return Reading{stepDry, "OUT", raise + "between the trimmer ends", float64(r.SetLow),
		float64(r.SetHigh), "V"}
}

// setReadings finish a divider by a measurement.
func setReadings(r substitute.Regulation) []Reading {
	if r.Step == nil {
		return nil
	}
	return []Reading{{stepDry, "OUT", "the same with " + seats.SetResistor.Mark() +
		" of the table below in its place, or it comes out again",
		float64(r.Step.AcceptLow), float64(r.Step.AcceptHigh), "V"}}
}

// idleOutputs are the readings of the output at idle.
func idleOutputs(t substitute.Target, r substitute.Regulation) []Reading {
	volts := func(what string, low, high float64) Reading {
		return Reading{stepIdle, "OUT", what, low, high, "V"}
	}
	switch {
	case r.Step != nil:
		return []Reading{volts("output, or no pack goes on it", float64(r.Step.AcceptLow),
			float64(r.Step.AcceptHigh))}
	case r.Trimmer == 0:
		return []Reading{volts("output, set by the divider alone", float64(r.WorstLow),
			float64(r.WorstHigh))}
	}
	return []Reading{volts("output, voltage trimmer from end to end", float64(r.SetLow),
		float64(r.SetHigh)),
		volts("output, set with the voltage trimmer", float64(t.Set), float64(t.Set))}
}

// guardReadings set and try the overvoltage protection, before there is any mains.
func guardReadings(t substitute.Target, b *substitute.Build) []Reading {
	p := b.Regulation.Protection
	gate := float64(t.Empty)
	if p.Divider > 0 {
		gate *= float64(p.Divider / (p.Gate + p.Divider))
	}
	what := "raise it: GATE falls below 1 V, and the pack's lead is open, between"
	low, high := float64(p.TripLow), float64(p.TripHigh)
	if p.Trimmer > 0 {
		what = fmt.Sprintf("bench supply just here: turn %s until GATE falls below 1 V",
			seats.GuardTrimmer.Mark())
		low, high = float64(p.Trip), float64(p.Trip)
	}
	return []Reading{
		{stepDry, "GATE", "at the gate of " + seats.PackSwitch.Mark() +
			", OUT at the empty pack: the lead is closed", 0.95 * gate, 1.05 * gate, "V"},
		{stepDry, "OUT", what, low, high, "V"},
	}
}

// SeriesLamp is the rated power in W of a filament lamp that lets the charger run at idle and takes
// the mains to itself when something is short: the smallest usual one of at least twice what the
// charger takes at full load. Common practice, no source.
func SeriesLamp(full si.Power) float64 {
	for _, w := range []float64{25, 40, 60, 100, 150} {
		if w >= 2*float64(full) {
			return w
		}
	}
	return 200
}

// leastInsulation is the least resistance in ohm between mains and output; common practice, no
// source.
const leastInsulation = 100e6

// loadReadings are those with the first load, a resistor that takes the set current half-way
// between an empty pack and the knee, so that the current can be set without a pack. It is of 5 %.
func loadReadings(t substitute.Target, b *substitute.Build) []Reading {
	r, i := b.Regulation, float64(t.Current)
	what := "equal to LEVEL: the current loop holds"
	if r.SenseTrimmer > 0 {
		what = "set with the current trimmer; " + what
	}
	ohm := float64(catalog.Nearest(si.Resistance(float64(t.Empty+r.KneeVoltage)/2/i), "E24"))
	return []Reading{
		{stepOhm, "LOAD", "resistor between plus and minus of the pack's lead", ohm, ohm, "ohm"},
		{stepOhm, "LOAD", "power in it: it gets hot", i * i * ohm, i * i * ohm, "W"},
		{stepOhm, "SENSE", what, float64(r.Sense), float64(r.Sense), "V"},
		{stepOhm, "OUT", "the set current in the resistor and the shunt",
			i * (0.95*ohm + float64(r.Shunt)), i * (1.05*ohm + float64(r.Shunt)), "V"},
	}
}

// TrimmerUse tells how far to turn a trimmer.
type TrimmerUse struct {
	Role     seats.ID      `json:"role"`
	Track    si.Resistance `json:"track_ohm"`
	Position si.Resistance `json:"position_ohm"` // of the track in circuit at the set point
	Step     string        `json:"step"`         // what one step is, "10 mV" or "10 mA"
	Ohm      si.Resistance `json:"step_ohm"`     // of track for that step
	Share    si.Ratio      `json:"step_share"`   // of the whole track
	Turns    float64       `json:"step_turns,omitempty"`
	When     string        `json:"when"`
}

// trimmerUses differentiates the two dividers at the set point: V = Vref (1 + top/(bottom + x)) and
// I R = Vref bottom/(bottom + top + x).
func trimmerUses(t substitute.Target, b *substitute.Build, s inventory.Snapshot) []TrimmerUse {
	r := b.Regulation
	var out []TrimmerUse
	add := func(id seats.ID, step, when string, track si.Resistance, position, ohm float64) {
		u := TrimmerUse{Role: id, Track: track, Position: si.Resistance(position), Step: step,
			Ohm:   si.Resistance(ohm),
			Share: si.Ratio(ohm / float64(track)), When: when}
		u.Turns = trimmerTurns(b, s, id) * float64(u.Share)
		out = append(out, u)
	}
	if r.Trimmer > 0 {
		x := netlist.VoltageTrack(t, b, netlist.TrimmerSet)
		lower := float64(r.Bottom) + x
		add(seats.VoltageTrimmer, "10 mV", "at idle, no battery", r.Trimmer, x,
			10e-3*lower*lower/(float64(r.Reference)*float64(r.Top)))
	}
	if p := r.Protection; p.Trimmer > 0 {
		x := float64(p.Position) * float64(p.Trimmer)
		lower := float64(p.Bottom) + x
		add(seats.GuardTrimmer, "10 mV", "on the bench supply, before any mains", p.Trimmer, x,
			10e-3*lower*lower/(float64(p.Reference)*float64(p.Top)))
	}
	if r.SenseTrimmer > 0 {
		x := netlist.CurrentTrack(t, b, netlist.TrimmerSet)
		whole := float64(r.SenseTop) + float64(r.SenseBottom) + x
		// A per ohm
		slope := float64(r.Reference) * float64(r.SenseBottom) / (whole * whole * float64(r.Shunt))
		add(seats.CurrentTrimmer, "10 mA", "into the resistor of step 3, before any pack",
			r.SenseTrimmer, x, 10e-3/slope)
	}
	return out
}

// FaultLine is one single fault of this build, where it ends, and who stops it.
type FaultLine struct {
	Part      string     `json:"part"`
	Kind      string     `json:"kind"`
	Output    si.Voltage `json:"output_v"`
	Pack      si.Voltage `json:"pack_v"` // most that the pack sees
	Limit     si.Current `json:"limit_a"`
	Voltage   string     `json:"voltage"`
	Current   string     `json:"current"`
	Dangerous bool       `json:"dangerous"`
	Why       string     `json:"why"`
	Stops     string     `json:"stops"`
}

// FaultLines works the single faults through. With no feedback at all the output ends where the
// reflected voltage reaches the clamp, which then takes the whole power; the current ends at the
// energy the switcher can store a cycle.
func FaultLines(t substitute.Target, b *substitute.Build) []FaultLine {
	r, d := b.Regulation, b.Drawing
	ceiling := r.Protection.Ceiling
	faults := regulation.Faults(regulation.FaultSpec{Voltage: d.Voltage, Current: d.Current,
		Bias: d.Bias, Vref: r.Reference,
		Set: t.Set, SetCurrent: t.Current, Absolute: t.Absolute, HighLimit: 1.25 *
			t.Current, Ceiling: max(ceiling, t.Set),
		CurrentCeil: max(d.Unheld, t.Current), Loop: loopFaultSpec(b), Power: powerFaultSpec(t, b),
		Trip: r.Protection.TripHigh, GuardTrimmer: r.Protection.Trimmer > 0})
	var out []FaultLine
	for _, f := range faults {
		out = append(out, FaultLine{Part: f.Part, Kind: f.Kind, Output: f.Output, Pack: f.Pack,
			Limit: f.Limit, Voltage: f.Voltage.String(),
			Current: f.Current.String(), Dangerous: f.Dangerous, Why: f.Why, Stops: whoStops(t, f)})
	}
	return out
}

// loopFaultSpec is what the faults of the loops are reckoned from.
func loopFaultSpec(b *substitute.Build) regulation.LoopFaultSpec {
	r := b.Regulation
	s := regulation.LoopFaultSpec{Drive: regulation.DriveUp, LEDs: r.Circuit.LEDs,
		Middle: r.Loops.Middle,
		Swing: r.Circuit.Forward + r.Circuit.JoinDrop +
			si.Voltage(float64(r.LEDNeed)*float64(r.LEDResistor))}
	if Down(b) {
		s.Drive = regulation.PullDown
	}
	return s
}

// powerFaultSpec is what the faults of mains side and output are reckoned from.
func powerFaultSpec(t substitute.Target, b *substitute.Build) regulation.PowerFaultSpec {
	r, c := b.Regulation, b.Regulation.Circuit
	end := c.Headroom
	if Down(b) {
		end = c.OutputLow
	}
	most := float64(t.Set-end-c.JoinDrop-c.Forward) / float64(r.LEDResistor)
	return regulation.PowerFaultSpec{Feeds: b.Drawing.Feedback == "feeds-control",
		Timed:   b.Drawing.Overload == "timed",
		SelfFed: b.Drawing.SelfFed, Bias: b.Transformer.BiasTurns > 0, LEDNeed: r.LEDNeed,
		LEDMost: si.Current(most)}
}

// ceilingText says what happens once the pack switch has opened on a fault.
func (s *Sheet) ceilingText() string {
	highest := si.Voltage(0)
	for _, f := range s.Faults {
		highest = max(highest, f.Output)
	}
	p := s.Build.Regulation.Protection
	return fmt.Sprintf("When OUT passes %s, %s at most, the protection opens %s and the pack is "+
		"off, whatever else has failed. OUT itself may then stand at %s until the mains is "+
		"unplugged, and its capacitors may vent: keep the case shut. A protection that has failed "+
		"does not show: try it once a year as in step 1.", report.Four(p.Trip),
		report.Four(p.TripHigh), seats.PackSwitch.Mark(), report.Four(highest))
}

// whoStops names what is left between a fault and the pack.
func whoStops(t substitute.Target, f regulation.Fault) string {
	over := f.Pack > t.Absolute
	switch {
	case f.Output > f.Pack && f.Limit > t.Current*1.25:
		return "the protection opens the pack switch; until then the switcher's limit and " +
			"the output fuse"
	case f.Output > f.Pack:
		return "the protection opens the pack switch"
	case f.Dangerous && over && f.Limit > t.Current*1.25:
		return "nothing in the charger: the pack's own cut-off, the output fuse, you"
	case f.Dangerous && over:
		return "nothing in the charger: the pack's own cut-off, you; the current stays limited"
	case f.Dangerous:
		return "the switcher's limit, the output fuse; the voltage stays right"
	case f.Voltage == regulation.Rises || f.Current == regulation.Rises:
		return "stays within the limits of the pack; mend it"
	case f.Voltage == regulation.Falls || f.Current == regulation.Falls:
		return "harmless: too little or nothing is charged"
	}
	return "nothing to stop"
}

// What the two LEDs mean.
func ledMeanings(b *substitute.Build) []string {
	if !b.Regulation.Circuit.LEDs {
		return []string{"This build joins the loops with diodes: there are no LEDs. The meter " +
			"tells when the pack is full: the current has fallen."}
	}
	return []string{
		"Red LED (current holds): the pack takes the whole set current.",
		"Green LED (voltage holds): the pack is nearly full, or no pack is connected. Take the " +
			"pack off when the current has fallen.",
		"Both: at the knee. Neither: no mains, output below " +
			report.Four(b.Regulation.LowestRegulated) + ", or a fault.",
	}
}

// remedies says where to look when a reading is off.
func remedies(b *substitute.Build) [][2]string {
	out := [][2]string{
		{"REF is off", "reference turned round or open; bias resistor wrong"},
		{"FB does not move with the trimmer", "wiper or track open; bottom leg wrong"},
		{"LEVEL is off", "current divider legs swapped or of the wrong value"},
		{"series lamp glows bright", "short on the mains side: bridge, bulk capacitor, switcher"},
		{"output pulses", "chip supply too low or output shorted; winding starts swapped (dots)"},
		{"output too high at idle", "unplug at once; optocoupler or divider top open"},
	}
	if b.Transformer.BiasTurns > 0 {
		out = append(out, [2]string{"VCC is off",
			fmt.Sprintf("bias winding: %d turns, start to its rectifier", b.Transformer.BiasTurns)})
	}
	return out
}
