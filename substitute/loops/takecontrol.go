package loops

import (
	"sparewright/substitute"
	"sparewright/substitute/control"
	"sparewright/substitute/regulation/resistors"
	"sparewright/substitute/seats"
	"sparewright/substitute/stage"
	"sparewright/substitute/stock"
)

// TakeControl takes the parts of the control circuit and chooses what keeps its loops steady from
// what is left.
func (j *Looper) TakeControl(m *stage.Measured, c *control.Control,
	b *stock.Basket) (networks []substitute.NetworkUse, loops substitute.LoopChoice) {
	v, i := c.Voltage, c.Current
	if v.HasTrimmer {
		stock.Take(b, seats.VoltageTrimmer, j.Drawer.Trimmers[v.Trimmer.Lot-1], 1)
	}
	if i.HasTrimmer {
		stock.Take(b, seats.CurrentTrimmer, j.Drawer.Trimmers[i.Trimmer.Lot-1], 1)
	}
	network := func(id seats.ID, n resistors.Network) {
		networks = append(networks, j.TakeNetwork(b, id, n))
	}
	network(seats.DividerTop, v.Top)
	network(seats.DividerBottom, v.Bottom)
	for _, u := range v.Step.Uses() {
		stock.Take(b, seats.SetResistor, j.Drawer.Resistors[u.Lot-1], float64(u.Count))
	}
	network(seats.Shunt, i.Shunt)
	network(seats.SenseTop, i.Top)
	network(seats.SenseBottom, i.Bottom)
	network(seats.ReferenceBias, c.Bias.Resistor)
	network(seats.LEDResistor, c.LED.Resistor)
	stock.Take(b, seats.Amplifier, *c.Amp, 1)
	if c.Ref != nil {
		stock.Take(b, seats.Reference, *c.Ref, 1)
	}
	stock.Take(b, seats.Optocoupler, *c.Opto, 1)
	taking{j}.indicatorParts(b, c)
	return networks, j.loopsOut(m, c, b)
}

// TakeNetwork takes the resistors of a leg.
func (j *Looper) TakeNetwork(b *stock.Basket, role seats.ID,
	n resistors.Network) substitute.NetworkUse {
	use := substitute.NetworkUse{Role: role, Ohm: n.Ohm, Wiring: n.String(),
		Parts: []substitute.ResistorUse{}, Network: n}
	for _, u := range n.Uses() {
		s := j.Drawer.Resistors[u.Lot-1]
		from := len(b.Uses)
		stock.Take(b, role, s, float64(u.Count))
		for _, p := range b.Uses[from:] {
			use.Parts = append(use.Parts,
				substitute.ResistorUse{Lot: p.Lot, Ohm: u.Ohm, Count: int(p.Quantity)})
		}
	}
	return use
}

// indicatorParts takes the two LEDs that join the loops and show which one holds, or two small
// diodes where the output is too low for LEDs.
func (j taking) indicatorParts(b *stock.Basket, c *control.Control) {
	asked := j.Circuit()
	asked.LEDLeast = c.LED.Least
	if !c.Indicator {
		stock.Fill(b, seats.JoiningDiode, j.Drawer.Rectifiers, &asked)
		return
	}
	stock.Fill(b, seats.LEDCharging, j.Drawer.LEDs, &asked)
	stock.Fill(b, seats.LEDFull, j.Drawer.LEDs, &asked)
}
