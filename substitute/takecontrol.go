package substitute

import (
	"sparewright/catalog"
	"sparewright/substitute/regulation"
)

// takeControl takes the parts of the control circuit and chooses what keeps its loops steady from what is left.
func (j *looper) takeControl(m *measured, c *control, b *basket) (networks []NetworkUse, loops LoopChoice) {
	v, i := c.voltage, c.current
	if v.HasTrimmer {
		take(b, "voltage trimmer", j.drawer.trimmers[v.Trimmer.Lot-1], 1)
	}
	if i.HasTrimmer {
		take(b, "current trimmer", j.drawer.trimmers[i.Trimmer.Lot-1], 1)
	}
	network := func(role string, n regulation.Network) {
		use := NetworkUse{Role: role, Ohm: n.Ohm, Wiring: n.String(), Parts: []ResistorUse{}, Network: n}
		for _, u := range n.Uses() {
			s := j.drawer.resistors[u.Lot-1]
			from := len(b.uses)
			take(b, role, s, float64(u.Count))
			for _, p := range b.uses[from:] {
				use.Parts = append(use.Parts, ResistorUse{Lot: p.Lot, Ohm: u.Ohm, Count: int(p.Quantity)})
			}
		}
		networks = append(networks, use)
	}
	network("divider top", v.Top)
	network("divider bottom", v.Bottom)
	network("shunt", i.Shunt)
	network("current divider top", i.Top)
	network("current divider bottom", i.Bottom)
	network("reference bias", c.bias.Resistor)
	network("lamp resistor", c.lamp.Resistor)
	take(b, "amplifier", *c.amp, 1)
	if c.ref != nil {
		take(b, "reference", *c.ref, 1)
	}
	take(b, "optocoupler", *c.opto, 1)
	j.indicatorParts(b, c)
	return networks, j.loopsOut(m, c, b)
}

// indicatorParts takes the two lamps that join the loops and show which one holds, or two small diodes where the output is
// too low for lamps.
func (j *looper) indicatorParts(b *basket, c *control) {
	if !c.indicator {
		pick(b, "diode joining the loops", j.drawer.rectifiers, 2, j.joins, averageOf, "small signal diode 100 mA 75 V")
		return
	}
	for _, l := range []struct{ role, colour string }{{"lamp, charging (current holds)", "red"}, {"lamp, full (voltage holds)", "green"}} {
		pick(b, l.role, j.drawer.lamps, 1, func(p catalog.Lamp) bool {
			return p.Forward.Or(2) <= indicatorDrop && p.Current.Or(20e-3) >= c.lamp.Least
		}, func(p catalog.Lamp) float64 {
			if p.Colour == l.colour {
				return 0
			}
			return 1
		}, "lamp, "+l.colour)
	}
}
