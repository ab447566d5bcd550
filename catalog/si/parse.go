package si

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"sparewright/catalog/pattern"
)

// maxText is the longest text of a quantity that is read, in bytes.
const maxText = 64

// smallestNormal is the smallest float64 held with full precision.
const smallestNormal = 0x1p-1022

// Parse reads a quantity of type Q: a plain number in the base unit ("4700", "1e-9"), a number with
// prefix and unit ("4.7 kohm", "100nF", "25um", "5%") or a value code of IEC 60062 with a letter
// for the decimal point ("4k7", "0R22", "4n7", "5V1"). m is milli and M is mega; K is read as kilo,
// as that standard writes it. The error says what is wrong and how to write it.
func Parse[Q Quantity](text string) (Q, error) {
	v, err := DimensionOf[Q]().Parse(text)
	return Q(v), err
}

var (
	commaText   = pattern.OnFirstUse(`^([0-9]+),([0-9]+)([^0-9.,].*)?$`)
	groupedText = pattern.OnFirstUse(`^[0-9]{1,3}([,' _\x{a0}\x{202f}\x{2019}][0-9]{3})+([.,][0-9]+)?`)
	notNumbers  = pattern.OnFirstUse(`(?i)^(nan|inf|infinity)\b`)
)

// ungroup takes out what stands between groups of digits.
var ungroup = strings.NewReplacer(",", "", "'", "", " ", "", "_", "", "\u00a0", "", "\u202f",
	"", "\u2019", "")

// Parse reads text as this dimension and returns the value in the base unit. See the function Parse
// for what is read.
func (d *Dimension) Parse(text string) (float64, error) {
	body := strings.TrimSpace(text)
	if why, cure := refuse(body); why != "" {
		return 0, d.fault(text, why, cure)
	}
	sign, body := d.splitSign(body)
	mantissa, r, err := d.read(text, body)
	if err != nil {
		if why, cure := refuseNumber(body, d); why != "" {
			err = d.fault(text, why, cure)
		}
		return 0, err
	}
	v, err := strconv.ParseFloat(mantissa+"e"+strconv.Itoa(r.exp), 64)
	v *= r.factor
	switch {
	case err != nil || math.IsInf(v, 0):
		return 0, d.fault(text, "the number is too large", "check the prefix")
	case math.Abs(v) < smallestNormal && strings.ContainsAny(mantissa, "123456789"):
		return 0, d.fault(text, "the number is too small", "check the prefix")
	case v == 0:
		return 0, nil // never -0
	}
	return sign * v, nil
}

// read splits an unsigned text into its decimal digits and what the letters mean.
func (d *Dimension) read(text, body string) (string, reading, error) {
	mantissa, exponent, rest := scanNumber(body)
	suffix := strings.TrimSpace(rest)
	r, ok := reading{0, 1, false}, true
	if suffix != "" {
		r, ok = d.words()[suffix]
	}
	if mantissa == "" || !ok {
		if code, ok := splitCode(body); ok && exponent == "" {
			return d.readCode(text, code)
		}
		if mantissa == "" {
			return "", r, d.fault(text, "no number is found", "write it like "+d.sample)
		}
		return "", r, d.misfit(text, suffix)
	}
	if exponent == "" {
		return mantissa, r, nil
	}
	if r.prefixed {
		return "", r, d.fault(text, "an exponent and a prefix exclude each other",
			"use one of the two")
	}
	exp, err := strconv.Atoi(exponent)
	if err != nil || exp > 400 || exp < -400 {
		return "", r, d.fault(text, "the exponent is out of bounds", "write it like "+d.sample)
	}
	r.exp += exp
	return mantissa, r, nil
}

// scanNumber splits off the leading decimal number: its digits with at most one point, its exponent
// without the e, and the text behind it. The mantissa is empty when there is no digit.
func scanNumber(body string) (mantissa, exponent, rest string) {
	i, digits, point := 0, 0, false
	for ; i < len(body); i++ {
		if c := body[i]; c >= '0' && c <= '9' {
			digits++
		} else if c == '.' && !point {
			point = true
		} else {
			break
		}
	}
	if digits == 0 {
		return "", "", body
	}
	mantissa, rest = body[:i], body[i:]
	if rest == "" || rest[0] != 'e' && rest[0] != 'E' {
		return mantissa, "", rest
	}
	j := 1
	if j < len(rest) && (rest[j] == '+' || rest[j] == '-') {
		j++
	}
	first := j
	for j < len(rest) && rest[j] >= '0' && rest[j] <= '9' {
		j++
	}
	if j == first {
		return mantissa, "", rest
	}
	return mantissa, rest[1:j], rest[j:]
}

// valueCode is a text such as 4k7 ohm taken apart: 4, k, 7 and what is behind.
type valueCode struct{ whole, letter, decimals, rest string }

// splitCode takes apart what has the form of a value code: digits or none, a letter, digits.
func splitCode(body string) (valueCode, bool) {
	whole, behind := splitDigits(body)
	letter, size := utf8.DecodeRuneInString(behind)
	if !unicode.IsLetter(letter) {
		return valueCode{}, false
	}
	decimals, rest := splitDigits(behind[size:])
	return valueCode{whole, behind[:size], decimals, rest}, decimals != ""
}

// splitDigits splits the leading decimal digits off.
func splitDigits(text string) (digits, rest string) {
	rest = strings.TrimLeft(text, "0123456789")
	return text[:len(text)-len(rest)], rest
}

// readCode reads a value code of IEC 60062: the letter stands for the decimal point.
func (d *Dimension) readCode(text string, code valueCode) (string, reading, error) {
	whole, letter, decimals, rest := code.whole, code.letter, code.decimals,
		strings.TrimSpace(code.rest)
	if whole == "" {
		whole = "0"
	}
	r := reading{0, 1, false}
	isUnit := d.points != "" && strings.Contains(d.points, letter)
	if !isUnit {
		p, ok := d.bare.find(letter)
		if !ok || d.points == "" && d != dimFrequency {
			return "", r, d.misfit(text, letter+decimals)
		}
		r = reading{p.exp, 1, true}
	}
	if rest != "" {
		u, ok := d.words()[rest]
		if !ok || u.prefixed || u.exp != 0 || u.factor != 1 || isUnit {
			return "", r, d.fault(text, fmt.Sprintf("%q after a value code is not understood",
				rest), "write it like "+d.sample)
		}
	}
	return whole + "." + decimals, r, nil
}

func (p prefixes) find(letter string) (prefix, bool) {
	for _, x := range p {
		if x.letter == letter {
			return x, true
		}
	}
	return prefix{}, false
}

// refuse names what no quantity text may hold at all.
func refuse(body string) (why, cure string) {
	switch {
	case body == "":
		return "nothing is written", "give a number"
	case len(body) > maxText:
		return fmt.Sprintf("longer than %d bytes", maxText), "give one number with its unit"
	case !utf8.ValidString(body):
		return "the text is not valid UTF-8", "type it again"
	}
	return "", ""
}

// refuseNumber names the ways of writing a number that are not read, with the cure.
func refuseNumber(body string, d *Dimension) (why, cure string) {
	switch {
	case body == "":
		return "a sign and no number", "write it like " + d.sample
	case notNumbers().MatchString(body):
		return "not a finite number", "leave the figure out when it is not known"
	case strings.HasPrefix(strings.ToLower(body), "0x"):
		return "hexadecimal is not read", "write a decimal number"
	}
	if m := commaText().FindStringSubmatch(body); m != nil {
		if len(m[2]) == 3 && len(m[1]) <= 3 && m[1] != "0" {
			return "a comma may be a decimal comma or a thousands separator",
				fmt.Sprintf("write %s%s%s or %s.%s%s", m[1], m[2], m[3], m[1], m[2], m[3])
		}
		return "decimal comma", fmt.Sprintf("write %s.%s%s", m[1], m[2], m[3])
	}
	if g := groupedText().FindString(body); g != "" {
		return "thousands separator", "write " + ungroup.Replace(g)
	}
	if body[0] >= '0' && body[0] <= '9' && strings.Contains(body, ",") {
		return "a comma in a number", "write digits with a point for the decimals and nothing else"
	}
	return "", ""
}

// splitSign takes off a sign. Plus-or-minus is taken as plus, for tolerances are written so.
func (d *Dimension) splitSign(body string) (float64, string) {
	if d == dimRatio || d == dimTempCo {
		for _, both := range []string{"\u00b1", "+/-", "+-"} {
			if rest, ok := strings.CutPrefix(body, both); ok {
				return 1, strings.TrimSpace(rest)
			}
		}
	}
	for _, minus := range []string{"-", "\u2212"} {
		if rest, ok := strings.CutPrefix(body, minus); ok {
			return -1, strings.TrimSpace(rest)
		}
	}
	if rest, ok := strings.CutPrefix(body, "+"); ok {
		return 1, strings.TrimSpace(rest)
	}
	return 1, body
}

// withArticle puts the indefinite article before the name of a dimension.
func withArticle(name string) string {
	if strings.ContainsRune("aeiou", rune(name[0])) {
		return "an " + name
	}
	return "a " + name
}

// misfit is the error for a suffix that is no unit of d; it names the dimension the suffix does
// belong to.
func (d *Dimension) misfit(text, suffix string) error {
	cure := "write it like " + d.sample
	for _, o := range ordered {
		if o == d {
			continue
		}
		if o.fits(text) {
			return d.fault(text, fmt.Sprintf("%s does not fit where %s is wanted",
				withArticle(o.Name), withArticle(d.Name)), cure)
		}
	}
	return d.fault(text, fmt.Sprintf("%q is no unit of %s", suffix, d.Name), cure)
}

// fits tells whether text is a value of d with a unit.
func (d *Dimension) fits(text string) bool {
	_, body := d.splitSign(strings.TrimSpace(text))
	mantissa, exponent, rest := scanNumber(body)
	if rest = strings.TrimSpace(rest); mantissa != "" && rest != "" {
		_, known := d.words()[rest]
		_, bare := d.bare.find(rest)
		if known && !bare {
			return true
		}
	}
	code, ok := splitCode(body)
	return ok && exponent == "" && code.rest == "" && d.points != "" &&
		strings.Contains(d.points, code.letter)
}

func (d *Dimension) fault(text, why, cure string) error {
	if len(text) > maxText {
		cut := maxText
		for cut > 0 && !utf8.RuneStart(text[cut]) {
			cut--
		}
		text = text[:cut] + "..."
	}
	return fmt.Errorf("%s %q: %s; %s", d.Name, text, why, cure)
}
