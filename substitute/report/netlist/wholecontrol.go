package netlist

import (
	"fmt"

	"sparewright/catalog/si"
	"sparewright/substitute/regulation/resistors"
	"sparewright/substitute/seats"
)

// Figures of the simulated amplifiers and reference that no part states.
const (
	slewRate   = 0.3e6 // V/s (LM358: TI SLOS068W 7.7)
	openGain   = 1e5   // (the same: 100 dB)
	innerFarad = 1e-9  // F, of the capacitor that stands for bandwidth and slew
	outputOhm  = 50.0  // ohm, from memory
	// of a shunt reference that regulates (TL431: TI SLVS543S, 0.2 to 0.5 ohm)
	referenceOhm = 0.3
	bypassFarad  = 100e-9 // at the supply of the amplifiers
)

// leg writes a network of resistors with its fault.
func (w *whole) leg(id seats.ID, name, from, to string, n resistors.Network) {
	w.Leg(name, w.place(id, from, to), to, n)
}

// ohms writes one resistor with its fault; none is a wire.
func (w *whole) ohms(id seats.ID, i int, name, from, to string, r si.Resistance) {
	w.Line("r%s %s %s %s", name, w.placeOne(id, i, from, to), to, Num(max(float64(r), 1e-3)))
}

// track writes a trimmer as a rheostat, the part in circuit and the rest that an open wiper adds.
func (w *whole) track(id seats.ID, name, from, to string, in, whole float64) {
	if w.broken(id, 0, wiper) {
		w.Line("rwiper %s wiper %s", from, Num(max(whole-in, 1e-3)))
		w.Line("swiper %s wiper sound 0 link", from)
		from = "wiper"
	}
	w.Line("r%s %s %s %s", name, w.place(id, from, to), to, Num(max(in, 1e-3)))
}

// loops writes what holds voltage and current: dividers, amplifiers, compensation, the LED's path.
type loops struct{ *whole }

// control writes everything between OUT and the optocoupler's LED.
func (w loops) control() {
	w.watchers()
	down := w.b.Regulation.Circuit.Drive == "down"
	if down {
		w.amplifier("volts", "ref", "feedback", false)
		w.amplifier("amps", "level", "input", false)
	} else {
		w.amplifier("volts", "feedback", "minusvolts", true)
		w.amplifier("amps", "input", "minusamps", true)
		w.ohms(seats.LoopInput, 0, "inputvolts", "ref", "minusvolts", w.b.Regulation.Loops.Input)
		w.ohms(seats.LoopInput, 1, "inputamps", "level", "minusamps", w.b.Regulation.Loops.Input)
	}
	w.ohms(seats.SenseInput, 0, "senseinput", "sense", "input", w.b.Regulation.Loops.Input)
	w.Line("dclampinput %s input smallsignal", w.place(seats.SenseClamp, "0", "input"))
	w.Line(".model smallsignal d(is=%s n=%s)", Num(SmallLeak), Num(SmallSlope))
	w.compensation(down)
	w.lighting(down)
	if w.broken(seats.Amplifier, 0, shorted) {
		w.Line("sshort out 0 fault 0 link")
	}
}

// watchers are both dividers and the reference.
func (w loops) watchers() {
	b, r := w.b, w.b.Regulation
	w.Line("* voltage divider, reference, divider of the current")
	w.leg(seats.DividerTop, "top", "out", "feedback", Network(b, seats.DividerTop))
	if r.Loops.Voltage.Lead > 0 {
		w.Line("clead %s feedback %s ic=%s", w.place(seats.FeedForward, "out", "feedback"),
			Num(float64(r.Loops.Voltage.Lead)), Num(max(0,
				w.out-w.out/w.setPoint()*float64(r.Reference))))
	}
	w.leg(seats.DividerBottom, "bottom", "feedback", "bottomend", Network(b, seats.DividerBottom))
	if k := r.Step; k != nil && k.Likely > 0 {
		w.ohms(seats.SetResistor, 0, "set", "feedback", "bottomend", k.Likely)
	}
	w.track(seats.VoltageTrimmer, "trimmer", "bottomend", "0", VoltageTrack(w.t, b, TrimmerSet),
		float64(r.Trimmer))
	w.leg(seats.ReferenceBias, "bias", "out", "ref", Network(b, seats.ReferenceBias))
	v, least := Num(float64(r.Reference)), Num(float64(r.Circuit.CathodeMin))
	w.Line("breference ref 0 i=%s(v(ref)<%s ? %s*v(ref)/%s : %s+(v(ref)-%s)/%s)",
		w.sound(seats.Reference, open), v, least, v, least, v, Num(referenceOhm))
	if w.broken(seats.Reference, 0, shorted) {
		w.Line("sshort ref 0 fault 0 link")
	}
	w.leg(seats.SenseTop, "leveltop", "ref", "leveltopend", Network(b, seats.SenseTop))
	w.track(seats.CurrentTrimmer, "leveltrimmer", "leveltopend", "level",
		CurrentTrack(w.t, b, TrimmerSet), float64(r.SenseTrimmer))
	w.leg(seats.SenseBottom, "levelbottom", "level", "0", Network(b, seats.SenseBottom))
}

// amplifier writes one with its bandwidth, slew rate, output swing and input current; it dies with
// its supply, and while both inputs lie above their range.
func (w loops) amplifier(name, plus, minus string, up bool) {
	c := w.b.Regulation.Circuit
	slew := slewRate * innerFarad
	gm := 6.2832 * float64(w.y.Amplifier) * innerFarad
	low, begins := 0.0, w.rest()
	if !up {
		low = float64(c.OutputLow)
	}
	if w.volts == (name == "volts") && w.event > 1e-3 {
		begins = w.level(w.drives())
	}
	w.Line("* amplifier of the %s loop", name)
	w.Line("bhigh%s high%s 0 v=%smax(0,v(out)-%s)*min(1,max(0,(v(out)-%s)*100+1))*"+
		"min(1,max(0,(v(out)-%s-min(v(%s),v(%s)))*100+1))", name, name,
		w.sound(seats.Amplifier, open), Num(float64(c.Headroom)), Num(float64(c.AmplifierMin)),
		Num(float64(c.Headroom)), plus, minus)
	w.Line("binner%s 0 inner%s i=%s*tanh(%s*(v(%s)-v(%s)))-%s*max(0,v(inner%s)-v(high%s))+"+
		"%s*max(0,min(%s,v(high%s))-v(inner%s))", name, name, Num(slew), Num(gm/slew), plus, minus,
		Num(slew/0.02), name, name, Num(slew/0.02), Num(low), name, name)
	w.Line("cinner%s inner%s 0 %s ic=%s", name, name, Num(innerFarad), Num(begins))
	w.Line("rinner%s inner%s 0 %s", name, name, Num(openGain/gm))
	w.Line("boutput%s stiff%s 0 v=v(inner%s)", name, name, name)
	w.Line("routput%s stiff%s amp%s %s", name, name, name, Num(outputOhm))
	for i, node := range []string{plus, minus} {
		w.Line("binput%s%d 0 %s i=%smin(1,v(out)/3)*%s", name, i+1, node,
			w.sound(seats.Amplifier, open),
			Num(float64(c.InputBias)/4))
	}
	w.Line("cinput%s %s 0 5e-12", name, minus)
}

// compensation writes capacitor and damping of both loops, charged as the loops stand.
func (w loops) compensation(down bool) {
	r := w.b.Regulation
	level := w.level(w.drives())
	ref, sense := float64(r.Reference), w.setCurrent()*float64(r.Shunt)
	minusVolts, minusAmps := ref, sense
	if down {
		minusAmps = w.amps * float64(r.Shunt)
	}
	volts, amps := level-minusVolts, w.rest()-minusAmps
	if !w.volts {
		volts, amps = w.rest()-minusVolts, level-minusAmps
	}
	if w.event <= 1e-3 {
		volts, amps = 0, 0
	}
	back := map[bool][2]string{true: {"feedback", "input"},
		false: {"minusvolts", "minusamps"}}[down]
	w.Line("* compensation")
	w.branch("volts", back[0], seats.VoltageCapacitor, seats.VoltageDamping,
		float64(r.Loops.Voltage.Capacitor), r.Loops.Voltage.Damping, volts)
	w.branch("amps", back[1], seats.CurrentCapacitor, seats.CurrentDamping,
		float64(r.Loops.Current.Capacitor), r.Loops.Current.Damping, amps)
}

func (w loops) branch(name, to string, capacitor, damping seats.ID, farad float64,
	ohm si.Resistance, charged float64) {
	from := w.place(capacitor, "amp"+name, "damp"+name)
	w.Line("cloop%s %s damp%s %s ic=%s", name, from, name, Num(farad), Num(charged))
	w.ohms(damping, 0, "damping"+name, "damp"+name, to, ohm)
}

// lighting is the way from the amplifiers through what joins them into the LED.
func (w loops) lighting(down bool) {
	r := w.b.Regulation
	c := r.Circuit
	w.Line("* joint, LED resistor, LED of the optocoupler")
	for i, name := range []string{"volts", "amps"} {
		id, k := seats.JoiningDiode, i
		if c.LEDs {
			id, k = [2]seats.ID{seats.LEDFull, seats.LEDCharging}[i], 0
		}
		from, to := "amp"+name, "join"
		if down {
			from, to = to, from
		}
		w.Line("djoin%s %s %s joiner", name, w.placeOne(id, k, from, to), to)
	}
	if down {
		w.leg(seats.LEDResistor, "led", "out", "anode", Network(w.b, seats.LEDResistor))
		w.Line("dled anode cathode optoled")
		w.Line("vled cathode join 0")
	} else {
		w.leg(seats.LEDResistor, "led", "join", "anode", Network(w.b, seats.LEDResistor))
		w.Line("dled anode cathode optoled")
		w.Line("vled cathode 0 0")
	}
	w.Line("cjoin join 0 20e-12")
	w.junction("joiner", float64(c.JoinDrop), float64(r.LEDNeed))
	w.junction("optoled", float64(c.Forward), float64(r.LEDNeed))
	w.Line("rbypass out bypass 0.1")
	w.Line("cbypass bypass 0 %s ic=%s", Num(bypassFarad), Num(w.out))
	w.Line("bsupply out 0 i=%s%s*min(1,max(0,v(out)/%s))", w.sound(seats.Amplifier, open),
		fmt.Sprint(Num(float64(c.Supply))), Num(float64(c.AmplifierMin)))
}
