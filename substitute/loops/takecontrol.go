package loops

import (
	"sparewright/catalog"
	"sparewright/substitute"
	"sparewright/substitute/control"
	"sparewright/substitute/regulation/resistors"
	"sparewright/substitute/stage"
	"sparewright/substitute/stock"
)

// TakeControl takes the parts of the control circuit and chooses what keeps its loops steady from what is left.
func (j *Looper) TakeControl(m *stage.Measured, c *control.Control, b *stock.Basket) (networks []substitute.NetworkUse, loops substitute.LoopChoice) {
	v, i := c.Voltage, c.Current
	if v.HasTrimmer {
		stock.Take(b, "voltage trimmer", j.Drawer.Trimmers[v.Trimmer.Lot-1], 1)
	}
	if i.HasTrimmer {
		stock.Take(b, "current trimmer", j.Drawer.Trimmers[i.Trimmer.Lot-1], 1)
	}
	network := func(role string, n resistors.Network) {
		use := substitute.NetworkUse{Role: role, Ohm: n.Ohm, Wiring: n.String(), Parts: []substitute.ResistorUse{}, Network: n}
		for _, u := range n.Uses() {
			s := j.Drawer.Resistors[u.Lot-1]
			from := len(b.Uses)
			stock.Take(b, role, s, float64(u.Count))
			for _, p := range b.Uses[from:] {
				use.Parts = append(use.Parts, substitute.ResistorUse{Lot: p.Lot, Ohm: u.Ohm, Count: int(p.Quantity)})
			}
		}
		networks = append(networks, use)
	}
	network("divider top", v.Top)
	network("divider bottom", v.Bottom)
	network("shunt", i.Shunt)
	network("current divider top", i.Top)
	network("current divider bottom", i.Bottom)
	network("reference bias", c.Bias.Resistor)
	network("lamp resistor", c.Lamp.Resistor)
	stock.Take(b, "amplifier", *c.Amp, 1)
	if c.Ref != nil {
		stock.Take(b, "reference", *c.Ref, 1)
	}
	stock.Take(b, "optocoupler", *c.Opto, 1)
	j.indicatorParts(b, c)
	return networks, j.loopsOut(m, c, b)
}

// indicatorParts takes the two lamps that join the loops and show which one holds, or two small diodes where the output is
// too low for lamps.
func (j *Looper) indicatorParts(b *stock.Basket, c *control.Control) {
	if !c.Indicator {
		stock.Pick(b, "diode joining the loops", j.Drawer.Rectifiers, 2, j.Joins, control.AverageOf, "small signal diode 100 mA 75 V")
		return
	}
	for _, l := range []struct{ role, colour string }{{"lamp, charging (current holds)", "red"}, {"lamp, full (voltage holds)", "green"}} {
		stock.Pick(b, l.role, j.Drawer.Lamps, 1, func(p catalog.Lamp) bool {
			return p.Forward.Value <= control.IndicatorDrop && p.Current.Value >= c.Lamp.Least
		}, func(p catalog.Lamp) float64 {
			if p.Colour == l.colour {
				return 0
			}
			return 1
		}, "lamp, "+l.colour)
	}
}
