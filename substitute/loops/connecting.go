package loops

import (
	"fmt"
	"math"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/control"
	"sparewright/substitute/regulation"
	"sparewright/substitute/seats"
	"sparewright/substitute/stock"
)

// takeInputProtection takes what keeps the amplifier whole when a pack charges the empty output
// backwards through the shunt: SENSE then lies volts below ground. Driving up, a resistor equal to
// that at LEVEL stands before the input; pulling down it has one for its capacitor. A diode from
// ground holds the input itself: a small junction, for the leakage of a Schottky one would move the
// set current.
func (j taking) takeInputProtection(b *stock.Basket, c *control.Control) {
	asked := j.Circuit()
	if j.LoopInput == nil {
		b.BuyFor(seats.SenseInput, &asked)
	} else {
		stock.Take(b, seats.SenseInput, *j.LoopInput, 1)
	}
	stock.Fill(b, seats.SenseClamp, j.Drawer.Rectifiers, &asked)
}

// TakePackDiode takes a diode across the output, from the pack's minus to OUT in front of the fuse,
// that outlasts the fuse when a pack is put on the wrong way round. None on hand leaves the place
// empty, which its check says.
func (j *Looper) TakePackDiode(b *stock.Basket, fuse catalog.Fuse) {
	asked := j.Circuit()
	asked.FuseThrough = LetThrough(fuse)
	stock.Fill(b, seats.PackDiode, j.Drawer.Rectifiers, &asked)
}

// LetThrough is the integral of the squared current in A2s that a fuse lets through before it has
// opened.
func LetThrough(p catalog.Fuse) float64 {
	i := float64(p.Current.Value)
	if p.Speed == "fast" {
		return control.FuseFast * i * i
	}
	return control.FuseThrough * i * i
}

// diodeBears is the same that a diode bears once: half its surge squared over a half wave.
func diodeBears(p catalog.Rectifier) float64 {
	i := float64(p.Surge.Value)
	return i * i * seats.HalfWave / 2
}

// connecting is what a pack does that is put on the wrong way, or on a dead charger.
type connecting struct{ *Looper }

// connection is a full pack of strong cells put on a charger that is dead: the hardest of all ways
// to connect one. An idle charger stands near the pack, an empty pack takes at most the difference
// the other way.
func (j connecting) connection(c *control.Control) regulation.Connection {
	series, most := si.Resistance(seriesGuess), j.Output.Most()
	if s := j.Output.Stock; s != nil {
		series = s.Part.ESR.Value / si.Resistance(j.Output.N)
	}
	k := j.Designer.Connection(c)
	k.Series, k.Capacitance = series, most
	return k
}

// ConnectGauges hold what a pack does at the moment it is put on, the right and the wrong way
// round, against the parts it meets.
func (j *Looper) ConnectGauges(c *control.Control, b *stock.Basket) []substitute.Gauge {
	with := connecting{j}
	k := with.connection(c)
	return []substitute.Gauge{
		substitute.Most(substitute.ChkConnectShunt, k.ShuntEnergy(), si.Energy(with.shuntBears(c))),
		{Id: substitute.ChkReversedFuse, Value: with.reversedThrough(b),
			Limit: with.packDiodeBears(b)},
		{Id: substitute.ChkReversedOutput, Value: with.reversedOutput(c, b),
			Limit: control.ElectrolyteLow},
		{Id: substitute.ChkReversedReference, Value: with.reversedOutput(c, b) /
			float64(c.Bias.Resistor.Low), Limit: control.CathodeBack},
	}
}

// shuntBears is the pulse in J that the shunt takes.
func (j connecting) shuntBears(c *control.Control) float64 {
	total := 0.0
	for _, u := range c.Current.Shunt.Uses() {
		p := j.Drawer.Resistors[u.Lot-1].Part
		share := control.OverloadFilm
		if p.Type == "wirewound" || p.Type == "shunt" {
			share = control.OverloadWire
		}
		total += share * float64(u.Count) * float64(p.Rating.Value)
	}
	return total
}

// reversedThrough is what the output fuse of the build lets through.
func (j connecting) reversedThrough(b *stock.Basket) float64 {
	return LetThrough(j.outputFuse(b))
}

// outputFuse is the output fuse of the build; one to be bought is time-lag.
func (j connecting) outputFuse(b *stock.Basket) catalog.Fuse {
	for _, f := range j.Drawer.Fuses {
		if b.Holds(seats.OutputFuse, f.Lots) {
			return f.Part
		}
	}
	return catalog.Fuse{Current: catalog.Of(1.6 * j.Target.Current)}
}

// packDiodeBears is what the diode across the output bears, 0 without one.
func (j connecting) packDiodeBears(b *stock.Basket) float64 {
	if p := j.packDiode(b); p != nil {
		return diodeBears(*p)
	}
	return 0
}

func (j connecting) packDiode(b *stock.Basket) *catalog.Rectifier {
	for i := range j.Drawer.Rectifiers {
		if d := &j.Drawer.Rectifiers[i]; b.Holds(seats.PackDiode, d.Lots) {
			return &d.Part
		}
	}
	return nil
}

// reversedOutput is how far below ground a reversed pack pulls the output: its diode holds it,
// without one the current goes through shunt, secondary and output rectifier.
func (j connecting) reversedOutput(c *control.Control, b *stock.Basket) float64 {
	if j.packDiode(b) != nil {
		return control.ReversedDrop
	}
	k := j.connection(c)
	return control.ReversedDrop + control.WindingGuess*float64(k.Pack)/
		float64(k.Cells+k.Leads+k.Shunt)
}

// ReversedWarning names the parts that would save the charger from a pack put on the wrong way
// round.
func ReversedWarning(b *stock.Basket, like substitute.Target) []string {
	for _, u := range b.Uses {
		if u.Role == seats.PackDiode {
			return []string{"a pack the wrong way round blows the output fuse: keep spares, " +
				"never a wire in its place"}
		}
	}
	return []string{fmt.Sprintf("a pack the wrong way round destroys rectifier and amplifier "+
		"before the output fuse opens: fit a diode of 400 A surge, "+
		"%.0f V, from the pack's minus to OUT in front of the fuse",
		math.Ceil(1.2*float64(like.Absolute)/50)*50)}
}
