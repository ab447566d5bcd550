package sheet

import (
	"fmt"
	"html/template"
	"math"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/report"
)

// plot is a field with two axes inside a canvas.
type plot struct {
	*canvas
	left, top, wide, high float64
	xMost, yMost          float64
}

func (p *plot) x(v float64) float64 { return p.left + p.wide*v/p.xMost }

func (p *plot) y(v float64) float64 { return p.top + p.high*(1-min(v, p.yMost)/p.yMost) }

// niceStep is 1, 2 or 5 times a power of ten so that about n steps fill most.
func niceStep(most float64, n int) float64 {
	raw := most / float64(n)
	ten := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, k := range []float64{1, 2, 5} {
		if raw <= k*ten*1.0001 {
			return k * ten
		}
	}
	return 10 * ten
}

// axes draws frame, ticks and names; name of the vertical axis above it.
func (p *plot) axes(xName, yName string) {
	p.rect("b", p.left, p.top, p.wide, p.high)
	for v, step := 0.0, niceStep(p.xMost, 5); v <= p.xMost*1.0001; v += step {
		p.line(p.x(v), p.top+p.high, p.x(v), p.top+p.high+4)
		p.mark(p.x(v), p.top+p.high+14, centred, tick(v))
	}
	for v, step := 0.0, niceStep(p.yMost, 5); v <= p.yMost*1.0001; v += step {
		p.line(p.left-4, p.y(v), p.left, p.y(v))
		p.mark(p.left-6, p.y(v)+3, fromRight, tick(v))
	}
	p.label(p.left+p.wide, p.top+p.high+26, fromRight, 30, xName)
	p.label(4, p.top-11, fromLeft, 40, yName)
}

// tick writes a mark of an axis.
func tick(v float64) string { return fmt.Sprintf("%.4g", v) }

// curve joins the points that lie inside the field.
func (p *plot) curve(class string, xs, ys []float64) {
	var points []float64
	for i := range xs {
		if xs[i] > p.xMost*1.0001 {
			continue
		}
		points = append(points, p.x(xs[i]), p.y(ys[i]))
	}
	if len(points) >= 4 {
		p.stroke(class, points...)
	}
}

// outputCurve is output voltage over current: what the two loops hold, and what the switcher could
// give without them.
func outputCurve(s *Sheet) template.HTML {
	t, r := s.Target, s.Build.Regulation
	most := 0.0
	for _, l := range s.Limits {
		most = max(most, float64(l.Least))
	}
	p := &plot{canvas: &canvas{width: 370, height: 262}, left: 40, top: 26, wide: 316, high: 180}
	p.xMost = min(max(1.5*float64(t.Current), most*1.1), 3.2*float64(t.Current))
	p.yMost = float64(t.Set) * 1.15
	p.axes("current, A", "output, V")
	set, i, low := float64(t.Set), float64(t.Current), float64(r.LowestRegulated)
	p.curve("c", []float64{0, i, i}, []float64{set, set, low})
	p.stroke("k", p.x(0), p.y(low), p.x(p.xMost), p.y(low))
	p.stroke("k", p.x(0), p.y(float64(t.Empty)), p.x(p.xMost), p.y(float64(t.Empty)))
	var least, greatest, volts []float64
	for _, l := range s.Limits {
		least, greatest, volts = append(least, float64(l.Least)), append(greatest, float64(l.Most)),
			append(volts, float64(l.Output))
	}
	p.curve("u", least, volts)
	p.curve("u2", greatest, volts)
	p.label(p.x(0)+4, p.y(set)-5, fromLeft, 30, "voltage loop "+report.Four(t.Set))
	side, at := fromLeft, p.x(i)+5
	if p.x(i)-p.left > 130 {
		side, at = fromRight, p.x(i)-5
	}
	p.label(at, (p.y(set)+p.y(float64(t.Empty)))/2, side, 24,
		"current loop "+report.Three(t.Current))
	p.label(p.x(0)+4, p.y(float64(t.Empty))-3, fromLeft, 24, "empty pack "+report.Three(t.Empty))
	p.label(p.x(0)+4, p.y(low)+11, fromLeft, 44,
		"below "+report.Three(r.LowestRegulated)+" the current is not held")
	p.label(30, 247, fromLeft, 62, "solid: the loops; dashed, dotted: lowest and highest limit")
	p.label(30, 259, fromLeft, 62, "of the switcher at lowest mains, where inside the field")
	return p.svg("Output voltage against current")
}

// chargeCurves are current and pack voltage above, heat below, over hours.
func chargeCurves(s *Sheet) template.HTML {
	c := &canvas{width: 370, height: 396}
	var hours, amps, volts, watts []float64
	most := 0.0
	for _, p := range s.Charge.Points {
		hours, amps = append(hours, float64(p.Time)/3600), append(amps, float64(p.Current))
		volts, watts = append(volts, float64(p.Pack)), append(watts, float64(p.Heat))
		most = max(most, float64(p.Heat))
	}
	end := hours[len(hours)-1] * 1.02
	t := s.Target
	v := &plot{canvas: c, left: 40, top: 24, wide: 316, high: 82, xMost: end,
		yMost: float64(t.Set) * 1.15}
	v.axes("", "pack, V")
	v.curve("c", hours, volts)
	a := &plot{canvas: c, left: 40, top: 144, wide: 316, high: 82, xMost: end,
		yMost: float64(t.Current) * 1.2}
	a.axes("", "current, A")
	a.curve("c", hours, amps)
	w := &plot{canvas: c, left: 40, top: 264, wide: 316, high: 82, xMost: end, yMost: most * 1.2}
	w.axes("hours", "lost in the charger, W")
	w.curve("c", hours, watts)
	return c.svg("Charge of the pack over time")
}

// bar is one line of a bar chart.
type bar struct {
	name, value string
	share       float64 // of the whole length, 0 to 1
	hollow      bool
}

// bars draws them below each other, name and value above each bar.
func bars(title string, all []bar) template.HTML {
	const step, wide = 25.0, 352.0
	c := &canvas{width: 370, height: step*float64(len(all)) + 6}
	for i, b := range all {
		y := 12 + step*float64(i)
		n := len([]rune(b.value))
		c.label(8, y, fromLeft, 62-n, b.name)
		c.label(8+wide, y, fromRight, n, b.value)
		c.rect("b", 8, y+3, wide, 6)
		class := "s"
		if b.hollow {
			class = "v"
		}
		if x := wide * min(1, max(0, b.share)); x > 0 {
			c.rect(class, 8, y+3, x, 6)
		}
	}
	return c.svg(title)
}

// marginBars show how much margin every check leaves; hatched are soft limits.
func marginBars(b *substitute.Build) template.HTML {
	var all []bar
	for _, k := range b.Checks {
		value := report.Margin(k.Margin)
		if !k.Passed {
			value += " NOT KEPT"
		}
		all = append(all, bar{report.Middling(k.Name), value, k.Margin, !k.Hard})
	}
	return bars("Margin to the limit of every check", all)
}

// lossBars show what gets warm.
func lossBars(b *substitute.Build) template.HTML {
	l := b.Losses
	most := 0.0
	named := []struct {
		name string
		p    si.Power
	}{{"switcher", l.Switch}, {"core", l.Core}, {"copper", l.Copper}, {"clamp",
		l.Clamp}, {"output rectifier", l.Rectifier},
		{"shunt", l.Shunt}, {"bridge", l.Bridge}, {"other", l.Other}}
	for _, n := range named {
		most = max(most, float64(n.p))
	}
	var all []bar
	for _, n := range named {
		all = append(all, bar{n.name, report.Three(n.p), float64(n.p) / most, false})
	}
	return bars("Losses by part", all)
}
