package codes

import (
	"strconv"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/pattern"
	"sparewright/catalog/si"
)

// The voltage of a zener diode or reference stands alone, with V for the point (IEC 60062 names no
// V; common practice, no source), or behind a type name, with a tolerance letter before it: A 1 %,
// B 2 %, C 5 %, D 10 % (European type key, from memory).
var (
	zenerAlone = pattern.OnFirstUse(`^([0-9]{1,3})[Vv]([0-9]{0,2})$`)
	zenerPoint = pattern.OnFirstUse(`^([0-9]{1,3}\.[0-9]{1,2}) ?V$`)
	zenerName  = pattern.OnFirstUse(`^(BZ[A-Z][0-9]{2}|BZ[A-Z]{2}[0-9]{0,2}|ZPD|ZPY|ZD)` +
		`-?([ABCD]?)-?([0-9]{1,3}(?:[V.][0-9]{1,2}|V)?)$`)
	zenerJEDEC = pattern.OnFirstUse(`^1N([0-9]{4})([ABCD]?)$`)
)

var zenerLetters = map[string]si.Ratio{"A": 0.01, "B": 0.02, "C": 0.05, "D": 0.1}

// zenerSteps are the voltages of the registered series from 3.3 V on, in the order of their numbers
// (JEDEC registrations 1N5226 to 1N5281 and 1N5333 to 1N5388, from memory); oneWatt those of 1N4728
// to 1N4764.
var (
	zenerSteps = []float64{3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6, 6.0, 6.2, 6.8, 7.5, 8.2, 8.7, 9.1, 10,
		11, 12, 13, 14, 15, 16, 17, 18, 19,
		20, 22, 24, 25, 27, 28, 30, 33, 36, 39, 43, 47, 51, 56, 60, 62, 68, 75, 82, 87, 91, 100,
		110, 120, 130, 140, 150, 160, 170, 180,
		190, 200}
	oneWatt = []float64{3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6, 6.2, 6.8, 7.5, 8.2, 9.1, 10, 11, 12, 13,
		15, 16, 18, 20, 22, 24, 27, 30, 33,
		36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91, 100}
)

// zenerReadings reads the voltage of a zener diode or reference.
func zenerReadings(mark string) []Reading {
	r := Reading{Kind: catalog.KindZener, Standard: Custom}
	text := ""
	switch m := zenerAlone().FindStringSubmatch(mark); {
	case m != nil && m[2] == "":
		text, r.How, r.rank = m[1], "zener or reference voltage", 16
	case m != nil:
		text, r.How, r.rank = m[1]+"."+m[2], "V stands for the point; zener or reference voltage", 4
	case zenerPoint().MatchString(mark):
		text, r.How, r.rank = zenerPoint().FindStringSubmatch(mark)[1],
			"zener or reference voltage", 6
	default:
		return namedZener(strings.ToUpper(mark))
	}
	return validZener(r, text)
}

// namedZener reads a type name.
func namedZener(name string) []Reading {
	if m := zenerName().FindStringSubmatch(name); m != nil {
		tol := zenerLetters[m[2]]
		r := Reading{Kind: catalog.KindZener, Standard: TypeKey, rank: 1,
			How: "type name that ends in the voltage", Tolerance: Tolerance{Below: tol, Above: tol}}
		return validZener(r, strings.TrimSuffix(strings.Replace(m[3], "V", ".", 1), "."))
	}
	m := zenerJEDEC().FindStringSubmatch(name)
	if m == nil {
		return nil
	}
	n, _ := strconv.Atoi(m[1])
	for _, s := range []struct {
		first   int
		volts   []float64
		power   si.Power
		letters map[string]si.Ratio
	}{
		{4728, oneWatt, 1, map[string]si.Ratio{"": 0.1, "A": 0.05, "C": 0.02, "D": 0.01}},
		{5226, zenerSteps, 0.5, map[string]si.Ratio{"": 0.2, "A": 0.1, "B": 0.05, "C": 0.02,
			"D": 0.01}},
		{5333, zenerSteps, 5, map[string]si.Ratio{"": 0.2, "A": 0.1, "B": 0.05, "C": 0.02,
			"D": 0.01}},
	} {
		tol, ok := s.letters[m[2]]
		if i := n - s.first; ok && i >= 0 && i < len(s.volts) {
			return []Reading{{Kind: catalog.KindZener, Volts: si.Voltage(s.volts[i]),
				Power:    s.power,
				Standard: JEDECList, rank: 1, Tolerance: Tolerance{Below: tol,
					Above: tol}, How: "registered number, read from memory"}}
		}
	}
	return nil
}

// validZener sets the voltage; only 1.5 to 300 V are made.
func validZener(r Reading, text string) []Reading {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || v < 1.5 || v > 300 {
		return nil
	}
	r.Volts = si.Voltage(v)
	return []Reading{r}
}
