package si

import "strconv"

// Digits of figures in documents. What is worked out rests on parts good for three digits at best;
// six keep every step of it and no noise. What was typed in keeps all that a reader of it can have
// meant; the sixteenth digit is the noise of the change of unit (0.312 mH read as
// 0.31200000000000006e-3 H).
const (
	derivedDigits = 6
	enteredDigits = 15
)

// Derived rounds a figure that was worked out to six significant digits.
func Derived(v float64) float64 { return significant(v, derivedDigits) }

// Entered rounds a figure that was typed in, or read from a table, to fifteen significant digits:
// it is the number as typed.
func Entered(v float64) float64 { return significant(v, enteredDigits) }

// significant rounds by way of decimal digits, so that the result is the number nearest to them and
// rounding it again changes nothing. Infinities and what is no number stay.
func significant(v float64, digits int) float64 {
	out, err := strconv.ParseFloat(strconv.FormatFloat(v, 'e', digits-1, 64), 64)
	if err != nil {
		return v // rounded up beyond the largest number
	}
	return out
}
