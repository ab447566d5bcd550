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

// eiaLetters are the multipliers of EIA-96 as powers of ten. Y and R, X and S, B and H mean the
// same.
var eiaLetters = map[byte]int{
	'Z': -3,
	'Y': -2,
	'R': -2,
	'X': -1,
	'S': -1,
	'A': 0,
	'B': 1,
	'H': 1,
	'C': 2,
	'D': 3,
	'E': 4,
	'F': 5,
}

var (
	figuresText = pattern.OnFirstUse(`^[0-9]{3,4}$`)
	eiaText     = pattern.OnFirstUse(`^([0-9]{2})([ZYRXSABHCDEF])$`)
)

// ReadSMD reads the code on a chip resistor: three figures (two figures and the number of noughts,
// sold as 5 %), four figures (three and the noughts, 1 %), a letter for the point (4R7, 0R22, R047,
// 5L0 with L for milliohm), or two figures and a letter of EIA-96 (01C, 1 %). 0, 000, 0000, 0R0 and
// R000 are links. Tolerances are customary. Where a code such as 22R has both a value-code and an
// EIA-96 reading, both are returned, the value code first. E for the ohm is not in use on chips.
func ReadSMD(text string) ([]Resistor, error) {
	code := strings.TrimSpace(text)
	if figuresText().MatchString(code) && code[0] == '0' && strings.Trim(code, "0") != "" {
		return nil, fault(
			"chip code",
			code,
			"begins with 0",
			"turn the part round, or look for a letter R",
		)
	}
	found := append(figureCode(code), pointCode(code)...)
	found = append(found, readEIA96(code)...)
	found = slices.DeleteFunc(found, func(r Resistor) bool { return r.form == ohmE })
	if len(found) == 0 {
		return nil, fault(
			"chip code",
			text,
			"not understood",
			"type it as printed: 103, 1002, 4R7 or 01C",
		)
	}
	return found, nil
}

// figureCode reads three or four figures, or noughts only.
func figureCode(code string) []Resistor {
	if code != "" && len(code) <= 4 && strings.Trim(code, "0") == "" {
		return []Resistor{{Standard: Figures, How: "noughts only: link", rank: 10, form: figures}}
	}
	if !figuresText().MatchString(code) || code[0] == '0' {
		return nil
	}
	n := len(code) - 1
	mantissa, _ := strconv.Atoi(code[:n])
	noughts := int(code[n] - '0')
	r := Resistor{
		Resistance: scaled(mantissa, noughts),
		Tolerance:  0.05,
		Customary:  true,
		Standard:   Figures,
		How: fmt.Sprintf(
			"%s and %d noughts",
			code[:n],
			noughts,
		),
		Series: seriesOf(mantissa, n),
		form:   figures,
	}
	if n == 3 {
		r.Tolerance = 0.01
	}
	r.rank = 10 + notMade(r.Resistance)
	if r.Series == "" {
		r.rank += 20
	}
	return []Resistor{r}
}

// SeriesOf names the coarsest preferred-number series of IEC 60063 that holds the value, or "".
func SeriesOf(r si.Resistance) string {
	for _, n := range catalog.Series() {
		if r > 0 && catalog.InSeries(r, n) {
			return n
		}
	}
	return ""
}

// readEIA96 reads two figures and a letter. The code is printed in capitals; small letters are
// taken where they mean nothing else.
func readEIA96(code string) []Resistor {
	m := eiaText().FindStringSubmatch(strings.ToUpper(code))
	if m == nil {
		return nil
	}
	n, _ := strconv.Atoi(m[1])
	if n < 1 || n > 96 {
		return nil
	}
	value := int(math.Round(catalog.ESeries("E96")[n-1] * 100))
	exponent := eiaLetters[m[2][0]]
	ohm := scaled(value, exponent)
	return []Resistor{
		{Resistance: ohm, Tolerance: 0.01, Customary: true, Series: SeriesOf(ohm), Standard: EIA96,
			How: fmt.Sprintf("%s is %d, %s is x%s", m[1], value, m[2],
				strconv.FormatFloat(math.Pow10(exponent), 'f', -1, 64)),
			rank: 16 + notMade(ohm), form: eia96},
	}
}
