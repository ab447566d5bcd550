package inventory

import (
	"strconv"
	"strings"

	"sparewright/catalog/pattern"
)

// plateMark is the sign for the kind of voltage.
type plateMark int

const (
	markNone plateMark = iota
	markAC
	markDC
)

// plateToken is one thing on a plate that has a meaning: a quantity, a heading, or a sign for AC or
// DC.
type plateToken struct {
	unit      string // V, A, Hz, W; section; mark
	low, high float64
	slash     bool // two values parted by a slash
	mark      plateMark
	side      plateSide
	text      string // as printed
}

// A number on a plate has a decimal point or comma. Two numbers with one unit are a range
// (100-240V) or two settings (115/230V); with the unit behind both they are a range of voltages
// (100V-240V).
const (
	plateNumber = `([0-9]+(?:[.,][0-9]+)?)`
	plateUnit   = `([mk]?)(vac|vdc|va|volts?|v|amps?|a|hz|watts?|w)`
	plateTo     = `\s*(-|–|—|~|to|/|\.{2,}|…)\s*`
)

// plateThing finds, in this order: voltages with a unit each, two numbers with one unit, a
// quantity, a sign, a word.
var plateThing = pattern.OnFirstUse(`(?i)` + plateNumber + `\s*v(?:ac)?\s*(?:-|–|—|~|to)\s*` +
	plateNumber + `\s*(vac|v)\b` +
	`|` + plateNumber + plateTo + plateNumber + `\s*` + plateUnit + `\b` +
	`|` + plateNumber + `\s*` + plateUnit + `\b` +
	`|([~∼∿]|a\.c\.|\bac\b)|(⎓|-{2,}|={1,3}|d\.c\.|\bdc\b)` +
	`|([\pL]+(?:/[\pL])?)`)

// gluedUnit is a unit with the next figure straight behind it, as in 5V2A.
var gluedUnit = pattern.OnFirstUse(`(?i)([0-9]\s*[mk]?(?:vac|vdc|va|v|a|hz|w))([0-9])`)

// plateHeadings are the words over the two sides, as printed in the languages plates usually carry
// (from memory).
var plateHeadings = map[string]plateSide{
	"input": sideInput, "in": sideInput, "i/p": sideInput, "pri": sideInput, "primary": sideInput,
	"eingang": sideInput,
	"entrée":  sideInput, "entree": sideInput, "entrada": sideInput, "ingresso": sideInput,
	"mains":  sideInput,
	"output": sideOutput, "out": sideOutput, "o/p": sideOutput, "sec": sideOutput,
	"secondary": sideOutput,
	"ausgang":   sideOutput, "sortie": sideOutput, "salida": sideOutput, "uscita": sideOutput,
}

// plateTokens takes the text apart; words without a meaning are passed over.
func plateTokens(text string) []plateToken {
	var out []plateToken
	for _, m := range plateThing().FindAllStringSubmatch(
		gluedUnit().ReplaceAllString(text, "$1 $2"), -1) {
		if t, ok := plateTokenOf(m); ok {
			out = append(out, t)
		}
	}
	return out
}

// plateTokenOf reads the groups of one match of plateThing.
func plateTokenOf(m []string) (plateToken, bool) {
	t := plateToken{text: strings.TrimSpace(m[0])}
	switch {
	case m[1] != "":
		return t.between(m[1], m[2], "", m[3]), true
	case m[4] != "":
		t.slash = m[5] == "/"
		return t.between(m[4], m[6], m[7], m[8]), true
	case m[9] != "":
		return t.between(m[9], m[9], m[10], m[11]), true
	case m[12] != "":
		t.unit, t.mark = "mark", markAC
		return t, true
	case m[13] != "":
		t.unit, t.mark = "mark", markDC
		return t, true
	}
	side, ok := plateHeadings[strings.ToLower(m[14])]
	t.unit, t.side = "section", side
	return t, ok
}

// between fills in a quantity from its figures, prefix and unit. M is milli: plates are often
// printed in capitals.
func (t plateToken) between(low, high, prefix, unit string) plateToken {
	scale := map[string]float64{"": 1, "m": 1e-3, "k": 1e3}[strings.ToLower(prefix)]
	t.low, t.high = plateFigure(low, scale), plateFigure(high, scale)
	if t.low > t.high {
		t.low, t.high = t.high, t.low
	}
	switch strings.ToLower(unit)[0] {
	case 'h':
		t.unit = "Hz"
	case 'w':
		t.unit = "W"
	case 'a':
		t.unit = "A"
	default:
		t.unit = "V"
	}
	switch strings.ToLower(unit) {
	case "va":
		t.unit = "W"
	case "vac":
		t.mark = markAC
	case "vdc":
		t.mark = markDC
	}
	return t
}

// plateFigure reads a number; a comma before three digits of a thousandth (1,000mA) parts
// thousands.
func plateFigure(text string, scale float64) float64 {
	if whole, rest, found := strings.Cut(text, ","); found {
		if len(rest) == 3 && scale < 1 {
			text = whole + rest
		} else {
			text = whole + "." + rest
		}
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return 0
	}
	if scale == 1e-3 {
		return v / 1e3
	}
	return v * scale
}
