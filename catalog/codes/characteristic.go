package codes

import (
	"fmt"
	"strconv"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/pattern"
	"sparewright/catalog/si"
)

// Ceramic is the meaning of a three-character class 2 code of EIA-198, such as X7R. Below and Above
// are the change of capacitance over the range.
type Ceramic struct {
	Low, High    si.Celsius
	Below, Above si.Ratio
}

var (
	ceramicLow  = map[byte]si.Celsius{'X': -55, 'Y': -30, 'Z': 10}
	ceramicHigh = map[byte]si.Celsius{'2': 45, '4': 65, '5': 85, '6': 105, '7': 125,
		'8': 150, '9': 200}
	ceramicChange = map[byte][2]si.Ratio{
		'A': {0.01, 0.01}, 'B': {0.015, 0.015}, 'C': {0.022, 0.022}, 'D': {0.033, 0.033},
		'E': {0.047, 0.047}, 'F': {0.075, 0.075}, 'P': {0.1, 0.1}, 'R': {0.15, 0.15},
		'S': {0.22, 0.22}, 'L': {0.4, 0.15}, 'T': {0.33, 0.22}, 'U': {0.56, 0.22},
		'V': {0.82, 0.22},
	}
)

// ReadCeramic reads a class 2 ceramic code. Source: EIA RS-198 letters as reproduced on a public
// page; 8, 9 and L from memory. ReadCharacteristic also knows class 1.
func ReadCeramic(text string) (Ceramic, bool) {
	code := strings.ToUpper(strings.TrimSpace(text))
	if len(code) != 3 {
		return Ceramic{}, false
	}
	low, a := ceramicLow[code[0]]
	high, b := ceramicHigh[code[1]]
	change, c := ceramicChange[code[2]]
	return Ceramic{low, high, change[0], change[1]}, a && b && c
}

// Characteristic is what the temperature characteristic of a ceramic capacitor means: the limits of
// class 2, or the coefficient of class 1 with its spread, 0 when the code does not tell the spread.
type Characteristic struct {
	Class               int // 1 or 2
	Limits              Ceramic
	Coefficient, Spread si.TempCo
	Standard            string
}

// Dielectric is the word of catalog.Capacitor for it.
func (c Characteristic) Dielectric() string {
	if c.Class == 1 {
		return "ceramic-class1"
	}
	return "ceramic"
}

// String says it in words.
func (c Characteristic) String() string {
	if c.Class == 2 {
		l := c.Limits
		return fmt.Sprintf("%s to %s, -%s +%s over that range", si.ASCII(l.Low),
			si.ASCII(l.High), si.Percent(l.Below, 3), si.Percent(l.Above, 3))
	}
	text := "class 1 ceramic, " + strconv.FormatFloat(float64(c.Coefficient)*1e6, 'f', 0, 64)
	if c.Spread > 0 {
		text += " +-" + strconv.FormatFloat(float64(c.Spread)*1e6, 'f', 0, 64)
	}
	return text + " ppm/K"
}

// The letters of class 1 (EIA-198-1, from memory): figures of the coefficient in ppm/K, its
// multiplier, the spread in ppm/K. JIS C 5101 writes the coefficient with one letter and the spread
// with the same ones (from memory).
var (
	class1Figures = map[byte]float64{'C': 0, 'B': 0.3, 'L': 0.8, 'A': 0.9, 'M': 1, 'P': 1.5,
		'R': 2.2, 'S': 3.3, 'T': 4.7, 'U': 7.5}
	class1Factors = map[byte]float64{'0': -1, '1': -10, '2': -100, '3': -1000, '4': -10000, '5': 1,
		'6': 10, '7': 100, '8': 1000, '9': 10000}
	class1Spreads = map[byte]float64{'G': 30, 'H': 60, 'J': 120, 'K': 250, 'L': 500,
		'M': 1000, 'N': 2500}
	jisCoefficient = map[byte]float64{'C': 0, 'L': -80, 'P': -150, 'R': -220, 'S': -330,
		'T': -470, 'U': -750}
	oldClass1 = pattern.OnFirstUse(`^([NP])([0-9]{3,4})$`)
)

// ReadCharacteristic reads the temperature characteristic of a ceramic capacitor: class 2 (X7R,
// Z5U, X8L) and class 1 (C0G, U2J) of EIA-198, the older names of class 1 with the coefficient in
// figures (NP0, N750, P100), and the two letters of JIS C 5101 (CH, UJ).
func ReadCharacteristic(text string) (Characteristic, bool) {
	code := strings.ToUpper(strings.TrimSpace(text))
	if c, ok := ReadCeramic(code); ok {
		return Characteristic{Class: 2, Limits: c, Standard: EIA198}, true
	}
	if code == "NP0" || code == "NPO" || code == "COG" {
		return class1(0, 30, EIA198), true
	}
	if m := oldClass1().FindStringSubmatch(code); m != nil {
		v, _ := strconv.Atoi(m[2])
		if m[1] == "N" {
			v = -v
		}
		known := map[int]bool{100: true, 33: true, -30: true, -33: true, -75: true, -80: true,
			-150: true, -220: true, -330: true,
			-470: true, -750: true, -1500: true, -2200: true, -3300: true, -4700: true, -5600: true}
		return class1(float64(v), 0, EIA198), known[v]
	}
	switch len(code) {
	case 3:
		figures, a := class1Figures[code[0]]
		factor, b := class1Factors[code[1]]
		spread, c := class1Spreads[code[2]]
		return class1(figures*factor, spread, EIA198), a && b && c
	case 2:
		v, a := jisCoefficient[code[0]]
		spread, b := class1Spreads[code[1]]
		return class1(v, spread, JISC5101), a && b && spread <= 250
	}
	return Characteristic{}, false
}

func class1(coefficient, spread float64, standard string) Characteristic {
	c := Characteristic{Class: 1, Spread: si.TempCo(spread * 1e-6), Standard: standard}
	if coefficient != 0 { // never -0
		c.Coefficient = si.TempCo(coefficient * 1e-6)
	}
	return c
}

// otherMarks are words on capacitors without a value. Safety classes by IEC 60384-14 (from memory),
// film codes by a printed list.
var otherMarks = map[string][3]string{
	"X1":  {"safety class X1, across the mains, peaks to 4 kV", IEC60384, ""},
	"X2":  {"safety class X2, across the mains, peaks to 2.5 kV", IEC60384, ""},
	"X3":  {"safety class X3, across the mains, peaks to 1.2 kV", IEC60384, ""},
	"Y1":  {"safety class Y1, may bridge reinforced insulation", IEC60384, ""},
	"Y2":  {"safety class Y2, may bridge basic insulation", IEC60384, ""},
	"MKT": {"metallised polyester film", Custom, "film"},
	"MKP": {"metallised polypropylene film", Custom, "film"},
	"KT":  {"polyester film and foil", Custom, "film"},
	"KP":  {"polypropylene film and foil", Custom, "film"},
	"KS":  {"polystyrene film and foil", Custom, "film"},
	"MKC": {"metallised polycarbonate film", Custom, "film"},
}

// wordReadings are marks on capacitors that carry no capacitance. Small letters come last, for u2j
// may be 0.2 uF.
func wordReadings(mark string) []Reading {
	var out []Reading
	fold := 0
	if mark != strings.ToUpper(mark) {
		fold = 28
	}
	if c, ok := ReadCharacteristic(mark); ok {
		how := fmt.Sprintf("class %d ceramic", c.Class)
		out = append(out, Reading{Kind: catalog.KindCapacitor, Says: c.String(),
			Dielectric: c.Dielectric(), Standard: c.Standard, How: how, rank: 3 + fold})
	}
	if v, ok := VoltageCode(mark); ok {
		out = append(out, Reading{Kind: catalog.KindCapacitor, Volts: v,
			Says: "rated " + si.Text(v), Standard: JISC5101, How: "voltage code, figure and letter",
			rank: 15 + fold/2})
	}
	if m, ok := otherMarks[strings.ToUpper(mark)]; ok {
		out = append(out, Reading{Kind: catalog.KindCapacitor, Says: m[0], Dielectric: m[2],
			Standard: m[1], How: "printed beside the value", rank: 1})
	}
	return out
}
