package magnetics

import (
	"cmp"
	"math"
	"slices"

	"sparewright/catalog/si"
)

// TurnsReading is what is read at the pins of a transformer that is not opened. A figure of zero
// was not read; without Bias and BiasRatio there is no bias winding.
type TurnsReading struct {
	Primary, Secondary, Bias si.Inductance // each with all else open
	Ratio, BiasRatio         si.Ratio      // primary volts over secondary or bias volts, open
	// relative errors of the inductances, and of the voltage ratios and PrimaryTurns
	Meter, Scope si.Ratio
	PrimaryTurns si.Ratio // against a helper winding of known turns
	Fewest, Most int      // primary turns that are possible at all
}

// Turns are whole turns that agree with the readings; Misfit is how far off the middle of the
// readings they are, as a sum of relative deviations.
type Turns struct {
	Primary, Secondary, Bias int
	Misfit                   float64
}

// mostOtherTurns is the most turns of a secondary or bias winding that are looked at.
const mostOtherTurns = 80

// RatioRead is the turns ratio of the primary to another winding as its readings leave it.
// Inductances go with the square of the turns; a reading off by m either way moves their root by
// sqrt((1+m)/(1-m)). It is false when nothing was read or when inductance and voltage contradict
// each other.
func RatioRead(primary, other si.Inductance, volts, meter,
	scope si.Ratio) (si.Interval[si.Ratio], bool) {
	r := si.Interval[si.Ratio]{Low: 0, High: si.Ratio(math.Inf(1))}
	if other > 0 {
		n, k := math.Sqrt(float64(primary/other)), math.Sqrt(float64((1+meter)/(1-meter)))
		r = si.Interval[si.Ratio]{Low: si.Ratio(n / k), High: si.Ratio(n * k)}
	}
	if volts > 0 {
		r.Low, r.High = max(r.Low, volts*(1-scope)), min(r.High, volts*(1+scope))
	}
	return r, r.Low > 0 && r.Low <= r.High
}

// CandidateTurns lists all whole turns that agree with the readings, least misfit first, then
// fewest turns. It is empty when the readings contradict each other.
func CandidateTurns(r TurnsReading) []Turns {
	ratio, ok := RatioRead(r.Primary, r.Secondary, r.Ratio, r.Meter, r.Scope)
	if !ok {
		return nil
	}
	bias, hasBias := si.Interval[si.Ratio]{}, r.Bias > 0 || r.BiasRatio > 0
	if hasBias {
		if bias, ok = RatioRead(r.Primary, r.Bias, r.BiasRatio, r.Meter, r.Scope); !ok {
			return nil
		}
	}
	var out []Turns
	for np := max(1, r.Fewest); np <= r.Most; np++ {
		off := 0.0
		if r.PrimaryTurns > 0 {
			off = math.Abs(float64(np)/float64(r.PrimaryTurns) - 1)
			if off > float64(r.Scope)+1e-9 {
				continue
			}
		}
		for _, ns := range wholeTurns(np, ratio) {
			t := Turns{Primary: np, Secondary: ns, Misfit: off + misfit(np, ns, ratio)}
			if !hasBias {
				out = append(out, t)
				continue
			}
			for _, nb := range wholeTurns(np, bias) {
				b := t
				b.Bias, b.Misfit = nb, t.Misfit+misfit(np, nb, bias)
				out = append(out, b)
			}
		}
	}
	// thousandths, so that no last bit of a float decides
	slices.SortStableFunc(out, func(a, b Turns) int {
		return cmp.Or(cmp.Compare(math.Round(a.Misfit*1e3), math.Round(b.Misfit*1e3)),
			a.Primary-b.Primary, a.Secondary-b.Secondary, a.Bias-b.Bias)
	})
	return out
}

// wholeTurns lists the whole turns of another winding whose ratio to np lies inside the readings.
func wholeTurns(np int, ratio si.Interval[si.Ratio]) []int {
	var out []int
	from := int(math.Ceil(float64(np)/float64(ratio.High) - 1e-9))
	to := int(math.Floor(float64(np)/float64(ratio.Low) + 1e-9))
	for n := max(1, from); n <= min(to, mostOtherTurns); n++ {
		out = append(out, n)
	}
	return out
}

func misfit(np, n int, ratio si.Interval[si.Ratio]) float64 {
	return math.Abs(float64(np)/float64(n)/float64(ratio.Mid()) - 1)
}

// UngappedFactor is the most inductance of one turn that a pair of this shape can have, in H:
// permeability mu, no joint at all.
func UngappedFactor(g Geometry, mu si.Ratio) si.InductanceFactor {
	return si.InductanceFactor(si.Mu0 * float64(mu) * float64(g.Area) / float64(g.Path))
}
