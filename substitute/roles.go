package substitute

import (
	"fmt"
	"math"
	"sort"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/flyback"
)

// capacitorSet is a number of equal capacitors in parallel, from the drawer or to be bought.
type capacitorSet struct {
	stock *stock[catalog.Capacitor]
	n     int
	least si.Capacitance
	text  string // what to buy when stock is nil
	volts si.Voltage
	rms   si.Current
	parts int
}

const maxParallel = 3

// outputFault is the factor on the output voltage a capacitor must stand because a single fault may raise it (from memory).
const outputFault = 1.2

// chooseOutput picks the smallest set that stands the voltage and about the ripple of a discontinuous flyback at highest mains, up to 2.5 times the
// output current, else the one with the highest ripple rating.
func (j *job) chooseOutput(d *drawer) capacitorSet {
	need := 2.5 * float64(j.target.Current)
	return chooseSet(d.capacitors, func(c catalog.Capacitor) bool {
		return (c.Dielectric == "electrolytic" || c.Dielectric == "polymer") && c.Volts.Value >= j.target.Absolute*outputFault &&
			c.Volts.Value < 200 && c.Capacitance.Value >= 80e-6
	}, func(s capacitorSet) float64 { return float64(s.rms) }, need, func() capacitorSet {
		for _, volts := range []si.Voltage{10, 16, 25, 35, 50, 63, 100} {
			if volts >= j.target.Absolute*outputFault {
				return capacitorSet{n: 1, volts: volts, rms: si.Current(need), parts: 1,
					text: fmt.Sprintf("low-impedance electrolytic(s), %g V, together %.1f A ripple at 100 kHz", float64(volts), need)}
			}
		}
		return capacitorSet{}
	})
}

// chooseSet picks, among one to three equal suitable parts, the smallest set that reaches need, else the largest; buy is the
// answer when nothing suits at all.
func chooseSet(all []stock[catalog.Capacitor], suits func(catalog.Capacitor) bool, size func(capacitorSet) float64, need float64, buy func() capacitorSet) capacitorSet {
	var best capacitorSet
	bestSize, found, reached := 0.0, false, false
	for i := range all {
		c := all[i].part
		if !suits(c) {
			continue
		}
		for n := 1; n <= maxParallel && float64(n) <= all[i].count; n++ {
			s := capacitorSet{stock: &all[i], n: n, volts: c.Volts.Value, parts: n,
				least: si.Capacitance(float64(n) * float64(c.Capacitance.Value) * (1 - float64(c.Tolerance.Or(0.2)))),
				rms:   si.Current(n) * rippleOf(c)}
			v := size(s)
			ok := v >= need
			better := !found || ok && !reached || ok == reached && (ok && (n < best.n || n == best.n && v < bestSize) || !ok && v > bestSize)
			if better {
				best, bestSize, found, reached = s, v, true, ok
			}
		}
	}
	if !found {
		return buy()
	}
	return best
}

// rippleOf is the rated ripple, or a cautious stand-in for a part of unknown class: 0.35 A per 1000 uF, about half of what
// low-impedance parts of that size are rated (screening figures of capacitors.tsv).
func rippleOf(c catalog.Capacitor) si.Current {
	return c.Ripple.Or(si.Current(float64(c.Capacitance.Value) / 1e-3 * 0.35))
}

// fastEnough reports whether a rectifier may stand at the output: Schottky, or ultrafast up to 75 ns.
func fastEnough(p catalog.Rectifier) bool {
	return p.Technology == "schottky" || p.Technology == "ultrafast" && p.Recovery.Or(100e-9) <= 75e-9
}

// forwardAt scales the stated forward voltage to another current: 60 mV a factor of ten for the junction, and a resistive
// part of 30 % of the stated drop; from memory, good to about 0.1 V.
func forwardAt(p catalog.Rectifier, i si.Current) si.Voltage {
	stated := p.Forward.Or(1.0)
	if p.Technology == "schottky" {
		stated = p.Forward.Or(0.85)
	}
	at := p.ForwardAt.Or(p.Average.Value)
	if i <= 0 || at <= 0 {
		return stated
	}
	x := float64(i) / float64(at)
	v := float64(stated) * (0.7 + 0.3*x)
	v += 0.060 * math.Log10(x)
	return si.Voltage(max(0.2, v))
}

// fill enters every part of a complete charger that the search did not choose by itself, mains inlet first.
// It returns the Y capacitor, zero when the drawer has none.
func (j *job) fill(b *basket, m *measured) catalog.Capacitor {
	d := j.drawer
	j.takeFuse(b, d, m)
	pick(b, "inrush limiter", d.ntcs, 1, func(p catalog.Thermistor) bool {
		return p.Cold.Value >= 3 && p.Cold.Value <= 35 && p.Current.Or(1) >= si.Current(1.5*float64(m.input)/float64(j.target.MainsMin)/0.55)
	}, func(p catalog.Thermistor) float64 { return math.Abs(float64(p.Cold.Value) - 10) }, "inrush limiter 10 ohm, 1 A")
	j.takeX(b, d)
	pick(b, "mains choke", d.chokes, 1, func(p catalog.Choke) bool {
		return p.Use == "common-mode" && p.Inductance.Value >= 2e-3 && p.Current.Value >= si.Current(1.5*float64(m.input)/float64(j.target.MainsMin)/0.55)
	}, func(p catalog.Choke) float64 { return math.Abs(float64(p.Inductance.Value) - 15e-3) }, "common-mode choke 10 mH")
	if j.bridgeStock != nil {
		take(b, "bridge", *j.bridgeStock, 1)
	} else {
		b.buy("bridge", "bridge 1 A 1000 V", 1, "piece", "bridge of 600 V or more, 1 A or more")
	}
	j.takeSet(b, "bulk capacitor", j.bulk)
	j.takeBleed(b)
	j.takeClamp(b, d, m)
	j.takeChipParts(b, d, m)
	take(b, "output rectifier", *m.rect.stock, 1)
	j.takeSet(b, "output capacitor", j.output)
	j.takeOutputFuse(b)
	y, _ := pick(b, "Y capacitor", d.capacitors, 1, func(p catalog.Capacitor) bool {
		return p.Safety == "Y1" && j.target.touchCurrent(p.Capacitance.Value, p.Tolerance) <= touchLimit
	}, func(p catalog.Capacitor) float64 { return -float64(p.Capacitance.Value) }, "Y1 capacitor 1 nF 250 V ac")
	return y
}

// takeOutputFuse picks the smallest fuse that carries the charging current with a quarter to spare.
func (j *job) takeOutputFuse(b *basket) {
	fuse, ok := pick(b, "output fuse", j.drawer.fuses, 1, func(p catalog.Fuse) bool {
		return p.Current.Value >= 1.25*j.target.Current && p.Current.Value <= max(1, 4*j.target.Current)
	}, func(p catalog.Fuse) float64 { return float64(p.Current.Value) }, fmt.Sprintf("fuse %s A", fuseFor(1.25*float64(j.target.Current))))
	if !ok {
		fuse.Current.Value = j.target.Current * 1.6
	}
	j.takePackDiode(b, fuse)
}

// touchLimit is the touch current of class II equipment (IEC 60335-1, from memory).
const touchLimit si.Current = 0.25e-3

// highestLine is the highest frequency of public networks (IEC 60038, from memory). A target says the lowest only, which is
// what the bulk capacitor is sized for; nothing keeps the charger off a 60 Hz socket.
const highestLine si.Frequency = 60

// touchCurrent is the most in A that a Y capacitor lets through to somebody who touches the output: at the highest mains and
// line frequency, at its upper tolerance, 20 % where none is stated (tolerance code M, usual of safety capacitors, from memory).
func (t Target) touchCurrent(c si.Capacitance, tolerance catalog.Datum[si.Ratio]) si.Current {
	return flyback.TouchCurrent(c*si.Capacitance(1+tolerance.Or(0.2)), t.MainsMax, max(t.Line, highestLine))
}

// pick takes the suitable part with the least score, ties by the fixed order of the drawer, or enters what to buy. An empty
// requirement means the part may be left out.
func pick[P catalog.Part](b *basket, role string, all []stock[P], n float64, suits func(P) bool, score func(P) float64, requirement string) (P, bool) {
	best, bestScore := -1, math.Inf(1)
	for i := range all {
		if left(b, all[i]) >= n && suits(all[i].part) {
			if s := score(all[i].part); s < bestScore {
				best, bestScore = i, s
			}
		}
	}
	if best >= 0 {
		take(b, role, all[best], n)
		return all[best].part, true
	}
	if requirement != "" {
		b.buy(role, requirement, n, "piece", requirement)
	}
	var none P
	return none, false
}

func (j *job) takeSet(b *basket, role string, s capacitorSet) {
	if s.stock != nil {
		take(b, role, *s.stock, float64(s.n))
		return
	}
	b.buy(role, s.text, float64(s.n), "piece", s.text)
}

// takeFuse picks the smallest time-lag fuse that carries twice the mains current; high breaking capacity first.
func (j *job) takeFuse(b *basket, d *drawer, m *measured) {
	mains := float64(m.input) / float64(j.target.MainsMin) / 0.55 // power factor of a capacitor-input rectifier, from memory
	pick(b, "mains fuse", d.fuses, 1, func(p catalog.Fuse) bool {
		return float64(p.Current.Value) >= 2*mains && float64(p.Current.Value) <= max(2, 10*mains) && p.Volts.Or(250) >= j.target.MainsMax-15 &&
			p.Speed != "fast"
	}, func(p catalog.Fuse) float64 {
		s := float64(p.Current.Value)
		if p.Breaking.Or(35) < 100 {
			s += 10
		}
		return s
	}, fmt.Sprintf("fuse T %s A 250 V, high breaking capacity", fuseFor(2*mains)))
}

func fuseFor(i float64) string {
	for _, r := range []float64{0.5, 0.63, 0.8, 1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5} {
		if r >= i {
			return fmt.Sprintf("%g", r)
		}
	}
	return "6.3"
}

// Bleed: 60 V, the touchable limit, within a minute of unplugging. The capacitor counts a fifth above its least value's
// nominal, as makers' upper tolerance.
const (
	bleedSeconds = 60.0
	bleedVolts   = 60.0
	bleedHighest = 2e6 // ohm, above it leakage and dirt share the work
)

// mostBleed is the most both resistors may have together across a bulk capacitor of at least that value.
func mostBleed(least si.Capacitance, bus si.Voltage) si.Resistance {
	return min(bleedHighest, flyback.BleedResistance(least/0.8*1.2, bus, bleedVolts, bleedSeconds))
}

// chooseBleed picks two equal resistors in series across the bulk capacitor: the largest that empty it in time. Each stands half
// the bus voltage (350 V for the 0207 body, 200 V where nothing is said) and twice its power.
func (j *job) chooseBleed(d *drawer) {
	most := float64(mostBleed(j.bulk.least, j.busMax))
	volts := float64(j.busMax) / 2
	for i := range d.resistors {
		p := d.resistors[i].part
		r := float64(p.Resistance.Value)
		if d.resistors[i].buy || d.resistors[i].count < 2 || 2*r > most || float64(p.Volts.Or(200)) < volts || volts*volts/r > 0.5*float64(p.Rating.Or(0.25)) || p.Type == "fusible" {
			continue
		}
		if j.bleedStock == nil || p.Resistance.Value > j.bleedStock.part.Resistance.Value {
			j.bleedStock = &d.resistors[i]
		}
	}
	j.bleed = si.Resistance(most)
	if j.bleedStock != nil {
		j.bleed = 2 * j.bleedStock.part.Resistance.Value
	}
}

func (j *job) takeBleed(b *basket) {
	if j.bleedStock != nil {
		take(b, "bulk bleed, two in series", *j.bleedStock, 2)
		return
	}
	each := j.bleed / 2
	watts := float64(j.busMax) * float64(j.busMax) / 4 / float64(each)
	b.buy("bulk bleed, two in series", fmt.Sprintf("resistor %s %.1f W 350 V", si.RKM(catalog.Nearest(each*0.95, "E12")), max(0.5, math.Ceil(watts*20)/10)),
		2, "piece", "two equal ones in series; fewer ohms empty it faster but run hotter")
}

func (j *job) takeClamp(b *basket, d *drawer, m *measured) {
	c := m.clamp
	switch {
	case c.tvs != nil:
		take(b, "drain clamp", *c.tvs, 1)
	case c.r != nil:
		take(b, "clamp resistor", *c.r, 1)
		least := 10 / (float64(c.r.part.Resistance.Value) * float64(m.v.frequency))
		volts := 1.5 * float64(c.voltage)
		pick(b, "clamp capacitor", d.capacitors, 1, func(p catalog.Capacitor) bool {
			return (p.Dielectric == "film" || p.Dielectric == "ceramic") && p.Safety == "" && float64(p.Volts.Value) >= volts &&
				float64(p.Capacitance.Value) >= least && p.Capacitance.Value <= 47e-9
		}, func(p catalog.Capacitor) float64 { return float64(p.Capacitance.Value) },
			fmt.Sprintf("film or ceramic capacitor, %.2g nF or more, %.0f V", least/si.Nano, math.Ceil(volts/100)*100))
	default:
		b.buy("drain clamp", c.text, 1, "piece", c.text)
	}
	pick(b, "clamp diode", d.rectifiers, 1, func(p catalog.Rectifier) bool {
		return p.Reverse.Value >= max(600, 1.2*(j.busMax+c.voltage)) && p.Technology != "standard" && p.Recovery.Or(500e-9) <= 500e-9 && p.Average.Value >= 0.5
	}, func(p catalog.Rectifier) float64 { return float64(p.Recovery.Or(500e-9)) }, "ultrafast diode 1 A 1000 V")
}

// takeChipParts takes what the switcher needs around it: its sense resistor, bias rectifier and supply capacitor.
func (j *job) takeChipParts(b *basket, d *drawer, m *measured) {
	take(b, "switcher", *m.v.stock, 1)
	if m.v.sense != nil {
		take(b, "limit resistor", *m.v.sense, 1)
	}
	if m.nb > 0 {
		reverse := float64(m.bias.High) + float64(j.busMax)*float64(m.nb)/float64(m.np)
		pick(b, "bias rectifier", d.rectifiers, 1, func(p catalog.Rectifier) bool {
			return float64(p.Reverse.Value)*reverseUse >= reverse && p.Technology != "standard" && p.Average.Value >= 0.1 && p.Average.Value <= 3
		}, func(p catalog.Rectifier) float64 { return float64(p.Average.Value) }, fmt.Sprintf("fast diode 0.2 A, %.0f V", math.Ceil(reverse/reverseUse/50)*50))
	}
	volts := si.Voltage(25)
	if m.nb > 0 {
		volts = m.bias.High * biasSpike * 1.1
	}
	supply := func(role string) {
		pick(b, role, d.capacitors, 1, func(p catalog.Capacitor) bool {
			return p.Dielectric == "electrolytic" && p.Volts.Value >= volts && p.Volts.Value <= 100 && p.Capacitance.Value >= 8e-6 &&
				p.Capacitance.Value <= 50e-6
		}, func(p catalog.Capacitor) float64 { return math.Abs(float64(p.Capacitance.Value) - chipStore) },
			fmt.Sprintf("electrolytic 22 uF %.0f V", math.Ceil(float64(volts)/10)*10))
	}
	supply("chip supply capacitor")
	j.takeStart(b, d, m)
	if m.v.stock.part.Feedback == "feeds-control" { // the optocoupler feeds the pin from behind the bias rectifier
		supply("bias capacitor")
	}
}

// takeStart takes what charges the supply capacitor of a chip that has no source for it inside: two equal resistors in series
// from bulk +, which at the crest of the lowest mains carry startSpare times what the chip takes before it starts. Each stands
// half the bus voltage and twice its power.
func (j *job) takeStart(b *basket, d *drawer, m *measured) {
	part := m.v.stock.part
	if part.Start != "resistor" {
		return
	}
	most := float64(mostStart(flyback.BusPeak(j.target.MainsMin, j.bridgeDrop), part.StartCurrent.Value))
	half := float64(j.busMax) / 2
	pick(b, "start resistor, two in series", d.resistors, 2, func(p catalog.Resistor) bool {
		r := float64(p.Resistance.Value)
		return r <= most && r >= most/startRange && float64(p.Volts.Or(200)) >= half && half*half/r <= 0.5*float64(p.Rating.Or(0.25)) && p.Type != "fusible"
	}, func(p catalog.Resistor) float64 { return -float64(p.Resistance.Value) },
		fmt.Sprintf("resistor %s %.1f W 350 V", si.RKM(catalog.Nearest(si.Resistance(most*0.85), "E12")), max(0.5, math.Ceil(half*half/most/0.85*20)/10)))
}

// mostStart is the most each of the two may have at the crest of the lowest mains.
func mostStart(crest si.Voltage, taken si.Current) si.Resistance {
	return si.Resistance(float64(crest-startVolts) / (2 * startSpare * float64(taken)))
}

// Practice of starting from the bulk voltage; common practice, no source.
const (
	startVolts = 16.0 // V at the supply pin when the usual chip starts (KA5 family 15 V, from memory)
	startRange = 4.0  // less than a fourth of what would do only burns power
	startSpare = 1.25 // x the highest current before the start, the rest charges the capacitor
)

// sortedUses orders the parts list by where a builder looks first: role order as entered, drawer before shop.
func sortedUses(uses []PartUse) []PartUse {
	sort.SliceStable(uses, func(i, j int) bool { return uses[i].Source == "drawer" && uses[j].Source == "buy" })
	return uses
}
