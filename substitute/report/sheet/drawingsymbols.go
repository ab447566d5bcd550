package sheet

import (
	"fmt"
	"strings"

	"sparewright/catalog/si"
	"sparewright/substitute/regulation/resistors"
)

// Symbols after IEC 60617: resistor as a rectangle, capacitor as two plates, winding as half
// circles, diode as a triangle with a bar, amplifier as a rectangle with its sign. Standing symbols
// run from y1 down to y2 at x, lying ones from x1 to x2 at y.

const (
	bodyWide = 13.0 // of a resistor
	bodyLong = 40.0
)

// schematic is a drawing of a circuit, made of these symbols.
type schematic struct{ *canvas }

// resistor draws a standing one with its value inside.
func (c schematic) resistor(x, y1, y2 float64, value string) {
	long := min(bodyLong, y2-y1-4)
	mid := (y1 + y2) / 2
	c.line(x, y1, x, mid-long/2)
	c.rect("b", x-bodyWide/2, mid-long/2, bodyWide, long)
	c.line(x, mid+long/2, x, y2)
	c.upright(x+3.2, mid, int(long/letterWidth), value)
}

// resistorLying draws a lying one with its value inside.
func (c schematic) resistorLying(x1, x2, y float64, value string) {
	long := min(bodyLong, x2-x1-4)
	mid := (x1 + x2) / 2
	c.line(x1, y, mid-long/2, y)
	c.rect("b", mid-long/2, y-bodyWide/2, long, bodyWide)
	c.line(mid+long/2, y, x2, y)
	c.label(mid, y+3.2, centred, int(long/letterWidth), value)
}

// trimmer is a resistor with the slanted line of a preset one; the wiper is tied to the lower end.
func (c schematic) trimmer(x, y1, y2 float64, value string) {
	c.resistor(x, y1, y2, value)
	mid := (y1 + y2) / 2
	c.line(x-13, mid+13, x+13, mid-13)
	c.line(x+10, mid-16, x+16, mid-10)
}

// leg draws a network of one to three resistors between two points; it returns how far it reaches
// to the right of x.
func (c schematic) leg(x, y1, y2 float64, n resistors.Network) float64 {
	if n.N == 0 {
		c.line(x, y1, x, y2)
		return 2
	}
	value := func(i int) string { return si.RKM(n.Values[i]) }
	const apart = 10.0
	mid := (y1 + y2) / 2
	third := (y2 - y1) / 3
	switch n.Wiring {
	case resistors.Series2:
		c.resistor(x, y1, mid, value(0))
		c.resistor(x, mid, y2, value(1))
	case resistors.Series3:
		for i := range 3 {
			c.resistor(x, y1+third*float64(i), y1+third*float64(i+1), value(i))
		}
	case resistors.Parallel2, resistors.Parallel3:
		c.fork(x, y1, y2, apart*float64(n.N-1))
		for i := range n.N {
			c.resistor(x+apart*(2*float64(i)-float64(n.N-1)), y1+4, y2-4, value(i))
		}
		return apart*float64(n.N-1) + bodyWide/2
	case resistors.SeriesParallel:
		c.resistor(x, y1, mid, value(0))
		c.fork(x, mid, y2, apart)
		c.resistor(x-apart, mid+4, y2-4, value(1))
		c.resistor(x+apart, mid+4, y2-4, value(2))
		return apart + bodyWide/2
	case resistors.ParallelSeries:
		c.fork(x, y1, y2, apart)
		c.resistor(x-apart, y1+4, y2-4, value(0))
		c.resistor(x+apart, y1+4, mid, value(1))
		c.resistor(x+apart, mid, y2-4, value(2))
		return apart + bodyWide/2
	default:
		c.resistor(x, y1, y2, value(0))
	}
	return bodyWide / 2
}

// fork draws the ends of legs side by side.
func (c schematic) fork(x, y1, y2, reach float64) {
	c.line(x, y1, x, y1+4)
	c.line(x-reach, y1+4, x+reach, y1+4)
	c.line(x-reach, y2-4, x+reach, y2-4)
	c.line(x, y2-4, x, y2)
}

// capacitor stands; a polarised one has its plus sign.
func (c schematic) capacitor(x, y1, y2 float64, polarised bool) {
	mid := (y1 + y2) / 2
	c.line(x, y1, x, mid-2.5)
	c.stroke("h", x-9, mid-2.5, x+9, mid-2.5)
	c.stroke("h", x-9, mid+2.5, x+9, mid+2.5)
	c.line(x, mid+2.5, x, y2)
	if polarised {
		c.line(x-9, mid-8, x-4, mid-8)
		c.line(x-6.5, mid-10.5, x-6.5, mid-5.5)
	}
}

// capacitorLying lies.
func (c schematic) capacitorLying(x1, x2, y float64) {
	mid := (x1 + x2) / 2
	c.line(x1, y, mid-2.5, y)
	c.stroke("h", mid-2.5, y-8, mid-2.5, y+8)
	c.stroke("h", mid+2.5, y-8, mid+2.5, y+8)
	c.line(mid+2.5, y, x2, y)
}

// diode lies; its cathode is at x2, which may be left of x1.
func (c schematic) diode(x1, x2, y float64) {
	way := 1.0
	if x2 < x1 {
		way = -1
	}
	mid := (x1 + x2) / 2
	c.line(x1, y, x2, y)
	c.path("o", fmt.Sprintf("M%s %sV%sL%s %sZ", px(mid-5*way), px(y-6), px(y+6),
		px(mid+5*way), px(y)))
	c.stroke("h", mid+5*way, y-6, mid+5*way, y+6)
}

// diodeStanding has its cathode at y2, which may lie above y1; hooked is a breakdown diode or
// suppressor.
func (c schematic) diodeStanding(x, y1, y2 float64, hooked bool) {
	way := 1.0
	if y2 < y1 {
		way = -1
	}
	mid := (y1 + y2) / 2
	c.line(x, y1, x, y2)
	c.path("o", fmt.Sprintf("M%s %sH%sL%s %sZ", px(x-6), px(mid-5*way), px(x+6), px(x),
		px(mid+5*way)))
	if hooked {
		c.stroke("h", x-6, mid+5*way, x+6, mid+5*way, x+6, mid+1*way)
		return
	}
	c.stroke("h", x-6, mid+5*way, x+6, mid+5*way)
}

// winding stands: half circles that bulge to the left or to the right.
func (c schematic) winding(x, y1, y2 float64, left bool) {
	turns := max(2, int((y2-y1)/11))
	step := (y2 - y1) / float64(turns)
	sweep := "1"
	if left {
		sweep = "0"
	}
	var d strings.Builder
	fmt.Fprintf(&d, "M%s %s", px(x), px(y1))
	for range turns {
		fmt.Fprintf(&d, "a%s %s 0 0 %s 0 %s", px(step/2), px(step/2), sweep, px(step))
	}
	c.path("l", d.String())
}

// coilLying is a choke from x1 to x2.
func (c schematic) coilLying(x1, x2, y float64) {
	const turns = 4
	step := (x2 - x1) / turns
	var d strings.Builder
	fmt.Fprintf(&d, "M%s %s", px(x1), px(y))
	for range turns {
		fmt.Fprintf(&d, "a%s %s 0 0 1 %s 0", px(step/2), px(step/2), px(step))
	}
	c.path("l", d.String())
}

// fuseStanding is a rectangle with the wire through it.
func (c schematic) fuseStanding(x, y1, y2 float64) {
	mid := (y1 + y2) / 2
	c.rect("b", x-4.5, mid-11, 9, 22)
	c.line(x, y1, x, y2)
}

func (c schematic) fuseLying(x1, x2, y float64) {
	mid := (x1 + x2) / 2
	c.rect("b", mid-11, y-4.5, 22, 9)
	c.line(x1, y, x2, y)
}

// zero is the sign of the control ground, node 0 V.
func (c schematic) zero(x, y float64) {
	c.line(x, y, x, y+4)
	c.stroke("h", x-7, y+4, x+7, y+4)
}

// flag names a node; wires with the same flag are joined.
func (c schematic) flag(x, y float64, anchor, text string) {
	c.circle("p", x, y, 2)
	switch anchor {
	case fromLeft:
		c.label(x+5, y+3, anchor, 12, text)
	case fromRight:
		c.label(x-5, y+3, anchor, 12, text)
	default:
		c.label(x, y-5, anchor, 12, text)
	}
}
