package magnetics

import (
	"cmp"
	"math"
	"slices"

	"sparewright/catalog/si"
)

// Known is a figure with the band it lies in 19 times out of 20. All bands of this package that
// come from readings are such bands: two standard deviations of a bell curve to either side, as a
// careful reader of a meter's manual takes them.
type Known[Q si.Quantity] struct {
	Value Q
	Band  si.Interval[Q]
}

// Within is q known to a relative error.
func Within[Q si.Quantity](q Q, e si.Ratio) Known[Q] { return Known[Q]{q, si.Around(q, e)} }

// Give is q known to plus or minus d in its own unit.
func Give[Q si.Quantity](q, d Q) Known[Q] {
	return Known[Q]{q, si.Interval[Q]{Low: q - d, High: q + d}}
}

// Share is how much of a band one input causes, as part of the whole variance, and what would
// narrow it.
type Share struct {
	Input string
	Part  si.Ratio
	Cure  string
}

// Estimate is an identified figure: best value, the band it lies in 19 times out of 20, and what
// the band comes from, the largest share first.
type Estimate[Q si.Quantity] struct {
	Value  Q
	Band   si.Interval[Q]
	Shares []Share
}

// Error is the wider half of the band as a ratio of the value.
func (e Estimate[Q]) Error() si.Ratio {
	half := max(float64(e.Band.High-e.Value), float64(e.Value-e.Band.Low))
	return si.Ratio(half / math.Abs(float64(e.Value)))
}

// input is one figure that goes into an estimate, in the base unit.
type input struct {
	name, cure       string
	value, low, high float64
}

func from[Q si.Quantity](k Known[Q], name, cure string) input {
	return input{name, cure, float64(k.Value), float64(k.Band.Low), float64(k.Band.High)}
}

// propagate runs every input to its ends, the others at their best value, and adds the deviations
// of the result as independent ones, each side for itself so that a bent relation gives a lopsided
// band. First order; good while no input moves the result by more than about half of it.
func propagate[Q si.Quantity](f func(x []float64) float64, inputs ...input) Estimate[Q] {
	x := make([]float64, len(inputs))
	for i, in := range inputs {
		x[i] = in.value
	}
	best := f(x)
	var below, above, total float64
	var shares []Share
	for i, in := range inputs {
		x[i] = in.low
		a := f(x) - best
		x[i] = in.high
		b := f(x) - best
		x[i] = in.value
		down, up := min(a, b, 0), max(a, b, 0)
		below, above = below+down*down, above+up*up
		part := (up - down) * (up - down)
		total += part
		shares = append(shares, Share{in.name, si.Ratio(part), in.cure})
	}
	for i := range shares {
		if total > 0 && !math.IsInf(total, 0) {
			shares[i].Part /= si.Ratio(total)
		}
	}
	slices.SortStableFunc(shares, func(a, b Share) int { return cmp.Compare(b.Part, a.Part) })
	band := si.Interval[Q]{Low: Q(best - math.Sqrt(below)), High: Q(best + math.Sqrt(above))}
	return Estimate[Q]{Value: Q(best), Band: band, Shares: shares}
}
