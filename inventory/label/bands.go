package label

import (
	"fmt"
	"html/template"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/codes"
)

// Band is one colour band.
type Band struct {
	Colour codes.Colour
	Code   string // IEC 60757
}

// BandsOf returns the bands that are printed on a resistor: those of its marked value, whatever a
// meter showed, and a note of what they leave open: without a known tolerance the last band. Both
// are empty for a value or tolerance that has no colours.
func BandsOf(r catalog.Resistor) ([]Band, string) {
	tolerance, note := r.Tolerance.Value, ""
	if !r.Tolerance.Known() {
		tolerance, note = 0.05, "tolerance not known"
		if _, err := codes.Bands(r.Resistance.Value, tolerance); err != nil {
			tolerance = 0.01
		}
	}
	colours, err := codes.Bands(r.Resistance.Value, tolerance)
	if err != nil {
		return nil, "" // a value or tolerance that has no colours
	}
	if note != "" {
		colours = colours[:len(colours)-1]
	}
	var out []Band
	for _, c := range colours {
		if c == "none" {
			note = "no fourth band"
			continue
		}
		out = append(out, Band{c, c.Code()})
	}
	return out, note
}

// inks are the colours of the bands on a screen (common practice, no source); the codes below them
// do not depend on it.
var inks = map[codes.Colour]string{
	"black": "#000000", "brown": "#7b3f00", "red": "#d40000", "orange": "#ff7f00",
	"yellow": "#ffe100", "green": "#008a2e",
	"blue": "#0047c8", "violet": "#8a2be2", "grey": "#8c8c8c", "white": "#ffffff",
	"gold": "#c9a227", "silver": "#c8ccd0",
	"pink": "#ff9ec4",
}

// Places of the drawing in its own units, tenths of a millimetre on paper.
const (
	bandWidth = 26
	bandPitch = 50
	firstBand = 90
	lastGap   = 26 // what the tolerance band stands apart
)

// DrawBands draws a resistor with its bands, and the code of each band below it, as SVG without a
// size; the note is that of BandsOf. It is empty without bands. What is drawn is built of our own
// texts alone.
func DrawBands(bands []Band, note string) template.HTML {
	if len(bands) == 0 {
		return ""
	}
	var body, title strings.Builder
	for i, b := range bands {
		x := firstBand + bandPitch*i
		if i > 2 && i == len(bands)-1 && note == "" {
			x += lastGap
		}
		fmt.Fprintf(&body,
			`<rect x="%d" y="6" width="%d" height="68" fill="%s" stroke="#000" stroke-width="2"/>`,
			x, bandWidth,
			inks[b.Colour])
		fmt.Fprintf(&body, `<text x="%d" y="110" text-anchor="middle">%s</text>`,
			x+bandWidth/2, b.Code)
		title.WriteString(" " + string(b.Colour))
	}
	return template.HTML(
		`<svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox="0 0 440 116"><title>bands` +
			title.String() +
			`</title><path d="M2 40H60M380 40H438" stroke="#000" stroke-width="6"/>` +
			`<rect x="58" y="4" width="324" height="72" rx="22" fill="#efe3c6" stroke="#000" stroke-width="3"/>` + body.String() + `</svg>`)
}
