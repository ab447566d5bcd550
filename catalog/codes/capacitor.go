package codes

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"sparewright/catalog/pattern"
	"sparewright/catalog/si"
)

// A capacitor code is a three-figure code with a voltage code in front, or a value alone; both may end in a tolerance letter.
// An F behind a bare prefix (100nF) is the farad; behind decimals (4n7F) it is the tolerance.
var (
	ratedText = pattern.OnFirstUse(`^([0-3][A-Z])([0-9]{3})([A-Z]?)$`)
	valueText = pattern.OnFirstUse(`^()([0-9]{0,4}[PNU\x{b5}\x{3bc}\x{39c}RM][0-9]{1,3}|[0-9]{1,4}[PNU\x{b5}\x{3bc}\x{39c}]F?|` +
		`[0-9]{1,4}|[0-9]*\.[0-9]+)([A-Z]?)$`)
	letterText = pattern.OnFirstUse(`^[0-9]{2}[1-9][NP]$`)
)

// ReadCapacitor reads the code of a capacitor: 104 or 104K (two figures and the number of noughts, in pF; 8 and 9 mean x0.01
// and x0.1), one or two figures in pF, a letter for the point (4n7, p47, 100n, 4R7 in pF), a decimal fraction in uF (.047),
// each with an optional tolerance letter behind and voltage code in front (1H104K). A three-figure code that ends in 0, such
// as 220, is 22 pF by the standard, but some makers print the plain number of pF: both readings are returned. Source: IEC
// 60062 and EIA RS-198 as reproduced on public pages.
func ReadCapacitor(text string) ([]Capacitor, error) {
	code := strings.ToUpper(strings.TrimSpace(text))
	m := ratedText().FindStringSubmatch(code)
	if m == nil || voltageCodes[m[1]] == 0 {
		m = valueText().FindStringSubmatch(code)
	}
	if m == nil {
		return nil, fault("capacitor code", text, "not understood", capacitorCure)
	}
	var out []Capacitor
	if n := len(code) - 1; letterText().MatchString(code) && strings.TrimSpace(text)[n:] == code[n:] { // a capital is a tolerance
		out = withLetter(capacitance(code[:n]), code[n:], 0)
	}
	out = append(out, withLetter(capacitance(m[2]), m[3], voltageCodes[m[1]])...)
	if len(out) == 0 {
		return nil, fault("capacitor code", text, "no value, or a letter behind it that is no tolerance", capacitorCure)
	}
	return out, nil
}

const capacitorCure = "type it as printed: 104K, 4n7, 100n or 1H104K"

// withLetter adds tolerance and voltage to the readings; none are left when the letter is no tolerance.
func withLetter(readings []Capacitor, letter string, volts si.Voltage) []Capacitor {
	for i := range readings {
		readings[i].Volts = volts
		if letter == "" {
			continue
		}
		t, ok := capacitorTolerance(letter, readings[i].Capacitance)
		if !ok {
			return nil
		}
		readings[i].Tolerance = t
	}
	return readings
}

// capacitance lists what the value part can mean, likeliest first.
func capacitance(value string) []Capacitor {
	value = strings.TrimSuffix(value, "F")
	letterAt := strings.IndexFunc(value, func(r rune) bool { return strings.ContainsRune("PNUMR\u00b5\u03bc\u039c", r) })
	switch {
	case strings.Contains(value, "."):
		v, _ := strconv.ParseFloat("0"+value, 64)
		return keep(Capacitor{Capacitance: picofarads(v * 1e6), Standard: "custom", How: "a decimal fraction is in uF"})
	case letterAt >= 0:
		return pointed(value, letterAt)
	case len(value) <= 2:
		v, _ := strconv.Atoi(value)
		return keep(Capacitor{Capacitance: picofarads(float64(v)), Standard: Figures, How: "one or two figures are pF"})
	}
	return noughts(value)
}

// picofarads turns pF into F, rounding the product so that 104 gives exactly the number written 100e-9.
func picofarads(v float64) si.Capacitance {
	f, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 12, 64)+"e0", 64)
	out, _ := strconv.ParseFloat(strconv.FormatFloat(f, 'f', -1, 64)+"e-12", 64)
	return si.Capacitance(out)
}

// pointed reads a letter for the point: P, N, U or the micro sign, M (milli), R for the point of a number of pF.
func pointed(value string, at int) []Capacitor {
	letter := []rune(value[at:])[0]
	whole, decimals := value[:at], value[at+len(string(letter)):]
	if whole == "" && decimals == "" {
		return nil
	}
	scale := map[rune]float64{'P': 1, 'R': 1, 'N': 1e3, 'U': 1e6, '\u00b5': 1e6, '\u03bc': 1e6, '\u039c': 1e6, 'M': 1e9}[letter]
	v, _ := strconv.ParseFloat("0"+whole+"."+decimals+"0", 64)
	return keep(Capacitor{Capacitance: picofarads(v * scale), Standard: IEC60062,
		How: fmt.Sprintf("%s stands for the point", strings.ToLower(string(letter)))})
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
	var out []Capacitor
	if value[0] != '0' {
		out = keep(Capacitor{Capacitance: picofarads(float64(mantissa) * math.Pow10(exponent)), Standard: Figures,
			How: fmt.Sprintf("%s pF x10^%d", value[:n], exponent)})
	}
	if last == 0 {
		plain, _ := strconv.Atoi(value)
		out = append(out, keep(Capacitor{Capacitance: picofarads(float64(plain)), Standard: "custom",
			How: "plain number of pF, as some makers print it"})...)
	}
	return out
}

func keep(c Capacitor) []Capacitor {
	if !(c.Capacitance > 0) {
		return nil
	}
	return []Capacitor{c}
}

// CapacitorCode returns the three-figure code of a capacitance in pF. Errors: below 0.1 pF, above 99 uF (where the value is
// printed in full), or more than two figures.
func CapacitorCode(c si.Capacitance) (string, error) {
	p := float64(c) * 1e12
	if !(p >= 0.0999999 && p < 9.95e7) {
		return "", fault("capacitance", si.ASCII(c), "has no three-figure code", "write it in full")
	}
	exponent := int(math.Floor(math.Log10(p)+1e-9)) - 1
	digits := int(math.Round(p / math.Pow10(exponent)))
	if math.Abs(float64(digits)*math.Pow10(exponent)/p-1) > 1e-9 {
		return "", fault("capacitance", si.ASCII(c), "has more than two figures", "write it with a letter, such as 4n75")
	}
	switch {
	case exponent >= 0:
		return fmt.Sprintf("%d%d", digits, exponent), nil
	case exponent == -1:
		return fmt.Sprintf("%d9", digits), nil
	}
	return fmt.Sprintf("%d8", digits), nil
}

// Ceramic is the meaning of a three-character class 2 code of EIA RS-198, such as X7R. Below and Above are the change of
// capacitance over the range.
type Ceramic struct {
	Low, High    si.Celsius
	Below, Above si.Ratio
}

var (
	ceramicLow    = map[byte]si.Celsius{'X': -55, 'Y': -30, 'Z': 10}
	ceramicHigh   = map[byte]si.Celsius{'2': 45, '4': 65, '5': 85, '6': 105, '7': 125, '8': 150}
	ceramicChange = map[byte][2]si.Ratio{
		'A': {0.01, 0.01}, 'B': {0.015, 0.015}, 'C': {0.022, 0.022}, 'D': {0.033, 0.033}, 'E': {0.047, 0.047},
		'F': {0.075, 0.075}, 'P': {0.1, 0.1}, 'R': {0.15, 0.15}, 'S': {0.22, 0.22}, 'T': {0.33, 0.22}, 'U': {0.56, 0.22},
		'V': {0.82, 0.22},
	}
)

// ReadCeramic reads a class 2 ceramic code. Source: EIA RS-198 letters as reproduced on a public page; 8 from memory.
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
