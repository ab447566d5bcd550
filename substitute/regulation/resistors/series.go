package resistors

import (
	"math"

	"sparewright/catalog/si"
)

// e24 are the preferred values of the E24 series of IEC 60063; some differ from the rounded
// geometric steps for historical reasons.
var e24 = [...]float64{1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0,
	3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6, 6.2, 6.8, 7.5, 8.2, 9.1}

// Preferred lists the preferred values from lo to hi ohm: E24, or E96, whose values are the
// geometric steps rounded to three figures (IEC 60063).
func Preferred(tight bool, lo, hi float64) []si.Resistance {
	var out []si.Resistance
	if !(lo > 0) || !(hi >= lo) || hi > 1e9 {
		return nil
	}
	for decade := math.Floor(math.Log10(lo)); decade <= math.Ceil(math.Log10(hi)); decade++ {
		n := len(e24)
		if tight {
			n = 96
		}
		for i := range n {
			v := 0.0
			if tight {
				v = math.Round(100*math.Pow(10, float64(i)/96)) / 100
			} else {
				v = e24[i]
			}
			if r := scaled(v, int(decade)); r >= lo && r <= hi {
				out = append(out, si.Resistance(r))
			}
		}
	}
	return out
}

// scaled is v times ten to the given power, without the rounding of a multiplication by 0.1.
func scaled(v float64, decade int) float64 {
	if decade < 0 {
		return v / math.Pow10(-decade)
	}
	return v * math.Pow10(decade)
}

// trimmerValues are the values trimmers are commonly made in, 1-2-5 steps. Common practice, no
// source.
var trimmerValues = [...]si.Resistance{100, 200, 500, 1e3, 2e3, 5e3, 10e3}

// Figures assumed for a trimmer to buy: 20 % track tolerance, 2 % left at the stop. Common
// practice, no source.
const (
	TrimmerTolerance si.Ratio = 0.2
	trimmerEnd       si.Ratio = 0.02
)

// BoughtTrimmers are trimmers of all common values.
func BoughtTrimmers() []TrimmerPiece {
	var out []TrimmerPiece
	for _, r := range trimmerValues {
		out = append(out, TrimmerPiece{Ohm: r, Tolerance: TrimmerTolerance,
			End: si.Resistance(trimmerEnd) * r, Count: 1})
	}
	return out
}

// powerRatings are the ratings resistors are commonly made in, W. Common practice, no source.
var powerRatings = [...]si.Power{0.25, 0.5, 1, 2, 3, 5, 10}

// RatingFor is the smallest common rating that carries p at the given derating; 0 when none does.
func RatingFor(p si.Power, derate si.Ratio) si.Power {
	for _, r := range powerRatings {
		if p <= r*si.Power(derate) {
			return r
		}
	}
	return 0
}
