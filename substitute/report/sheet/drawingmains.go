package sheet

import (
	"fmt"
	"html/template"
	"strings"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/report"
	"sparewright/substitute/seats"
)

// circuitWide and circuitHigh are the size of either half of the circuit.
const (
	circuitWide = 360.0
	circuitHigh = 770.0
)

// mainsCircuit draws everything on the mains side of the barrier: inlet, bridge, bulk, clamp,
// switcher with its supply, and the mains halves of transformer and optocoupler at the right edge.
func mainsCircuit(b *substitute.Build) template.HTML {
	c := schematic{&canvas{width: circuitWide, height: circuitHigh}}
	c.label(4, 12, fromLeft, 40, "MAINS SIDE: deadly when powered")
	inlet(c, b)
	bulk(c, b)
	drain(c, b)
	chipSupply(c, b)
	feedbackIn(c, b)
	return c.svg("Circuit, mains side of the barrier")
}

// named writes a part as its mark in the drawing and what it is.
func named(b *substitute.Build, id seats.ID) string { return id.Mark() + " " + PartFor(b, id) }

// inlet runs from the mains terminals down to the bridge.
func inlet(c schematic, b *substitute.Build) {
	const live, neutral, words = 40.0, 110.0, 136.0
	c.circle("p", live, 28, 2.5)
	c.circle("p", neutral, 28, 2.5)
	c.label(live-7, 31, fromRight, 2, "L")
	c.label(neutral+7, 31, fromLeft, 2, "N")
	c.line(neutral, 30, neutral, 140)
	c.fuseStanding(live, 30, 64)
	c.label(words, 50, fromLeft, 36, named(b, seats.MainsFuse))
	c.resistor(live, 64, 104, "")
	c.label(live+20, 94, fromLeft, 2, "-t")
	c.line(live-11, 92, live+11, 76)
	c.label(words, 87, fromLeft, 36, named(b, seats.InrushLimiter))
	c.line(live, 104, live, 140)
	c.dot(live, 120)
	c.dot(neutral, 120)
	c.line(live, 120, live+28, 120)
	c.capacitorLying(live+20, neutral-20, 120)
	c.line(neutral-28, 120, neutral, 120)
	c.label(words, 123, fromLeft, 36, named(b, seats.XCapacitor))
	if name := oneOf(b, seats.XDischarge); name != "" {
		c.dot(live, 132)
		c.dot(neutral, 132)
		c.resistorLying(live, neutral, 132, "2 x "+firstWord(name))
		c.label(words, 136, fromLeft, 36, seats.XDischarge.Mark()+" in series")
	}
	c.winding(live, 140, 176, false)
	c.winding(neutral, 140, 176, true)
	c.line((live+neutral)/2-2, 142, (live+neutral)/2-2, 174)
	c.line((live+neutral)/2+2, 142, (live+neutral)/2+2, 174)
	c.label(words, 160, fromLeft, 36, named(b, seats.MainsChoke))
	c.line(live, 176, live, 186, 60, 186, 60, 196)
	c.line(neutral, 176, neutral, 186, 90, 186, 90, 196)
	c.rect("b", 50, 196, 50, 44)
	c.label(60, 206, centred, 1, "~")
	c.label(90, 206, centred, 1, "~")
	c.diodeStanding(75, 204, 230, false)
	c.label(60, 236, centred, 1, "-")
	c.label(90, 236, centred, 1, "+")
	c.label(words, 220, fromLeft, 36, named(b, seats.Bridge))
	c.line(60, 240, 60, 252, 16, 252, 16, 520)
	c.line(90, 240, 90, 270)
}

// Heights of the two rails of the bulk voltage.
const (
	railPlus  = 270.0
	railMinus = 520.0
)

// bulk draws the bulk capacitor with its bleed.
func bulk(c schematic, b *substitute.Build) {
	c.line(50, railPlus, 330, railPlus)
	c.line(16, railMinus, 330, railMinus)
	c.flag(172, railPlus, centred, "BULK +")
	c.flag(90, railMinus, centred, "BULK -")
	c.dot(50, railPlus)
	c.dot(50, railMinus)
	c.capacitor(50, railPlus, railMinus, true)
	c.upright(39, 456, 16, PartFor(b, seats.BulkCapacitor))
	c.label(63, 399, fromLeft, 3, seats.BulkCapacitor.Mark())
	c.dot(110, railPlus)
	c.dot(110, railMinus)
	c.resistor(110, railPlus, 360, eachBleed(b))
	c.resistor(110, 360, 450, eachBleed(b))
	c.line(110, 450, 110, railMinus)
	c.label(120, 318, fromLeft, 3, seats.BulkBleed.Marks()[0])
	c.label(120, 408, fromLeft, 3, seats.BulkBleed.Marks()[1])
}

// eachBleed is the value of one of the two bleed resistors; of those to be bought, the value asked
// for.
func eachBleed(b *substitute.Build) string {
	for _, u := range Role(b, seats.BulkBleed) {
		if u.Source == "buy" {
			return firstWord(u.Designation)
		}
	}
	return si.RKM(b.Drawing.Bleed / 2)
}

// drain draws clamp, primary and switcher.
func drain(c schematic, b *substitute.Build) {
	const coil, clampX, node = 332.0, 205.0, 378.0
	x := b.Transformer
	c.line(coil, railPlus, coil, 284)
	c.winding(coil, 284, 350, true)
	c.line(coil, 350, coil, node)
	c.stroke("h", 354, 280, 354, 354)
	c.circle("d", coil+8, 352, 2.2)
	c.label(coil+6, 282, fromLeft, 1, "C")
	c.label(coil+6, 366, fromLeft, 1, "A")
	if len(b.Windings) > 2 && b.Windings[0].Name == "primary 1st half" {
		c.label(coil+6, 320, fromLeft, 1, "B")
	}
	c.label(coil-12, 314, fromRight, 8, seats.Core.Mark())
	c.label(coil-12, 326, fromRight, 8, fmt.Sprintf("%d t", x.PrimaryTurns))
	c.label(coil-12, 338, fromRight, 10, report.Three(x.Inductance))
	if PartFor(b, seats.ClampResistor) != "" {
		c.resistor(clampX-12, railPlus, 324, firstWord(PartFor(b, seats.ClampResistor)))
		c.capacitor(clampX+12, railPlus, 324, false)
		c.line(clampX-12, 324, clampX+12, 324)
		c.label(clampX-22, 300, fromRight, 3, seats.ClampResistor.Mark())
		c.label(clampX+23, 300, fromLeft, 3, seats.ClampCapacitor.Mark())
		c.label(clampX+23, 312, fromLeft, 8, PartFor(b, seats.ClampCapacitor))
	} else {
		c.diodeStanding(clampX, railPlus, 324, true)
		c.label(clampX+11, 292, fromLeft, 2, seats.DrainClamp.Mark())
		c.label(clampX+11, 304, fromLeft, 16, PartFor(b, seats.DrainClamp))
	}
	c.dot(clampX, railPlus)
	c.diodeStanding(clampX, node, 324, false)
	c.label(clampX+11, 349, fromLeft, 2, seats.ClampDiode.Mark())
	c.label(clampX+11, 361, fromLeft, 16, PartFor(b, seats.ClampDiode))
	c.line(clampX, node, coil, node)
	c.dot(300, node)
	c.flag(252, node, centred, "DRAIN")
	chip(c, b)
}

// chip draws the switcher as a block with the pins that count; sense is its limit resistor.
func chip(c schematic, b *substitute.Build) {
	const left, top, wide, high = 214.0, 394.0, 110.0, 70.0
	c.rect("b", left, top, wide, high)
	c.line(300, 378, 300, top)
	c.label(300, top+10, centred, 1, "D")
	c.label(300, top+high-4, centred, 1, "S")
	c.label(left+wide/2, top+36, centred, 17, b.Switcher.Designation)
	c.label(left+wide/2+8, top+24, centred, 2, seats.Switcher.Mark())
	c.label(left+4, top+16, fromLeft, 3, supplyPin(b))
	c.line(left-16, top+13, left, top+13)
	c.flag(left-16, top+13, fromRight, supplyPin(b))
	if supplyPin(b) != feedbackPin(b) {
		c.label(left+4, top+58, fromLeft, 3, feedbackPin(b))
		c.line(left-16, top+55, left, top+55)
		c.flag(left-16, top+55, fromRight, feedbackPin(b))
	}
	if b.Drawing.Start == "pin" {
		c.label(256, top+high-4, centred, 2, "ST")
		c.line(256, top+high, 256, top+high+13)
		c.flag(256, top+high+13, fromRight, "BULK +")
	}
	c.label(left-8, top+high+32, fromLeft, 15, "other pins: as")
	c.label(left-8, top+high+44, fromLeft, 15, "its sheet says")
	if b.Switcher.Sense != 0 {
		c.resistor(300, top+high, railMinus, si.RKM(b.Switcher.Sense))
		c.label(310, (top+high+railMinus)/2+3, fromLeft, 3, seats.LimitResistor.Mark())
	} else {
		c.line(300, top+high, 300, railMinus)
	}
	c.dot(300, railMinus)
}

// supplyPin and feedbackPin are the pins of the switcher as this drawing calls them.
func supplyPin(b *substitute.Build) string {
	if b.Drawing.Feedback == "feeds-control" {
		return "CTL"
	}
	return "VCC"
}

func feedbackPin(b *substitute.Build) string {
	switch b.Drawing.Feedback {
	case "feeds-control":
		return "CTL"
	case "pulls-enable":
		return "EN"
	}
	if b.Drawing.FeedbackPin != "" {
		return b.Drawing.FeedbackPin
	}
	return "FB1"
}

// chipSupply draws the bias winding with its rectifier and the capacitor at the supply pin.
func chipSupply(c schematic, b *substitute.Build) {
	const y, coil = 560.0, 332.0
	c.dot(60, railMinus)
	c.line(60, railMinus, 60, 752)
	c.flag(120, y, fromRight, supplyPin(b))
	c.capacitor(138, y, y+50, true)
	c.line(120, y, 138, y)
	c.line(138, y+50, 60, y+50)
	c.dot(60, y+50)
	c.label(152, y+24, fromLeft, 2, seats.ChipSupply.Mark())
	c.label(152, y+36, fromLeft, 16, PartFor(b, seats.ChipSupply))
	startDrawing(c, b)
	if b.Transformer.BiasTurns == 0 {
		c.label(152, y-4, fromLeft, 30, "feeds itself from the drain")
		return
	}
	if b.Drawing.Feedback == "feeds-control" {
		c.flag(228, y, fromRight, "BIAS")
		c.line(228, y, 240, y)
		c.capacitor(232, y, y+50, true)
		c.line(232, y+50, 138, y+50)
		c.label(246, y+24, fromLeft, 3, seats.BiasCapacitor.Mark())
		c.label(246, y+36, fromLeft, 12, PartFor(b, seats.BiasCapacitor))
	} else {
		c.dot(138, y)
		c.line(138, y, 240, y)
	}
	c.diode(290, 240, y)
	c.label(265, y-10, centred, 16, named(b, seats.BiasRectifier))
	c.line(290, y, coil, y, coil, y+8)
	c.winding(coil, y+8, y+52, true)
	c.stroke("h", 354, y+4, 354, y+56)
	c.circle("d", coil+8, y+8, 2.2)
	c.label(coil+6, y+1, fromLeft, 1, "F")
	c.label(coil+6, y+66, fromLeft, 1, "G")
	c.label(coil-12, y+34, fromRight, 6, fmt.Sprintf("%d t", b.Transformer.BiasTurns))
	c.line(coil, y+52, coil, y+64, 60, y+64)
	c.dot(60, y+64)
}

// startDrawing draws the resistors through which the bulk voltage charges the supply capacitor of a
// chip that cannot do it itself.
func startDrawing(c schematic, b *substitute.Build) {
	const y, left, mid, right = 652.0, 112.0, 158.0, 204.0
	name := oneOf(b, seats.StartResistor)
	if name == "" {
		return
	}
	c.flag(left, y, fromRight, "BULK +")
	c.resistorLying(left, mid, y, firstWord(strings.TrimPrefix(name, "resistor ")))
	c.resistorLying(mid, right, y, firstWord(strings.TrimPrefix(name, "resistor ")))
	c.flag(right, y, fromLeft, supplyPin(b))
	c.label((left+mid)/2, y-10, centred, 3, seats.StartResistor.Marks()[0])
	c.label((mid+right)/2, y-10, centred, 3, seats.StartResistor.Marks()[1])
}

// feedbackIn draws the transistor of the optocoupler and the Y capacitor.
func feedbackIn(c schematic, b *substitute.Build) {
	const x, y = 316.0, 678.0
	c.rect("g", x-20, y-24, 40, 48)
	c.stroke("h", x-4, y-12, x-4, y+12)
	c.line(x-4, y-5, x-14, y-14, x-14, y-34, x-40, y-34)
	c.line(x-4, y+5, x-14, y+14, x-14, y+34, x-40, y+34)
	c.path("f", fmt.Sprintf("M%s %sl2.5 -6l4 4.5Z", px(x-14), px(y+14)))
	c.line(360, y-4, x+6, y-4)
	c.line(360, y+4, x+6, y+4)
	c.path("f", fmt.Sprintf("M%s %sl5 -2.5v5Z", px(x+2), px(y-4)))
	c.path("f", fmt.Sprintf("M%s %sl5 -2.5v5Z", px(x+2), px(y+4)))
	c.label(x-30, y-38, fromLeft, 12, named(b, seats.Optocoupler))
	upper, lower := feedbackPin(b), "BULK -"
	switch b.Drawing.Feedback {
	case "feeds-in":
		upper, lower = supplyPin(b), feedbackPin(b)
	case "feeds-control":
		upper, lower = "BIAS", "CTL"
	}
	c.flag(x-40, y-34, fromRight, upper)
	if name := oneOf(b, seats.FeedbackCapacitor); name != "" {
		c.dot(x-40, y-34)
		c.line(x-40, y-34, x-40, y-28)
		c.capacitor(x-40, y-28, y+18, false)
		c.line(x-40, y+18, x-40, y+34)
		c.dot(x-40, y+34)
		c.label(x-52, y+4, fromRight, 26, named(b, seats.FeedbackCapacitor))
	}
	if lower == "BULK -" {
		c.line(x-40, y+34, 60, y+34)
		c.dot(60, y+34)
	} else {
		c.flag(x-40, y+34, fromRight, lower)
	}
	c.line(60, 752, 220, 752)
	c.capacitorLying(220, 260, 752)
	c.line(260, 752, 360, 752)
	c.label(70, 744, fromLeft, 24, named(b, seats.YCapacitor))
	c.label(356, 744, fromRight, 16, "to E, 0 V")
}

// firstWord is the value in front of a designation.
func firstWord(text string) string {
	word, _, _ := strings.Cut(text, " ")
	return word
}
