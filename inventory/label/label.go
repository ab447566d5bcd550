// Package label makes labels for drawers and bags: what is in them, how many, where they belong,
// and for resistors the colour bands of IEC 60062 with the codes of IEC 60757 below, so that
// nothing hangs on seeing the colour. It returns a page; it writes no file.
package label

import (
	"cmp"
	"slices"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
)

// Label is what stands on one label. All texts are harmless and on one line.
type Label struct {
	Lot         int64
	Mark        string // names the lot to people and scanners, see inventory.Mark
	Kind        catalog.Kind
	Value       string // large: the value, or the name where the part has none
	Designation string // below it; empty when the value says it all
	Figures     string // further figures, and what was measured
	Count       float64
	Unit        inventory.Unit
	Bin         string
	Donor       string
	Bands       []Band // resistors only
	BandNote    string // what the bands leave open
}

// Of makes the labels of lots, by bin and then by lot, so that neighbours on the page are
// neighbours in the cabinet. Emptied lots get none.
func Of(lots []inventory.Lot) []Label {
	out := make([]Label, 0, len(lots))
	for _, l := range lots {
		if l.Count > 0 {
			out = append(out, one(l))
		}
	}
	slices.SortStableFunc(out, func(a, b Label) int {
		return cmp.Or(cmp.Compare(a.Bin, b.Bin), cmp.Compare(a.Lot, b.Lot))
	})
	return out
}

func one(l inventory.Lot) Label {
	out := Label{Lot: l.ID, Mark: inventory.Mark(l.ID), Kind: l.Part.Kind(), Count: l.Count,
		Unit:  l.Unit(),
		Bin:   inventory.Plain(l.Bin),
		Donor: inventory.Plain(l.Donor)}
	name := inventory.Plain(l.Part.Designation())
	value, shown := valueOf(l.Part)
	out.Value = or(value, name)
	if out.Value != name {
		out.Designation = name
	}
	out.Figures = inventory.Plain(furtherFigures(l, shown))
	if r, ok := l.Part.(catalog.Resistor); ok {
		out.Bands, out.BandNote = BandsOf(r)
	}
	return out
}

func or(text, otherwise string) string {
	if text == "" {
		return otherwise
	}
	return text
}

// headlines are the figures that make up the value of kinds that are looked for by value; parts of
// other kinds are looked for by name.
var headlines = map[catalog.Kind][]string{
	catalog.KindResistor:   {"resistance", "tolerance"},
	catalog.KindTrimmer:    {"resistance"},
	catalog.KindCapacitor:  {"capacitance", "volts", "safety"},
	catalog.KindChoke:      {"inductance", "current"},
	catalog.KindWire:       {"diameter"},
	catalog.KindFilm:       {"thickness"},
	catalog.KindFuse:       {"current"},
	catalog.KindThermistor: {"cold"},
	catalog.KindZener:      {"voltage", "power"},
}

// valueOf is the headline of a part, and the figures that stand in it.
func valueOf(p catalog.Part) (text string, shown []string) {
	shown = headlines[p.Kind()]
	var words []string
	for _, name := range shown {
		for _, v := range catalog.Describe(p).Values {
			if v.Field == name {
				words = append(words, FigureText(p.Kind(), v))
			}
		}
	}
	return strings.Join(words, " "), shown
}

// Headline is the value a part is looked for by, with its units, such as 4.7 kΩ 5 %. It is empty
// for kinds that are looked for by name.
func Headline(p catalog.Part) string {
	text, _ := valueOf(p)
	return text
}

// mostFigures is how many further figures a label has room for.
const mostFigures = 8

// furtherFigures lists what is known beside the headline; readings come first.
func furtherFigures(l inventory.Lot, shown []string) string {
	kind := l.Part.Kind()
	var words []string
	for _, m := range l.Measured {
		if f, ok := catalog.FieldNamed(kind, m.Field); ok && f.Numeric {
			words = append(words, "measured "+named(f.Name)+" "+number(f, m.Value))
		}
	}
	for _, v := range catalog.Describe(l.Part).Values {
		if !slices.Contains(shown, v.Field) {
			words = append(words, named(v.Field)+" "+FigureText(kind, v))
		}
	}
	for i, w := range words { // a number stays with its unit when the line is broken
		if space := strings.LastIndexByte(w, ' '); space > 0 {
			words[i] = w[:space] + "\u00a0" + w[space+1:]
		}
	}
	return strings.Join(words[:min(len(words), mostFigures)], ", ")
}

func named(field string) string { return strings.ReplaceAll(field, "_", " ") }

// FigureText writes one figure of a part of kind k, with its unit, to four digits; an estimated or
// assumed one carries the mark it is typed with.
func FigureText(k catalog.Kind, v catalog.Value) string {
	f, ok := catalog.FieldNamed(k, v.Field)
	if !ok || !v.Numeric {
		return v.Text
	}
	mark := map[catalog.Basis]string{catalog.Estimated: "~", catalog.Assumed: "?"}[v.Basis]
	return mark + number(f, v.Number)
}

// number writes ratios below 1 as the trade does, in per cent.
func number(f catalog.Field, v float64) string {
	if f.Dimension() == si.DimensionOf[si.Ratio]() && f.High <= 1 {
		return si.Percent(si.Ratio(v), 3)
	}
	return f.Dimension().Format(v, 4)
}
