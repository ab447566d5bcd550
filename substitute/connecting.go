package substitute

import (
	"fmt"
	"math"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/regulation"
)

// Practice of what a pack does to the output when it is put on. Sources beside the figures.
const (
	leadLeast      = 30e-3  // ohm of leads, plug and fuse, short ones; 30 to 60 mohm, from memory
	inputBears     = 25e-3  // A towards an input below ground: half of the 50 mA of the LM358 (from memory), its clamp diode left out
	overloadFilm   = 0.1    // s x the rating, what a film resistor bears as a pulse of a millisecond; pulse curves of 1 to 3 W parts, from memory
	overloadWire   = 1.0    // s x the rating, the same of wire and metal strip; from memory
	surgeGuess     = 25.0   // x the average rating of a diode, single half wave: 80 A of 3 A and 150 A of 5 A parts, from memory
	halfWave       = 8.3e-3 // s, for which diode surges are stated
	fuseThrough    = 10.0   // A2s for a squared ampere of a time-lag fuse: twice what makers of 5 x 20 mm fuses state, from memory
	fuseFast       = 1.0    // the same of a fast one, from memory
	reversedDrop   = 1.2    // V over a diode that carries a reversed pack, from memory
	windingGuess   = 20e-3  // ohm of a secondary with its rectifier, from memory
	electrolyteLow = 1.5    // V the wrong way round for less than a second that an electrolytic bears (1 V steady; from memory)
	cathodeBack    = 0.1    // A out of the cathode of a shunt reference: the TL431 is rated for -100 mA, from memory
	rolePackDiode  = "reversed-pack diode"
	roleSenseInput = "input resistor at SENSE"
	roleSenseClamp = "input clamp at SENSE"
)

// takeInputProtection takes what keeps the amplifier whole when a pack charges the empty output backwards through the shunt: SENSE
// then lies volts below ground. Driving up, a resistor equal to that at LEVEL stands before the input; pulling down it has one for
// its capacitor. A diode from ground holds the input itself: a small junction, for the leakage of a Schottky one would move the
// set current.
func (j *job) takeInputProtection(b *basket, c *control) {
	if c.drive == regulation.DriveUp {
		if j.loopInput == nil {
			b.buy(roleSenseInput, "resistor 2k2 0.25 W", 1, "piece", "equal to the loop resistors")
		} else {
			take(b, roleSenseInput, *j.loopInput, 1)
		}
	}
	pick(b, roleSenseClamp, j.drawer.rectifiers, 1, smallJunction, averageOf, "small signal diode 100 mA 75 V")
}

// smallJunction is a small-signal diode.
func smallJunction(p catalog.Rectifier) bool {
	return p.Technology != "standard" && p.Technology != "schottky" && p.Average.Value <= 1
}

func averageOf(p catalog.Rectifier) float64 { return float64(p.Average.Value) }

// takePackDiode takes a diode across the output, from the pack's minus to OUT in front of the fuse, that outlasts the fuse when a
// pack is put on the wrong way round. None on hand leaves the place empty, which its check says.
func (j *job) takePackDiode(b *basket, fuse catalog.Fuse) {
	through := letThrough(fuse)
	pick(b, rolePackDiode, j.drawer.rectifiers, 1, func(p catalog.Rectifier) bool {
		return p.Reverse.Value >= 1.2*j.target.Absolute && diodeBears(p) >= through
	}, averageOf, "")
}

// letThrough is the integral of the squared current in A2s that a fuse lets through before it has opened.
func letThrough(p catalog.Fuse) float64 {
	i := float64(p.Current.Value)
	if p.Speed == "fast" {
		return fuseFast * i * i
	}
	return fuseThrough * i * i
}

// diodeBears is the same that a diode bears once: half its surge squared over a half wave.
func diodeBears(p catalog.Rectifier) float64 {
	i := float64(p.Surge.Or(p.Average.Value * surgeGuess))
	return i * i * halfWave / 2
}

// connection is a full pack of strong cells put on a charger that is dead: the hardest of all ways to connect one. An idle charger
// stands near the pack, an empty pack takes at most the difference the other way.
func (j *job) connection(c *control) regulation.Connection {
	series, most := si.Resistance(seriesGuess), j.output.least/0.8*1.2
	if s := j.output.stock; s != nil {
		series = s.part.ESR.Or(seriesGuess) / si.Resistance(j.output.n)
		most = si.Capacitance(float64(j.output.n) * float64(s.part.Capacitance.Value) * (1 + float64(s.part.Tolerance.Or(0.2))))
	}
	return regulation.Connection{Pack: j.target.Absolute, Cells: cellLow * si.Resistance(j.target.Cells), Leads: leadLeast,
		Shunt: c.current.Shunt.Ohm, Series: series, Capacitance: most}
}

// connectGauges hold what a pack does at the moment it is put on, the right and the wrong way round, against the parts it meets.
func (j *job) connectGauges(c *control, b *basket) []gauge {
	k := j.connection(c)
	return []gauge{
		most(chkConnectShunt, k.ShuntEnergy(), si.Energy(j.shuntBears(c))),
		{id: chkReversedFuse, value: j.reversedThrough(b), limit: j.packDiodeBears(b)},
		{id: chkReversedOutput, value: j.reversedOutput(c, b), limit: electrolyteLow},
		{id: chkReversedReference, value: j.reversedOutput(c, b) / float64(c.bias.Resistor.Low), limit: cathodeBack},
	}
}

// connectGauge holds the input of the amplifier at the far end of the shunt, the output capacitor being taken for a short.
func (j *job) connectGauge(c *control) gauge {
	k := j.connection(c)
	k.Series = 0
	return most(chkConnectInput, k.InputCurrent(j.inputOhm()), inputBears)
}

// shuntBears is the pulse in J that the shunt takes.
func (j *job) shuntBears(c *control) float64 {
	total := 0.0
	for _, u := range c.current.Shunt.Uses() {
		p := j.drawer.resistors[u.Lot-1].part
		share := overloadFilm
		if p.Type == "wirewound" || p.Type == "shunt" {
			share = overloadWire
		}
		total += share * float64(u.Count) * float64(p.Rating.Or(0.25))
	}
	return total
}

// reversedThrough is what the output fuse of the build lets through.
func (j *job) reversedThrough(b *basket) float64 {
	for _, f := range j.drawer.fuses {
		if b.holds("output fuse", f.lots) {
			return letThrough(f.part)
		}
	}
	i := 1.6 * float64(j.target.Current)
	return fuseThrough * i * i
}

// packDiodeBears is what the diode across the output bears, 0 without one.
func (j *job) packDiodeBears(b *basket) float64 {
	if p := j.packDiode(b); p != nil {
		return diodeBears(*p)
	}
	return 0
}

func (j *job) packDiode(b *basket) *catalog.Rectifier {
	for i := range j.drawer.rectifiers {
		if d := &j.drawer.rectifiers[i]; b.holds(rolePackDiode, d.lots) {
			return &d.part
		}
	}
	return nil
}

// holds reports that a role was filled from one of these lots.
func (b *basket) holds(role string, lots []place) bool {
	for _, u := range b.uses {
		for _, l := range lots {
			if u.Role == role && u.Source == "drawer" && u.Lot == l.lot {
				return true
			}
		}
	}
	return false
}

// reversedOutput is how far below ground a reversed pack pulls the output: its diode holds it, without one the current
// goes through shunt, secondary and output rectifier.
func (j *job) reversedOutput(c *control, b *basket) float64 {
	if j.packDiode(b) != nil {
		return reversedDrop
	}
	k := j.connection(c)
	return reversedDrop + windingGuess*float64(k.Pack)/float64(k.Cells+k.Leads+k.Shunt)
}

// reversedWarning names the parts that would save the charger from a pack put on the wrong way round.
func reversedWarning(b *basket, like Target) []string {
	for _, u := range b.uses {
		if u.Role == rolePackDiode {
			return []string{"a pack the wrong way round blows the output fuse: keep spares, never a wire in its place"}
		}
	}
	return []string{fmt.Sprintf("a pack the wrong way round destroys rectifier and amplifier before the output fuse opens: fit a diode of 400 A surge, "+
		"%.0f V, from the pack's minus to OUT in front of the fuse", math.Ceil(1.2*float64(like.Absolute)/50)*50)}
}
