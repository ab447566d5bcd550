package resistors

import (
	"math"
	"strconv"
	"strings"

	"sparewright/catalog/si"
)

// ValueText writes a resistance the way it is printed on a circuit diagram, the letter in place of
// the point as in the letter code of IEC 60062: 4k7, 470R, 0R22, 2M2. At most four figures are
// kept.
func ValueText(r si.Resistance) string {
	v := float64(r)
	if !(v > 0) || math.IsInf(v, 0) {
		return "0R"
	}
	if exp := math.Floor(math.Log10(v)); exp > -9 && exp < 15 {
		unit := math.Pow(10, 3-exp) // four figures
		v = math.Round(v*unit) / unit
	}
	letter, scale := "R", 1.0
	switch {
	case v >= 1e6:
		letter, scale = "M", 1e6
	case v >= 1e3:
		letter, scale = "k", 1e3
	}
	whole, rest, _ := strings.Cut(strconv.FormatFloat(v/scale, 'f', -1, 64), ".")
	if len(rest) > 4 {
		rest = strings.TrimRight(rest[:4], "0")
	}
	return whole + letter + rest
}

// PercentText writes a ratio in percent, "1 %" or "0.25 %".
func PercentText(r si.Ratio) string {
	return strconv.FormatFloat(math.Round(float64(r)*1e6)/1e4, 'f', -1, 64) + " %"
}

// WattText writes a power rating, "0.5 W".
func WattText(p si.Power) string { return strconv.FormatFloat(float64(p), 'f', -1, 64) + " W" }
