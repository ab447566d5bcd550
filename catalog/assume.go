package catalog

import (
	"strconv"

	"sparewright/catalog/si"
)

// Assume sets a figure that is unknown to a cautious stand-in.
func (d *Datum[Q]) Assume(q Q) {
	if !d.Known() {
		*d = Datum[Q]{tidy(q), Assumed}
	}
}

// tidy rounds to four significant digits: a figure that was derived or assumed claims no more.
func tidy[Q si.Quantity](q Q) Q {
	r, err := strconv.ParseFloat(strconv.FormatFloat(float64(q), 'e', 3, 64), 64)
	if err != nil {
		return q
	}
	return Q(r)
}

// Derive sets a figure that is unknown to one that follows from others; it is estimated at best.
func (d *Datum[Q]) Derive(q Q, from ...Basis) {
	if d.Known() || !(q > 0) {
		return
	}
	b := Estimated
	for _, f := range from {
		b = min(b, f)
	}
	if b != Unknown {
		*d = Datum[Q]{tidy(q), b}
	}
}

// Spread sets the unknown ends of a row of lowest, typical, highest to typical less and plus a part
// of it.
func Spread[Q si.Quantity](low, typical, high *Datum[Q], part float64) {
	if typical.Known() {
		low.Assume(Q(float64(typical.Value) * (1 - part)))
		high.Assume(Q(float64(typical.Value) * (1 + part)))
	} else if low.Known() && high.Known() {
		typical.Derive((low.Value+high.Value)/2, low.Basis, high.Basis)
	}
}
