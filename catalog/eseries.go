package catalog

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"sparewright/catalog/si"
)

// e24 is the E24 series of IEC 60063; E12, E6 and E3 are every second, fourth and eighth of its
// values.
var e24 = []float64{1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0, 3.3, 3.6, 3.9, 4.3,
	4.7, 5.1, 5.6, 6.2, 6.8,
	7.5, 8.2, 9.1}

// e192Exception is the one value of E192 that is not the rounded geometric step: 9.20 where the
// rule gives 9.19 (IEC 60063).
const e192Exception = 9.20

// ESeries returns the values of a preferred-number series of IEC 60063 between 1 and 10, rising:
// E3, E6, E12, E24 from the printed list, E48, E96 and E192 as geometric steps rounded to three
// figures with the one exception of the standard. An unknown series gives nil. The slice is the
// caller's own.
func ESeries(series string) []float64 {
	n := 0
	if _, err := fmt.Sscanf(strings.ToUpper(strings.TrimSpace(series)), "E%d", &n); err != nil {
		return nil
	}
	switch n {
	case 3, 6, 12, 24:
		out := make([]float64, 0, n)
		for i := 0; i < 24; i += 24 / n {
			out = append(out, e24[i])
		}
		return out
	case 48, 96, 192:
		out := make([]float64, 0, n)
		for i := 0; i < 192; i += 192 / n {
			v := math.Round(100*math.Pow(10, float64(i)/192)) / 100
			if i == 185 {
				v = e192Exception
			}
			out = append(out, v)
		}
		return out
	}
	return nil
}

// seriesSlack is the relative error within which a value is a value of the series; it only takes up
// binary rounding.
const seriesSlack = 1e-6

// InSeries reports whether a resistance is a value of the series in any decade.
func InSeries(value si.Resistance, series string) bool {
	n := Nearest(value, series)
	return n > 0 && math.Abs(float64(value/n)-1) < seriesSlack
}

// Nearest returns the value of the series nearest to the given one on a logarithmic scale, as
// tolerances are relative; zero for an unknown series or a value that is not positive.
func Nearest(value si.Resistance, series string) si.Resistance {
	list := ESeries(series)
	v := float64(value)
	if len(list) == 0 || !(v > 0) || math.IsInf(v, 0) {
		return 0
	}
	decade := int(math.Floor(math.Log10(v)))
	best, off := 0.0, math.Inf(1)
	for d := decade - 1; d <= decade+1; d++ {
		for _, x := range list {
			c := shift(x, d)
			if e := math.Abs(math.Log(c / v)); e < off {
				best, off = c, e
			}
		}
	}
	return si.Resistance(best)
}

// shift multiplies by a power of ten, dividing where that is the exact way in binary.
func shift(x float64, decades int) float64 {
	if decades < 0 {
		return x / math.Pow10(-decades)
	}
	return x * math.Pow10(decades)
}

// Series lists the names that ESeries knows.
func Series() []string {
	return slices.Clone(
		[]string{"E3", "E6", "E12", "E24", "E48", "E96", "E192"})
}
