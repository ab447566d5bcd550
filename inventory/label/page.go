package label

import (
	"bytes"
	_ "embed" // the page is a file of its own
	"fmt"
	"html/template"
	"math"
	"strconv"
	"strings"
	"sync"

	"sparewright/catalog/codes"
	"sparewright/catalog/si"
	"sparewright/inventory"
)

// Paper is a size of paper with the labels that fit on it.
type Paper struct {
	Name          string
	Width, Height si.Length
	Rows          int
}

// Labels have one size on every paper, so that they fit the same drawers: three beside each other.
// Papers: ISO 216 A4 and the Letter of ANSI/ASME Y14.1 (8.5 by 11 inches).
const (
	across             = 3
	width    si.Length = 63e-3
	height   si.Length = 34e-3
	edge     si.Length = 10e-3 // printers leave about 5 mm white (common practice, no source)
	inch     si.Length = 25.4e-3
	rounding si.Length = 1e-3 // a page as high as the paper spills over by rounding
)

// Papers lists the sizes that are known.
func Papers() []Paper {
	list := []Paper{{Name: "A4", Width: 210e-3, Height: 297e-3},
		{Name: "Letter", Width: 8.5 * inch, Height: 11 * inch}}
	for i := range list {
		list[i].Rows = int((list[i].Height - 2*edge) / height)
	}
	return list
}

// PaperNamed finds a paper by its name in any case.
func PaperNamed(name string) (Paper, bool) {
	for _, p := range Papers() {
		if strings.EqualFold(p.Name, name) {
			return p, true
		}
	}
	return Paper{}, false
}

//go:embed templates/labels.html
var labelsPage string

// labelsTemplate is parsed once; it escapes whatever a person typed.
var labelsTemplate = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("labels").Funcs(template.FuncMap{
		"mm": func(l si.Length) string {
			return strconv.FormatFloat(math.Round(float64(l)*1e5)/100, 'f', -1, 64) + "mm"
		},
		"count": func(l Label) string {
			if l.Unit == inventory.Metres {
				return inventory.FormatCount(l.Count) + " m"
			}
			return inventory.FormatCount(l.Count)
		},
		"bands": drawBands,
	}).Parse(labelsPage))
})

// Page lays labels out on sheets of paper, as one page of HTML that needs nothing else: no network,
// no scripts.
func Page(labels []Label, paper Paper) ([]byte, error) {
	perSheet := across * paper.Rows
	if perSheet < 1 {
		return nil, fmt.Errorf("labels: paper %q: no room for a label; use A4 or Letter",
			paper.Name)
	}
	var sheets [][]Label
	for rest := labels; len(rest) > 0; {
		n := min(perSheet, len(rest))
		sheets, rest = append(sheets, rest[:n]), rest[n:]
	}
	var out bytes.Buffer
	err := labelsTemplate().Execute(&out, struct {
		Paper                   Paper
		SheetHeight             si.Length
		LabelWidth, LabelHeight si.Length
		Edge, PagePadding       si.Length
		HalfGrid                si.Length // half of the labels of a row, for screens of any width
		Sheets                  [][]Label
	}{paper, paper.Height - rounding, width, height, edge, (paper.Width - across*width) /
		2, across*width/2 + rounding/2, sheets})
	if err != nil {
		return nil, fmt.Errorf("labels: %w", err)
	}
	return out.Bytes(), nil
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

// drawBands draws a resistor with its bands, and the code of each band below it. What is drawn is
// built of our own texts alone.
func drawBands(l Label) template.HTML {
	if len(l.Bands) == 0 {
		return ""
	}
	var body, title strings.Builder
	for i, b := range l.Bands {
		x := firstBand + bandPitch*i
		if i > 2 && i == len(l.Bands)-1 && l.BandNote == "" {
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
