package report

import (
	"fmt"
	"math"
	"strconv"

	"sparewright/catalog/si"
	"sparewright/substitute"
)

// CheckFigure writes a number of a check for people. unit is one of the unit words of
// substitute.Check; ratios become per cent and a current density is written per square millimetre,
// as wire is sold.
func CheckFigure(v float64, unit string, digits int) string {
	switch unit {
	case "A":
		return si.Format(si.Current(v), digits)
	case "V":
		return si.Format(si.Voltage(v), digits)
	case "W":
		return si.Format(si.Power(v), digits)
	case "T":
		return si.Format(si.FluxDensity(v), digits)
	case "m":
		return si.Format(si.Length(v), digits)
	case "C":
		return si.Format(si.Celsius(v), digits)
	case "A/m2":
		return si.Format(si.Ratio(v/1e6), digits) + " A/mm²"
	case "ohm":
		return si.Format(si.Resistance(v), digits)
	case "J":
		return si.Format(si.Energy(v), digits)
	case "s":
		return si.Format(si.Time(v), digits)
	case "A2s":
		return si.Format(si.Ratio(v), digits) + " A²s"
	case "deg":
		return si.Format(si.Ratio(v), digits) + "°"
	case "1":
		return si.Percent(si.Ratio(v), digits)
	case "":
		return si.Format(si.Ratio(v), digits)
	}
	return si.Format(si.Ratio(v), digits) + " " + unit
}

// Apart writes a value and its limit with three digits, or with as many as show that they differ.
func Apart(value, limit float64, unit string) (string, string) {
	if unit == "1" && limit > 1 {
		unit = "" // a count, not a share
	}
	for digits := 3; digits < 7; digits++ {
		v, l := CheckFigure(value, unit, digits), CheckFigure(limit, unit, digits)
		if v != l || value == limit {
			return v, l
		}
	}
	return CheckFigure(value, unit, 7), CheckFigure(limit, unit, 7)
}

// Margin writes a margin in per cent. Limits that are kept ten times over need no number.
func Margin(m float64) string {
	switch {
	case math.IsNaN(m):
		return "?"
	case m >= 10:
		return ">999 %"
	case math.Abs(m) < 0.0005:
		return "0 %"
	case math.Abs(m) < 0.01:
		return si.Percent(si.Ratio(m), 1)
	}
	return si.Percent(si.Ratio(m), 2)
}

// WholeMargin writes the rounded margin builds are ranked by.
func WholeMargin(m float64) string { return fmt.Sprintf("%.0f %%", m*100) }

// Number writes a count or a length of stock without needless zeros.
func Number(q float64) string { return strconv.FormatFloat(math.Round(q*1e4)/1e4, 'f', -1, 64) }

// Amount writes how much of a part: pieces as a bare number, wire and tape in metres.
func Amount(q float64, unit string) string {
	if unit == "metre" {
		return Number(q) + " m"
	}
	return Number(q)
}

// Between writes a range of one quantity.
func Between[Q si.Quantity](low, high Q, digits int) string {
	return si.Format(low, digits) + " to " + si.Format(high, digits)
}

// Turns writes primary to secondary turns.
func Turns(t substitute.Transformer) string {
	return fmt.Sprintf("%d:%d", t.PrimaryTurns, t.SecondaryTurns)
}

// shim writes the thickness of the shim stack under every leg.
func shim(g substitute.GapChoice) string {
	if g.Shim == 0 {
		return "none"
	}
	return Three(g.Shim)
}

// TurnsOf are the turns of a build; a whole adapter keeps its own.
func TurnsOf(b *substitute.Build) string {
	if b.Kind == substitute.DonorAdapter {
		return "adapter"
	}
	return Turns(b.Transformer)
}

// ShimOf is the shim of a build; what is not opened has none.
func ShimOf(b *substitute.Build) string {
	if b.Kind == substitute.DonorTransformer || b.Kind == substitute.DonorAdapter {
		return "unopened"
	}
	return shim(b.Gap)
}

// LossOf is what a build loses: the sum of what was computed, or the estimate for a whole adapter.
func LossOf(b *substitute.Build) si.Power {
	if b.Kind == substitute.DonorAdapter {
		return si.Power(b.Score.Loss)
	}
	return AllLosses(b.Losses)
}

// Plural writes a count with its word.
func Plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// longestName is how much of a designation a sentence shows, in characters.
const longestName = 28

// Name keeps a designation short enough for a sentence; the middle gives way, as in the tables.
func Name(text string) string {
	r := []rune(text)
	if len(r) <= longestName {
		return text
	}
	const front = longestName / 2
	return string(r[:front]) + ".." + string(r[len(r)-(longestName-front-2):])
}

// AllLosses adds the losses up.
func AllLosses(l substitute.Losses) si.Power {
	return l.Switch + l.Core + l.Copper + l.Clamp + l.Rectifier + l.Shunt + l.Bridge + l.Other
}
