package typed

import (
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/codes"
	"sparewright/catalog/si"
)

// Part makes a part of its kind, its designation and the figures typed for it, each text read by
// Figure. A designation that says a value gives the figures a part must have where they were not
// typed (resistor "10k 1%"), and contradicts none. What was read otherwise than as it stands is
// told in said. Every fault is collected in the error, a catalog.Faults; the part is returned along
// with it as far as it was understood.
func Part(k catalog.Kind, designation string, entries []catalog.Entry) (p catalog.Part,
	remarks []string, err error) {
	read, remarks, faults := figures(k, entries)
	p, err = catalog.ParseFields(k, designation, read)
	if incomplete(err) {
		if more, also, ok := fromDesignation(k, designation, read); ok {
			if q, qErr := catalog.ParseFields(k, designation, more); qErr == nil {
				p, err, remarks = q, nil, append(remarks, also...)
			}
		}
	}
	if len(faults) == 0 && err == nil {
		faults = Contradictions(p)
	}
	if len(faults) == 0 {
		return p, remarks, err
	}
	var more catalog.Faults
	if errors.As(err, &more) {
		for _, f := range more { // a figure that was not understood is not also missing
			if !slices.ContainsFunc(faults,
				func(o catalog.Fault) bool { return o.Field == f.Field }) {
				faults = append(faults, f)
			}
		}
	}
	return p, remarks, faults
}

// figures reads the texts of figures and writes them so that package catalog reads the same.
func figures(k catalog.Kind, entries []catalog.Entry) (out []catalog.Entry, remarks []string,
	faults catalog.Faults) {
	dielectric := ""
	for _, e := range entries {
		if strings.EqualFold(strings.TrimSpace(e.Field), "dielectric") {
			dielectric = strings.ToLower(strings.TrimSpace(e.Text))
		}
	}
	for _, e := range entries {
		f, ok := catalog.FieldNamed(k,
			catalog.PresentFigure(strings.ToLower(strings.TrimSpace(e.Field))))
		if !ok || !f.Numeric {
			out = append(out, e)
			continue
		}
		body := unmarked(e.Text)
		v, err := Figure(k, f, body, dielectric)
		var fault catalog.Fault
		switch plain, plainErr := f.Dimension().Parse(body); {
		case errors.As(err, &fault):
			fault.Field, fault.Input = f.Name, e.Text
			faults = append(faults, fault)
			continue
		case err != nil:
			faults = append(faults, catalog.Fault{Field: f.Name, Input: e.Text, Why: err.Error()})
			continue
		case math.IsInf(v.Number, 0) || math.IsNaN(v.Number):
			faults = append(faults, catalog.Fault{Field: f.Name, Input: e.Text,
				Why:  "not a finite number",
				Cure: "leave the figure out when it is not known"})
			continue
		case plainErr == nil && plain == v.Number:
			out = append(out, e)
		default:
			out = append(out, catalog.Entry{Field: e.Field,
				Text: markOf(e.Text) + base(f.Dimension(), v.Number)})
		}
		if v.Said != "" {
			remarks = append(remarks, v.Said)
		}
		out = append(out, beside(k, v, entries, &faults)...)
	}
	return out, remarks, faults
}

// beside adds what a code says beside the value, as a tolerance letter; typed figures must agree.
func beside(k catalog.Kind, v Value, entries []catalog.Entry,
	faults *catalog.Faults) []catalog.Entry {
	var out []catalog.Entry
	add := func(name, text string) {
		for _, e := range entries {
			if !strings.EqualFold(strings.TrimSpace(e.Field), name) {
				continue
			}
			if !sameFigure(k, name, e.Text, text) {
				*faults = append(*faults,
					catalog.Fault{Field: name, Input: e.Text, Why: "the code says " + text,
						Cure: "correct one of the two"})
			}
			return
		}
		out = append(out, catalog.Entry{Field: name, Text: text})
	}
	switch {
	case v.Within > 0:
		add("tolerance", percent(float64(v.Within)))
	case v.Tolerance.Known():
		add("tolerance", percent(float64(v.Tolerance.Of(si.Capacitance(v.Number)))))
	}
	if v.Volts > 0 {
		add("volts", si.FormatExact(v.Volts))
	}
	return out
}

// base writes a figure in the base unit as package catalog reads it.
func base(d *si.Dimension, v float64) string {
	return strings.TrimSpace(strconv.FormatFloat(v, 'g', -1, 64) + " " + d.ASCII)
}

// markOf is the mark before a text that says how its figure is known.
func markOf(text string) string {
	text = strings.TrimSpace(text)
	return text[:len(text)-len(strings.TrimLeft(text, "~?!"))]
}

// incomplete tells whether a figure is missing that the part must have, and nothing else is wrong
// with it.
func incomplete(err error) bool {
	var faults catalog.Faults
	if !errors.As(err, &faults) {
		return false
	}
	for _, f := range faults {
		if !f.Missing() && f.Field != "designation" {
			return false
		}
	}
	return true
}

// fromDesignation reads the designation as the words of a line.
func fromDesignation(k catalog.Kind, designation string, typed []catalog.Entry) ([]catalog.Entry,
	[]string, bool) {
	line := Line{Kind: k, Words: strings.Fields(designation)}
	for _, e := range typed {
		line.Figures = append(line.Figures, e.Field+"="+e.Text)
	}
	if line.Read() != nil {
		return nil, nil, false
	}
	out := slices.Clone(typed)
	for _, f := range line.Figures[len(typed):] {
		name, text, _ := strings.Cut(f, "=")
		out = append(out, catalog.Entry{Field: name, Text: text})
	}
	read, remarks, faults := figures(k, out)
	return read, append(line.Said, remarks...), len(faults) == 0
}

// Contradictions lists what the designation of a part says against its figures: "10k 1%" on a
// resistor of 1 kohm. A figure that was measured may differ from what is printed.
func Contradictions(p catalog.Part) catalog.Faults {
	var faults catalog.Faults
	for _, v := range catalog.Describe(p).Values {
		if v.Basis == catalog.Measured {
			continue
		}
		against := ""
		for _, w := range JoinUnits(strings.Fields(p.Designation())) {
			word := strings.Trim(w, ",;()")
			text, ok := claimed(p.Kind(), v.Field, word)
			if ok && agrees(p.Kind(), v, text) {
				against = ""
				break
			}
			if ok && against == "" {
				against = word
			}
		}
		if r, err := codes.ReadMark(catalog.KindClamp,
			p.Designation()); p.Kind() == catalog.KindClamp && v.Field == "breakdown" &&
			err == nil && contradicts(v.Text, r[0]) {
			against = p.Designation()
		}
		if against != "" {
			faults = append(faults, catalog.Fault{Field: v.Field, Input: v.Text,
				Why:  "the designation says " + strconv.Quote(against),
				Cure: "correct one of the two"})
		}
	}
	return faults
}

// agrees tells whether the claim of a designation is the figure.
func agrees(k catalog.Kind, v catalog.Value, text string) bool {
	if !v.Numeric {
		return text == canonical(v.Field, v.Text)
	}
	f, _ := catalog.FieldNamed(k, v.Field)
	number, err := f.Dimension().Parse(text)
	return err != nil || near(number, v.Number)
}

// codeSays is the value that a word of a designation codes with a letter for the point, in the base
// unit.
func codeSays(word string) (string, bool) {
	r, err := codes.ReadValueCode(word)
	if err != nil || strings.Contains(word, "m") {
		return "", false
	}
	return si.FormatExact(r.Resistance), true
}

// canonical is the name of a shape or a ferrite as the tables write it; other words as they are.
func canonical(field, word string) string {
	switch field {
	case "shape":
		if c, ok := catalog.ShapeNamed(word); ok {
			return c.Name
		}
	case "ferrite":
		if f, ok := catalog.FerriteNamed(word); ok {
			return f.Name
		}
	}
	return word
}
