// Package typed is the one reader of what people type: the figures of a part, its words on a line
// of the bench, its designation, and the bare numbers of options. put, bench, import, change, list,
// swap, identify, tune and network all read with it, so that a text means the same everywhere or is
// refused with the readings it may have.
//
// A text with a unit says itself. A bare number is read by the kind of part and the figure it
// stands on: the field tags of package catalog name the units the trade prints. Where one reading
// is likely it is taken and said; where two are, neither is taken.
package typed

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/codes"
	"sparewright/catalog/pattern"
	"sparewright/catalog/si"
)

// Value is a text understood.
type Value struct {
	Number float64 // in the base unit of the figure
	// how the text was read, where it does not say it itself; to be put on the answer
	Said      string
	Tolerance codes.Tolerance // what the code on a capacitor says beside the value
	Within    si.Ratio        // what the code on a resistor says beside the value, 0 for nothing
	Volts     si.Voltage      // what the code on a capacitor says beside the value, 0 for nothing
}

// bareText is a number without unit, prefix and exponent.
var bareText = pattern.OnFirstUse(`^[0-9]*\.?[0-9]+$|^[0-9]+\.$`)

// Figure reads the text of one figure of a kind of part, without the mark of its basis. dielectric
// is that of a capacitor, empty where it is not known. The error is a catalog.Fault that names the
// figure, and every reading where there are several.
func Figure(k catalog.Kind, f catalog.Field, text, dielectric string) (Value, error) {
	switch {
	case k == catalog.KindCapacitor && f.Name == "capacitance":
		return Capacitance(text, dielectric)
	case printed(k, f.Name):
		return Resistance(text)
	}
	return usual{f.Dimension(), f.Usual, f.Likely, [2]float64{f.Low, f.High}}.read(f.Name, text)
}

// Measured is Figure for what a meter showed.
func Measured(k catalog.Kind, f catalog.Field, text string) (Value, error) {
	switch {
	case printed(k, f.Name):
		return MeasuredResistance(text)
	case k == catalog.KindCapacitor && f.Name == "capacitance" &&
		letteredText().MatchString(strings.TrimSpace(text)) &&
		!strings.HasSuffix(strings.TrimSpace(text), "F"):
		return Value{}, catalog.Fault{Field: f.Name, Input: text,
			Why:  "a meter shows no tolerance letter",
			Cure: "write the value with its unit, such as 93nF"}
	}
	return Figure(k, f, text, "")
}

// printed tells whether a resistance is read off a part that may carry a code: fixed resistors,
// trimmers, the resistors on the board of an adapter.
func printed(k catalog.Kind, field string) bool {
	switch k {
	case catalog.KindResistor, catalog.KindTrimmer:
		return field == "resistance"
	case catalog.KindAdapter:
		return field == "top" || field == "bottom" || field == "led_resistor" ||
			field == "clamp_ohm"
	}
	return false
}

// Bare says how a bare number of a figure is read where that is not the base unit, "" where it is.
func Bare(f catalog.Field) string {
	switch {
	case f.Name == "capacitance" && len(f.Usual) == 0:
		return "read by the dielectric"
	case len(f.Usual) == 0:
		return ""
	}
	return "in " + strings.Join(f.Usual, " or ") + " where that is likely"
}

// usual says how a bare number of a dimension is read: in the units that the trade prints, or in
// the base unit.
type usual struct {
	dim      *si.Dimension
	units    []string
	likely   [2]float64
	possible [2]float64
}

// read takes the one likely reading, where none is likely the one possible one. What carries a unit
// is read as it stands.
func (u usual) read(name, text string) (Value, error) {
	body := strings.TrimSpace(text)
	if u.dim == si.DimensionOf[si.Ratio]() { // a tolerance is written with plus or minus before it
		for _, both := range []string{"+/-", "+-", "\u00b1"} {
			body = strings.TrimSpace(strings.TrimPrefix(body, both))
		}
	}
	if len(u.units) == 0 || !bareText().MatchString(body) {
		v, err := u.dim.Parse(text)
		return Value{Number: v}, asFault(name, text, err)
	}
	all := u.readings(body)
	if len(all) == 0 { // longer than any figure is
		v, err := u.dim.Parse(text)
		return Value{Number: v}, asFault(name, text, err)
	}
	for _, bounds := range [][2]float64{u.likely, u.possible} {
		var fits []reading
		for _, r := range all {
			if r.number >= bounds[0] && r.number <= bounds[1] {
				fits = append(fits, r)
			}
		}
		switch {
		case len(fits) > 1:
			return Value{}, between(name, text, fits)
		case len(fits) == 1:
			return Value{Number: fits[0].number, Said: said(name, text, fits[0])}, nil
		}
	}
	// the check of the range refuses it
	return Value{Number: all[0].number, Said: said(name, text, all[0])}, nil
}

// reading is one meaning of a text.
type reading struct {
	number float64
	typed  string // how to type it so that it says itself
	how    string // in words, where the typed form does not say it
}

// readings lists what a bare number may be, without doubles: 0 is the same in every unit.
func (u usual) readings(body string) []reading {
	var out []reading
	add := func(typed string) {
		v, err := u.dim.Parse(typed)
		for _, r := range out {
			if r.number == v {
				return
			}
		}
		if err == nil {
			out = append(out, reading{number: v, typed: typed})
		}
	}
	for _, unit := range u.units {
		add(body + unit)
	}
	if u.dim.ASCII != "" {
		add(body + " " + u.dim.ASCII)
	} else if v, err := u.dim.Parse(body); err == nil {
		add(Exact(u.dim, v))
	}
	return out
}

// Exact writes a figure so that it says itself: plain numbers as a percentage, all else with its
// base unit or a prefix. Figure gives back the very same number.
func Exact(d *si.Dimension, v float64) string {
	if d.ASCII != "" {
		return d.FormatExact(v)
	}
	return percent(v)
}

// percent writes a ratio as a percentage that reads back as the very same number.
func percent(v float64) string {
	digits, exponent, _ := strings.Cut(strconv.FormatFloat(v, 'e', -1, 64), "e")
	n, _ := strconv.Atoi(exponent) // FormatFloat always writes one
	if -4 <= n && n <= 4 {
		plain := strconv.FormatFloat(v*100, 'f', -1, 64)
		if back, err := si.Parse[si.Ratio](plain + "%"); err == nil && float64(back) == v {
			return plain + "%"
		}
	}
	return digits + "e" + strconv.Itoa(n+2) + "%"
}

// said words how a bare number or a code was read.
func said(name, text string, r reading) string {
	return fmt.Sprintf("%s %s is read as %s", name, strings.TrimSpace(text), or(r.how, r.typed))
}

// mayBe begins the reason for every refusal of a text that has several readings.
const mayBe = "may be "

// between refuses a text with two readings or more.
func between(name, text string, all []reading) error {
	var may, write []string
	for _, r := range all {
		may = append(may, or(r.how, r.typed))
		write = append(write, spaceless(r.typed))
	}
	return catalog.Fault{Field: name, Input: text, Why: mayBe + strings.Join(may, " or "),
		Cure: "write " + strings.Join(write, " or ")}
}

// asFault names the figure in an error of the parser of quantities, nil for none.
func asFault(name, text string, err error) error {
	if err == nil {
		return nil
	}
	_, rest, _ := strings.Cut(err.Error(), `": `)
	why, cure, _ := strings.Cut(rest, "; ")
	return catalog.Fault{Field: name, Input: text, Why: why, Cure: cure}
}

func spaceless(text string) string { return strings.ReplaceAll(text, " ", "") }

// or returns text, or the stand-in when text is empty.
func or(text, standIn string) string {
	if text == "" {
		return standIn
	}
	return text
}

// Text writes a figure of a part as it may be typed again: with its unit, ratios that the trade
// prints in percent as such.
func Text(k catalog.Kind, v catalog.Value) string {
	f, ok := catalog.FieldNamed(k, v.Field)
	if !ok || !v.Numeric || !slices.Contains(f.Usual, "%") {
		return v.Text
	}
	return markOf(v.Text) + Exact(f.Dimension(), v.Number)
}
