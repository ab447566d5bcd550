package typed

import (
	"slices"
	"strconv"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/codes"
	"sparewright/catalog/pattern"
	"sparewright/catalog/si"
)

var (
	codeText  = pattern.OnFirstUse(`^[1-9][0-9]{2,3}$`)
	pointE    = pattern.OnFirstUse(`^([0-9]+)[eE]([0-9]*)$`)
	valueCode = pattern.OnFirstUse(`^[0-9]*[RrKkMGL][0-9]*[A-Z]?$`)
	figuresKM = pattern.OnFirstUse(`^[1-9][0-9]{2,3}[KM]$`)
	eMark     = pattern.OnFirstUse(`^[0-9]+E[0-9]*[BCDFGJ]$`)
)

// Resistance reads the value of a resistor or trimmer: 4k7, 0R22, 100m (milliohm), 0.1 ohm, 4K7J
// with its tolerance. Three or four bare figures are refused, for they are also a code (103 is 10
// kohm by IEC 60062). So is E, which stands for the point on old parts (4E7 is 4.7 ohm) and for the
// exponent in numbers.
func Resistance(text string) (Value, error) { return resistance(text, false) }

// MeasuredResistance is Resistance for what a meter showed: figures that are the code of no
// preferred value are ohms (990, 4683).
func MeasuredResistance(text string) (Value, error) { return resistance(text, true) }

func resistance(text string, measured bool) (Value, error) {
	body := strings.TrimSpace(text)
	if codeText().MatchString(body) {
		return ohmsOrCode(text, body, measured)
	}
	if m := pointE().FindStringSubmatch(body); m != nil {
		return pointOrExponent(text, body, m)
	}
	v, err := si.Parse[si.Resistance](body)
	if err != nil {
		return markedResistance(text, body, err)
	}
	if figuresKM().MatchString(body) {
		return prefixOrTolerance(text, body, v)
	}
	return Value{Number: float64(v)}, nil
}

// prefixOrTolerance reads 101M and 103K, where the letter is a prefix or the tolerance behind a
// code. Where the code is the likelier reading neither is taken.
func prefixOrTolerance(text, body string, v si.Resistance) (Value, error) {
	all, err := codes.ReadMark(catalog.KindResistor, body)
	if err != nil || near(float64(all[0].Resistance), float64(v)) {
		return Value{Number: float64(v)}, nil
	}
	r := all[0].Resistance
	return Value{}, between("resistance", text, []reading{{typed: si.RKM(v), how: si.ASCII(v)},
		{typed: si.RKM(r), how: "the code for " + si.ASCII(r) + " with its tolerance"}})
}

// markedResistance reads a code that is no number: 4K7J, 103J, 01C, 4E7J. Of several readings none
// is taken; E before what may be a prefix too, 1e3k, is refused.
func markedResistance(text, body string, why error) (Value, error) {
	all, err := codes.ReadMark(catalog.KindResistor, body)
	if err != nil || codes.LooksLikeBands(body) || all[0].Link ||
		strings.ContainsAny(body, "Ee") && !eMark().MatchString(body) {
		return Value{}, asFault("resistance", text, why)
	}
	var readings []reading
	for _, r := range all {
		if !slices.ContainsFunc(readings,
			func(o reading) bool { return near(o.number, float64(r.Resistance)) }) {
			readings = append(readings, reading{number: float64(r.Resistance),
				typed: si.RKM(r.Resistance)})
		}
	}
	if len(readings) > 1 {
		return Value{}, between("resistance", text, readings)
	}
	v := Value{Number: readings[0].number}
	if !all[0].Customary {
		v.Within = all[0].Tolerance.Above
	}
	if !valueCode().MatchString(body) {
		v.Said = said("resistance", text, readings[0])
	}
	return v, nil
}

// preferred tells whether a value is one that resistors of that many figures are made in (IEC
// 60063), or trimmers: 1, 2, 2.5, 5 (common practice, no source).
func preferred(r si.Resistance, figures int) bool {
	digits, _, _ := strings.Cut(strconv.FormatFloat(float64(r), 'e', -1, 64), "e")
	if catalog.InSeries(r, "E24") || digits == "2.5" || digits == "5" {
		return true
	}
	return figures > 2 && catalog.InSeries(r, "E96")
}

// ohmsOrCode reads three or four figures.
func ohmsOrCode(text, body string, measured bool) (Value, error) {
	ohms, err := si.Parse[si.Resistance](body)
	if err != nil {
		return Value{}, asFault("resistance", text, err)
	}
	all, err := codes.ReadSMD(body)
	if err != nil || len(all) == 0 || measured && !preferred(all[0].Resistance, len(body)-1) {
		return Value{Number: float64(ohms),
			Said: said("resistance", text, reading{typed: si.ASCII(ohms)})}, nil
	}
	return Value{}, catalog.Fault{Field: "resistance", Input: text,
		Why: mayBe + body + " ohm or the code for " +
			si.ASCII(all[0].Resistance), Cure: "write " + body + "R or " +
			si.RKM(all[0].Resistance)}
}

// mostOhm is the highest resistance a part may have.
const mostOhm = 1e9

// pointOrExponent reads 4E7 and 22E: E for the point, the exponent of a number, or the multiplier
// of EIA-96.
func pointOrExponent(text, body string, m []string) (Value, error) {
	point, pointErr := si.Parse[si.Resistance](m[1] + "R" + m[2])
	mark := reading{number: float64(point), typed: m[1] + "R" + m[2],
		how: si.ASCII(point) + " with E for the point"}
	noughts := len(m[1]) > 1 && m[1][0] == '0' // 04E is no mark: nobody prints 4 ohm so
	marked := pointErr == nil && len(m[2]) < 3 && preferred(point, 3) && !noughts
	if m[2] == "" {
		all, err := codes.ReadSMD(body)
		if err == nil && len(all) > 0 && noughts {
			coded := reading{typed: si.RKM(all[0].Resistance)}
			return Value{Number: float64(all[0].Resistance), Said: said("resistance", text, coded)},
				nil
		}
		if err != nil || len(all) == 0 {
			return Value{Number: float64(point), Said: said("resistance", text, mark)}, pointErr
		}
		return Value{}, between("resistance", text,
			[]reading{mark, {typed: si.RKM(all[0].Resistance),
				how: si.ASCII(all[0].Resistance) + " as a code of EIA-96"}})
	}
	number, err := si.Parse[si.Resistance](strings.ToLower(body))
	switch {
	case err != nil:
		return Value{}, asFault("resistance", text, err)
	case !marked:
		return Value{Number: float64(number)}, nil
	case number > mostOhm || number == 0:
		return Value{Number: mark.number, Said: said("resistance", text, mark)}, nil
	}
	return Value{}, between("resistance", text,
		[]reading{mark, {typed: si.RKM(number), how: si.ASCII(number) + " with an exponent"}})
}
