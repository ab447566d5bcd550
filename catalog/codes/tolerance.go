package codes

import (
	"sparewright/catalog/si"
)

// Tolerance is what a tolerance letter means: Below and Above as ratios of the value, or Absolute
// for the letters that mean picofarads on values below 10 pF. The zero value is unknown.
type Tolerance struct {
	Letter       string
	Below, Above si.Ratio
	Absolute     si.Capacitance
}

// Known reports whether there is any tolerance.
func (t Tolerance) Known() bool { return t.Above > 0 || t.Absolute > 0 }

// Of returns the tolerance of a capacitance as one ratio, the larger side, which is what a record
// of a part holds; at most 0.9. It is 0 when unknown.
func (t Tolerance) Of(c si.Capacitance) si.Ratio {
	if t.Absolute > 0 && c > 0 {
		return min(0.9, si.Ratio(t.Absolute/c))
	}
	return min(0.9, max(t.Below, t.Above))
}

// letter is one tolerance letter of IEC 60062. picofarads is the meaning below 10 pF, 0 when it is
// no other.
type letter struct {
	letter       byte
	below, above float64
	picofarads   float64
}

// toleranceLetters are those of IEC 60062 (tables of symmetrical and asymmetrical tolerances).
// Sources: B, C, D, F, G, H, J, K, M, P, Z: printed tables of capacitor codes; N, T: Sanyo DP19649
// service manual p. 41; E, L, P below 0.1 %, Q, S, W: from memory of the standard. Two pages print
// 0.05 % for N, which is W.
var toleranceLetters = []letter{
	{'E', 0.00005, 0.00005, 0}, {'L', 0.0001, 0.0001, 0}, {'P', 0.0002, 0.0002, 0},
	{'W', 0.0005, 0.0005, 0}, {'B', 0.001, 0.001, 0.1}, {'C', 0.0025, 0.0025, 0.25},
	{'D', 0.005, 0.005, 0.5}, {'F', 0.01, 0.01, 1}, {'G', 0.02, 0.02, 2}, {'H', 0.03, 0.03, 0},
	{'J', 0.05, 0.05, 0}, {'K', 0.1, 0.1, 0}, {'M', 0.2, 0.2, 0}, {'N', 0.3, 0.3, 0},
	{'Q', 0.1, 0.3, 0}, {'S', 0.2, 0.5, 0}, {'T', 0.1, 0.5, 0}, {'Z', 0.2, 0.8, 0},
}

// oldP is the letter P on capacitors, where it meant -0/+100 % before it was 0.02 %; it comes
// first, being the wider one.
var oldP = letter{'P', 0, 1, 0}

// resistorTolerance reads a tolerance letter on a resistor; only the symmetric ones occur.
func resistorTolerance(c byte) (si.Ratio, bool) {
	for _, l := range toleranceLetters {
		if l.letter == c && l.below == l.above {
			return si.Ratio(l.below), true
		}
	}
	return 0, false
}

// capacitorTolerances reads a tolerance letter on a capacitor of the value c, the likelier meaning
// first. F and G mean picofarads below 10 pF, as B, C and D do (IEC 60062, from memory for F and
// G).
func capacitorTolerances(text string, c si.Capacitance) []Tolerance {
	var out []Tolerance
	for _, l := range append([]letter{oldP}, toleranceLetters...) {
		if string(l.letter) != text {
			continue
		}
		t := Tolerance{Letter: text, Below: si.Ratio(l.below), Above: si.Ratio(l.above)}
		if l.picofarads > 0 && c < 9.9995e-12 {
			t = Tolerance{Letter: text, Absolute: si.Capacitance(l.picofarads * si.Pico)}
		}
		out = append(out, t)
	}
	return out
}
