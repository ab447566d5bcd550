package report

import (
	"fmt"
	"html/template"

	"sparewright/catalog/si"
	"sparewright/substitute"
)

// batteryCircuit draws everything on the battery side of the barrier, whose edge is on the left: both dividers and the
// reference, the power path with the shunt, the two amplifiers and the lamp of the optocoupler.
func batteryCircuit(t substitute.Target, b *substitute.Build) template.HTML {
	c := &canvas{width: circuitWide, height: circuitHigh}
	c.label(4, 12, fromLeft, 40, "BATTERY SIDE: same marks are joined")
	dividerDrawing(c, b)
	referenceDrawing(c, b)
	levelDrawing(c, b)
	outputDrawing(c, t, b)
	loopsDrawing(c, b)
	return c.svg("Circuit, battery side of the barrier")
}

// dividerDrawing is the voltage divider with its trimmer in the lower leg, wiper tied to ground.
func dividerDrawing(c *canvas, b *substitute.Build) {
	const x = 56.0
	r := b.Regulation
	c.flag(x, 36, centred, "OUT")
	reach := c.leg(x, 38, 116, network(b, "divider top"))
	c.label(x+reach+4, 80, fromLeft, 3, "R5")
	c.flag(x, 120, fromRight, "FB")
	reach = c.leg(x, 122, 196, network(b, "divider bottom"))
	c.label(x+reach+4, 162, fromLeft, 3, "R6")
	if r.Trimmer > 0 {
		c.trimmer(x, 196, 240, si.RKM(r.Trimmer))
		c.label(x+18, 222, fromLeft, 3, "RV1")
		c.label(x-18, 222, fromRight, 4, "volt")
	} else {
		c.line(x, 196, x, 240)
	}
	c.zero(x, 240)
}

// referenceDrawing is the reference with the resistor that feeds it.
func referenceDrawing(c *canvas, b *substitute.Build) {
	const x = 172.0
	c.flag(x, 36, centred, "OUT")
	reach := c.leg(x, 38, 116, network(b, "reference bias"))
	c.label(x+reach+4, 80, fromLeft, 3, "R10")
	c.flag(x, 120, fromRight, "REF")
	c.diodeStanding(x, 186, 122, true)
	c.line(x+6, 154, x+18, 154, x+18, 130, x, 130)
	c.dot(x, 130)
	c.zero(x, 186)
	c.label(x+22, 168, fromLeft, 2, "U4")
	text := partFor(b, "reference")
	if text == "" {
		text = "inside U3"
	}
	c.label(x, 208, centred, 16, text)
	c.label(x, 220, centred, 12, four(b.Regulation.Reference))
}

// levelDrawing is the divider that sets the current, its trimmer in the upper leg.
func levelDrawing(c *canvas, b *substitute.Build) {
	const x = 288.0
	r := b.Regulation
	c.flag(x, 36, centred, "REF")
	reach := c.leg(x, 38, 110, network(b, "current divider top"))
	c.label(x+reach+4, 78, fromLeft, 3, "R8")
	if r.SenseTrimmer > 0 {
		c.trimmer(x, 110, 156, si.RKM(r.SenseTrimmer))
		c.label(x+18, 137, fromLeft, 3, "RV2")
		c.label(x-18, 137, fromRight, 4, "amps")
	} else {
		c.line(x, 110, x, 156)
	}
	c.flag(x, 160, fromRight, "LEVEL")
	reach = c.leg(x, 162, 240, network(b, "current divider bottom"))
	c.label(x+reach+4, 204, fromLeft, 3, "R9")
	c.zero(x, 240)
}

// outputDrawing is the power path: secondary, rectifier, capacitor, choke, fuse, pack, shunt.
func outputDrawing(c *canvas, t substitute.Target, b *substitute.Build) {
	const rail, coil = 290.0, 28.0
	c.stroke("h", 6, 300, 6, 374)
	c.line(coil, rail, coil, 304)
	c.winding(coil, 304, 370, false)
	c.line(coil, 370, coil, 382)
	c.zero(coil, 382)
	c.circle("d", coil-8, 304, 2.2)
	c.label(coil-10, 293, fromRight, 1, "D")
	c.label(coil-10, 386, fromRight, 1, "E")
	c.label(coil+13, 334, fromLeft, 6, "T1")
	c.label(coil+13, 346, fromLeft, 6, fmt.Sprintf("%d t", b.Transformer.SecondaryTurns))
	c.line(coil, rail, 44, rail)
	c.diode(44, 84, rail)
	c.label(36, rail-12, fromLeft, 17, named(b, "D4", "output rectifier"))
	c.dot(112, rail)
	c.capacitor(112, rail, 382, true)
	c.zero(112, 382)
	c.label(126, 333, fromLeft, 2, "C6")
	c.label(126, 345, fromLeft, 18, partFor(b, "output capacitor"))
	c.line(84, rail, 160, rail)
	if partFor(b, "output choke") == "" {
		c.line(160, rail, 196, rail)
	} else {
		c.coilLying(160, 196, rail)
		c.label(178, rail+14, centred, 21, named(b, "L2", "output choke"))
	}
	c.line(196, rail, 260, rail)
	c.flag(228, rail, centred, "OUT")
	c.fuseLying(260, 306, rail)
	c.label(283, rail-10, centred, 15, named(b, "F2", "output fuse"))
	packDrawing(c, t, b, rail)
}

// packDrawing is the battery between its terminals and the shunt in the negative lead.
func packDrawing(c *canvas, t substitute.Target, b *substitute.Build, rail float64) {
	const x, shunt = 336.0, 262.0
	c.line(306, rail, x, rail, x, 350)
	c.circle("p", x, 318, 2.5)
	c.stroke("l", x-11, 350, x+11, 350)
	c.stroke("t", x-6, 356, x+6, 356)
	c.line(x-11, 340, x-5, 340)
	c.line(x-8, 337, x-8, 343)
	c.line(x, 356, x, 404, shunt, 404)
	c.circle("p", x, 388, 2.5)
	c.label(x-16, 356, fromRight, 10, t.Name)
	c.label(x-16, 368, fromRight, 8, four(t.Set))
	c.flag(shunt, 404, fromRight, "SENSE")
	reach := c.leg(shunt, 406, 470, network(b, "shunt"))
	c.label(shunt+reach+4, 441, fromLeft, 3, "R7")
	c.label(shunt+reach+26, 441, fromLeft, 5, "shunt")
	c.zero(shunt, 470)
	c.label(4, 420, fromLeft, 38, "0 V = control ground, on the converter")
	c.label(4, 432, fromLeft, 38, "side of the shunt; the pack's minus is")
	c.label(4, 444, fromLeft, 38, "not 0 V")
}

// loopsDrawing is both amplifiers, what joins them, and the lamp of the optocoupler.
func loopsDrawing(c *canvas, b *substitute.Build) {
	amplifierDrawing(c, b, 524, [2]string{"REF", "FB"}, "volt", "C7", joiner(b, "lamp, full (voltage holds)", "H1", "D5"))
	amplifierDrawing(c, b, 626, [2]string{"LEVEL", "SENSE"}, "amps", "C8", joiner(b, "lamp, charging (current holds)", "H2", "D6"))
	const join = 140.0
	c.line(join, 539, join, 641)
	c.dot(join, 590)
	c.line(join, 590, 78, 590, 78, 600)
	reach := c.leg(78, 600, 662, network(b, "lamp resistor"))
	c.label(78+reach+4, 634, fromLeft, 3, "R11")
	c.flag(104, 590, centred, "LED")
	c.line(78, 662, 40, 662)
	c.diodeStanding(40, 662, 700, false)
	c.rect("g", 20, 654, 40, 48)
	c.zero(40, 704)
	c.line(40, 700, 40, 704)
	c.line(30, 674, 0, 674)
	c.line(30, 682, 0, 682)
	c.label(66, 690, fromLeft, 2, "U2")
	c.line(0, 752, 24, 752)
	c.zero(24, 752)
	c.label(36, 757, fromLeft, 8, "E, C5")
	c.label(156, 722, fromLeft, 30, named(b, "U3", "amplifier"))
	c.label(156, 734, fromLeft, 30, "supply: OUT and 0 V, beside it")
	c.label(156, 746, fromLeft, 30, named(b, "C9", "supply bypass of the amplifier"))
}

// joiner is the mark and name of the lamp or diode behind an amplifier.
func joiner(b *substitute.Build, lampRole, lamp, diode string) string {
	if b.Regulation.Circuit.Lamps {
		return named(b, lamp, lampRole)
	}
	for _, u := range role(b, "diode joining the loops") {
		return diode + " " + u.Designation
	}
	return diode
}

// amplifierDrawing draws one amplifier with its inputs on the right: inverting above, with the loop capacitor to it.
func amplifierDrawing(c *canvas, b *substitute.Build, y float64, inputs [2]string, name, loop, joint string) {
	const left, right = 232.0, 284.0
	c.rect("b", left, y-14, right-left, 44)
	c.path("o", fmt.Sprintf("M%s %sl9 5l-9 5Z", px(left+20), px(y-8)))
	c.label(left+37, y, centred, 1, "∞")
	c.label(left+20, y+24, centred, 4, name)
	c.label(right-6, y+1, centred, 1, "-")
	c.label(right-6, y+22, centred, 1, "+")
	c.line(right, y-3, right+24, y-3)
	c.flag(right+24, y-3, fromLeft, inputs[0])
	c.line(right, y+19, right+24, y+19)
	c.flag(right+24, y+19, fromLeft, inputs[1])
	c.line(left, y+15, 200, y+15)
	c.diode(200, 160, y+15)
	if b.Regulation.Circuit.Lamps {
		c.line(176, y+4, 170, y-4)
		c.line(183, y+4, 177, y-4)
		c.path("f", fmt.Sprintf("M%s %sl4.5 3l-4 2.4Z", px(169.4), px(y-5)))
		c.path("f", fmt.Sprintf("M%s %sl4.5 3l-4 2.4Z", px(176.4), px(y-5)))
	}
	c.line(160, y+15, 140, y+15)
	c.label(146, y+35, fromLeft, 15, joint)
	c.dot(212, y+15)
	c.line(212, y+15, 212, y-28)
	c.capacitorLying(212, right+12, y-28)
	c.line(right+12, y-28, right+12, y-3)
	c.dot(right+12, y-3)
	c.label(right+18, y-34, fromLeft, 2, loop)
	c.label(right+18, y-22, fromLeft, 10, oneOf(b, "loop capacitor, one a loop"))
}

// oneOf is the designation under a role without the count.
func oneOf(b *substitute.Build, name string) string {
	for _, u := range role(b, name) {
		return u.Designation
	}
	return ""
}
