package si

import (
	"math"
	"strconv"
	"strings"
)

// defaultDigits is the number of significant digits of Text and ASCII.
const defaultDigits = 4

// Format writes q in engineering notation with its unit, "4.7 kΩ", rounded to the given number of
// significant digits (1 to 17), trailing zeros left out. The figure before the unit is never 1000
// or more where a larger prefix exists. Plain numbers carry neither prefix nor unit.
func Format[Q Quantity](q Q, digits int) string {
	return DimensionOf[Q]().Format(float64(q), digits)
}

// FormatASCII is Format in ASCII: ohm, u, degC, m2.
func FormatASCII[Q Quantity](q Q, digits int) string {
	return DimensionOf[Q]().FormatASCII(float64(q), digits)
}

// FormatExact writes q with as many digits as Parse needs to give back the very same number, in
// ASCII.
func FormatExact[Q Quantity](q Q) string { return DimensionOf[Q]().FormatExact(float64(q)) }

// Text is Format with four digits.
func Text[Q Quantity](q Q) string { return Format(q, defaultDigits) }

// ASCII is FormatASCII with four digits.
func ASCII[Q Quantity](q Q) string { return FormatASCII(q, defaultDigits) }

// Format writes v, given in the base unit of d; see the function Format.
func (d *Dimension) Format(v float64, digits int) string {
	return d.write(v, digits, func(s scale) string { return s.text }, d.Symbol)
}

// FormatASCII writes v in ASCII.
func (d *Dimension) FormatASCII(v float64, digits int) string {
	return d.write(v, digits, func(s scale) string { return s.ascii }, d.ASCII)
}

// FormatExact writes v so that d.Parse gives back the same number.
func (d *Dimension) FormatExact(v float64) string {
	return d.write(v, exact, func(s scale) string { return s.ascii }, d.ASCII)
}

// exact asks decimal for the shortest text that is read back as the same number.
const exact = 0

// write works on decimal digits, not on quotients, so that rounding up to the next decade moves the
// prefix along.
func (d *Dimension) write(v float64, digits int, unit func(scale) string, base string) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return strconv.FormatFloat(v, 'g', -1, 64)
	}
	negative, figures, exp := decimal(v, digits)
	s, fits := d.pick(exp)
	number, label := place(figures, exp-s.exp), unit(s)
	if !d.named {
		label += base
	}
	if !fits {
		number, label = scientific(figures, exp), base
	}
	if negative {
		number = "-" + number
	}
	if label == "" {
		return number
	}
	return number + " " + label
}

// decimal returns the sign, the significant digits without trailing zeros, and the power of ten of
// the first digit.
func decimal(v float64, digits int) (negative bool, figures string, exp int) {
	if v == 0 {
		return false, "0", 0
	}
	precision := -1
	if digits != exact {
		precision = min(max(digits, 1), 17) - 1
	}
	mantissa, power, _ := strings.Cut(strconv.FormatFloat(math.Abs(v), 'e', precision, 64), "e")
	exp, _ = strconv.Atoi(power)
	figures = strings.TrimRight(strings.Replace(mantissa, ".", "", 1), "0")
	return v < 0, figures, exp
}

// pick returns the scale for a number whose first digit has the power exp, and whether the number
// lies in its span.
func (d *Dimension) pick(exp int) (scale, bool) {
	if len(d.scales) == 1 {
		s := d.scales[0]
		return s, exp-s.exp < 15 && exp-s.exp > -6
	}
	last := d.scales[len(d.scales)-1]
	if exp < d.scales[0].exp || exp >= last.exp+3 {
		return last, false
	}
	best := d.scales[0]
	for _, s := range d.scales {
		if s.exp <= exp {
			best = s
		}
	}
	return best, true
}

// place writes digits whose first one stands at the given power of ten.
func place(figures string, exp int) string {
	switch {
	case exp < 0:
		return "0." + strings.Repeat("0", -exp-1) + figures
	case len(figures) <= exp+1:
		return figures + strings.Repeat("0", exp+1-len(figures))
	}
	return figures[:exp+1] + "." + figures[exp+1:]
}

// scientific writes digits with an exponent.
func scientific(figures string, exp int) string {
	if len(figures) > 1 {
		figures = figures[:1] + "." + figures[1:]
	}
	return figures + "e" + strconv.Itoa(exp)
}

// RKM writes a resistance as a value code of IEC 60062 with up to four significant digits: 4k7,
// 0R22, 10k, 1M5, 100R.
func RKM(r Resistance) string {
	if math.IsNaN(float64(r)) || math.IsInf(float64(r), 0) {
		return strconv.FormatFloat(float64(r), 'g', -1, 64)
	}
	negative, figures, exp := decimal(float64(r), defaultDigits)
	letter, shift := "R", 0
	switch {
	case exp >= 9:
		letter, shift = "G", 9
	case exp >= 6:
		letter, shift = "M", 6
	case exp >= 3:
		letter, shift = "k", 3
	}
	whole, decimals, _ := strings.Cut(place(figures, exp-shift), ".")
	code := whole + letter + decimals
	if negative {
		code = "-" + code
	}
	return code
}

// Percent writes a ratio in per cent, "5 %", with the given number of significant digits.
func Percent(r Ratio, digits int) string {
	if math.IsNaN(float64(r)) || math.IsInf(float64(r), 0) {
		return strconv.FormatFloat(float64(r), 'g', -1, 64)
	}
	negative, figures, exp := decimal(float64(r), digits)
	number := place(figures, exp+2)
	if figures == "0" {
		number = "0"
	}
	if negative {
		number = "-" + number
	}
	return number + " %"
}
