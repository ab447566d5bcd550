package codes

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/si"
)

// What only tests ask for.

// BandText joins colours as ReadBands reads them.
func BandText(bands []Colour) string {
	words := make([]string, len(bands))
	for i, b := range bands {
		words[i] = string(b)
	}
	return strings.Join(words, "-")
}

// CapacitorCode returns the three-figure code of a capacitance in pF. Errors: below 0.1 pF, above
// 99 uF (where the value is printed in full), or more than two figures.
func CapacitorCode(c si.Capacitance) (string, error) {
	p := float64(c) * 1e12
	if !(p >= 0.0999999 && p < 9.95e7) {
		return "", fault("capacitance", si.ASCII(c), "has no three-figure code", "write it in full")
	}
	exponent := int(math.Floor(math.Log10(p)+1e-9)) - 1
	digits := int(math.Round(p / math.Pow10(exponent)))
	if math.Abs(float64(digits)*math.Pow10(exponent)/p-1) > 1e-9 {
		return "", fault(
			"capacitance",
			si.ASCII(c),
			"has more than two figures",
			"write it with a letter, such as 4n75",
		)
	}
	switch {
	case exponent >= 0:
		return fmt.Sprintf("%d%d", digits, exponent), nil
	case exponent == -1:
		return fmt.Sprintf("%d9", digits), nil
	}
	return fmt.Sprintf("%d8", digits), nil
}

// Colours lists the colour names in the order of their figures, then gold, silver, pink and none.
func Colours() []Colour {
	out := make([]Colour, len(colours))
	for i, c := range colours {
		out[i] = c.name
	}
	return out
}

// ReadElectrolytic reads what is printed on an electrolytic or polymer capacitor, where a number
// alone is in uF and codes such as 107 (100 uF) stand on the small ones. Errors: no reading.
func ReadElectrolytic(mark string) ([]Reading, error) {
	found := capacitorReadings(strings.TrimSpace(mark))
	found = slices.DeleteFunc(
		found,
		func(r Reading) bool { return r.Capacitance < smallestElectrolytic },
	)
	for i, r := range found {
		if r.micro {
			found[i].rank = 4
		}
	}
	if found = settled(found); len(found) > 0 {
		return found, nil
	}
	return nil, fault(
		"electrolytic mark",
		mark,
		"not understood",
		"type it as printed: 47, 470u or 107",
	)
}

// SMD returns the code of a chip resistor: three figures where two figures do, four where three are
// needed, a letter R for the point below 10 ohm (100 ohm for three figures). Errors: more than
// three figures, below 0.001 ohm, above 999 Mohm.
func SMD(r si.Resistance) (string, error) {
	if r == 0 {
		return "0", nil
	}
	digits, exponent, err := threeFigures(r)
	if err != nil {
		return "", err
	}
	if digits%10 == 0 {
		digits, exponent = digits/10, exponent+1
	}
	switch {
	case exponent > 9:
		return "", fault("resistance", si.RKM(r), "too large for a figure code",
			"write it in words")
	case exponent >= 0:
		return fmt.Sprintf("%d%d", digits, exponent), nil
	}
	text := fmt.Sprintf("%0*d", -exponent, digits)
	return text[:len(text)+exponent] + "R" + text[len(text)+exponent:], nil
}

// EIA96Code returns the EIA-96 code of a resistor of 1 %. Errors: no value of E96, or outside 0.1
// ohm to 97.6 Mohm.
func EIA96Code(r si.Resistance) (string, error) {
	digits, exponent, err := threeFigures(r)
	if err != nil {
		return "", err
	}
	i := slices.IndexFunc(
		catalog.ESeries("E96"),
		func(v float64) bool { return int(math.Round(v*100)) == digits },
	)
	if i < 0 {
		return "", fault(
			"resistance",
			si.RKM(r),
			"no value of E96",
			"the nearest is "+si.RKM(catalog.Nearest(r, "E96")),
		)
	}
	for _, l := range []byte("ZYXABCDEF") {
		if eiaLetters[l] == exponent {
			return fmt.Sprintf("%02d%c", i+1, l), nil
		}
	}
	return "", fault("resistance", si.RKM(r), "outside the EIA-96 code", "write it in figures")
}
