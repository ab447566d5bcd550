package codes

import (
	"strings"

	"sparewright/catalog/si"
)

// Tolerance is what a tolerance letter means: Below and Above as ratios of the value, or Absolute for the letters that mean
// picofarads on values below 10 pF. The zero value is unknown.
type Tolerance struct {
	Letter       string
	Below, Above si.Ratio
	Absolute     si.Capacitance
}

// Known reports whether there is any tolerance.
func (t Tolerance) Known() bool { return t.Letter != "" }

// Of returns the tolerance of a capacitance as one ratio, the larger side, which is what a record of a part holds; at most
// 0.9. It is 0 when unknown.
func (t Tolerance) Of(c si.Capacitance) si.Ratio {
	if t.Absolute > 0 && c > 0 {
		return min(0.9, si.Ratio(t.Absolute/c))
	}
	return min(0.9, max(t.Below, t.Above))
}

// letter is one tolerance letter of IEC 60062. picofarads is the meaning below 10 pF, 0 when it is no other.
type letter struct {
	letter       byte
	below, above float64
	picofarads   float64
}

// toleranceLetters are those of IEC 60062. Sources: B, C, D, F, G, H, J, K, M, P, Z: printed tables of capacitor codes; N, T:
// Sanyo DP19649 service manual p. 41; S, W, L, E: from memory. Two pages print 0.05 % for N, which is W.
var toleranceLetters = []letter{
	{'L', 0.0001, 0.0001, 0}, {'P', 0.0002, 0.0002, 0}, {'W', 0.0005, 0.0005, 0}, {'B', 0.001, 0.001, 0.1},
	{'C', 0.0025, 0.0025, 0.25}, {'D', 0.005, 0.005, 0.5}, {'F', 0.01, 0.01, 1}, {'G', 0.02, 0.02, 2},
	{'H', 0.03, 0.03, 0}, {'J', 0.05, 0.05, 0}, {'K', 0.1, 0.1, 0}, {'M', 0.2, 0.2, 0}, {'N', 0.3, 0.3, 0},
	{'S', 0.2, 0.5, 0}, {'T', 0.1, 0.5, 0}, {'Z', 0.2, 0.8, 0},
}

// capacitorP is the letter P on capacitors, where it means -0/+100 %; on resistors it is 0.02 %.
var capacitorP = letter{'P', 0, 1, 0}

// resistorTolerance reads a tolerance letter on a resistor; only the symmetric ones occur.
func resistorTolerance(c byte) (si.Ratio, bool) {
	for _, l := range toleranceLetters {
		if l.letter == c && l.below == l.above {
			return si.Ratio(l.below), true
		}
	}
	return 0, false
}

// capacitorTolerance reads a tolerance letter on a capacitor of the value c. F and G mean picofarads below 10 pF, as B, C
// and D do (IEC 60062, from memory for F and G).
func capacitorTolerance(text string, c si.Capacitance) (Tolerance, bool) {
	if len(text) != 1 {
		return Tolerance{}, false
	}
	for _, l := range append([]letter{capacitorP}, toleranceLetters...) {
		if !strings.EqualFold(string(l.letter), text) || l.letter == 'L' || l.letter == 'W' {
			continue
		}
		t := Tolerance{Letter: string(l.letter), Below: si.Ratio(l.below), Above: si.Ratio(l.above)}
		if l.picofarads > 0 && c < 9.9995e-12 {
			t = Tolerance{Letter: t.Letter, Absolute: si.Capacitance(l.picofarads * si.Pico)}
		}
		return t, true
	}
	return Tolerance{}, false
}

// voltageCodes are the rungs of the voltage code: a figure for the power of ten and a letter. Sources: 0G to 3A of a
// printed EIA table, D, V, S and the codes from 2K on from memory (JIS C 5101-1).
var voltageCodes = map[string]si.Voltage{
	"0G": 4, "0L": 5.5, "0J": 6.3, "1A": 10, "1C": 16, "1D": 20, "1E": 25, "1V": 35, "1H": 50, "1J": 63, "1K": 80,
	"2A": 100, "2Q": 110, "2B": 125, "2C": 160, "2Z": 180, "2D": 200, "2P": 220, "2E": 250, "2S": 275, "2F": 315, "2V": 350,
	"2G": 400, "2W": 450, "2H": 500, "2J": 630, "2K": 800, "3A": 1000, "3B": 1250, "3C": 1600, "3D": 2000,
}

// VoltageCode reads a two-character voltage code such as 1H, 50 V dc.
func VoltageCode(text string) (si.Voltage, bool) {
	v, ok := voltageCodes[strings.ToUpper(text)]
	return v, ok
}
