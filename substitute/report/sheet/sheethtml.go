package sheet

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"strings"
	"sync"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/report"
	"sparewright/substitute/seats"
)

//go:embed templates/sheet.html
var sheetPage string

// sheetTemplate is parsed once; it escapes whatever a person typed.
var sheetTemplate = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("sheet").Funcs(template.FuncMap{
		"plain": plain, "three": threeOf, "four": fourOf, "amount": report.Amount,
		"mark": seats.ID.Mark, "stack": stackText, "beyond": report.Beyond,
		"margin":  report.WholeMargin,
		"percent": func(r si.Ratio) string { return si.Percent(r, 2) },
		"digits":  func(v float64) string { return si.Format(si.Ratio(v), 2) },
		"hours":   func(t si.Time) string { return si.Format(si.Ratio(float64(t)/3600), 2) },
	}).Parse(sheetPage))
})

// threeOf and fourOf write any of the quantities the sheet shows.
func threeOf(v any) string { return quantityOf(v, 3) }

func fourOf(v any) string { return quantityOf(v, 4) }

func quantityOf(v any, digits int) string {
	switch q := v.(type) {
	case si.Voltage:
		return si.Format(q, digits)
	case si.Current:
		return si.Format(q, digits)
	case si.Resistance:
		return si.Format(q, digits)
	case si.Inductance:
		return si.Format(q, digits)
	case si.Length:
		return si.Format(q, digits)
	case si.Capacitance:
		return si.Format(q, digits)
	case si.Time:
		return si.Format(q, digits)
	case si.Celsius:
		return si.Format(q, digits)
	case si.Power:
		return si.Format(q, digits)
	}
	return fmt.Sprint(v)
}

// stackText lists the films of a stack.
func stackText(g *substitute.GapStep) string {
	if len(g.Layers) == 0 {
		return "no film"
	}
	var words []string
	for _, l := range g.Layers {
		words = append(words, fmt.Sprintf("%d x %s, lot %s", l.Count, plain(l.Designation),
			report.LotOf(l.Lot)))
	}
	return strings.Join(words, "; ")
}

// cardLine is one winding with its place on the card.
type cardLine struct {
	No      int
	End     WindingEnd
	Winding substitute.Winding
	Wire    string
}

// stepLines are the readings of one step.
type stepLines struct {
	Title    string
	Readings []Reading
}

// page is what the template is given: the sheet and what is made of it.
type page struct {
	*Sheet
	Mains, Verdict, GapMethod, CapacityAh string
	Card                                  []cardLine
	Steps                                 []stepLines
	Marks                                 []MarkLine
	LEDs                                  []string
	Remedies                              [][2]string
	AllLosses                             si.Power
	BleedText, CeilingText                string
	// nothing is wound: a card of the donor in place of the winding card
	Donor bool

	Window, Core, MainsSide, BatterySide            template.HTML
	Protection                                      template.HTML
	OutputCurve, ChargeCurves, MarginBars, LossBars template.HTML
}

// HTML is the sheet as one page that needs nothing else: no network, no scripts, drawings inside.
func (s *Sheet) HTML() ([]byte, error) {
	b := s.Build
	t := s.Target
	p := page{Sheet: s, Mains: fmt.Sprintf("%g-%g V, %g Hz", float64(t.MainsMin),
		float64(t.MainsMax), float64(t.Line)),
		Verdict: strings.Replace(report.VerdictWords(b), "needs", "buildable with",
			1), GapMethod: report.GapMethods[b.Gap.Method],
		CapacityAh: report.Number(s.Charge.CapacityAh),
		Card:       s.card(), Steps: s.steps(), Marks: markLines(b), LEDs: ledMeanings(b),
		Remedies:  remedies(b),
		AllLosses: report.LossOf(b), BatterySide: BatteryCircuit(t,
			b), Protection: ProtectionCircuit(b), OutputCurve: outputCurve(s),
		ChargeCurves: chargeCurves(s),
		MarginBars:   marginBars(b), BleedText: s.bleedText(), CeilingText: s.ceilingText(),
		Donor: b.Kind != substitute.Wound}
	if b.Kind == substitute.Wound {
		p.Window, p.Core = WindowDrawing(b), coreDrawing(b)
	}
	if b.Kind != substitute.DonorAdapter {
		p.MainsSide, p.LossBars = mainsCircuit(b), lossBars(b)
	}
	var out bytes.Buffer
	if err := sheetTemplate().Execute(&out, p); err != nil {
		return nil, fmt.Errorf("build sheet %d: %w", b.Rank, err)
	}
	return out.Bytes(), nil
}

func (s *Sheet) card() []cardLine {
	var out []cardLine
	for i, w := range s.Build.Windings {
		out = append(out, cardLine{i + 1, s.Ends[i], w, strandsText(w)})
	}
	return out
}

func (s *Sheet) steps() []stepLines {
	var out []stepLines
	for _, r := range s.Readings {
		if len(out) == 0 || out[len(out)-1].Title != r.Step {
			out = append(out, stepLines{Title: r.Step})
		}
		last := &out[len(out)-1]
		last.Readings = append(last.Readings, r)
	}
	return out
}
