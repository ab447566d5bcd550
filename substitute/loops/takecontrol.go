package loops

import (
	"sparewright/catalog"
	"sparewright/substitute"
	"sparewright/substitute/control"
	"sparewright/substitute/regulation/resistors"
	"sparewright/substitute/seats"
	"sparewright/substitute/stage"
	"sparewright/substitute/stock"
)

// TakeControl takes the parts of the control circuit and chooses what keeps its loops steady from what is left.
func (j *Looper) TakeControl(m *stage.Measured, c *control.Control, b *stock.Basket) (networks []substitute.NetworkUse, loops substitute.LoopChoice) {
	v, i := c.Voltage, c.Current
	if v.HasTrimmer {
		stock.Take(b, seats.VoltageTrimmer, j.Drawer.Trimmers[v.Trimmer.Lot-1], 1)
	}
	if i.HasTrimmer {
		stock.Take(b, seats.CurrentTrimmer, j.Drawer.Trimmers[i.Trimmer.Lot-1], 1)
	}
	network := func(role seats.ID, n resistors.Network) {
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
	network(seats.DividerTop, v.Top)
	network(seats.DividerBottom, v.Bottom)
	network(seats.Shunt, i.Shunt)
	network(seats.SenseTop, i.Top)
	network(seats.SenseBottom, i.Bottom)
	network(seats.ReferenceBias, c.Bias.Resistor)
	network(seats.LEDResistor, c.Lamp.Resistor)
	stock.Take(b, seats.Amplifier, *c.Amp, 1)
	if c.Ref != nil {
		stock.Take(b, seats.Reference, *c.Ref, 1)
	}
	stock.Take(b, seats.Optocoupler, *c.Opto, 1)
	j.indicatorParts(b, c)
	return networks, j.loopsOut(m, c, b)
}

// indicatorParts takes the two lamps that join the loops and show which one holds, or two small diodes where the output is
// too low for lamps.
func (j *Looper) indicatorParts(b *stock.Basket, c *control.Control) {
	if !c.Indicator {
		stock.Pick(b, seats.JoiningDiode, j.Drawer.Rectifiers, 2, j.Joins, control.AverageOf, "small signal diode 100 mA 75 V")
		return
	}
	for _, l := range []struct {
		role   seats.ID
		colour string
	}{{seats.LEDCharging, "red"}, {seats.LEDFull, "green"}} {
		stock.Pick(b, l.role, j.Drawer.Lamps, 1, func(p catalog.Lamp) bool {
			return p.Forward.Or(2) <= control.IndicatorDrop && p.Current.Or(20e-3) >= c.Lamp.Least
		}, func(p catalog.Lamp) float64 {
			if p.Colour == l.colour {
				return 0
			}
			return 1
		}, "lamp, "+l.colour)
	}
}
