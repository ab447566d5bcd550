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

// A capacitor code is a value with a voltage code in front, or a value alone; both may end in a
// tolerance letter. Behind figures the letters p, n, u and m are prefixes when small and tolerances
// when capital; 4N7 and 100N in capitals are read as prefixes too, for parts are printed so. m is
// milli, M a tolerance of 20 %.
var (
	ratedText = pattern.OnFirstUse(`^([0-4][A-Z])([1-9][0-9]{2}|[0-9]R[0-9])([A-Z]?)$`)
	countText = pattern.OnFirstUse(`^([1-9][0-9]{0,3})([A-Z]?)$`)
	letterFor = pattern.OnFirstUse(
		`^(0|[1-9][0-9]{0,3}|)([pnum\x{b5}\x{3bc}PNU])(?:([0-9]{1,4})([A-Zbcdfghjkm]?)|([A-Zf]?))$`,
	)
	pfPoint   = pattern.OnFirstUse(`^([0-9]R[0-9]|R[0-9]{1,2})([A-Z]?)$`)
	fraction  = pattern.OnFirstUse(`^([0-9]{0,4}\.[0-9]{1,4})([pnum\x{b5}\x{3bc}]?)([Ff]?)([A-Z]?)$`)
	farads    = pattern.OnFirstUse(`^([0-9]{1,2}(?:\.[0-9]{1,2})?|\.[0-9]{1,2})F$`)
	tantalum  = pattern.OnFirstUse(`^([GJACDEVT])([1-9][0-9]{2})$|^([1-9][0-9]{2})([GJACDEVT])$`)
	smallText = pattern.OnFirstUse(`^[1-9][0-9][1-7][bcdfghjkmz]$`)
	spaced    = pattern.OnFirstUse(`^([0-9.]+[pnum\x{b5}\x{3bc}]?[0-9]*) [pnum\x{b5}\x{3bc}]?F$`)
)

// ReadCapacitor reads the code of a capacitor: 104 or 104K (two figures and the number of noughts,
// in pF; 8 and 9 mean x0.01 and x0.1), one or two figures in pF, a letter for the point (4n7, p47,
// 100n, 4R7 in pF), a decimal fraction in uF (.047), each with an optional tolerance letter behind
// and voltage code in front (1H104K). A three-figure code that ends in 0, such as 220, is 22 pF by
// the standard, but some makers print the plain number of pF, and electrolytics the number of uF:
// all are returned. ReadElectrolytic is for parts that are known as such. Readings of equal value
// and voltage are returned once. Source: IEC 60062 and EIA RS-198 as reproduced on public pages.
func ReadCapacitor(text string) ([]Capacitor, error) {
	readings := settled(capacitorReadings(strings.TrimSpace(text)))
	if len(readings) == 0 {
		return nil, fault(
			"capacitor code",
			text,
			"not understood, or a letter behind it that is no tolerance",
			capacitorCure,
		)
	}
	var out []Capacitor
	for _, r := range readings {
		if !slices.ContainsFunc(
			out,
			func(c Capacitor) bool { return c.Capacitance == r.Capacitance && c.Volts == r.Volts },
		) {
			out = append(out, Capacitor{Capacitance: r.Capacitance, Tolerance: r.Tolerance,
				Volts:    r.Volts,
				Standard: r.Standard, How: r.How, rank: r.rank})
		}
	}
	return out, nil
}

const capacitorCure = "type it as printed: 104K, 4n7, 100n or 1H104K"

// allCapacitors lists every way to read a mark as a capacitance, with its rank, in no order.
func allCapacitors(mark string) []Capacitor {
	found := slices.Concat(
		ratedCode(mark),
		countCode(mark),
		prefixed(mark),
		inPicofarads(mark),
		fractions(mark),
		inFarads(mark),
		tantalumCode(mark),
		withUnit(mark),
	)
	var out []Capacitor
	for _, c := range found {
		c.rank += notACapacitor(c.Capacitance)
		if c.Capacitance > 0 {
			out = append(out, c)
		}
	}
	return out
}

// notACapacitor is what a capacitance loses in rank outside 0.5 pF to 0.1 F, the values of usual
// parts, and outside 0.1 pF to 10 F (common practice, no source).
func notACapacitor(c si.Capacitance) int {
	switch {
	case c >= 0.499*si.Pico && c <= 0.1001:
		return 0
	case c >= 0.0999*si.Pico && c <= 10.01:
		return 25
	}
	return 60
}

// ratedCode is a voltage code and a value, 1H104K. Nothing else has that form, so small letters are
// taken as well.
func ratedCode(mark string) []Capacitor {
	m := ratedText().FindStringSubmatch(strings.ToUpper(mark))
	if m == nil {
		return nil
	}
	volts, ok := VoltageCode(m[1])
	if !ok {
		return nil
	}
	out := inPicofarads(m[2])
	if len(out) == 0 {
		out = noughts(m[2])
	}
	var rated []Capacitor
	for _, c := range withLetter(out, m[3]) {
		c.Volts, c.How = volts, c.How+", voltage code "+m[1]
		c.rank = 2
		if m[2][2] == '0' || !inE24(float64(c.Capacitance)) {
			c.rank = 17
		}
		if c.Standard == Custom {
			c.rank += 10
		}
		rated = append(rated, c)
	}
	return rated
}

// inE24 reports whether a value is one of E24.
func inE24(v float64) bool { return catalog.InSeries(si.Resistance(v*1e12), "E24") }

// countCode is figures alone or with a tolerance letter: pF up to two figures, a code above, uF on
// electrolytics.
func countCode(mark string) []Capacitor {
	m := countText().FindStringSubmatch(mark)
	if m == nil {
		return smallTolerance(mark)
	}
	v, _ := strconv.Atoi(m[1])
	var out []Capacitor
	if len(m[1]) <= 2 {
		c := Capacitor{
			Capacitance: picofarads(float64(v)),
			Standard:    Figures,
			How:         "one or two figures are pF",
			rank:        12,
		}
		if !inE24(float64(v)) {
			c.rank += 10
		}
		out = []Capacitor{c}
	} else {
		out = noughts(m[1])
	}
	for i := range out {
		if m[2] != "" && len(m[1]) == 3 && m[1][2] != '0' && out[i].rank == 12 {
			out[i].rank = 8
		}
	}
	out = withLetter(out, m[2])
	if (m[2] == "" || m[2] == "M" || m[2] == "K") && catalog.InSeries(si.Resistance(v), "E12") {
		plain := Capacitor{
			Capacitance: picofarads(float64(v) * 1e6),
			Standard:    Custom,
			rank:        26,
			plain:       true,
			How:         "plain number of uF, as electrolytics carry it",
		}
		if len(m[1]) <= 2 && m[2] == "" {
			plain.rank = 16
		}
		out = append(out, withLetter([]Capacitor{plain}, m[2])...)
	}
	return out
}

// smallTolerance is a figure code with its tolerance letter typed in small, 104k, which stands on
// no part; a small m is milli first.
func smallTolerance(mark string) []Capacitor {
	if smallText().FindString(mark) == "" {
		return nil
	}
	out := countCode(strings.ToUpper(mark))
	for i := range out {
		out[i].rank += 20
	}
	return out
}

// withLetter adds the tolerance to the readings; none are left when the letter is no tolerance.
// Letters that do not go with the value (percent on less than 10 pF, precision on more than 10 uF)
// and rare ones make a reading less likely.
func withLetter(readings []Capacitor, letter string) []Capacitor {
	if letter == "" {
		return readings
	}
	var out []Capacitor
	for _, c := range readings {
		for i, t := range capacitorTolerances(letter, c.Capacitance) {
			d := c
			d.Tolerance = t
			d.rank += 12 * i
			switch {
			case t.Absolute > c.Capacitance/2, strings.Contains("ELW", letter):
				d.rank += 30
			case c.Capacitance < 9.9995*si.Pico && t.Absolute == 0,
				c.Capacitance > 9*si.Micro && strings.Contains("BCDFG", letter):
				d.rank += 15
			case strings.Contains("NPQ", letter):
				d.rank += 4
			}
			out = append(out, d)
		}
	}
	return out
}

// farad, nano and so on of the prefixes in use.
var prefixes = map[string]float64{
	"p":      1,
	"n":      1e3,
	"u":      1e6,
	"\u00b5": 1e6,
	"\u03bc": 1e6,
	"m":      1e9,
	"P":      1,
	"N":      1e3,
	"U":      1e6,
}

// prefixed reads p, n, u or m for the point or behind the figures. An F behind decimals is the
// tolerance first and the unit second, behind a bare prefix the other way round.
func prefixed(mark string) []Capacitor {
	m := letterFor().FindStringSubmatch(mark)
	if m == nil || m[1]+m[3] == "" || len(strings.TrimPrefix(m[1], "0")+m[3]) > 4 {
		return nil
	}
	letter, behind := m[2], m[4]+m[5]
	if strings.Contains("PNU", letter) {
		if _, ok := ReadCharacteristic(mark); ok {
			// U2J and N750 are temperature characteristics; the prefix would be a small letter
			return nil
		}
	}
	v, _ := strconv.ParseFloat("0"+m[1]+"."+m[3]+"0", 64)
	c := Capacitor{Capacitance: picofarads(v * prefixes[letter]), Standard: IEC60062, rank: 5,
		How: fmt.Sprintf("%s stands for the point", letter)}
	if m[3] == "" {
		c.How = fmt.Sprintf("%s behind the figures", letter)
	}
	switch {
	case strings.Contains("PNU", letter):
		c.rank = 10
	case letter == "m":
		c.rank = 15 // rather a shunt in milliohms
	}
	if !inE96(c.Capacitance) {
		c.rank += 15
	}
	if !strings.EqualFold(behind, "F") {
		return withLetter([]Capacitor{c}, strings.ToUpper(behind))
	}
	unit, tolerance := c, withLetter([]Capacitor{c}, "F")
	unit.How += ", F is the unit"
	if m[3] == "" || behind == "f" {
		for i := range tolerance {
			tolerance[i].rank += 18
		}
	} else {
		unit.rank++
	}
	return append(tolerance, unit)
}

func inE96(c si.Capacitance) bool {
	r := si.Resistance(float64(c) * 1e12)
	return catalog.InSeries(r, "E24") || catalog.InSeries(r, "E96")
}

// picofarads turns pF into F, rounding the product so that 104 gives exactly the number written
// 100e-9.
func picofarads(v float64) si.Capacitance {
	f, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 12, 64)+"e0", 64)
	out, _ := strconv.ParseFloat(strconv.FormatFloat(f, 'f', -1, 64)+"e-12", 64)
	return si.Capacitance(out)
}

// noughts reads three or four figures of which the last counts noughts.
func noughts(value string) []Capacitor {
	n := len(value) - 1
	mantissa, _ := strconv.Atoi(value[:n])
	last := int(value[n] - '0')
	exponent := last
	switch last {
	case 8:
		exponent = -2
	case 9:
		exponent = -1
	}
	c := Capacitor{
		Capacitance: picofarads(float64(mantissa) * math.Pow10(exponent)),
		Standard:    Figures,
		How:         fmt.Sprintf("%s pF x10^%d", value[:n], exponent),
		rank:        12,
	}
	if last == 0 {
		c.rank = 20
	}
	if !inE24(float64(c.Capacitance)) {
		c.rank += 10
	}
	out := []Capacitor{c}
	if last == 0 {
		plain, _ := strconv.Atoi(value)
		out = append(
			out,
			Capacitor{Capacitance: picofarads(float64(plain)), Standard: Custom, rank: c.rank + 2,
				How: "plain number of pF, as some makers print it"},
		)
	}
	return out
}
