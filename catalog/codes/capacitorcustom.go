package codes

import (
	"strconv"
	"strings"

	"sparewright/catalog/si"
)

// inPicofarads reads R for the point of a number of pF (EIA-198), which ceramics below 10 pF carry;
// on electrolytics R is the point of a number of uF (common practice, no source). Most parts with
// such a code are resistors.
func inPicofarads(mark string) []Capacitor {
	m := pfPoint().FindStringSubmatch(mark)
	if m == nil {
		return nil
	}
	v, _ := strconv.ParseFloat("0"+strings.Replace(m[1], "R", ".", 1), 64)
	pico := Capacitor{
		Capacitance: picofarads(v),
		Standard:    EIA198,
		How:         "R stands for the point of a number of pF",
		rank:        35,
	}
	micro := Capacitor{Capacitance: picofarads(v * 1e6), Standard: Custom, rank: 38,
		How: "R stands for the point of a number of uF, as on electrolytics", plain: true}
	if m[2] != "" && strings.Contains("BCD", m[2]) {
		pico.rank = 9
	} else if !inE24(v) {
		pico.rank += 10
		micro.rank += 10
	}
	out := withLetter([]Capacitor{pico}, m[2])
	if m[2] == "" || m[2] == "M" || m[2] == "K" {
		out = append(out, withLetter([]Capacitor{micro}, m[2])...)
	}
	return out
}

// fractions reads a decimal number, in uF when it has no prefix.
func fractions(mark string) []Capacitor {
	m := fraction().FindStringSubmatch(mark)
	if m == nil || m[2] == "" && m[3] != "" {
		return fractionOfOnePercent(mark)
	}
	scale, how, standard, rank := 1e6, "a decimal number is in uF", Custom, 8
	if m[2] != "" {
		scale, how, standard, rank = prefixes[m[2]], m[2]+" behind the number", Plain, 6
	}
	v, _ := strconv.ParseFloat("0"+m[1], 64)
	if v >= 1 && m[2] == "" {
		rank = 20
	}
	return withLetter(
		[]Capacitor{{Capacitance: picofarads(v * scale), Standard: standard, How: how, rank: rank,
			plain: m[2] == ""}},
		m[4],
	)
}

// fractionOfOnePercent is .47F, which is rather 0.47 F.
func fractionOfOnePercent(mark string) []Capacitor {
	number, ok := strings.CutSuffix(mark, "F")
	if !ok || fraction().FindString(number) == "" {
		return nil
	}
	out := withLetter(fractions(number), "F")
	for i := range out {
		out[i].rank += 16
	}
	return out
}

// inFarads reads 1F and 0.47F, as double-layer capacitors carry it. 10F is rather 10 pF of 1 %.
func inFarads(mark string) []Capacitor {
	m := farads().FindStringSubmatch(mark)
	if m == nil {
		return nil
	}
	v, _ := strconv.ParseFloat("0"+m[1], 64)
	c := Capacitor{Capacitance: si.Capacitance(v), Standard: Plain, How: "F is the unit", rank: -6}
	if !strings.Contains(m[1], ".") {
		c.rank = -3
	}
	return []Capacitor{c}
}

// tantalumVolts are the single voltage letters on chip tantalum capacitors (common practice, no
// source).
var tantalumVolts = map[string]si.Voltage{
	"G": 4,
	"J": 6.3,
	"A": 10,
	"C": 16,
	"D": 20,
	"E": 25,
	"V": 35,
	"T": 50,
}

// tantalumCode is a voltage letter before or behind a figure code from 100 nF up: A475, 107C.
func tantalumCode(mark string) []Capacitor {
	m := tantalum().FindStringSubmatch(mark)
	if m == nil {
		return nil
	}
	var out []Capacitor
	for _, c := range noughts(m[2] + m[3]) {
		if c.Standard == Figures && c.Capacitance >= 0.0999*si.Micro &&
			inE24(float64(c.Capacitance)) {
			c.Volts, c.rank = tantalumVolts[m[1]+m[4]], 18
			c.How += ", voltage letter " + m[1] + m[4] + " of chip tantalum capacitors"
			c.Standard = Custom
			out = append(out, c)
		}
	}
	return out
}

// withUnit reads a value with a space before its unit, 4.7 uF.
func withUnit(mark string) []Capacitor {
	if spaced().FindString(mark) == "" {
		return nil
	}
	v, err := si.Parse[si.Capacitance](mark)
	if err != nil {
		return nil
	}
	return []Capacitor{{Capacitance: v, Standard: Plain, How: "a value with its unit", rank: 5}}
}
