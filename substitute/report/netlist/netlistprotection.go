package netlist

import (
	"sparewright/substitute"
	"sparewright/substitute/seats"
)

// Figures of the simulated overvoltage protection that no part states.
const (
	// A/V of a TL431 at its input (0.5 ohm of output impedance seen from there, TI SLVS543S)
	referenceSlope = 1.0
	referenceLow   = 2.0 // V at its cathode, conducting fully (TI SLVS543S)
	// F, of the gate with what the drain couples into it; IRF3205 3.2 nF (from memory)
	gateStore = 5e-9
	// s, of the optocoupler into kilohms (PC817 data sheet: 18 us with 2 kohm, from memory)
	optoDelay     = 20e-6
	optoSaturates = 0.3  // V across its transistor
	surgeStep     = 1e-3 // s, when the regulation is gone
	surgeEnd      = 12e-3
)

// ProtectionDeck writes the overvoltage protection of a build as a netlist for ngspice: a pack
// stands just below the trip at the set current, and after a millisecond nothing regulates any
// more. The converter then gives its highest power up to the ceiling. Run in batch it prints opened
// in s (from the fault until the lead to the pack is open), out_at in V (OUT at that moment), over
// in s (how long the pack's terminals stood above the absolute limit), left in A (what the pack
// still gets at the end) and out_end in V. The divider trips where it is set, the optocoupler has
// its lowest ratio.
func ProtectionDeck(t substitute.Target, b *substitute.Build) string {
	d := &Deck{}
	in := Inside(b)
	p := b.Regulation.Protection
	d.heading("overvoltage protection, the regulation gone", t, b)
	watts := float64(in.Drawing.Unheld) * float64(t.Empty)
	d.Line("* converter: the set current, then its highest power, up to the ceiling")
	d.Line("bconverter 0 out i=time<%s ? %s : min(%s,%s/max(v(out),1))", Num(surgeStep),
		Num(float64(t.Current)), Num(float64(in.Drawing.Unheld)), Num(watts))
	d.Line("dceiling out top ideal")
	d.Line("vtop top 0 %s", Num(float64(p.Ceiling)))
	d.Line(".model ideal d(is=1e-12 n=0.05)")
	d.Line("cout out 0 %s ic=%s", Num(float64(in.Drawing.OutputLeast)), Num(0.998*float64(p.Trip)))
	d.Line("* a pack charged up to just below the trip, its lead with the pack switch " +
		"and the shunt")
	closed := float64(p.SwitchHeat) / float64(t.Current*t.Current)
	drop := float64(t.Current) * (BatteryOhm*float64(t.Cells) + closed +
		float64(b.Regulation.Shunt))
	d.Line("vpack cell minus %s", Num(0.998*float64(p.Trip)-drop))
	d.Line("rpack out cell %s", Num(BatteryOhm*float64(t.Cells)))
	d.Line("bswitch minus sense i=(v(minus)-v(sense))*(1e-9+min(1,max(0,(v(gate)-1.5)/1.5))/%s)",
		Num(closed))
	d.Line("dbody sense minus body")
	d.Line(".model body d(is=1e-10)")
	d.Line("rshunt sense 0 %s", Num(float64(b.Regulation.Shunt)))
	d.Line("* divider, reference with its input at TRIP, LED of the optocoupler")
	ratio := float64(p.Trip)/float64(p.Reference) - 1
	if n := Network(b, seats.GuardTop); n.N > 0 {
		d.Leg("guardtop", "out", "trip", n)
	} else {
		d.Line("rguardtop out trip %s", Num(float64(p.Top)))
	}
	d.Line("rguardbottom trip 0 %s", Num(float64(p.Top)/ratio))
	d.Line("rseries out anode %s", Num(float64(p.Series)))
	d.Line("rbypass anode cathode %s", Num(float64(p.Bypass)))
	d.Line("dled anode lit led")
	d.Line("vlit lit cathode 0")
	d.junction("led", 1.2, 1e-3)
	d.Line("breference cathode 0 i=min(1,max(0,v(cathode)/%s))*min(0.1,max(0,%s*(v(trip)-%s)))",
		Num(referenceLow), Num(referenceSlope),
		Num(float64(p.Reference)))
	d.Line("* transistor of the optocoupler at the gate")
	d.Line("blight light0 0 v=%s*i(vlit)", Num(float64(p.Ratio)))
	d.Line("rlight light0 light 1")
	d.Line("clight light 0 %s", Num(optoDelay))
	d.Line("btransistor gate 0 i=min(1,max(0,v(gate)/%s))*max(0,v(light))", Num(optoSaturates))
	d.Line("rgate out gate %s", Num(float64(p.Gate)))
	start := float64(t.Set)
	if p.Divider > 0 {
		d.Line("rdivider gate 0 %s", Num(float64(p.Divider)))
		start *= float64(p.Divider / (p.Gate + p.Divider))
	}
	d.Line("cgate gate 0 %s ic=%s", Num(gateStore), Num(start))
	d.Line(".options reltol=1e-4")
	d.Line(".control")
	d.Line("tran 1u %s uic", Num(surgeEnd))
	d.Line("let terminals = v(out)-v(minus)")
	d.Line("let above = terminals gt %s", Num(float64(t.Absolute)))
	d.Line("meas tran over integ above")
	d.Line("meas tran at when v(gate)=1.5 fall=last")
	d.Line("let opened = at-%s", Num(surgeStep))
	d.Line("meas tran out_at find v(out) when v(gate)=1.5 fall=last")
	d.Line("let through = i(vpack)")
	d.Line("meas tran left find through at=%s", Num(surgeEnd*0.99))
	d.Line("meas tran out_end find v(out) at=%s", Num(surgeEnd*0.99))
	for _, name := range []string{"opened", "out_at", "over", "left", "out_end"} {
		d.Line("print %s", name)
	}
	d.Line("quit 0")
	d.Line(".endc")
	d.Line(".end")
	return d.String()
}
