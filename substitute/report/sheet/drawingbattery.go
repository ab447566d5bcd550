package sheet

import (
	"fmt"
	"html/template"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/report"
	"sparewright/substitute/report/netlist"
	"sparewright/substitute/seats"
)

// BatteryCircuit draws everything on the battery side of the barrier, whose edge is on the left:
// both dividers and the reference, the power path with the shunt, the two amplifiers and the LED of
// the optocoupler.
func BatteryCircuit(t substitute.Target, b *substitute.Build) template.HTML {
	c := schematic{&canvas{width: circuitWide, height: circuitHigh}}
	c.label(4, 12, fromLeft, 40, "BATTERY SIDE: same marks are joined")
	dividerDrawing(c, b)
	referenceDrawing(c, b)
	levelDrawing(c, b)
	outputDrawing(c, t, b)
	loopsDrawing(c, b)
	return c.svg("Circuit, battery side of the barrier")
}

// dividerDrawing is the voltage divider with its trimmer in the lower leg, wiper tied to ground.
func dividerDrawing(c schematic, b *substitute.Build) {
	const x = 56.0
	r := b.Regulation
	c.flag(x, 36, centred, "OUT")
	reach := c.leg(x, 38, 116, netlist.Network(b, seats.DividerTop))
	c.label(x+reach+4, 80, fromLeft, 3, seats.DividerTop.Mark())
	if lead := PartFor(b, seats.FeedForward); lead != "" {
		c.line(x, 42, x-26, 42, x-26, 62)
		c.capacitor(x-26, 62, 98, false)
		c.line(x-26, 98, x-26, 112, x, 112)
		c.dot(x, 42)
		c.dot(x, 112)
		c.label(x-30, 56, fromRight, 5, seats.FeedForward.Mark())
	}
	c.flag(x, 120, fromRight, "FB")
	reach = c.leg(x, 122, 196, netlist.Network(b, seats.DividerBottom))
	c.label(x+reach+4, 162, fromLeft, 3, seats.DividerBottom.Mark())
	if r.Step != nil {
		c.line(x, 126, x-26, 126, x-26, 140)
		c.resistor(x-26, 140, 178, "")
		c.line(x-26, 178, x-26, 192, x, 192)
		c.dot(x, 126)
		c.dot(x, 192)
		c.label(x-34, 136, fromRight, 4, seats.SetResistor.Mark())
	}
	if r.Trimmer > 0 {
		c.trimmer(x, 196, 240, si.RKM(r.Trimmer))
		c.label(x+18, 222, fromLeft, 3, seats.VoltageTrimmer.Mark())
		c.label(x-18, 222, fromRight, 4, "volt")
	} else {
		c.line(x, 196, x, 240)
	}
	c.zero(x, 240)
}

// referenceDrawing is the reference with the resistor that feeds it.
func referenceDrawing(c schematic, b *substitute.Build) {
	const x = 172.0
	c.flag(x, 36, centred, "OUT")
	reach := c.leg(x, 38, 116, netlist.Network(b, seats.ReferenceBias))
	c.label(x+reach+4, 80, fromLeft, 3, seats.ReferenceBias.Mark())
	c.flag(x, 120, fromRight, "REF")
	c.diodeStanding(x, 186, 122, true)
	c.line(x+6, 154, x+18, 154, x+18, 130, x, 130)
	c.dot(x, 130)
	c.zero(x, 186)
	c.label(x+22, 168, fromLeft, 2, seats.Reference.Mark())
	text := PartFor(b, seats.Reference)
	if text == "" {
		text = "inside U3"
	}
	c.label(x, 208, centred, 16, text)
	c.label(x, 220, centred, 12, report.Four(b.Regulation.Reference))
}

// levelDrawing is the divider that sets the current, its trimmer in the upper leg.
func levelDrawing(c schematic, b *substitute.Build) {
	const x = 288.0
	r := b.Regulation
	c.flag(x, 36, centred, "REF")
	reach := c.leg(x, 38, 110, netlist.Network(b, seats.SenseTop))
	c.label(x+reach+4, 78, fromLeft, 3, seats.SenseTop.Mark())
	if r.SenseTrimmer > 0 {
		c.trimmer(x, 110, 156, si.RKM(r.SenseTrimmer))
		c.label(x+18, 137, fromLeft, 3, seats.CurrentTrimmer.Mark())
		c.label(x-18, 137, fromRight, 4, "amps")
	} else {
		c.line(x, 110, x, 156)
	}
	c.flag(x, 160, fromRight, "LEVEL")
	reach = c.leg(x, 162, 240, netlist.Network(b, seats.SenseBottom))
	c.label(x+reach+4, 204, fromLeft, 3, seats.SenseBottom.Mark())
	c.zero(x, 240)
}

// outputDrawing is the power path: secondary, rectifier, capacitor, choke, fuse, pack, shunt.
func outputDrawing(c schematic, t substitute.Target, b *substitute.Build) {
	const rail, coil = 290.0, 28.0
	c.stroke("h", 6, 300, 6, 374)
	c.line(coil, rail, coil, 304)
	c.winding(coil, 304, 370, false)
	c.line(coil, 370, coil, 382)
	c.zero(coil, 382)
	c.circle("d", coil-8, 304, 2.2)
	c.label(coil-10, 293, fromRight, 1, "D")
	c.label(coil-10, 386, fromRight, 1, "E")
	c.label(coil+13, 334, fromLeft, 6, seats.Core.Mark())
	if b.Transformer.SecondaryTurns > 0 {
		c.label(coil+13, 346, fromLeft, 6, fmt.Sprintf("%d t", b.Transformer.SecondaryTurns))
	}
	c.line(coil, rail, 44, rail)
	c.diode(44, 84, rail)
	c.label(36, rail-12, fromLeft, 17, named(b, seats.OutputRectifier))
	c.dot(112, rail)
	c.capacitor(112, rail, 382, true)
	c.zero(112, 382)
	c.label(126, 333, fromLeft, 2, seats.OutputCapacitor.Mark())
	c.label(126, 345, fromLeft, 18, PartFor(b, seats.OutputCapacitor))
	c.line(84, rail, 160, rail)
	if PartFor(b, seats.OutputChoke) == "" {
		c.line(160, rail, 196, rail)
	} else {
		c.coilLying(160, 196, rail)
		c.label(178, rail+14, centred, 21, named(b, seats.OutputChoke))
	}
	c.line(196, rail, 270, rail)
	c.flag(228, rail, centred, "OUT")
	if PartFor(b, seats.BehindChoke) != "" {
		c.dot(240, rail)
		c.capacitor(240, rail, 352, true)
		c.zero(240, 352)
		c.label(246, 340, fromLeft, 3, seats.BehindChoke.Mark())
	}
	if PartFor(b, seats.OutputStop) != "" {
		c.dot(210, rail)
		c.diodeStanding(210, 366, rail, true)
		c.zero(210, 366)
		c.label(218, 332, fromLeft, 12, named(b, seats.OutputStop))
	}
	if PartFor(b, seats.PackDiode) != "" {
		c.dot(264, rail)
		c.diodeStanding(264, 388, rail, false)
		c.line(264, 388, 290, 388, 290, 404)
		c.dot(290, 404)
		c.label(270, 382, fromLeft, 12, named(b, seats.PackDiode))
	}
	c.fuseLying(270, 308, rail)
	c.label(289, rail-10, centred, 15, named(b, seats.OutputFuse))
	packDrawing(c, t, b, rail)
}

// packDrawing is the battery between its terminals and the shunt in the negative lead.
func packDrawing(c schematic, t substitute.Target, b *substitute.Build, rail float64) {
	const x, shunt = 336.0, 262.0
	c.line(308, rail, x, rail, x, 350)
	c.circle("p", x, 318, 2.5)
	c.stroke("l", x-11, 350, x+11, 350)
	c.stroke("t", x-6, 356, x+6, 356)
	c.line(x-11, 340, x-5, 340)
	c.line(x-8, 337, x-8, 343)
	c.line(x, 356, x, 404, 290, 404)
	switchDrawing(c, shunt, 290, 404)
	c.circle("p", x, 388, 2.5)
	c.label(x-16, 356, fromRight, 10, t.Name)
	c.label(x-16, 368, fromRight, 8, report.Four(t.Set))
	c.flag(shunt, 404, fromRight, "SENSE")
	reach := c.leg(shunt, 406, 470, netlist.Network(b, seats.Shunt))
	c.label(shunt+reach+4, 441, fromLeft, 3, seats.Shunt.Mark())
	c.label(shunt+reach+26, 441, fromLeft, 5, seats.Shunt.String())
	c.zero(shunt, 470)
	c.label(4, 420, fromLeft, 38, "0 V = control ground, on the converter")
	c.label(4, 432, fromLeft, 38, "side of the shunt; the pack's minus is")
	c.label(4, 444, fromLeft, 38, "not 0 V")
}

// loopsDrawing is both amplifiers, what joins them, and the LED of the optocoupler.
func loopsDrawing(c schematic, b *substitute.Build) {
	l := b.Regulation.Loops
	input := si.RKM(l.Input)
	inputs := seats.LoopInput.Marks()
	volt := amplifierWiring{
		y: 524, name: "volt", minus: "REF", plus: "FB", input: inputs[0], ohm: input,
		capacitor: seats.VoltageCapacitor, damper: seats.VoltageDamping,
		damping: ohmsOrWire(l.Voltage.Damping), joint: joiner(b, seats.LEDFull, 0),
	}
	amps := amplifierWiring{
		y: 626, name: "amps", minus: "LEVEL", plus: "SENSE", input: inputs[1], ohm: input,
		capacitor: seats.CurrentCapacitor, damper: seats.CurrentDamping,
		damping: ohmsOrWire(l.Current.Damping), joint: joiner(b, seats.LEDCharging, 1),
		guard: seats.SenseInput, guarded: input, clamp: seats.SenseClamp,
	}
	if Down(b) {
		volt.minus, volt.plus, volt.ohm = "FB", "REF", ""
		amps.minus, amps.plus = "SENSE", "LEVEL"
		amps.input, amps.guard = seats.SenseInput.Mark(), seats.None
	}
	amplifierDrawing(c, b, volt)
	amplifierDrawing(c, b, amps)
	if Down(b) {
		ledAbove(c, b)
	} else {
		ledBelow(c, b)
	}
	c.line(0, 752, 24, 752)
	c.zero(24, 752)
	c.label(36, 757, fromLeft, 8, "E, "+seats.YCapacitor.Mark())
	c.label(156, 722, fromLeft, 30, named(b, seats.Amplifier))
	c.label(156, 734, fromLeft, 30, "supply: OUT and 0 V, beside it")
	c.label(156, 746, fromLeft, 30, named(b, seats.Bypass))
}

// Down reports whether the amplifiers pull the LED of the optocoupler down; else they drive it up.
func Down(b *substitute.Build) bool { return b.Regulation.Circuit.Drive == "down" }

const joinedAt = 108.0 // where the outputs of both amplifiers meet

// ledBelow is the LED of the optocoupler between the amplifiers and ground.
func ledBelow(c schematic, b *substitute.Build) {
	c.line(joinedAt, 539, joinedAt, 641)
	c.dot(joinedAt, 590)
	c.line(joinedAt, 590, 64, 590, 64, 600)
	reach := c.leg(64, 600, 662, netlist.Network(b, seats.LEDResistor))
	c.label(64+reach+4, 634, fromLeft, 3, seats.LEDResistor.Mark())
	c.flag(84, 590, centred, "LED")
	c.line(64, 662, 36, 662)
	optoLED(c, 36, 662, 700)
	c.zero(36, 704)
	c.line(36, 700, 36, 704)
}

// ledAbove is the LED of the optocoupler between the output and the amplifiers.
func ledAbove(c schematic, b *substitute.Build) {
	c.flag(36, 548, centred, "OUT")
	reach := c.leg(36, 550, 620, netlist.Network(b, seats.LEDResistor))
	c.label(36+reach+4, 588, fromLeft, 3, seats.LEDResistor.Mark())
	c.line(36, 620, 36, 662)
	c.flag(36, 640, fromLeft, "LED")
	optoLED(c, 36, 662, 700)
	c.line(36, 700, 36, 710, joinedAt, 710, joinedAt, 539)
	c.dot(joinedAt, 641)
}

// optoLED is the LED of the optocoupler in its case, lit towards the barrier on the left.
func optoLED(c schematic, x, y1, y2 float64) {
	c.diodeStanding(x, y1, y2, false)
	c.rect("g", x-20, y1-8, 40, y2-y1+10)
	c.line(x-10, y1+12, 0, y1+12)
	c.line(x-10, y1+20, 0, y1+20)
	c.label(x+24, y1+28, fromLeft, 2, seats.Optocoupler.Mark())
}

// joiner is the mark and name of the LED or diode behind an amplifier, the voltage side counted 0.
func joiner(b *substitute.Build, led seats.ID, side int) string {
	if b.Regulation.Circuit.LEDs {
		return named(b, led)
	}
	diode := seats.JoiningDiode.Marks()[side]
	for _, u := range Role(b, seats.JoiningDiode) {
		return diode + " " + u.Designation
	}
	return diode
}

// ohmsOrWire is the value of a resistor that may be a wire, which is empty.
func ohmsOrWire(r si.Resistance) string {
	if r == 0 {
		return ""
	}
	return si.RKM(r)
}

// amplifierWiring is one amplifier with what is wired to it.
type amplifierWiring struct {
	y           float64
	name        string
	minus, plus string // marks of the nodes at its inputs
	input, ohm  string // mark and value of the resistor at the minus input; no value: a wire
	capacitor   seats.ID
	damper      seats.ID
	damping     string // its value in series with the capacitor; empty: a wire
	joint       string

	// Where a pack can pull an input below ground: the resistor in front of it with its value, and
	// the diode from ground.
	guard   seats.ID
	guarded string
	clamp   seats.ID
}

// amplifierDrawing draws one amplifier with its inputs on the right: inverting above, with the loop
// capacitor to it.
func amplifierDrawing(c schematic, b *substitute.Build, w amplifierWiring) {
	const left, right, node, end = 190.0, 242.0, 256.0, 310.0
	y := w.y
	c.rect("b", left, y-14, right-left, 44)
	c.path("o", fmt.Sprintf("M%s %sl9 5l-9 5Z", px(left+20), px(y-8)))
	c.label(left+37, y, centred, 1, "∞")
	c.label(left+20, y+24, centred, 4, w.name)
	c.label(right-6, y+1, centred, 1, "-")
	c.label(right-6, y+22, centred, 1, "+")
	c.line(right, y-3, node, y-3)
	c.dot(node, y-3)
	if w.ohm != "" {
		c.resistorLying(node, end, y-3, w.ohm)
		c.label((node+end)/2, y-13, centred, 3, w.input)
	} else {
		c.line(node, y-3, end, y-3)
	}
	c.flag(end, y-3, fromLeft, w.minus)
	if w.guard != seats.None {
		c.line(right, y+19, node, y+19)
		c.resistorLying(node, end, y+19, w.guarded)
		c.label((node+end)/2+6, y+36, centred, 3, w.guard.Mark())
	} else {
		c.line(right, y+19, end, y+19)
	}
	if w.clamp != seats.None {
		clampDrawing(c, b, node, y, w)
	}
	c.flag(end, y+19, fromLeft, w.plus)
	joinDrawing(c, b, left, y+15, w.joint)
	c.dot(174, y+15)
	c.line(174, y+15, 174, y-28)
	c.capacitorLying(174, 204, y-28)
	c.label(189, y-40, centred, 2, w.capacitor.Mark())
	if w.damping != "" {
		c.resistorLying(204, node, y-28, w.damping)
		c.label((204+node)/2, y-40, centred, 3, w.damper.Mark())
	} else {
		c.line(204, y-28, node, y-28)
	}
	c.line(node, y-28, node, y-3)
	c.label(node+8, y-28, fromLeft, 15, named(b, w.capacitor))
}

// clampDrawing is the diode from ground to the input that SENSE goes to.
func clampDrawing(c schematic, b *substitute.Build, x, y float64, w amplifierWiring) {
	input := y + 19
	if w.guard == seats.None {
		input = y - 3
	}
	c.dot(x, input)
	c.diodeStanding(x, y+64, input, false)
	c.zero(x, y+64)
	c.label(x+12, y+52, fromLeft, 13, named(b, w.clamp))
}

// joinDrawing is the LED or diode between an amplifier's output and the node where both meet.
func joinDrawing(c schematic, b *substitute.Build, left, y float64, text string) {
	c.line(left, y, 164, y)
	if Down(b) {
		c.diode(124, 164, y)
	} else {
		c.diode(164, 124, y)
	}
	if b.Regulation.Circuit.LEDs {
		c.line(140, y-11, 134, y-19)
		c.line(147, y-11, 141, y-19)
		c.path("f", fmt.Sprintf("M%s %sl4.5 3l-4 2.4Z", px(133.4), px(y-20)))
		c.path("f", fmt.Sprintf("M%s %sl4.5 3l-4 2.4Z", px(140.4), px(y-20)))
	}
	c.line(124, y, joinedAt, y)
	c.label(114, y+20, fromLeft, 15, text)
}

// oneOf is the designation under a role without the count.
func oneOf(b *substitute.Build, id seats.ID) string {
	for _, u := range Role(b, id) {
		return u.Designation
	}
	return ""
}
