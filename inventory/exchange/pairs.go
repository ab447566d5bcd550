package exchange

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/catalog/typed"
	"sparewright/inventory"
)

// pair is one figure=value of a column, with the offset of its first byte in the text.
type pair struct {
	field, value string
	at           int
	broken       bool // has no equals sign
}

// splitPairs takes "resistance=4k7; tolerance=1%" apart. A backslash keeps a semicolon or a
// backslash inside a value.
func splitPairs(text string) []pair {
	var out []pair
	start := 0
	for i := 0; i <= len(text); i++ {
		switch {
		case i < len(text) && text[i] == '\\':
			i++
		case i >= len(text) || text[i] == ';':
			if p, ok := onePair(text[start:min(i, len(text))], start); ok {
				out = append(out, p)
			}
			start = i + 1
		}
	}
	return out
}

// onePair reads one piece between semicolons; an empty piece is none.
func onePair(piece string, at int) (pair, bool) {
	trimmed := strings.TrimSpace(piece)
	if trimmed == "" {
		return pair{}, false
	}
	at += strings.Index(piece, trimmed)
	field, value, found := strings.Cut(trimmed, "=")
	return pair{strings.TrimSpace(field), strings.TrimSpace(unescaped(value)), at, !found}, true
}

func escaped(value string) string {
	return strings.NewReplacer(`\`, `\\`, `;`, `\;`).Replace(value)
}

func unescaped(value string) string {
	return strings.NewReplacer(`\\`, `\`, `\;`, `;`).Replace(value)
}

// joinPairs is the inverse of splitPairs.
func joinPairs(ps []pair) string {
	var b strings.Builder
	for i, p := range ps {
		if i > 0 {
			b.WriteString("; ")
		}
		b.WriteString(p.field + "=" + escaped(p.value))
	}
	return b.String()
}

// writeFigures gives the figures of a part as pairs. They are written for reading (4.7 k) as long
// as that brings the very same part back, and with all digits in the base unit otherwise. Every
// figure carries its unit: a bare number may be refused.
func writeFigures(p catalog.Part) string {
	r := catalog.Describe(p)
	ps := make([]pair, len(r.Values))
	entries := make([]catalog.Entry, len(r.Values))
	for i, v := range r.Values {
		ps[i] = pair{field: v.Field, value: v.Text}
		if f, _ := catalog.FieldNamed(r.Kind, v.Field); slices.Contains(f.Usual, "%") {
			ps[i].value = basisMark(v.Text) + typed.Exact(f.Dimension(), v.Number)
		}
		entries[i] = catalog.Entry{Field: v.Field, Text: ps[i].value}
	}
	if readsAs(r.Designation, entries, p) {
		return joinPairs(ps)
	}
	for i, v := range r.Values {
		if v.Numeric {
			f, _ := catalog.FieldNamed(r.Kind, v.Field)
			ps[i].value = basisMark(v.Text) + inBase(f, v.Number)
		}
	}
	return joinPairs(ps)
}

// readsAs tells whether figures bring back the very same part, whoever reads them: the reader of
// what people type refuses a designation that contradicts its figures, which an older version let
// in.
func readsAs(designation string, entries []catalog.Entry, p catalog.Part) bool {
	plain, err := catalog.ParseFields(p.Kind(), designation, entries)
	if err != nil || plain != p {
		return false
	}
	back, _, err := typed.Part(p.Kind(), designation, entries)
	return err != nil || back == p
}

// basisMark is the sign before a figure that says how it is known.
func basisMark(text string) string {
	if text != "" && strings.IndexByte("~?!", text[0]) >= 0 {
		return text[:1]
	}
	return ""
}

// inBase writes a figure with all its digits and its base unit, a ratio that the trade prints in
// percent as a percentage.
func inBase(f catalog.Field, x float64) string {
	if slices.Contains(f.Usual, "%") {
		return exactPercent(x)
	}
	return strings.TrimSpace(exactNumber(x) + " " + f.Dimension().ASCII)
}

func exactNumber(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

// errorMarks are the ways to write "plus or minus", longest first.
var errorMarks = []string{"+/-", "+-", "\u00b1"}

// ParseReading reads what a meter showed: "resistance=4.683k +-0.2%". The error of the meter is a
// percentage or ppm; left out, it is taken as 1 %. The error returned is a DataError without a
// place.
func ParseReading(kind catalog.Kind, text string) (inventory.Measurement, error) {
	field, value, found := strings.Cut(text, "=")
	if !found {
		return inventory.Measurement{}, readingFault(text, "no figure named",
			"write it as resistance=4.683k+-0.2%")
	}
	m, _, err := parseReading(kind, strings.TrimSpace(field), strings.TrimSpace(value))
	return m, err
}

// parseReading tells in said how a bare number was read.
func parseReading(kind catalog.Kind, field, value string) (m inventory.Measurement,
	said string, err error) {
	none := inventory.Measurement{}
	f, ok := catalog.FieldNamed(kind, catalog.PresentFigure(strings.ToLower(field)))
	if !ok || !f.Numeric {
		return none, "", readingFault(field, kind.WithArticle()+" has no such figure",
			nearestCure(field, measurable(kind)))
	}
	number, spread := cutError(value)
	x, err := typed.Measured(kind, f, number)
	if err != nil {
		return none, "", Fault{Msg: "measured " + err.Error()}
	}
	e, err := meterError(value, spread, f.Name)
	if err != nil {
		return none, "", err
	}
	return inventory.Measurement{Field: f.Name, Value: x.Number, Error: e, Text: value}, x.Said, nil
}

// meterError reads what stands behind plus or minus, a percentage or ppm; nothing is 1 %.
func meterError(value, spread, figure string) (float64, error) {
	if spread == "" {
		return inventory.DefaultMeterError, nil
	}
	if !strings.HasSuffix(spread, "%") && !strings.HasSuffix(spread, "ppm") {
		return 0, readingFault(value, "the error of the meter is no percentage",
			"write it as +-0.5%")
	}
	e, err := si.Parse[si.Ratio](spread)
	if err != nil {
		return 0, Fault{Msg: "measured " + figure + " meter error " + err.Error()}
	}
	return float64(e), nil
}

func cutError(value string) (number, spread string) {
	for _, mark := range errorMarks {
		if before, after, found := strings.Cut(value, mark); found {
			return strings.TrimSpace(before), strings.TrimSpace(after)
		}
	}
	return value, ""
}

func readingFault(input, why, cure string) error {
	return Fault{Msg: fmt.Sprintf("measured %q: %s; %s", input, why, cure)}
}

func measurable(kind catalog.Kind) []string {
	var names []string
	for _, f := range catalog.Schema(kind) {
		if f.Numeric {
			names = append(names, f.Name)
		}
	}
	return names
}

// writeReadings gives the readings of a lot as pairs, as typed where that says the same.
func writeReadings(kind catalog.Kind, ms []inventory.Measurement) string {
	ps := make([]pair, len(ms))
	for i, m := range ms {
		ps[i] = pair{field: m.Field, value: m.Text}
		if !readingReadsAs(kind, m) || strings.TrimSpace(m.Text) != m.Text {
			ps[i].value = exactReading(kind, m)
		}
	}
	return joinPairs(ps)
}

// exactPercent writes a ratio as a percentage that reads back as the very same number.
func exactPercent(e float64) string {
	text := exactNumber(e*100) + "%"
	if back, err := si.Parse[si.Ratio](text); err == nil && float64(back) == e {
		return text
	}
	// The product was rounded. Moving the point in the shortest decimal form of e rounds nothing.
	digits, exponent, _ := strings.Cut(strconv.FormatFloat(e, 'e', -1, 64), "e")
	n, _ := strconv.Atoi(exponent) // FormatFloat always writes one
	return digits + "e" + strconv.Itoa(n+2) + "%"
}

// ReadingWords writes a reading so that ParseReading gives it back: as it was typed where that
// still says it.
func ReadingWords(kind catalog.Kind, m inventory.Measurement) string {
	if back, _, err := parseReading(kind, m.Field, m.Text); err == nil && back.Value == m.Value &&
		back.Error == m.Error {
		return m.Field + "=" + m.Text
	}
	return m.Field + "=" + exactReading(kind, m)
}

// exactReading writes a reading with all its digits and its base unit.
func exactReading(kind catalog.Kind, m inventory.Measurement) string {
	f, _ := catalog.FieldNamed(kind, m.Field)
	return inBase(f, m.Value) + " +-" + exactPercent(m.Error)
}

// readingReadsAs tells whether the text of a reading brings it back, whoever reads it. That the
// reader of what people type refuses it does no harm: a row that export wrote is read as it stands.
func readingReadsAs(kind catalog.Kind, m inventory.Measurement) bool {
	plain, ok := exportedReading(kind, m.Field, m.Text)
	back, _, err := parseReading(kind, m.Field, m.Text)
	same := func(o inventory.Measurement) bool { return o.Value == m.Value && o.Error == m.Error }
	return ok && same(plain) && (err != nil || same(back))
}
