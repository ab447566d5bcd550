package sheet

import (
	"fmt"
	"html"
	"html/template"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"sparewright/inventory"
)

// canvas collects the elements of one line drawing. Lengths are in pixels at the scale of a small
// screen; everything is black on white, and no text is wider than it was given space for.
type canvas struct {
	body          strings.Builder
	width, height float64
}

// Letter widths of the fixed-width faces in use are at most 0.605 of the size.
const (
	textSize    = 9.0
	letterShare = 0.605
	letterWidth = textSize * letterShare
)

// px writes a coordinate with at most two decimals.
func px(v float64) string {
	return strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64)
}

func (c *canvas) add(format string, args ...any) { fmt.Fprintf(&c.body, format, args...) }

// line joins points given as x, y, x, y ...
func (c *canvas) line(points ...float64) { c.stroke("l", points...) }

func (c *canvas) stroke(class string, points ...float64) {
	c.add(`<polyline class="%s" points="`, class)
	for i, p := range points {
		if i > 0 {
			c.body.WriteString(" ")
		}
		c.body.WriteString(px(p))
	}
	c.body.WriteString(`"/>`)
}

func (c *canvas) rect(class string, x, y, w, h float64) {
	c.add(`<rect class="%s" x="%s" y="%s" width="%s" height="%s"/>`, class, px(x),
		px(y), px(w), px(h))
}

func (c *canvas) circle(class string, x, y, r float64) {
	c.add(`<circle class="%s" cx="%s" cy="%s" r="%s"/>`, class, px(x), px(y), px(r))
}

func (c *canvas) path(class, d string) { c.add(`<path class="%s" d="%s"/>`, class, d) }

// dot marks a junction.
func (c *canvas) dot(x, y float64) { c.circle("d", x, y, 1.8) }

// where a text hangs on its point.
const (
	fromLeft  = "start"
	centred   = "middle"
	fromRight = "end"
)

// label writes a text of at most most letters; the middle of what is longer gives way.
func (c *canvas) label(x, y float64, anchor string, most int, text string) {
	c.letters(x, y, anchor, most, text, "")
}

// mark writes a figure of an axis or of a scale of length, which belongs to no part.
func (c *canvas) mark(x, y float64, anchor string, text string) {
	c.letters(x, y, anchor, len(text), text, ` class="a"`)
}

// upright writes a text from below upwards, as in a resistor that stands.
func (c *canvas) upright(x, y float64, most int, text string) {
	c.letters(x, y, centred, most, text,
		fmt.Sprintf(` transform="rotate(-90 %s %s)"`, px(x), px(y)))
}

func (c *canvas) letters(x, y float64, anchor string, most int, text, more string) {
	t := clip(plain(text), most)
	if t == "" {
		return
	}
	// letters of unknown width are held to the width of ours
	if n := utf8.RuneCountInString(t); !ordinary(t) {
		more += fmt.Sprintf(` textLength="%s" lengthAdjust="spacingAndGlyphs"`,
			px(float64(n)*letterWidth))
	}
	c.add(`<text x="%s" y="%s" text-anchor="%s"%s>%s</text>`, px(x), px(y), anchor, more,
		html.EscapeString(t))
}

// ordinary reports whether every letter has the usual width.
func ordinary(t string) bool {
	for _, r := range t {
		if r > 0x17f && !strings.ContainsRune("Ωµ°∞²×→", r) {
			return false
		}
	}
	return true
}

// svg closes the drawing. title is read out where pictures are not seen.
func (c *canvas) svg(title string) template.HTML {
	return template.HTML(
		fmt.Sprintf(
			`<svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox="0 0 %s %s" width="%s" height="%s">`+
				`<title>%s</title>%s</svg>`, px(c.width), px(c.height), px(c.width), px(c.height),
			html.EscapeString(plain(title)), c.body.String()))
}

// plain makes a text that a person typed harmless for a page: what cannot be seen, what turns the
// direction of the writing and what is no character becomes a question mark.
func plain(text string) string { return inventory.Plain(text) }

// clip shortens a text to most letters.
func clip(text string, most int) string {
	r := []rune(strings.TrimSpace(text))
	if len(r) <= most || most < 1 {
		return string(r)
	}
	if most < 6 {
		return string(r[:most])
	}
	front := (most - 1) * 2 / 3
	return string(r[:front]) + "~" + string(r[len(r)-(most-1-front):])
}
