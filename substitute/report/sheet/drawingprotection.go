package sheet

import (
	"html/template"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/report/netlist"
	"sparewright/substitute/seats"
)

// protectionHigh is the height of the drawing of the overvoltage protection.
const protectionHigh = 290.0

// ProtectionCircuit draws the overvoltage protection: the divider that watches OUT, the reference
// with the LED of its optocoupler, and what the transistor of that does to the gate of the pack
// switch.
func ProtectionCircuit(b *substitute.Build) template.HTML {
	c := schematic{&canvas{width: circuitWide, height: protectionHigh}}
	c.label(4, 12, fromLeft, 56, "OVERVOLTAGE PROTECTION: battery side, same marks")
	tripDrawing(c, b)
	guardLEDDrawing(c, b)
	gateDrawing(c, b)
	return c.svg("Circuit, overvoltage protection")
}

// tripDrawing is the divider with its trimmer, if it has one, in the lower leg.
func tripDrawing(c schematic, b *substitute.Build) {
	const x = 48.0
	p := b.Regulation.Protection
	c.flag(x, 46, centred, "OUT")
	guardLeg(c, b, x, 48, 126, seats.GuardTop, p.Top)
	c.flag(x, 130, fromRight, "TRIP")
	guardLeg(c, b, x, 132, 206, seats.GuardBottom, p.Bottom)
	if p.Trimmer > 0 {
		c.trimmer(x, 206, 250, si.RKM(p.Trimmer))
		c.label(x+18, 232, fromLeft, 3, seats.GuardTrimmer.Mark())
	} else {
		c.line(x, 206, x, 250)
	}
	c.zero(x, 250)
}

// guardLeg draws a leg of the divider; one that is bought is a single resistor.
func guardLeg(c schematic, b *substitute.Build, x, y1, y2 float64, id seats.ID, ohm si.Resistance) {
	n, reach := netlist.Network(b, id), 8.0
	if n.N > 0 {
		reach = c.leg(x, y1, y2, n)
	} else {
		c.resistor(x, y1, y2, si.RKM(ohm))
	}
	c.label(x+reach+4, (y1+y2)/2+3, fromLeft, 3, id.Mark())
}

// guardLEDDrawing is the reference below the LED, which has a resistor in series and one across it.
func guardLEDDrawing(c schematic, b *substitute.Build) {
	const x, beside = 164.0, 196.0
	p := b.Regulation.Protection
	c.flag(x, 46, centred, "OUT")
	guardLeg(c, b, x, 48, 108, seats.GuardLEDResistor, p.Series)
	c.dot(x, 112)
	c.line(x, 108, x, 118)
	c.diodeStanding(x, 118, 162, false)
	c.rect("g", x-16, 122, 30, 36)
	c.label(x-20, 136, fromRight, 2, seats.GuardOptocoupler.Mark())
	c.line(x, 112, beside, 112, beside, 116)
	c.resistor(beside, 116, 160, si.RKM(p.Bypass))
	c.line(beside, 160, beside, 168, x, 168)
	c.label(beside+12, 141, fromLeft, 3, seats.GuardBypass.Mark())
	c.line(x, 162, x, 172)
	c.dot(x, 168)
	c.diodeStanding(x, 240, 172, true)
	c.line(x-6, 206, x-26, 206)
	c.flag(x-26, 206, fromRight, "TRIP")
	c.zero(x, 240)
	c.label(x+14, 209, fromLeft, 2, seats.GuardReference.Mark())
	c.label(x, 264, centred, 20, PartFor(b, seats.GuardReference))
	c.label(x, 276, centred, 20, PartFor(b, seats.GuardOptocoupler))
}

// gateDrawing is the gate of the pack switch between OUT and the transistor of the optocoupler.
func gateDrawing(c schematic, b *substitute.Build) {
	const x, of = 276.0, 322.0
	p := b.Regulation.Protection
	c.flag(x, 46, centred, "OUT")
	c.resistor(x, 48, 116, si.RKM(p.Gate))
	c.label(x+12, 85, fromLeft, 3, seats.GateResistor.Mark())
	c.line(x, 116, x, 132)
	c.flag(x, 128, fromRight, "GATE")
	if p.Divider > 0 {
		c.resistor(x, 132, 200, si.RKM(p.Divider))
		c.zero(x, 200)
		c.label(x-12, 169, fromRight, 3, seats.GateDivider.Mark())
	}
	c.line(x, 128, of, 128, of, 146, of-10, 154)
	c.stroke("h", of-10, 148, of-10, 176)
	c.line(of-10, 170, of, 178, of, 200)
	c.path("o", "M"+px(of-1)+" "+px(177)+"l-7 -1l4 -5Z")
	c.zero(of, 200)
	c.rect("g", of-20, 142, 30, 40)
	c.label(of+14, 166, fromLeft, 2, seats.GuardOptocoupler.Mark())
	c.label(x+16, 240, centred, 20, named(b, seats.PackSwitch))
	c.label(x+16, 252, centred, 24, "opens when TRIP")
	c.label(x+16, 264, centred, 24, "passes the reference")
}

// switchDrawing is the pack switch, a MOSFET with its channel lying in the lead to the pack's
// minus.
func switchDrawing(c schematic, left, right, y float64) {
	mid := (left + right) / 2
	c.line(left, y, mid-7, y, mid-7, y+5)
	c.line(mid-7, y, mid, y, mid, y+5)
	c.line(right, y, mid+7, y, mid+7, y+5)
	for _, x := range []float64{mid - 7, mid, mid + 7} {
		c.stroke("h", x-2.5, y+5.5, x+2.5, y+5.5)
	}
	c.path("o", "M"+px(mid-2)+" "+px(y+1)+"h4l-2 4Z")
	c.line(mid-9, y+9, mid+9, y+9)
	c.line(mid, y+9, mid, y+20)
	c.flag(mid, y+20, fromLeft, "GATE")
	c.label(mid+13, y+12, fromLeft, 2, seats.PackSwitch.Mark())
}
