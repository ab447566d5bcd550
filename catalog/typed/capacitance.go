package typed

import (
	"math"
	"strconv"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/codes"
	"sparewright/catalog/pattern"
	"sparewright/catalog/si"
)

// What a capacitance can be at all, in farad: the range of the figure.
const (
	leastFarad = 1e-13
	mostFarad  = 0.5
)

var (
	letteredText = pattern.OnFirstUse(`^([0-9]*\.?[0-9]+)([A-Z])$`)
	withUnit     = pattern.OnFirstUse(`[pnumkMG\x{b5}\x{3bc}] ?F$`)
	decimalCode  = pattern.OnFirstUse(`^[0-9]*[pnu\x{b5}\x{3bc}][0-9]+[A-Z]$`)
)

// Capacitance reads the value of a capacitor: 470u, 4n7, 0.1uF, 1m (a thousand uF), and what is
// printed without a unit, which depends on the dielectric: electrolytics are printed in uF,
// decimals are uF, small ceramics pF, three figures a code of IEC 60062 (104 is 100 nF). Bare
// numbers with two readings are refused. A tolerance letter and a voltage code may stand with a
// code.
func Capacitance(text, dielectric string) (Value, error) {
	body := strings.TrimSpace(text)
	if bareText().MatchString(body) {
		return bareCapacitance(text, body, dielectric, false)
	}
	if m := letteredText().FindStringSubmatch(body); m != nil && m[2] != "F" {
		v, err := bareCapacitance(text, m[1], dielectric, true)
		if err != nil {
			return Value{}, err
		}
		return withLetter(v, text, body)
	}
	v, err := si.Parse[si.Capacitance](body)
	sane := err == nil && v >= leastFarad && v <= mostFarad
	if err == nil && withUnit().MatchString(body) || sane && !decimalCode().MatchString(body) {
		return Value{Number: float64(v)}, nil
	}
	// small letters are prefixes or exponents; codes have K and E
	if sane || !strings.ContainsAny(body, "mke") {
		if all, codeErr := codes.ReadCapacitor(body); codeErr == nil {
			return oneCode(text, all)
		}
	}
	if sane || err == nil {
		return Value{Number: float64(v)}, nil // the check of the range refuses what cannot be
	}
	return Value{}, asFault("capacitance", text, err)
}

// withLetter adds the tolerance that the letter behind a bare number means.
func withLetter(v Value, text, body string) (Value, error) {
	all, err := codes.ReadCapacitor(body)
	if err != nil {
		return Value{}, asFault("capacitance", text, err)
	}
	v.Tolerance = all[0].Tolerance
	return v, nil
}

// oneCode takes the readings of a code when they agree.
func oneCode(text string, all []codes.Capacitor) (Value, error) {
	var readings []reading
	for _, c := range all {
		readings = append(readings, reading{number: float64(c.Capacitance),
			typed: si.ASCII(c.Capacitance)})
	}
	for _, r := range readings[1:] {
		if math.Abs(r.number/readings[0].number-1) > 1e-9 {
			return Value{}, between("capacitance", text, readings)
		}
	}
	c := all[0]
	return Value{Number: float64(c.Capacitance), Tolerance: c.Tolerance, Volts: c.Volts}, nil
}

// bareCapacitance reads a number without a unit by the dielectric. lettered tells that a tolerance
// letter stood behind it, as on ceramics and films.
func bareCapacitance(text, body, dielectric string, lettered bool) (Value, error) {
	readings := printedCapacitances(body, dielectric, lettered)
	switch len(readings) {
	case 0:
		return Value{}, catalog.Fault{Field: "capacitance", Input: text, Why: "no unit",
			Cure: "write it with one, such as " + body + "uF, " + body + "nF or " + body + "pF"}
	case 1:
		return Value{Number: readings[0].number, Said: said("capacitance", text, readings[0])}, nil
	}
	return Value{}, between("capacitance", text, readings)
}

// printedCapacitances lists what a bare number on a capacitor may mean. Common practice, no source,
// except the figure code of IEC 60062: electrolytics in uF, 0.1 uF and more; decimals in uF, on
// ceramics in pF too from 0.5 pF; one or two figures pF on ceramics; three figures a code unless
// they end in 0, where some makers print the plain number.
func printedCapacitances(body, dielectric string, lettered bool) []reading {
	wet := dielectric == "electrolytic" || dielectric == "polymer"
	ceramic := strings.HasPrefix(dielectric, "ceramic")
	unit := func(unit string) []reading {
		v, err := si.Parse[si.Capacitance](body + unit)
		if err != nil || v < leastFarad || v > mostFarad {
			return nil
		}
		return []reading{{number: float64(v), typed: strings.TrimPrefix(body, "+") + " " + unit}}
	}
	figures := strings.TrimLeft(body, "0123456789") == ""
	number, _ := strconv.ParseFloat(body, 64)
	switch {
	case number == 0:
		return nil
	case !figures && ceramic && number >= 0.5:
		return append(unit("uF"), unit("pF")...)
	case !figures:
		return unit("uF")
	case len(body) <= 2 && ceramic:
		return unit("pF")
	case len(body) <= 2 && wet:
		return unit("uF")
	case len(body) <= 2:
		return append(unit("pF"), unit("uF")...)
	case body[0] == '0' || len(body) > 4:
		if wet {
			return unit("uF")
		}
		return nil
	}
	return codeOrPlain(body, wet, ceramic || lettered, unit)
}

// codeOrPlain weighs the figure code against the plain number, for three or four figures.
func codeOrPlain(body string, wet, small bool, unit func(string) []reading) []reading {
	n := len(body) - 1
	exponent := map[byte]int{'8': -2, '9': -1}[body[n]] // else the number of noughts
	if exponent == 0 {
		exponent = int(body[n] - '0')
	}
	farad, err := si.Parse[si.Capacitance](body[:n] + "e" + strconv.Itoa(exponent-12))
	if err != nil {
		return nil
	}
	code := reading{number: float64(farad), typed: si.ASCII(farad),
		how: "the code for " + si.ASCII(farad)}
	round := strings.HasSuffix(body, "0")
	switch {
	case wet && round:
		return unit("uF")
	case wet && len(body) == 3 && code.number >= 0.1e-6:
		return []reading{code} // 107 uF is no value that is made
	case wet:
		return append([]reading{code}, unit("uF")...)
	case !round:
		return []reading{code}
	case small:
		return append([]reading{code}, unit("pF")...)
	}
	return append(append([]reading{code}, unit("pF")...), unit("uF")...)
}
