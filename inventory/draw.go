package inventory

// Draw is a count wanted from one lot, in the unit of that lot.
type Draw struct {
	Lot   int64
	Count float64
}
