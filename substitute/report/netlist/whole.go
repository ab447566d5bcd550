package netlist

import (
	"fmt"
	"math"
	"strings"

	"sparewright/substitute"
	"sparewright/substitute/seats"
)

// whole is a deck of a whole build that is simulated in time.
type whole struct {
	*Deck
	standing
	s Scenario
}

// standing is a build as it stands before the event of its scenario.
type standing struct {
	t substitute.Target
	b *substitute.Build
	y substitute.Dynamics
	course
}

// ScenarioDeck writes a whole build as a netlist for ngspice, averaged over a switching period and
// simulated in time, while something happens to it. Run in batch it prints the figures of the
// scenario, in V, A, s and J; opened is 1 where the protection took the pack off. A whole adapter
// has no such deck: of its chip too little is known.
func ScenarioDeck(t substitute.Target, b *substitute.Build, s Scenario) string {
	w := &whole{Deck: &Deck{}, standing: standing{t: t, b: b, y: b.Drawing.Dynamics}, s: s}
	scene{w}.courseOf()
	w.heading("whole build, scenario "+s.String(), t, b)
	w.preface()
	w.events()
	stage, end := converter{w}, packSide{w}
	stage.stage()
	stage.supply()
	stage.pin()
	end.output()
	loops{w}.control()
	end.protection()
	end.pack()
	w.run()
	return w.String()
}

// preface says what the deck models, what not, and how it is run.
func (w *whole) preface() {
	corner := "lowest mains and current limit, printed inductance"
	if w.strong {
		corner = "highest mains, current limit, inductance and frequency, least output capacitor"
	}
	for _, text := range []string{
		"run: ngspice -b FILE; the figures are the last lines, in V, A, s, J",
		"what happens: " + w.says,
		"corner: " + corner + "; optocoupler at its least ratio, trimmers set",
		"modelled: op-amps with bandwidth, slew, saturation and supply from OUT; shunt " +
			"reference; " +
			"dividers, loops and LED path as built;",
		"  optocoupler with the pole at the pin; chip as an averaged source of power with limit, " +
			"soft start, shortest pulse, supply from the bias",
		"  winding, overload timer; output capacitor with ESR, choke, capacitor behind it; " +
			"shunt, " +
			"fuse, pack switch with its protection; pack",
		"left out: ripple and ringing of single pulses, heat, ageing, chip stop by overvoltage " +
			"(it would only help), blowing of fuses, output stop D8,",
		"  burst modes other than that of the shortest pulse, waiting for the first start",
	} {
		w.Line("* %s", text)
	}
}

// events writes the sources that time drives: fault comes at the event, sound goes then.
func (w *whole) events() {
	w.Line("* time: bus voltage, contact at the terminals, fault")
	w.Line("vmains mains 0 pwl(%s)", pwl(w.bus))
	w.Line("vcontact contact 0 pwl(%s)", pwl(w.contact))
	w.Line("vfault fault 0 pwl(0 0 %s 0 %s 1)", Num(w.event), Num(w.event+1e-6))
	w.Line("vsound sound 0 pwl(0 1 %s 1 %s 0)", Num(w.event), Num(w.event+1e-6))
	w.Line(".model link sw(vt=0.5 vh=0.1 ron=1e-3 roff=1e9)")
}

// point is a value at a time in s.
type point struct{ at, value float64 }

func pwl(points []point) string {
	words := make([]string, len(points))
	for i, p := range points {
		words[i] = Num(p.at) + " " + Num(p.value)
	}
	return strings.Join(words, " ")
}

// step is a value that becomes another at a time.
func step(from, at, to float64) []point { return []point{{0, from}, {at, from}, {at + 1e-5, to}} }

// broken reports that the scenario is this fault of the part at a seat, of several the given one.
func (w *whole) broken(id seats.ID, i int, kind string) bool {
	marks := id.Marks()
	return i < len(marks) && w.s.Fault == Fault{marks[i], kind}
}

// place puts the fault of a part with two ends into the circuit: open, a contact that opens before
// it, short, one that closes across it. It returns where the part begins.
func (w *whole) place(id seats.ID, from, to string) string { return w.placeOne(id, 0, from, to) }

func (w *whole) placeOne(id seats.ID, i int, from, to string) string {
	switch {
	case w.broken(id, i, open):
		w.Line("sopen %s faulty sound 0 link", from)
		return "faulty"
	case w.broken(id, i, shorted):
		w.Line("sshort %s %s fault 0 link", from, to)
	}
	return from
}

// sound is a factor for expressions that goes to nothing with one of the faults of a seat.
func (w *whole) sound(id seats.ID, kinds ...string) string {
	for _, k := range kinds {
		if w.broken(id, 0, k) {
			return "v(sound)*"
		}
	}
	return ""
}

// farad is the output capacitor of the corner.
func (w *standing) farad() float64 {
	least := float64(w.b.Drawing.OutputLeast)
	switch {
	case w.largest:
		return float64(w.y.Most)
	case w.strong:
		return least
	}
	return math.Sqrt(least * float64(w.y.Most))
}

// level is how far an amplifier that holds the loop has driven its output, with the chip at a share
// of its whole drive.
func (w *standing) level(share float64) float64 {
	r := w.b.Regulation
	c := r.Circuit
	lit := float64(w.y.Span) * (1 - share) / float64(c.Ratio)
	drop := 0.9*float64(c.JoinDrop+c.Forward) + lit*float64(r.LEDResistor)
	if c.Drive == "down" {
		return w.out - drop
	}
	return drop
}

// rest is where an amplifier rests that does not hold.
func (w *standing) rest() float64 {
	if c := w.b.Regulation.Circuit; c.Drive == "down" {
		return max(0, w.out-float64(c.Headroom))
	}
	return 0
}

// drives is the share of the whole drive that the chip needs before the event.
func (w *standing) drives() float64 {
	if w.amps == 0 {
		return 0.05
	}
	share := w.amps / float64(w.t.Current)
	return min(0.9, math.Sqrt(share)*float64(w.b.Stage.PrimaryPeak/w.b.Switcher.LimitMax))
}

// setPoint is where the voltage loop holds OUT.
func (w *standing) setPoint() float64 {
	r := w.b.Regulation
	lower := float64(r.LikelyBottom()) + VoltageTrack(w.t, w.b, TrimmerSet)
	return float64(r.Reference) * (1 + float64(r.Top)/lower)
}

// setCurrent is what the current loop holds.
func (w *standing) setCurrent() float64 {
	r := w.b.Regulation
	upper := float64(r.SenseTop) + CurrentTrack(w.t, w.b, TrimmerSet)
	return float64(r.Reference) * float64(r.SenseBottom) / (upper + float64(r.SenseBottom)) /
		float64(r.Shunt)
}

// switchOhm is the closed pack switch, hot.
func (w *standing) switchOhm() float64 {
	i := float64(w.t.Current)
	return float64(w.b.Regulation.Protection.SwitchHeat) / (i * i)
}

// wayOhm is all between OUT and 0 beside the pack itself.
func (w *standing) wayOhm() float64 {
	return float64(w.y.Leads) + w.switchOhm() + float64(w.b.Regulation.Shunt)
}

// figure is one printed figure with the line that measures it.
type figure struct{ name, how string }

func (w *whole) run() {
	w.Line(".options method=gear reltol=2e-3 abstol=1e-8 vntol=1e-5 chgtol=1e-12 itl4=200 " +
		"gmin=1e-11")
	w.Line(".control")
	w.Line("set numdgt=7")
	lasting := ""
	if w.load == 0 {
		lasting = "v(lasting) "
	}
	w.Line("save " + lasting + "v(out) v(p) v(minus) v(sense) v(gate) v(cell) v(input) v(active) " +
		"v(guardlight) i(vpack)")
	w.Line("tran 20u %s 0 %s uic", Num(w.end), Num(w.end/1000))
	w.Line("let terminals = v(p)-v(minus)")
	w.Line("let charge = -i(vpack)")
	w.Line("let after = time ge %s", Num(w.event))
	w.Line("let heat = v(sense)*v(sense)/%s", Num(float64(w.b.Regulation.Shunt)))
	w.Line("let above = (terminals gt %s)*after", Num(float64(w.t.Absolute)))
	for _, f := range w.figures {
		w.Line(f.how)
		w.Line("print %s", f.name)
	}
	w.Line("quit 0")
	w.Line(".endc")
	w.Line(".end")
}

// most and least of an expression from the event to the end.
func most(name, of string) figure {
	return figure{name, fmt.Sprintf("let %s = vecmax((%s)*after)", name, of)}
}

func least(name, of string) figure {
	return figure{name, fmt.Sprintf("let %s = -vecmax((1e6-(%s))*after)+1e6", name, of)}
}

// opened tells whether the protection held the gate down after the event.
func opened() figure {
	return figure{"opened",
		"let opened = vecmax(((v(gate)-v(sense)) lt 1.5)*(v(guardlight) gt 1e-5)*after)"}
}

// last is an expression at the end.
func last(name, of string) figure {
	return figure{name, fmt.Sprintf("let %[1]s_all = %[2]s\n"+
		"let %[1]s = %[1]s_all[length(%[1]s_all)-1]", name, of)}
}

// settles is the time from an event until an expression stays within a share of a value, up to the
// next event.
func settles(name, of string, value, share, from, to float64) figure {
	v := Num(value)
	return figure{name, fmt.Sprintf("let %s = vecmax((abs(%s-%s) gt %s)*(time ge %s)*(time lt %s)*"+
		"(time-%s))", name, of, v, Num(share*value), Num(from), Num(to), Num(from))}
}
