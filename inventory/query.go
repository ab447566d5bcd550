package inventory

import (
	"strings"

	"sparewright/catalog"
)

// Query picks lots for a listing. Empty fields pick everything. Low and High are in the SI base
// unit of Field and count, ends included, when either is not zero; the measured figure is looked at
// where there is one.
type Query struct {
	Kind string // exact kind
	// anywhere in designation, note, donor, bin or a figure given in words; case does not matter
	Text      string
	Bin       string // whole name of the bin, case does not matter
	Donor     string // part of the donor's name, case does not matter
	Field     string // figure to look at; empty means the main figure of the lot's kind
	Low, High float64
}

// Match reports whether the lot fits every part of the query.
func (q Query) Match(l Lot) bool {
	switch {
	case q.Kind != "" && !strings.EqualFold(q.Kind, string(l.Part.Kind())):
		return false
	case q.Bin != "" && !strings.EqualFold(q.Bin, l.Bin):
		return false
	case q.Donor != "" && !holds(l.Donor, q.Donor):
		return false
	case q.Text != "" && !q.textIn(l):
		return false
	}
	return q.inRange(l)
}

func holds(text, piece string) bool {
	return strings.Contains(strings.ToLower(text), strings.ToLower(piece))
}

func (q Query) textIn(l Lot) bool {
	for _, t := range []string{l.Part.Designation(), l.Note, l.Donor, l.Bin} {
		if holds(t, q.Text) {
			return true
		}
	}
	for _, v := range catalog.Describe(l.Part).Values {
		if !v.Numeric && holds(v.Text, q.Text) {
			return true
		}
	}
	return false
}

func (q Query) inRange(l Lot) bool {
	ranged := q.Low != 0 || q.High != 0
	if q.Field == "" && !ranged {
		return true
	}
	field := q.Field
	if field == "" {
		field = MainFigure(l.Part.Kind())
	}
	for _, v := range catalog.Describe(Effective(l)).Values {
		if v.Field == field {
			return !ranged || v.Numeric && v.Number >= q.Low && v.Number <= q.High
		}
	}
	return false
}

// mainFigures names the figure people sort a kind by, where it is not simply the first that must be
// given.
var mainFigures = map[catalog.Kind]string{
	catalog.KindCore:       "area",
	catalog.KindSwitcher:   "limit",
	catalog.KindLED:        "forward",
	catalog.KindAmplifier:  "supply_max",
	catalog.KindController: "sense",
}

// MainFigure names the figure a range is about when none is named: the resistance of a resistor,
// the capacitance of a capacitor, the current limit of a switcher. Empty for an unknown kind.
func MainFigure(k catalog.Kind) string {
	if name, ok := mainFigures[k]; ok {
		return name
	}
	for _, f := range catalog.Schema(k) {
		if f.Required && f.Numeric {
			return f.Name
		}
	}
	return ""
}
