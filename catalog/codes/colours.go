package codes

import (
	"slices"
	"strings"

	"sparewright/catalog/si"
)

// Colour is a band of the colour code by its English name.
type Colour string

// colour is one row of the colour table. Digit is -1, Tolerance and Drift 0 where the colour has no
// such meaning.
type colour struct {
	name      Colour
	short     string // IEC 60757
	digit     int
	exponent  int
	tolerance float64
	ppm       float64
	counts    bool // whether it can be a multiplier
}

// colours is the table of IEC 60062:2016: figure, multiplier, tolerance, temperature coefficient in
// ppm/K. Before 2016 grey meant 0.05 % and orange and yellow none; such parts are rare.
var colours = []colour{
	{"black", "BK", 0, 0, 0, 250, true}, {"brown", "BN", 1, 1, 0.01, 100, true},
	{"red", "RD", 2, 2, 0.02, 50, true}, {"orange", "OG", 3, 3, 0.0005, 15, true},
	{"yellow", "YE", 4, 4, 0.0002, 25, true}, {"green", "GN", 5, 5, 0.005, 20, true},
	{"blue", "BU", 6, 6, 0.0025, 10, true}, {"violet", "VT", 7, 7, 0.001, 5, true},
	{"grey", "GY", 8, 8, 0.0001, 1, true}, {"white", "WH", 9, 9, 0, 0, true},
	{"gold", "GD", -1, -1, 0.05, 0, true}, {"silver", "SR", -1, -2, 0.1, 0, true},
	{"pink", "PK", -1, -3, 0, 0, true},
	{"none", "", -1, 0, 0.2, 0, false},
}

// Code is the two letters of IEC 60757 for the colour; empty for none and for what is no colour of
// the code.
func (c Colour) Code() string {
	if row, ok := colourNamed(string(c)); ok {
		return row.short
	}
	return ""
}

// otherNames are what people also write. The two-letter forms beside IEC 60757 are common practice,
// no source.
var otherNames = map[string]Colour{
	"gray": "grey", "purple": "violet", "mauve": "violet", "golden": "gold", "blank": "none",
	"bare": "none", "blk": "black",
	"brn": "brown", "org": "orange", "yel": "yellow", "grn": "green", "blu": "blue",
	"vio": "violet", "gry": "grey",
	"wht": "white", "gld": "gold", "sil": "silver", "slv": "silver",
}

// colourNamed reads one word: the full name, a short form or a code of IEC 60757.
func colourNamed(word string) (colour, bool) {
	word = strings.ToLower(strings.TrimSpace(word))
	if name, ok := otherNames[word]; ok {
		word = string(name)
	}
	i := slices.IndexFunc(colours, func(c colour) bool {
		return string(c.name) == word || c.short != "" && strings.EqualFold(c.short, word)
	})
	if i < 0 {
		return colour{}, false
	}
	return colours[i], true
}

// colourOfDigit is the band of a figure.
func colourOfDigit(d int) Colour { return colours[d].name }

func colourOf(match func(colour) bool) (Colour, bool) {
	i := slices.IndexFunc(colours, match)
	if i < 0 {
		return "", false
	}
	return colours[i].name, true
}

// splitBands cuts a text into its colour words: brown-black-red, brown black red, BN/BK/RD.
func splitBands(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool {
		return strings.ContainsRune("-,/ \t\u2013;|", r)
	})
}

// LooksLikeBands reports whether text is two or more words of which at least half are colours, so
// that a mistyped colour is still told as such.
func LooksLikeBands(text string) bool {
	words, known := splitBands(text), 0
	for _, w := range words {
		if _, ok := colourNamed(w); ok {
			known++
		}
	}
	return len(words) >= 2 && 2*known >= len(words)
}

// drift returns the temperature coefficient of a band.
func (c colour) drift() si.TempCo { return si.TempCo(c.ppm * 1e-6) }
