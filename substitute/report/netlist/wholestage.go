package netlist

import (
	"sparewright/substitute/seats"
)

// Figures of the simulated chip and stage that no part states.
const (
	optoKnee     = 0.3    // V across the optocoupler's transistor where it saturates
	shuntPin     = 5.8    // V at which a fed control pin regulates itself (TOP242-250 sheet, p.37)
	pinFilter    = 7e3    // Hz, inside such a chip; from memory
	startInside  = 2e-3   // A that a chip takes from the bus to start, 2 mA or so; from memory
	startThrough = 0.3e-3 // A left through a start resistor; common practice, no source
	biasOhm      = 10.0   // ohm of bias winding with its rectifier; from memory
	windingOhm   = 50e-3  // ohm of a secondary with a shorted rectifier; from memory
	clampBand    = 0.02   // of the ceiling, over which the clamp takes the power over
	straggler    = 1e-9   // F of winding and rectifier where the output capacitor is open
)

// converter writes mains side, chip and power stage.
type converter struct{ *whole }

// stage writes the converter as a source of the mean current that its power gives, from bus
// voltage and peak current as in the deck of the loops (TI SLUS223E eqs 16 and 18).
func (w converter) stage() {
	b, y := w.b, w.y
	n := float64(turnsRatio(b))
	limit, f, l := float64(b.Switcher.LimitMin), float64(b.Switcher.Frequency),
		float64(b.Transformer.Inductance)
	gain, own := 1.0, float64(w.b.Efficiency)
	if w.strong {
		limit, f, l = float64(b.Switcher.LimitMax), float64(y.Frequency.High),
			float64(y.Inductance.High)
		gain, own = float64(y.Spare), 1
	}
	drop := float64(b.Stage.RectifierDrop)
	w.Line("* converter averaged over a period")
	w.busOf()
	w.Line("bwind wind 0 v=max(v(stage),0)+%s", Num(drop))
	w.Line("bduty duty 0 v=%s*v(wind)/(%s*v(wind)+max(v(bus),1))", Num(n), Num(n))
	w.Line("bripple ripple 0 v=v(bus)*v(duty)/%s", Num(l*f))
	w.law(limit, f, l)
	w.Line("bpower power 0 v=v(pulses)*(v(peak)>v(ripple) ? v(bus)*v(duty)"+
		"*(v(peak)-v(ripple)/2) : "+
		"%s*v(peak)*v(peak))", Num(0.5*l*f))
	ceiling := float64(b.Regulation.Protection.Ceiling)
	w.Line("bfree free 0 v=min(1,max(0,(%s-v(stage))/%s))", Num(ceiling), Num(clampBand*ceiling))
	out := w.sound(seats.OutputRectifier, open, shorted) + w.sound(seats.DrainClamp, shorted) +
		w.sound(seats.ClampDiode, shorted)
	w.Line("bconverter 0 stage i=%sv(free)*%s*v(power)/v(wind)", out, Num(gain*own))
	if w.broken(seats.OutputRectifier, 0, shorted) {
		w.Line("rwinding stage shortened %s", Num(windingOhm))
		w.Line("sshort shortened 0 fault 0 link")
	}
}

// busOf is the bus voltage with the faults of the mains side: a short or an open clamp blows the
// mains fuse, without its capacitor the bus is the half waves of 50 Hz.
func (w converter) busOf() {
	gone := w.sound(seats.Switcher, shorted, open) + w.sound(seats.Bridge, shorted, open) +
		w.sound(seats.MainsFuse, open) + w.sound(seats.BulkCapacitor, shorted) +
		w.sound(seats.DrainClamp, open) + w.sound(seats.ClampDiode, open)
	if w.broken(seats.BulkCapacitor, 0, open) {
		w.Line("bbus bus 0 v=v(mains)*(v(sound)+v(fault)*abs(sin(314.16*time)))")
		return
	}
	w.Line("bbus bus 0 v=%sv(mains)", gone)
}

// law is what drive makes of peak and pulses: the drive follows with half a period of delay, below
// the shortest pulse the chip leaves pulses out.
func (w converter) law(limit, f, l float64) {
	y := w.y
	bus := float64(w.b.Stage.BusMax)
	shortest := bus * float64(y.LeastOn) / l / limit
	if y.Law == "duty" {
		shortest = float64(y.LeastOn) * f / float64(y.Duty)
	}
	w.Line("rdelay drive follows 1")
	w.Line("cdelay follows 0 %s", Num(0.5/f))
	w.Line("* law: %s", y.Law)
	if y.Law == "gated" {
		w.Line("bpeak peak 0 v=%s*v(soft)", Num(limit))
		w.Line("bpulses pulses 0 v=v(active)*v(follows)")
		return
	}
	w.Line("sburst one burst follows 0 pulses")
	w.Line("rburst burst 0 1e3")
	w.Line("cburst burst 0 1e-9")
	w.Line(".model pulses sw(vt=%s vh=%s ron=1 roff=1e9)", Num(shortest), Num(0.3*shortest))
	w.Line("bpulses pulses 0 v=v(active)*v(burst)")
	if y.Law == "duty" {
		// beyond the duty of the border the current climbs to the limit
		w.Line("bwidth width 0 v=%s*max(%s,v(follows))", Num(float64(y.Duty)), Num(shortest))
		w.Line("bpeak peak 0 v=min(%s*v(soft),v(bus)/%s*(v(width)+20*max(0,v(width)-v(duty))))",
			Num(limit), Num(l*f))
		return
	}
	w.Line("bpeak peak 0 v=min(%s*min(v(soft),max(%s,v(follows))),v(bus)*%s+max(0,%s-v(duty))*1e3)",
		Num(limit), Num(shortest), Num(float64(y.Duty)/(l*f)), Num(float64(y.Duty)))
}

// supply writes what the chip lives on: its capacitor, what starts it, the bias winding, the two
// thresholds, the soft start and the overload timer.
func (w converter) supply() {
	b, y := w.b, w.y
	start, stop := float64(y.Supply.High), float64(y.Supply.Low)
	begins := start * 0.999
	if w.amps > 0 || w.event > 1e-3 {
		begins = start + 0.5
	}
	w.Line("* supply of the chip: starts at %s V, stops at %s V", Num(start), Num(stop))
	w.Line("vone one 0 1")
	w.Line("srun one run vcc 0 supplied")
	w.Line("rrun run 0 1e3")
	w.Line(".model supplied sw(vt=%s vh=%s ron=1 roff=1e9)", Num((start+stop)/2),
		Num((start-stop)/2))
	w.Line("bactive active 0 v=%sv(run)*(1-v(tripped))*min(1,v(bus)/20)",
		w.sound(seats.ChipSupply, open))
	top := "bias"
	if b.Drawing.Feedback != "feeds-control" {
		top = "vcc"
		w.Line("cvcc vcc 0 %s ic=%s", Num(float64(y.ChipStore)), Num(begins))
	} else {
		w.Line("cvcc vcc storebottom %s ic=%s", Num(float64(y.ChipStore)), Num(begins))
		w.Line("rstore storebottom 0 %s", Num(float64(y.StoreSeries)))
		w.Line("cbias bias 0 10e-6 ic=%s", Num(float64(b.Stage.BiasMax)*0.9))
		w.Line("rbias bias 0 1e6")
	}
	w.Line("bdraw vcc 0 i=min(1,max(0,v(vcc)))*v(run)*%s", Num(float64(y.Draw)))
	through := startInside
	if b.Drawing.Start == "resistor" {
		through = startThrough
	}
	if b.Drawing.SelfFed {
		w.Line("bself 0 vcc i=min(1,v(bus)/50)*max(0,min(0.02,(%s-v(vcc))*0.1))", Num(start+0.2))
	} else {
		w.Line("bstart 0 vcc i=(1-v(run))*min(1,v(bus)/50)*%s", Num(through))
	}
	if b.Transformer.BiasTurns > 0 {
		per := float64(b.Stage.BiasMax) / (float64(w.t.Set+b.Regulation.Sense) +
			float64(b.Stage.RectifierDrop))
		w.Line("* bias winding; its rectifier conducts while there are pulses")
		w.Line("bbias 0 %s i=%smin(1,v(power)/0.1)*min(0.3,max(0,%s*v(wind)-v(%s))/%s)", top,
			w.sound(seats.BiasRectifier, open), Num(per), top, Num(biasOhm))
	}
	w.Line("bsoft 0 soft i=v(active)>0.5 ? min(%s,(1-v(soft))*1e5) : -v(soft)*1e4",
		Num(1/float64(y.SoftStart)))
	soft := 1.0
	if w.event <= 1e-3 {
		soft = 0
	}
	w.Line("csoft soft 0 1 ic=%s", Num(soft))
	w.timer()
}

// timer writes the count of an overload: while the pin stands at its top a small source charges the
// capacitor there; what has risen far enough stops the chip until its supply has fallen.
func (w converter) timer() {
	y := w.y
	if y.TimerSource <= 0 || y.Timer <= 0 {
		w.Line("vtripped tripped 0 0")
		return
	}
	c := float64(y.Timer)
	w.Line("* overload timer at the feedback pin")
	w.Line("btimer 0 timer i=v(run)*v(full)*%s-(1-v(run)*v(full))*v(timer)*%s",
		Num(float64(y.TimerSource)), Num(c/50e-6))
	w.Line("ctimer timer 0 %s ic=0", Num(c))
	w.Line("strip one tripped timer 0 overload")
	w.Line("rtrip tripped 0 1e3")
	rise := float64(y.TimerRise)
	w.Line(".model overload sw(vt=%s vh=%s ron=1 roff=1e9)", Num(rise*0.52), Num(rise*0.48))
}

// pin writes the optocoupler's transistor at the pin of the chip, and the drive that comes of it.
func (w converter) pin() {
	y := w.y
	ratio := Num(float64(w.b.Regulation.Circuit.Ratio))
	if w.broken(seats.Optocoupler, 0, weakened) {
		ratio += "*(1-v(fault)/3)"
	}
	w.Line("* optocoupler and feedback pin")
	w.Line("blight light 0 v=%s%s*max(0,i(vled))", w.sound(seats.Optocoupler, open), ratio)
	short := ""
	if w.broken(seats.Optocoupler, 0, shorted) {
		short = "+v(fault)*0.05"
	}
	span, stop, ohm := float64(y.Span), float64(y.Stop), float64(y.PinResistance)
	share := w.drives()
	if w.event <= 1e-3 {
		share = 1
	}
	filter := float64(w.b.Regulation.Loops.Filter)
	own := float64(y.PinCapacitance) - filter
	if filter > 0 {
		w.Line("cstored %s 0 %s ic=0", w.place(seats.FeedbackCapacitor, "pin", "0"), Num(filter))
	}
	switch w.b.Drawing.Feedback {
	case "feeds-control":
		w.fedPin(share, short)
	case "feeds-in":
		w.Line("btransistor vcc pin i=min(1,max(0,(v(vcc)-v(pin))/%s))*(v(light)%s)",
			Num(optoKnee), short)
		w.Line("rpin pin 0 %s", Num(ohm))
		w.Line("cpin pin 0 %s ic=%s", Num(own), Num(ohm*span*(1-share)))
		w.Line("bdrive drive 0 v=min(1,max(0,1-v(pin)/%s))", Num(ohm*span))
		w.Line("bfull full 0 v=v(pin)<%s ? 1 : 0", Num(0.02*ohm*span))
	default:
		top := stop * ohm
		w.Line("vpull pull 0 %s", Num(top))
		w.Line("rpull pull pin %s", Num(ohm))
		w.Line("btransistor pin 0 i=min(1,max(0,v(pin)/%s))*(v(light)%s)", Num(optoKnee), short)
		w.Line("cpin pin 0 %s ic=%s", Num(own), Num(top-ohm*span*(1-share)))
		w.Line("bdrive drive 0 v=min(1,max(0,1-(%s-v(pin))/%s))", Num(top), Num(ohm*span))
		w.Line("bfull full 0 v=v(pin)>%s ? 1 : 0", Num(top-0.02*ohm*span))
	}
}

// fedPin is a control pin that the transistor feeds from the bias winding: it holds its own
// voltage, and what flows into it sets the duty.
func (w converter) fedPin(share float64, short string) {
	y := w.y
	w.Line("bopto opto 0 v=v(light)%s", short)
	w.Line("ropto opto slow 1")
	w.Line("copto slow 0 %s", Num(1/(6.2832*float64(y.Transistor))))
	w.Line("btransistor bias vcc i=min(1,max(0,(v(bias)-v(vcc))/%s))*max(0,v(slow))",
		Num(optoKnee))
	w.Line("bregulate vcc 0 i=max(0,v(vcc)-%s)/%s", Num(shuntPin), Num(float64(y.PinResistance)))
	w.Line("bfilter into 0 v=max(0,v(vcc)-%s)/%s+v(run)*%s", Num(shuntPin),
		Num(float64(y.PinResistance)), Num(float64(y.Draw)))
	w.Line("rfilter into control 1")
	w.Line("cfilter control 0 %s ic=%s", Num(1/(6.2832*pinFilter)),
		Num(float64(y.Stop)-share*float64(y.Span)))
	w.Line("bdrive drive 0 v=min(1,max(0,(%s-v(control))/%s))", Num(float64(y.Stop)),
		Num(float64(y.Span)))
	w.Line("vfull full 0 0")
}
