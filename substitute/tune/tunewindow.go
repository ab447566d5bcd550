package tune

import (
	"sparewright/catalog/si"
	"sparewright/substitute/stage"
)

// holdsAt reports whether every hard limit holds for a design with an inductance factor.
func (u stacks) holdsAt(d stage.Design, al si.InductanceFactor) bool {
	_, margin := u.bench.WorstAt(d, al)
	return margin >= 0
}
