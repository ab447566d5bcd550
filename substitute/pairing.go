package substitute

import (
	"math"

	"sparewright/catalog/si"
)

// Milli rounds to whole milliwatts, so that the last bit of a sum never decides.
func Milli(p si.Power) int64 { return int64(math.Round(float64(p) * 1e3)) }
