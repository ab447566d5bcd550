package netlist

import (
	"fmt"
	"math"

	"sparewright/substitute"
	"sparewright/substitute/seats"
)

// Figures of the simulated bench that no part states.
const (
	// bounded sources need 1e5 or more for 0.1 %; the loops then stand where the dividers say
	amplifierGain = 1e6
	gentleGain    = 10 // at which a simulator finds its first point from nowhere
	gainSteps     = 60 // from there to the whole gain, each point found from the last
	// ohm a cell, for a pack that is neither new nor worn; common practice, no source
	BatteryOhm   = 0.02
	openOhm      = 1e9     // ohm, no battery connected
	thermalVolts = 25.8649 // mV, kT/q at the 27 C at which ngspice simulates
	SweepStep    = 0.01    // V, of the search for the lowest regulated output
	SmallLeak    = 2.5e-9  // A, and
	// emission coefficient of a 1N4148, which drop 0.65 V at 10 mA and 0.55 V at 1 mA or so; from
	// memory
	SmallSlope = 1.75
	// ohm, of the reference above its least current; small, so that the nominal voltage holds
	bendOhm = 1e-3
)

// RegulationDeck writes the control circuit of a build as a netlist for ngspice, with the power
// stage averaged over a period: the two dividers, the shunt, the reference with its bias resistor,
// the amplifiers, the LEDs or diodes that join them, the LED resistor and the optocoupler at its
// least transfer ratio. Control ground is node 0, the converter side of the shunt. Run in batch it
// prints set_voltage in V (output at idle), set_current in A (into a battery half way between empty
// and full) and lowest_regulated in V (output against control ground below which the feedback can
// no longer stop the converter or the reference starves, worst corner of LED and bias resistor).
// All else has its nominal value: offset and input current are zero, the trimmers stand at the
// given position.
func RegulationDeck(t substitute.Target, b *substitute.Build, at Trimmer) string {
	d := &Deck{}
	d.heading("control loops with averaged power stage", t, b)
	in := Inside(b)
	if in != b {
		d.comment("assumed", "primary inductance of the adapter, from its plate and the lowest "+
			"limit of its chip")
	}
	worst := d.Regulation(t, in, at)
	averaged{d}.questions(t, in, worst)
	d.Line(".end")
	return d.String()
}

// Regulation writes the circuit without the questions and returns the resistors whose worst corner
// counts for the lowest output.
func (d *Deck) Regulation(t substitute.Target, b *substitute.Build, at Trimmer) []part {
	a := averaged{d}
	a.averagedStage(t, b)
	d.Line("* battery, its lead with the shunt, and what the current amplifier sees (vtest is " +
		"zero but for one question)")
	d.Line("rbattery out cell %s", Num(BatteryOhm*float64(t.Cells)))
	d.Line("vbattery cell minus %s", Num(float64(half(t))))
	d.Leg("shunt", "minus", "0", Network(b, seats.Shunt))
	d.Line("vtest sensepoint minus 0")
	a.senseInput(b)
	a.restingProtection(b)
	a.dividers(t, b, at)
	worst := a.reference(b)
	a.amplifiers(b)
	worst = append(worst, a.feedback(b)...)
	d.Line("* above 1 while the converter can be stopped and the reference has its least current")
	d.Line("bgrip grip 0 v=min(v(collector)/%s,i(vcathode)/%s)",
		Num(float64(b.Switcher.FeedbackStop)),
		Num(float64(b.Regulation.Circuit.CathodeMin)))
	d.Line(".nodeset v(out)=%s v(ref)=%s v(join)=%s", Num(float64(t.Set)),
		Num(float64(b.Regulation.Reference)),
		Num(float64(b.Regulation.Circuit.Forward)*1.5))
	d.Line(".options itl1=1000 itl2=1000 gmin=1e-13 reltol=1e-6 abstol=1e-12 vntol=1e-9")
	return worst
}

// averaged writes the circuit part by part, at rest, with the power stage averaged.
type averaged struct{ *Deck }

// restingProtection writes what the overvoltage protection takes while it waits: its divider, and
// the divider at the gate.
func (d averaged) restingProtection(b *substitute.Build) {
	p := b.Regulation.Protection
	d.Line("* overvoltage protection at rest; --protection writes it whole")
	d.Line("rtrip out 0 %s", Num(float64(p.Top+p.Bottom)+float64(p.Position)*float64(p.Trimmer)))
	d.Line("rgate out 0 %s", Num(float64(p.Gate+p.Divider)))
}

// senseInput writes the resistor between the shunt and the input that looks at it, and the diode
// that holds this input when a pack charges the empty output backwards.
func (d averaged) senseInput(b *substitute.Build) {
	d.Line("* resistor and clamp diode at the input that sees the shunt")
	d.Line("rsense sensepoint sense %s", Num(float64(b.Regulation.Loops.Input)))
	d.Line("dsense 0 sense smallsignal")
	d.Line(".model smallsignal d(is=%s n=%s)", Num(SmallLeak), Num(SmallSlope))
}

// averagedStage writes the converter as a source of the mean current that its power gives at the
// output. The power follows from the lowest current limit, reduced by the feedback; the operating
// mode is decided at every output voltage: half L I^2 f while the core empties, else V D (I -
// ripple/2) (TI SLUS223E eqs 16 and 18). An on/off switcher keeps its limit and loses pulses
// instead. What is lost on the way through the core is taken as the same share as at full load.
func (d averaged) averagedStage(t substitute.Target, b *substitute.Build) {
	r, s := b.Regulation, b.Stage
	drop := float64(s.RectifierDrop)
	n := float64(b.Transformer.PrimaryTurns) / float64(b.Transformer.SecondaryTurns)
	own := float64(r.BiasMax+r.LEDHave+r.Circuit.Supply) +
		float64(r.Reference)/float64(r.LikelyBottom())
	useful := (float64(t.Set)+drop)*(float64(t.Current)+own) + float64(t.Current)*float64(r.Sense)
	share := min(1, useful/float64(s.Throughput))
	d.Line("* converter averaged over a period, lowest mains, lowest current limit")
	d.Line("vrun run 0 1")
	d.Line("bwind wind 0 v=max(v(out),0)+%s", Num(drop))
	d.Line("bduty duty 0 v=%s*v(wind)/(%s*v(wind)+%s)", Num(n), Num(n), Num(float64(s.BusMin)))
	d.Line("bripple ripple 0 v=%s*v(duty)",
		Num(float64(s.BusMin)/(float64(b.Transformer.Inductance)*float64(b.Switcher.Frequency))))
	d.Line("bdrive drive 0 v=min(1,max(0,1-v(collector)/%s))",
		Num(float64(b.Switcher.FeedbackStop)))
	if b.Switcher.Control == "on-off" {
		d.Line("bpeak peak 0 v=%s", Num(float64(b.Switcher.LimitMin)))
		d.Line("bpulses pulses 0 v=v(drive)")
	} else {
		d.Line("bpeak peak 0 v=%s*v(drive)", Num(float64(b.Switcher.LimitMin)))
		d.Line("bpulses pulses 0 v=1")
	}
	d.Line("bpower power 0 v=v(pulses)*(v(peak)>v(ripple) ? %s*v(duty)*(v(peak)-v(ripple)/2) : "+
		"%s*v(peak)*v(peak))",
		Num(float64(s.BusMin)), Num(0.5*float64(b.Transformer.Inductance)*float64(
			b.Switcher.Frequency)))
	d.Line("bconverter 0 out i=v(run)*%s*v(power)/v(wind)", Num(share))
}

// dividers writes the voltage divider at the output and the divider that takes the level for the
// current from the reference.
func (d averaged) dividers(t substitute.Target, b *substitute.Build, at Trimmer) {
	d.Line("* voltage divider; its trimmer in the lower leg, trimmers at: %s", at)
	d.Leg("top", "out", "feedback", Network(b, seats.DividerTop))
	d.Leg("bottom", "feedback", "bottomend", Network(b, seats.DividerBottom))
	if k := b.Regulation.Step; k != nil && k.Likely > 0 {
		d.Line("* what a measurement puts across it, with every part as printed")
		d.Line("rset feedback bottomend %s", Num(float64(k.Likely)))
	}
	d.rheostat("trimmer", "bottomend", "0", VoltageTrack(t, b, at))
	d.Line("* divider that sets the current; its trimmer in the upper leg")
	d.Leg("leveltop", "ref", "leveltopend", Network(b, seats.SenseTop))
	d.rheostat("leveltrimmer", "leveltopend", "level", CurrentTrack(t, b, at))
	d.Leg("levelbottom", "level", "0", Network(b, seats.SenseBottom))
}

// reference writes the shunt reference: at its least cathode current it stands at its voltage, with
// less it falls in proportion, with more it hardly rises.
func (d averaged) reference(b *substitute.Build) []part {
	r := b.Regulation
	v, least := Num(float64(r.Reference)), Num(float64(r.Circuit.CathodeMin))
	d.Line("* reference and the resistor that feeds it")
	worst := d.Leg("bias", "out", "ref", Network(b, seats.ReferenceBias))
	d.Line("vcathode ref shunted 0")
	d.Line("breference shunted 0 i=v(ref)<%s ? %s*v(ref)/%s : %s+(v(ref)-%s)/%s", v, least, v,
		least, v, Num(bendOhm))
	return worst
}

// amplifiers writes both as bounded sources: between ground (or as low as they pull the LED) and
// the output less the headroom, dead below the least supply, dead while the lower input lies above
// the input range.
func (d averaged) amplifiers(b *substitute.Build) {
	c := b.Regulation.Circuit
	headroom := Num(float64(c.Headroom))
	d.Line("* amplifiers, fed by the output: largest offset %s V and input current %s A are "+
		"not simulated",
		Num(float64(c.Offset)), Num(float64(c.InputBias)))
	d.Line("* logarithm of the gain, which is raised step by step so that every point is found")
	d.Line("vgain gain 0 %s", Num(math.Log(amplifierGain)))
	d.Line("bsupply out 0 i=%s*min(1,max(0,v(out)/%s))", Num(float64(c.Supply)),
		Num(float64(c.AmplifierMin)))
	alive := fmt.Sprintf("min(1,max(0,(v(out)-%s)*1000+1))", Num(float64(c.AmplifierMin)))
	if c.Drive == "down" {
		d.Line("btop top1 0 v=max(%s,v(out)-%s)", Num(float64(c.OutputLow)), headroom)
		d.Line("bswing swing 0 v=(v(top1)-%s)*%s", Num(float64(c.OutputLow)), alive)
		for _, a := range []struct{ name, plus, minus string }{{"ampvolts", "ref", "feedback"},
			{"ampamps", "level", "sense"}} {
			d.Line(
				"b%s %s 0 v=v(top1)-v(swing)*min(1,max(0,(v(out)-%s-min(v(%s),v(%s)))*1000+1))"+
					"*0.5*(1+tanh(exp(v(gain))*(v(%s)-v(%s))))",
				a.name, a.name, headroom, a.plus, a.minus, a.minus, a.plus)
		}
		return
	}
	d.Line("bswing swing 0 v=max(0,v(out)-%s)*%s", headroom, alive)
	for _, a := range []struct{ name, plus, minus string }{{"ampvolts", "feedback", "ref"},
		{"ampamps", "sense", "level"}} {
		d.Line(
			"b%s %s 0 v=v(swing)*min(1,max(0,(v(out)-%s-min(v(%s),v(%s)))*1000+1))"+
				"*0.5*(1+tanh(exp(v(gain))*(v(%s)-v(%s))))",
			a.name, a.name, headroom, a.plus, a.minus, a.plus, a.minus)
	}
}

// feedback writes the way from the amplifiers into the optocoupler and the current its transistor
// takes.
func (d averaged) feedback(b *substitute.Build) []part {
	r := b.Regulation
	c := r.Circuit
	kind := "diodes"
	if c.LEDs {
		kind = "LEDs"
	}
	d.Line("* %s join the amplifiers; LED resistor, optocoupler at its least transfer ratio", kind)
	var worst []part
	if c.Drive == "down" {
		worst = d.Leg("led", "out", "anode", Network(b, seats.LEDResistor))
		d.Line("dled anode cathode optoled")
		d.Line("vled cathode join 0")
		d.Line("djoinvolts join ampvolts joiner")
		d.Line("djoinamps join ampamps joiner")
	} else {
		d.Line("djoinvolts ampvolts join joiner")
		d.Line("djoinamps ampamps join joiner")
		worst = d.Leg("led", "join", "anode", Network(b, seats.LEDResistor))
		d.Line("dled anode cathode optoled")
		d.Line("vled cathode 0 0")
	}
	d.Line("bcollector collector 0 v=%s*i(vled)", Num(float64(c.Ratio)))
	d.junction("joiner", float64(c.JoinDrop), float64(r.LEDNeed))
	d.junction("optoled", float64(c.Forward), float64(r.LEDNeed))
	return worst
}

// junction writes a diode model that drops volts V at amps A: the highest drop the design reckoned
// with, at the current it needs. Above 0.6 V the slope grows with the drop, so that the saturation
// current stays within what a simulator can count.
func (d *Deck) junction(name string, volts, amps float64) {
	// e to the 16 between the drop and its saturation current
	n := max(1.5, volts/(16*thermalVolts*1e-3))
	is := amps / (math.Exp(volts/(n*thermalVolts*1e-3)) - 1)
	d.Line(".model %s d(is=%s n=%s)", name, Num(is), Num(n))
}

// questions writes the commands that ask for the three figures.
func (d averaged) questions(t substitute.Target, b *substitute.Build, worst []part) {
	r := b.Regulation
	d.Line(".control")
	d.Line("set numdgt=9")
	d.Line("alter rbattery = %s", Num(openOhm))
	d.raise()
	d.Line("let set_voltage = v(out)[length(v(out))-1]")
	d.Line("print set_voltage")
	d.Line("alter rbattery = %s", Num(BatteryOhm*float64(t.Cells)))
	d.raise()
	d.Line("let set_current = i(vbattery)[length(v(out))-1]")
	d.Line("print set_current")
	d.Line("* converter off, the output fed from the battery, the current amplifier told that " +
		"too much flows:")
	d.Line("* down to which output can the optocoupler still stop the converter, and the " +
		"reference stand?")
	d.Line("alter vrun = 0")
	d.Line("alter vtest = %s", Num(float64(r.Sense)+10e-3+0.1*float64(r.Shunt)))
	d.Line("alter rbattery = 1e-3")
	for _, p := range worst {
		d.Line("alter %s = %s", p.element, Num(p.high))
	}
	d.Line("dc vbattery %s %s -%s", Num(float64(half(t))), Num(float64(r.Reference)),
		Num(SweepStep))
	d.Line("meas dc lost find v(out) when v(grip)=1 fall=1")
	d.Line("let lowest_regulated = lost")
	d.Line("print lowest_regulated")
	d.Line("quit 0")
	d.Line(".endc")
}

// raise runs the operating point with the gain going up to the whole.
func (d *Deck) raise() {
	low, high := math.Log(gentleGain), math.Log(amplifierGain)
	step := (high - low) / gainSteps
	d.Line("dc vgain %s %s %s", Num(low), Num(high+step/4), Num(step))
}
