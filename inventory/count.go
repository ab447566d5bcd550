package inventory

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// What the two words for an uncounted heap stand for. They are cautious stand-ins, common practice,
// no source.
const (
	Some   = 3
	Plenty = 20
)

// MaxCount is the largest count of one lot, in pieces or metres.
const MaxCount = 1e6

// RoundCount rounds a count to a thousandth, that is to the millimetre for wire. Counts are added
// and subtracted for years; without this a spool used up in ten equal lengths would keep a
// remainder of 1e-16 m.
func RoundCount(n float64) float64 { return math.Round(n*1000) / 1000 }

// FormatCount writes a count without trailing zeros: "20", "12.5". ParseCount reads it back
// exactly.
func FormatCount(n float64) string { return strconv.FormatFloat(n, 'f', -1, 64) }

var lengthUnits = []struct {
	suffix string
	metres float64
}{ // longest first, so that "mm" is not taken for "m"
	{"metres", 1}, {"metre", 1}, {"mm", 1e-3}, {"cm", 1e-2}, {"km", 1e3}, {"m", 1},
}

var pieceWords = []string{"pieces", "piece", "pcs", "pc"}

// ParseCount reads a count in the unit given: "20", "x20", "20 pcs", "12.5m", "80 cm". "some"
// counts as 3 and "plenty" as
//  20. A stated minimum (">=10", "10+", "at least 10") counts as that minimum. Metres are kept to
//     the millimetre. Zero,
//
// negative, fractional pieces and what is no number are refused with the cure.
func ParseCount(text string, unit Unit) (float64, error) {
	word := strings.ToLower(strings.TrimSpace(text))
	switch word {
	case "":
		return 0, countFault(text, "empty", "write a number, some or plenty")
	case "some":
		return Some, nil
	case "plenty":
		return Plenty, nil
	}
	return parseNumberOf(text, bareCount(word), unit)
}

// bareCount strips the marks of a stated minimum and the multiplication sign: ">= 10", "10+", "at
// least 10", "x20", "20x".
func bareCount(word string) string {
	for _, mark := range []string{"at least", ">=", "\u2265"} {
		word = strings.TrimSpace(strings.TrimPrefix(word, mark))
	}
	word = strings.TrimSpace(strings.TrimSuffix(word, "+"))
	if rest, ok := strings.CutPrefix(word, "x"); ok {
		return strings.TrimSpace(rest)
	}
	if rest, ok := strings.CutSuffix(word, "x"); ok {
		return strings.TrimSpace(rest)
	}
	return word
}

func parseNumberOf(text, word string, unit Unit) (float64, error) {
	if strings.Contains(word, ",") {
		return 0, countFault(text, "decimal comma or thousands separator", "write 12.5 or 1200")
	}
	number, scale, err := splitCountUnit(text, word, unit)
	if err != nil {
		return 0, err
	}
	// hexadecimal floats and digit groups, which ParseFloat would take
	if strings.ContainsAny(number, "xp_") {
		return 0, countFault(text, "not a count", "write a number such as 20, some or plenty")
	}
	n, err := strconv.ParseFloat(number, 64)
	if err != nil {
		return 0, countFault(text, "not a count", "write a number such as 20, some or plenty")
	}
	return RoundCount(n * scale), checkCount(text, n*scale, unit)
}

// splitCountUnit takes the unit off the end and returns what it is worth in the unit of the lot.
func splitCountUnit(text, word string, unit Unit) (number string, scale float64, err error) {
	for _, w := range pieceWords {
		if rest, ok := strings.CutSuffix(word, w); ok {
			if unit == Metres {
				return "", 0, countFault(text, "wire and tape are counted in metres",
					"write a length such as 12.5m")
			}
			return strings.TrimSpace(rest), 1, nil
		}
	}
	for _, u := range lengthUnits {
		if rest, ok := strings.CutSuffix(word, u.suffix); ok {
			if unit != Metres {
				return "", 0, countFault(text, "this is counted in pieces",
					"write a whole number such as 20")
			}
			return strings.TrimSpace(rest), u.metres, nil
		}
	}
	return word, 1, nil
}

// CheckCount tells whether n can be the count of a lot or of what is taken from one: above zero, at
// most a million, whole for pieces, whole millimetres for metres.
func CheckCount(n float64, unit Unit) error { return checkCount(FormatCount(n), n, unit) }

func checkCount(text string, n float64, unit Unit) error {
	switch {
	case math.IsNaN(n) || math.IsInf(n, 0):
		return countFault(text, "not a count", "write a number such as 20, some or plenty")
	case n < 0:
		return countFault(text, "negative", "write what there is; take removes")
	case n == 0:
		return countFault(text, "nothing", "write at least 1, or leave the line out")
	case n > MaxCount:
		return countFault(text, "more than a million", "check the number")
	case unit != Metres && n != math.Trunc(n):
		return countFault(text, "a fraction of a piece", "write a whole number")
	case unit == Metres && math.Abs(n-RoundCount(n)) > 1e-9*math.Max(1, n):
		return countFault(text, "finer than a millimetre",
			"write "+FormatCount(math.Max(0.001, RoundCount(n)))+"m")
	}
	return nil
}

// RoundUpCount is what has to be held back for a need of n: the next millimetre for metres, n
// itself for pieces.
func RoundUpCount(n float64, unit Unit) float64 {
	if unit != Metres {
		return n
	}
	// the 1e-6 of a millimetre forgives the last bit of a sum
	return RoundCount(math.Ceil(n*1000-1e-6) / 1000)
}

func countFault(text, why, cure string) error {
	return DataError{Msg: fmt.Sprintf("count %q: %s; %s", text, why, cure)}
}
