package catalog

import (
	"strconv"

	"sparewright/catalog/si"
)

// assume sets a figure that is unknown to a cautious stand-in.
func assume[Q si.Quantity](d *Datum[Q], q Q) {
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

// derive sets a figure that is unknown to one that follows from others; it is estimated at best.
func derive[Q si.Quantity](d *Datum[Q], q Q, from ...Basis) {
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

// spread sets the unknown ends of a row of lowest, typical, highest to typical less and plus a part
// of it.
func spread[Q si.Quantity](low, typical, high *Datum[Q], part float64) {
	if typical.Known() {
		assume(low, Q(float64(typical.Value)*(1-part)))
		assume(high, Q(float64(typical.Value)*(1+part)))
	} else if low.Known() && high.Known() {
		derive(typical, (low.Value+high.Value)/2, low.Basis, high.Basis)
	}
}
