package codes

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/pattern"
	"sparewright/catalog/si"
)

// A value code has at most four figures, the first of which is 0 only alone before the letter.
// Tolerance letters in small are read behind decimals only, so that 100mf, 5mh or 10mm stay what
// they are.
var (
	pointText = pattern.OnFirstUse(
		`^(0|[1-9][0-9]{0,3}|)([RrKkMmLGTEe])(?:([0-9]{0,4})([BCDEFGHJKLMNPW]?)|([0-9]{1,4})([bcdfgjk]))$`,
	)
	expText = pattern.OnFirstUse(`^([1-9][0-9]{0,2})[Ee]([0-9])$`)
	// decimalText is a number with a point, perhaps with a letter for the multiplier and the
	// tolerance.
	decimalText = pattern.OnFirstUse(`^([0-9]{0,4}\.[0-9]{1,4})(?:([RrKkMmGE])([BCDFGJKM]?))?$`)
	tolText     = pattern.OnFirstUse(`^([1-9][0-9]{2,3})([BCDFGJKM])$`)
	wholeText   = pattern.OnFirstUse(`^[1-9][0-9]{0,3}$`)
	ohmText     = pattern.OnFirstUse(`^(?i)[0-9.].*(?:\x{3a9}|\x{2126}|ohms?)$`)
)

// pointExponents are the letters of IEC 60062 for resistances (Table 1: L, R, K, M, G, T; from
// memory), the small k and r, m for milli as SI writes it, and E, which in several countries stands
// for the ohm (common practice, no source).
var pointExponents = map[byte]int{
	'L': -3,
	'm': -3,
	'R': 0,
	'r': 0,
	'E': 0,
	'e': 0,
	'K': 3,
	'k': 3,
	'M': 6,
	'G': 9,
	'T': 12,
}

// ReadValueCode reads the value code of IEC 60062 with a letter for the point and an optional
// tolerance letter: 4K7, 4k7J, R47, 1M0F, R004; also E for the ohm, as in 22E and 4E7. M is mega
// and m milli. 0R0 and R000 are links of 0 ohm. Errors: no such code.
func ReadValueCode(text string) (Resistor, error) {
	found := pointCode(strings.TrimSpace(text))
	found = slices.DeleteFunc(found, func(r Resistor) bool { return r.form == written })
	if len(found) == 0 {
		return Resistor{}, fault("value code", text, "not understood",
			"write it like 4k7, 0R22 or 4K7J")
	}
	return found[0], nil
}

// pointCode reads figures with a letter for the decimal point and perhaps a tolerance letter
// behind.
func pointCode(code string) []Resistor {
	m := pointText().FindStringSubmatch(code)
	if m == nil {
		return nil
	}
	whole, letter, decimals, tolerance := m[1], m[2][0], m[3]+m[5], strings.ToUpper(m[4]+m[6])
	if letter == 'm' && tolerance != "" || whole+decimals == "" ||
		len(strings.TrimPrefix(whole, "0")+decimals) > 4 {
		return nil
	}
	if decimals == "" && tolerance != "" && (letter == 'k' || letter == 'e') {
		return nil // 100kW is a power
	}
	mantissa, _ := strconv.Atoi("0" + whole + decimals)
	r := Resistor{
		Resistance: scaled(mantissa, pointExponents[letter]-len(decimals)),
		Standard:   IEC60062,
		How:        fmt.Sprintf("%c stands for the point", letter),
		form:       point,
	}
	if decimals == "" {
		r.How = fmt.Sprintf("%c behind the figures", letter)
	}
	if tolerance != "" {
		r.Tolerance, _ = resistorTolerance(tolerance[0])
	}
	if mantissa == 0 {
		return linkCode(r, letter, tolerance)
	}
	r.Series = SeriesOf(r.Resistance)
	r.rank = pointRank(r.Resistance, r.Series)
	if (letter == 'E' || letter == 'e') && (whole == "" || len(decimals) > 2) {
		return nil // E25 is no value but the name of a core or chip; 1e400 is no mark
	}
	if letter == 'E' || letter == 'e' {
		return eForOhm(code, r)
	}
	if letter == 'm' {
		r.Standard, r.How = Plain, "m is milli"
	}
	return []Resistor{r}
}

// linkCode is 0R0, R000 and the like; no other letter than R stands on a link.
func linkCode(r Resistor, letter byte, tolerance string) []Resistor {
	if letter != 'R' && letter != 'r' || tolerance != "" {
		return nil
	}
	r.How, r.rank = "noughts only: link", 10
	return []Resistor{r}
}

// mostWritten is the highest resistance of a part that is written as a number, the range of the
// figure.
const mostWritten = 1e9

// eForOhm says that the E is custom. A number behind it may be meant as an exponent where a part
// may have that value; behind a capital this comes second, behind a small e, which no mark has,
// first.
func eForOhm(code string, r Resistor) []Resistor {
	r.Standard, r.How, r.form = Custom, "E stands for the ohm sign", ohmE
	r.rank += 3
	out := []Resistor{r}
	m := expText().FindStringSubmatch(code)
	if m == nil {
		return out
	}
	mantissa, _ := strconv.Atoi(m[1])
	exponent, _ := strconv.Atoi(m[2])
	s := Resistor{
		Resistance: scaled(mantissa, exponent),
		Standard:   Plain,
		How:        "E taken as an exponent of ten",
		form:       written,
		rank:       28,
	}
	s.Series = SeriesOf(s.Resistance)
	switch {
	case s.Resistance > mostWritten:
		return out
	case notMade(s.Resistance) > 0: // told all the same, for it may be meant
		s.rank = doubtful - 1
	}
	if strings.Contains(code, "e") {
		out[0].rank, s.rank = 30, 10
		return []Resistor{s, out[0]}
	}
	return append(out, s)
}

// notMade is what a resistance loses in rank outside 0.5 milliohm to 22 Mohm, the values of usual
// parts, and outside 0.1 milliohm to 1 Tohm, all that is made (common practice, no source).
func notMade(r si.Resistance) int {
	switch {
	case r == 0 || r >= 0.000499 && r <= 22.1e6:
		return 0
	case r >= 0.0000999 && r <= 1.001e12:
		return 25
	}
	return 60
}

// pointRank ranks a value code by its series; 1, 2, 2.5 and 5 are usual values of trimmers and
// shunts.
func pointRank(r si.Resistance, series string) int {
	rank := 30
	switch series {
	case "E3", "E6", "E12", "E24":
		rank = 10
	case "E48", "E96":
		rank = 12
	case "E192":
		rank = 22
	default:
		if oneFigure(float64(r), 2.5) || oneFigure(float64(r), 5) ||
			r < 0.01 && isWhole(float64(r)*1e4) {
			rank = 14
		}
	}
	return rank + notMade(r)
}

// oneFigure reports whether v is f times a power of ten.
func oneFigure(v, f float64) bool { return isWhole(math.Log10(v / f)) }

func isWhole(v float64) bool { return math.Abs(v-math.Round(v)) < 1e-9 }

// allResistors lists every way to read a mark as a resistance, with its rank, in no order.
func allResistors(mark string) []Resistor {
	found := slices.Concat(
		figureCode(mark),
		pointCode(mark),
		readEIA96(mark),
		decimalCode(mark),
		tolerancedFigures(mark),
	)
	if m := wholeText().FindString(mark); m != "" {
		found = append(found, wholeOhms(m)...)
	}
	if ohmText().MatchString(mark) {
		if v, err := si.Parse[si.Resistance](mark); err == nil && v >= 0 {
			found = append(
				found,
				Resistor{Resistance: v, Series: SeriesOf(v), Standard: Plain,
					How:  "a value with its unit",
					form: written, rank: 5},
			)
		}
	}
	return found
}

// wholeOhms reads a whole number as ohms: one or two figures, more only where that is a value of
// E24, for three and four figures are a code otherwise.
func wholeOhms(text string) []Resistor {
	v, _ := strconv.Atoi(text)
	r := Resistor{
		Resistance: si.Resistance(v),
		Standard:   Custom,
		How:        "plain number of ohms",
		form:       written,
		rank:       14,
	}
	r.Series = SeriesOf(r.Resistance)
	if len(text) > 2 {
		r.rank = 24
		if !catalog.InSeries(r.Resistance, "E24") {
			return nil
		}
	}
	return []Resistor{r}
}

// decimalCode reads 4.7k, 2.2K, 1.5M and 4.7R. Below 1 such a text is rather a capacitor in uF with
// a tolerance.
func decimalCode(mark string) []Resistor {
	m := decimalText().FindStringSubmatch(mark)
	if m == nil {
		return nil
	}
	exponent, standard, how := 0, Custom, "plain number of ohms"
	if m[2] != "" {
		exponent, standard, how = pointExponents[m[2][0]], Plain, m[2]+" behind the number"
	}
	v, _ := strconv.ParseFloat("0"+m[1]+"e"+strconv.Itoa(exponent), 64)
	if v <= 0 {
		return nil
	}
	r := Resistor{Resistance: si.Resistance(v), Standard: standard, How: how, form: written}
	r.Series = SeriesOf(r.Resistance)
	r.rank = pointRank(r.Resistance, r.Series)
	switch below := strings.HasPrefix(strings.TrimLeft(m[1], "0"), "."); {
	case m[2] == "":
		r.rank += 12
	case below && (m[2] == "K" || m[2] == "M"):
		r.rank += 16
	}
	if m[3] != "" {
		r.Tolerance, _ = resistorTolerance(m[3][0])
	}
	return []Resistor{r}
}

// tolerancedFigures reads a figure code with a tolerance letter behind, as resistor networks and
// military types carry it: 103J, 1002F. On most parts such a code is a capacitor.
func tolerancedFigures(mark string) []Resistor {
	m := tolText().FindStringSubmatch(mark)
	if m == nil {
		return nil
	}
	out := figureCode(m[1])
	for i := range out {
		out[i].Tolerance, _ = resistorTolerance(m[2][0])
		out[i].Customary, out[i].form = false, toleranced
		out[i].How += ", tolerance " + m[2]
		out[i].rank += 15
		if m[2] == "K" || m[2] == "M" {
			out[i].rank += 13 // behind the value code, 100M
		}
	}
	return out
}
