package resistors

import (
	"sparewright/catalog/si"
)

// Within returns the stock as it would be known after measuring every piece to the given relative
// meter error.
func (s Stock) Within(meter si.Ratio) Stock {
	if !(meter > 0) {
		return s
	}
	pieces := make([]Piece, len(s.Pieces))
	for i, p := range s.Pieces {
		pieces[i] = p.Within(meter)
	}
	return NewStock(pieces)
}
