package sheet

import (
	"fmt"
	"html/template"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/magnetics"
	"sparewright/substitute/report"
)

// coreDrawing shows the core cut through its legs, to scale, with the gap in the middle, and beside
// it the joint of one leg enlarged so that the films that make it can be told apart.
func coreDrawing(b *substitute.Build) template.HTML {
	const left, wide, top = 10.0, 150.0, 22.0
	g, gap := b.Drawing.Geometry, b.Gap
	leg, window, high := float64(g.LegWidth), float64(g.WindowWidth), float64(g.WindowHeight)
	outer := (float64(g.OverallWidth) - leg - 2*window) / 2
	if !(outer > 0) {
		outer = leg / 2
	}
	back, bar := backs(g)
	whole := leg + 2*window + 2*outer
	scale := wide / whole
	shim, ground := float64(gap.Shim), float64(gap.Ground)
	tall := high + back + bar + shim
	c := &canvas{width: 370, height: max(tall*scale, 128) + top + 58}
	joint := top + (back+high/2)*scale // upper half ends here
	if g.Bar {
		joint = top + (back+high)*scale
	}
	halfCore(c, left, top, scale, joint, [4]float64{outer, window, leg, back}, ground)
	lowerHalf(c, left, scale, joint+shim*scale, top+tall*scale,
		[4]float64{outer, window, leg, bar}, g.Bar)
	films(c, left, joint, shim*scale, [3]float64{outer * scale, window * scale, leg * scale})
	c.label(left, 12, fromLeft, 26, b.Core.Designation)
	ruler(c, left, top+tall*scale+16, scale)
	jointDrawing(c, b, 196, top)
	return c.svg("Core with its gap, to scale, and the joint enlarged")
}

// backs are the thickness of the upper yoke and of what closes the pair below: the other yoke, or
// the bar of an EI set.
func backs(g magnetics.Geometry) (upper, lower float64) {
	rest := float64(g.OverallHeight) - float64(g.WindowHeight)
	bar := float64(g.BarHeight)
	switch {
	case !(rest > 0):
		return float64(g.LegWidth) / 2, float64(g.LegWidth) / 2
	case g.Bar && bar > 0 && bar < rest:
		return rest - bar, bar
	}
	return rest / 2, rest / 2
}

// halfCore draws the upper half; its centre leg is shorter by the ground gap.
func halfCore(c *canvas, x, y, s, joint float64, m [4]float64, ground float64) {
	outer, window, leg, back := m[0]*s, m[1]*s, m[2]*s, m[3]*s
	in := y + back
	c.path("i", fmt.Sprintf("M%s %sH%sV%sH%sV%sH%sV%sH%sV%sH%sV%sH%sZ", px(x), px(y),
		px(x+2*outer+2*window+leg), px(joint),
		px(x+outer+2*window+leg), px(in), px(x+outer+window+leg), px(joint-ground*s),
		px(x+outer+window), px(in),
		px(x+outer), px(joint), px(x)))
}

// lowerHalf is the other half, or the bar of an EI set.
func lowerHalf(c *canvas, x, s, joint, bottom float64, m [4]float64, bar bool) {
	outer, window, leg, back := m[0]*s, m[1]*s, m[2]*s, m[3]*s
	wide := 2*outer + 2*window + leg
	if bar {
		c.rect("i", x, joint, wide, back)
		return
	}
	in := bottom - back
	c.path("i", fmt.Sprintf("M%s %sH%sV%sH%sV%sH%sV%sH%sV%sH%sV%sH%sZ", px(x), px(bottom),
		px(x+wide), px(joint),
		px(x+outer+2*window+leg), px(in), px(x+outer+window+leg), px(joint), px(x+outer+window),
		px(in), px(x+outer),
		px(joint), px(x)))
}

// films draws the shim under every leg.
func films(c *canvas, x, y, thick float64, m [3]float64) {
	if thick <= 0 {
		return
	}
	outer, window, leg := m[0], m[1], m[2]
	for _, f := range [][2]float64{{0, outer}, {outer + window, leg},
		{outer + 2*window + leg, outer}} {
		c.rect("v", x+f[0], y, f[1], thick)
	}
}

// jointDrawing enlarges the joint of the centre leg, each film with its thickness.
func jointDrawing(c *canvas, b *substitute.Build, x, top float64) {
	const wide, space = 58.0, 64.0
	gap := b.Gap
	whole := float64(gap.Shim + gap.Ground)
	c.label(x, 12, fromLeft, 31, "joint of centre leg, enlarged")
	y := top + 4
	c.rect("i", x, y, wide, 20)
	y += 20
	if whole == 0 {
		c.rect("i", x, y+1, wide, 20)
		c.label(x+wide+6, y+4, fromLeft, 18, "no gap, nothing in")
		return
	}
	least := 13.0 // enough for a line of text beside it
	each := func(t si.Length) float64 { return max(least, space*float64(t)/whole) }
	if gap.Ground > 0 {
		h := each(gap.Ground)
		c.stroke("k", x+wide/2, y, x+wide/2, y+h)
		c.label(x+wide+6, y+h/2+3, fromLeft, 20, "ground: "+report.Three(gap.Ground))
		y += h
	}
	for _, l := range gap.Layers {
		for range l.Count {
			h := each(l.Thickness)
			c.rect("v", x, y, wide, h)
			c.label(x+wide+6, y+h/2+3, fromLeft, 20,
				fmt.Sprintf("lot %s: %s", report.LotOf(l.Lot), report.Three(l.Thickness)))
			y += h
		}
	}
	c.rect("i", x, y, wide, 20)
	if gap.Shim > 0 {
		c.label(x, y+34, fromLeft, 31, "films "+report.Three(gap.Shim)+" under every leg")
	}
}
