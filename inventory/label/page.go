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
		"bands": func(l Label) template.HTML { return DrawBands(l.Bands, l.BandNote) },
		"code":  drawCode,
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
