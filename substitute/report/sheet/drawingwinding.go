package sheet

import (
	"fmt"
	"html/template"
	"strings"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/report"
)

// strip is one layer of wire or of tape, as it lies in the window: from bottom m above the former,
// thick m high.
type strip struct {
	winding       int // index into the windings, -1 for tape
	turns         int // of this layer
	layers        int // of tape
	Bottom, Thick float64
}

// Strips stacks wire and tape in winding order, by the same rules as the search: layers lie on each
// other without nesting, the tape within and after every winding between them. Both chambers of a
// split former have a stack of their own.
func Strips(b *substitute.Build) (stacks [2][]strip) {
	card := windingCard(b)
	tape := float64(b.Drawing.Tape)
	var height [2]float64
	for i, w := range b.Windings {
		k := chamber(b, w)
		put := func(s strip) {
			s.Bottom = height[k]
			height[k] += s.Thick
			stacks[k] = append(stacks[k], s)
		}
		left := w.Turns
		for layer := range w.Layers {
			n := min(left, w.PerLayer)
			left -= n
			put(strip{winding: i, turns: n, Thick: float64(w.Overall)})
			if layer < w.Layers-1 && card[i].Within > 0 {
				put(strip{winding: -1, layers: 1, Thick: tape})
			}
		}
		if card[i].After > 0 {
			put(strip{winding: -1, layers: card[i].After, Thick: tape * float64(card[i].After)})
		}
	}
	return stacks
}

// chamber is 1 for what lies in the second chamber of a split former.
func chamber(b *substitute.Build, w substitute.Winding) int {
	if b.Drawing.Former.Split && w.Name == "secondary" {
		return 1
	}
	return 0
}

// WindowDrawing shows the window of the former cut through, to scale: every wire of every strand,
// every tape, the margins, the centre leg below.
func WindowDrawing(b *substitute.Build) template.HTML {
	const left, wide, words = 10.0, 232.0, 256.0
	f := b.Drawing.Former
	width, height := float64(f.Width), float64(f.Height)
	chambers := 1
	if f.Split {
		chambers = 2
	}
	wall := 0.9e-3 // drawn thickness of the former, m
	scale := wide / (width*float64(chambers) + wall*float64(chambers+1))
	space := height * scale
	rows := 16 + 12.5*float64(labelCount(b))
	floor := 20 + max(space, rows-16)
	c := &canvas{width: 370, height: floor + wall*scale + 40}
	for k := range chambers {
		x := left + wall*scale + float64(k)*(width+wall)*scale
		c.rect("w", x, floor-space, width*scale, space)
		chamberWalls(c, x, floor, width*scale, space, wall*scale)
		layers(c, b, Strips(b)[k], x, floor, scale, width)
	}
	c.rect("i", left, floor+wall*scale, wide, 10)
	c.label(left+wide/2, floor+wall*scale+20, centred, 40, "centre leg (turned a quarter)")
	c.label(left, 12, fromLeft, 40, fmt.Sprintf("former %s wide, %s high",
		report.Three(si.Length(width)), report.Three(si.Length(height))))
	windingNames(c, b, left+wide, words, floor, scale)
	ruler(c, left, floor+wall*scale+31, scale)
	return c.svg("Cross-section of the wound former, to scale")
}

func labelCount(b *substitute.Build) int { return 2 * len(b.Windings) }

// chamberWalls draws tube and cheeks.
func chamberWalls(c *canvas, x, floor, w, h, wall float64) {
	c.rect("g", x-wall, floor, w+2*wall, wall)
	c.rect("g", x-wall, floor-h, wall, h)
	c.rect("g", x+w, floor-h, wall, h)
}

// layers draws one stack.
func layers(c *canvas, b *substitute.Build, stack []strip, x, floor, scale, width float64) {
	margin := float64(b.Transformer.Margin)
	top := 0.0
	for _, s := range stack {
		top = s.Bottom + s.Thick
		y := floor - s.Bottom*scale
		if s.winding < 0 {
			tapeStrip(c, s, x, y, scale, width)
			continue
		}
		w := b.Windings[s.winding]
		wires(c, w, s.turns, x+margin*scale, y, scale, width-2*margin)
	}
	if margin > 0 {
		for _, at := range []float64{x, x + (width-margin)*scale} {
			c.rect("m", at, floor-top*scale, margin*scale, top*scale)
		}
	}
}

// tapeStrip draws the tape layer by layer.
func tapeStrip(c *canvas, s strip, x, y, scale, width float64) {
	for n := range s.layers {
		at := y - s.Thick*scale*(float64(n)+0.5)/float64(s.layers)
		c.stroke("k", x, at, x+width*scale, at)
	}
}

// wires draws the turns of a layer, spread over the width there is.
func wires(c *canvas, w substitute.Winding, turns int, x, y, scale, width float64) {
	over := float64(w.Overall)
	n := turns * w.Strands
	pitch := over
	if turns == w.Turns && n > 1 { // a lone layer is spread out
		pitch = (width - over) / float64(n-1)
	}
	bare, outer := windingClasses(w.Name)
	for i := range n {
		cx, cy := x+(over/2+pitch*float64(i))*scale, y-over/2*scale
		c.circle(outer, cx, cy, over/2*scale)
		c.circle(bare, cx, cy, float64(w.WireD)/2*scale)
	}
}

// windingClasses tells the windings apart without colour: primary white, secondary black, bias
// grey.
func windingClasses(name string) (bare, outer string) {
	switch {
	case strings.HasPrefix(name, "primary"):
		return "wp", "wo"
	case name == "bias":
		return "wb", "wo"
	}
	return "ws", "wo"
}

// windingNames writes what lies where beside the window, top down, with a line to the middle of
// each.
func windingNames(c *canvas, b *substitute.Build, edge, words, floor, scale float64) {
	type place struct{ low, high float64 }
	at := make([]place, len(b.Windings))
	for _, stack := range Strips(b) {
		for _, s := range stack {
			if s.winding < 0 {
				continue
			}
			p := &at[s.winding]
			if p.high == 0 {
				p.low = s.Bottom
			}
			p.high = s.Bottom + s.Thick
		}
	}
	y := floor - 14
	for i := range b.Windings {
		w := b.Windings[i]
		mid := floor - (at[i].low+at[i].high)/2*scale
		line := min(y, mid+4)
		c.stroke("k", edge-4, mid, words-3, line-4)
		c.label(words, line, fromLeft, 20,
			fmt.Sprintf("%d %s", i+1, strings.Replace(w.Name, "primary", "prim.", 1)))
		c.label(words, line+11, fromLeft, 20,
			fmt.Sprintf("  %d t, %d x %s", w.Turns, w.Strands, report.Three(w.WireD)))
		y = line - 25
	}
}

// ruler is a scale of whole millimetres.
func ruler(c *canvas, x, y, scale float64) {
	mm := 5.0
	if mm*1e-3*scale > 150 {
		mm = 2
	}
	long := mm * 1e-3 * scale
	c.stroke("h", x, y, x+long, y)
	for k := range int(mm) + 1 {
		at := x + float64(k)*1e-3*scale
		c.line(at, y-3, at, y+3)
	}
	c.mark(x+long+6, y+3, fromLeft, report.Three(si.Length(mm*1e-3)))
}
