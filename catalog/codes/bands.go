package codes

import (
	"cmp"
	"math"
	"slices"

	"sparewright/catalog"
	"sparewright/catalog/si"
)

// ReadBands reads the colour bands of a resistor in the order typed and in the opposite one: three
// bands (two figures, multiplier, 20 %), four (and tolerance), five (three figures), six (and
// temperature coefficient), or one black band, the link of 0 ohm. Source: IEC 60062.
//
// A reading is possible when every band has a meaning in its place and the first figure is not 0.
// Values of a preferred-number series of IEC 60063 come first: when there is any, readings outside
// the series are dropped. Of what is left, the usual tolerances (1, 2, 5, 10 %) come before the
// rare ones, then the order typed. The error says which band is not a colour or why no reading
// exists.
func ReadBands(text string) ([]Resistor, error) {
	words := splitBands(text)
	if len(words) > 6 {
		return nil, fault("bands", text, "more than six", "type the bands of one resistor")
	}
	bands := make([]colour, len(words))
	for i, w := range words {
		c, ok := colourNamed(w)
		if !ok {
			return nil, fault("colour", w, "unknown",
				"use black brown red orange yellow green blue violet grey white gold silver")
		}
		bands[i] = c
	}
	if len(bands) == 1 && bands[0].name == "black" {
		return []Resistor{{Standard: IEC60062, How: "one black band: link"}}, nil
	}
	if len(bands) < 3 {
		return nil, fault("bands", text, "three to six bands are needed",
			"type them all, none for a missing tolerance band")
	}
	found := bothWays(bands)
	if len(found) == 0 {
		return nil, fault("bands", text, "no reading either way",
			"look again: red, orange and brown are easily taken for each other")
	}
	return found, nil
}

// bothWays reads forwards and backwards and sorts what is possible.
func bothWays(bands []colour) []Resistor {
	var found []Resistor
	forward, ok := oneWay(bands)
	if ok {
		forward.How = "read as typed"
		found = append(found, forward)
	}
	turned := slices.Clone(bands)
	slices.Reverse(turned)
	if r, ok := oneWay(turned); ok && !slices.Equal(turned, bands) {
		r.How = "read from the other end"
		found = append(found, r)
	}
	if slices.ContainsFunc(found, func(r Resistor) bool { return r.Series != "" }) {
		found = slices.DeleteFunc(found, func(r Resistor) bool { return r.Series == "" })
	}
	slices.SortStableFunc(found, func(a, b Resistor) int {
		return cmp.Compare(rarity(a), rarity(b))
	})
	return found
}

// rarity ranks readings: parts of 1, 2, 5 and 10 % and of 0.001 ohm to 100 Mohm are common, others
// rare.
func rarity(r Resistor) int {
	rank := 0
	if r.Tolerance < 0.01 || r.Tolerance > 0.1 {
		rank++
	}
	if r.Resistance < 0.1 || r.Resistance > 22e6 {
		rank += 2
	}
	return rank
}

// oneWay reads the bands from the first to the last.
func oneWay(bands []colour) (Resistor, bool) {
	figures := 2
	if len(bands) >= 5 {
		figures = 3
	}
	mantissa := 0
	for _, b := range bands[:figures] {
		if b.digit < 0 {
			return Resistor{}, false
		}
		mantissa = 10*mantissa + b.digit
	}
	multiplier := bands[figures]
	if bands[0].digit == 0 || !multiplier.counts {
		return Resistor{}, false
	}
	r := Resistor{Resistance: scaled(mantissa, multiplier.exponent), Tolerance: 0.2,
		Standard: IEC60062}
	if len(bands) > figures+1 {
		r.Tolerance = si.Ratio(bands[figures+1].tolerance)
	}
	if len(bands) > figures+2 {
		r.Drift = bands[figures+2].drift()
		if r.Drift == 0 {
			return Resistor{}, false
		}
	}
	r.Series = seriesOf(mantissa, figures)
	return r, r.Tolerance > 0
}

// scaled is mantissa times a power of ten, dividing below 1 so that the result is the nearest
// binary number.
func scaled(mantissa, exponent int) si.Resistance {
	if exponent < 0 {
		return si.Resistance(float64(mantissa) / math.Pow10(-exponent))
	}
	return si.Resistance(float64(mantissa) * math.Pow10(exponent))
}

// seriesOf names the coarsest series that holds the figures: E24 and coarser for two figures, all
// for three.
func seriesOf(mantissa, figures int) string {
	names := []string{"E3", "E6", "E12", "E24"}
	if figures == 3 {
		names = append(names, "E48", "E96", "E192")
	}
	for _, n := range names {
		if mantissa > 0 && catalog.InSeries(si.Resistance(mantissa), n) {
			return n
		}
	}
	return ""
}

// Bands returns the colour bands of a resistor of value r and tolerance tol: four bands for a value
// of E24 with a tolerance of 2 % or coarser, else five; the missing band of 20 % is none. Zero ohm
// is one black band. Errors: a value with more than three figures, outside 0.01 ohm to 999 Gohm, or
// a tolerance without a colour.
func Bands(r si.Resistance, tol si.Ratio) ([]Colour, error) {
	if r == 0 {
		return []Colour{"black"}, nil
	}
	t, ok := colourOf(func(c colour) bool {
		return c.tolerance > 0 && math.Abs(c.tolerance-float64(tol)) < 1e-9
	})
	if !ok {
		return nil, fault("tolerance", si.Percent(tol, 3), "has no colour",
			"use 20, 10, 5, 2, 1, 0.5, 0.25, 0.1, 0.05, 0.02 or 0.01 %")
	}
	digits, exponent, err := threeFigures(r)
	if err != nil {
		return nil, err
	}
	if tol >= 0.02 && catalog.InSeries(r, "E24") {
		digits, exponent = digits/10, exponent+1
	}
	m, ok := colourOf(func(c colour) bool { return c.counts && c.exponent == exponent })
	if !ok {
		return nil, fault("resistance", si.RKM(r), "has no colour code",
			"write the value in figures")
	}
	var out []Colour
	for _, d := range []int{digits / 100, digits / 10 % 10, digits % 10} {
		if digits >= 100 || len(out) > 0 || d > 0 {
			out = append(out, colourOfDigit(d))
		}
	}
	return append(out, m, t), nil
}

// threeFigures splits a value into three figures from 100 to 999 and a power of ten.
func threeFigures(r si.Resistance) (digits, exponent int, err error) {
	v := float64(r)
	if !(v >= 1e-3 && v < 1e12) {
		return 0, 0, fault("resistance", si.RKM(r), "outside 0.001 ohm to 1 Tohm",
			"check the value")
	}
	exponent = int(math.Floor(math.Log10(v))) - 2
	digits = int(math.Round(v / math.Pow10(exponent)))
	if digits >= 1000 {
		digits, exponent = digits/10, exponent+1
	}
	if back := float64(scaled(digits, exponent)); math.Abs(back/v-1) > 1e-9 {
		return 0, 0, fault("resistance", si.RKM(r), "has more than three figures",
			"round it to a preferred value")
	}
	return digits, exponent, nil
}
