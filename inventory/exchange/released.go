package exchange

import (
	"slices"
	"strings"

	"sparewright/catalog"
	"sparewright/inventory"
)

// Files that export wrote carry no number of their form. They are known by what they hold: the
// header of all columns in their order, and figures written to the letter as export writes them.
// Older versions wrote ratios as bare numbers (tolerance=0.05), and all figures of a part as bare
// numbers in the base unit where one had too many digits. Such rows keep the meaning they had;
// whatever differs was typed by hand.

// wholeHeader tells whether the header is the one that export writes.
func (t *table) wholeHeader(cells []cell) bool {
	return slices.EqualFunc(cells, columns,
		func(c cell, name string) bool { return c.text == name })
}

// exportedPart reads figures as export wrote them; false when they were not written so.
func (t *table) exportedPart(kind catalog.Kind, designation, figures string,
	entries []catalog.Entry) (catalog.Part, bool) {
	if !t.written {
		return nil, false
	}
	p, err := catalog.ParseFields(kind, designation, entries)
	figures = presentNames(figures)
	return p, err == nil && (figures == writeFigures(p) || figures == earlierFigures(p))
}

// presentNames gives figures the names they have today.
func presentNames(figures string) string {
	ps := strings.Split(figures, "; ")
	for i, p := range ps {
		if name, value, ok := strings.Cut(p, "="); ok {
			ps[i] = catalog.PresentFigure(name) + "=" + value
		}
	}
	return strings.Join(ps, "; ")
}

// earlierFigures gives the figures of a part as older versions did.
func earlierFigures(p catalog.Part) string {
	r := catalog.Describe(p)
	ps := make([]pair, len(r.Values))
	entries := make([]catalog.Entry, len(r.Values))
	for i, v := range r.Values {
		ps[i] = pair{field: v.Field, value: v.Text}
		entries[i] = catalog.Entry{Field: v.Field, Text: v.Text}
	}
	if back, err := catalog.ParseFields(r.Kind, r.Designation, entries); err == nil && back == p {
		return joinPairs(ps)
	}
	for i, v := range r.Values {
		if v.Numeric {
			ps[i].value = basisMark(v.Text) + exactNumber(v.Number)
		}
	}
	return joinPairs(ps)
}

// exportedReading reads a reading as older versions did: a bare number is in the base unit.
func exportedReading(kind catalog.Kind, name, value string) (inventory.Measurement, bool) {
	f, ok := catalog.FieldNamed(kind, catalog.PresentFigure(strings.ToLower(name)))
	if !ok || !f.Numeric {
		return inventory.Measurement{}, false
	}
	number, spread := cutError(value)
	x, err := f.Dimension().Parse(number)
	if err != nil {
		return inventory.Measurement{}, false
	}
	e, err := meterError(value, spread, f.Name)
	return inventory.Measurement{Field: f.Name, Value: x, Error: e, Text: value}, err == nil
}
