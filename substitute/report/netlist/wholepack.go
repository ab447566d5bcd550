package netlist

import (
	"slices"

	"sparewright/substitute"
	"sparewright/substitute/seats"
)

// lasts is the time in s over which a current has to flow to count as one that lasts.
const lasts = 10e-3

// packSide writes what stands between the converter and the pack, and the pack.
type packSide struct{ *whole }

// output writes the output capacitor, the choke to OUT and the capacitor behind it.
func (w packSide) output() {
	y := w.y
	w.Line("* output capacitor, choke, capacitor behind it")
	w.Line("rstage stage store %s", Num(float64(y.Series)))
	w.Line("cstore %s 0 %s ic=%s", w.place(seats.OutputCapacitor, "store", "0"), Num(w.farad()),
		Num(w.out))
	w.Line("cstraggler stage 0 %s ic=%s", Num(straggler), Num(w.out))
	if y.Choke == 0 {
		w.Line("rexit stage out 1e-3")
		return
	}
	w.Line("lchoke %s exit %s ic=0", w.place(seats.OutputChoke, "stage", "out"),
		Num(float64(y.Choke)))
	w.Line("rchoke exit out %s", Num(max(1e-3, float64(y.ChokeOhm))))
	w.Line("rbehind out behind %s", Num(float64(y.BehindSeries)))
	w.Line("cbehind %s 0 %s ic=%s", w.place(seats.BehindChoke, "behind", "0"),
		Num(float64(y.Behind)), Num(w.out))
}

// protection writes the second reference with its divider, optocoupler and pack switch.
func (w packSide) protection() {
	b, p := w.b, w.b.Regulation.Protection
	w.Line("* overvoltage protection: divider, reference with LED, gate, pack switch")
	w.guardLeg(seats.GuardTop, "guardtop", "out", "trip", float64(p.Top))
	w.guardLeg(seats.GuardBottom, "guardbottom", "trip", "tripend", float64(p.Bottom))
	w.track(seats.GuardTrimmer, "guardtrimmer", "tripend", "0",
		float64(p.Position)*float64(p.Trimmer), float64(p.Trimmer))
	w.guardLeg(seats.GuardLEDResistor, "guardled", "out", "guardanode", float64(p.Series))
	w.ohms(seats.GuardBypass, 0, "guardbypass", "guardanode", "guardcathode", p.Bypass)
	w.Line("dguard guardanode guardlit guardled")
	w.Line("vguard guardlit guardcathode 0")
	w.junction("guardled", 1.2, 1e-3)
	w.Line("bguard guardcathode 0 i=%smin(1,max(0,v(guardcathode)/%s))*"+
		"min(0.1,max(0,%s*(v(trip)-%s)))", w.sound(seats.GuardReference, open), Num(referenceLow),
		Num(referenceSlope), Num(float64(p.Reference)))
	w.Line("cguard guardcathode 0 100e-12 ic=%s", Num(w.out))
	if w.broken(seats.GuardReference, 0, shorted) {
		w.Line("sshort guardcathode 0 fault 0 link")
	}
	w.Line("bguardlight guardlight0 0 v=%s%s*max(0,i(vguard))",
		w.sound(seats.GuardOptocoupler, open), Num(float64(p.Ratio)))
	w.Line("rguardlight guardlight0 guardlight 1")
	w.Line("cguardlight guardlight 0 %s", Num(optoDelay))
	w.Line("bguardtransistor gate 0 i=min(1,max(0,v(gate)/%s))*max(0,v(guardlight))",
		Num(optoSaturates))
	if w.broken(seats.GuardOptocoupler, 0, shorted) {
		w.Line("sshort gate 0 fault 0 link")
	}
	w.ohms(seats.GateResistor, 0, "gate", "out", "gate", p.Gate)
	begins := w.out
	if p.Divider > 0 {
		w.ohms(seats.GateDivider, 0, "gatedivider", "gate", "0", p.Divider)
		begins *= float64(p.Divider / (p.Gate + p.Divider))
	}
	w.Line("cgate gate 0 %s ic=%s", Num(gateStore), Num(begins))
	closed := Num(w.switchOhm())
	w.Line("bswitch minus sense i=%s(v(minus)-v(sense))*"+
		"(1e-9+min(1,max(0,(v(gate)-v(sense)-1.5)/1.5))/%s)", w.sound(seats.PackSwitch, open),
		closed)
	w.Line("dbody %s minus body", w.place(seats.PackSwitch, "sense", "minus"))
	w.Line(".model body d(is=1e-10 rs=%s)", closed)
	w.leg(seats.Shunt, "shunt", "sense", "0", Network(b, seats.Shunt))
	w.Line("csense sense 0 100e-12")
}

// guardLeg is a leg of the protection from the drawer, or one resistor that is bought.
func (w packSide) guardLeg(id seats.ID, name, from, to string, ohm float64) {
	from = w.place(id, from, to)
	if n := Network(w.b, id); n.N > 0 {
		w.Leg(name, from, to, n)
		return
	}
	w.Line("r%s %s %s %s", name, from, to, Num(ohm))
}

// pack writes fuse and leads, the diode across the output, and the pack or what is in its place.
func (w packSide) pack() {
	w.Line("* fuse and leads, contact, pack")
	w.Line("rleads %s p %s", w.fuse(), Num(float64(w.y.Leads)))
	if has(w.b, seats.PackDiode) {
		w.Line("dpack %s out reversed", w.place(seats.PackDiode, "minus", "out"))
		w.Line(".model reversed d(is=1e-9 n=1.8)")
	}
	w.Line("rterminals p minus 1e7")
	w.Line("scontact p touched contact 0 link")
	if w.load > 0 {
		w.Line("rload touched loaded %s", Num(w.load))
		if w.load > 1 {
			w.Line("rlight p loaded %s", Num(w.setPoint()/w.amps))
		}
		w.Line("vpack minus loaded 0")
		w.Line("rcell cell minus 1")
		return
	}
	w.Line("* the current that lasts for hundredths of a second, 1 A as 1 V")
	w.Line("blasting flow 0 v=-i(vpack)")
	w.Line("rlasting flow lasting 1")
	w.Line("clasting lasting 0 %s ic=%s", Num(lasts), Num(w.amps))
	w.Line("rpack touched cell %s", Num(w.cell*float64(w.t.Cells)))
	w.Line("vpack minus below 0")
	if w.fills > 0 {
		w.Line("cpack cell below %s ic=%s", Num(w.fills), Num(w.charged))
		return
	}
	w.Line("vcells cell below %s", Num(w.charged))
}

// fuse is where the leads begin: at OUT, or behind a fuse that opens.
func (w packSide) fuse() string { return w.place(seats.OutputFuse, "out", "p") }

// has reports that a build has a part at a seat.
func has(b *substitute.Build, id seats.ID) bool {
	return slices.ContainsFunc(b.Parts, func(p substitute.PartUse) bool { return p.Role == id })
}
