package substitute

import (
	"math"
)

// Percent rounds a margin down to whole hundredths, so that the last bit of a float never decides.
func Percent(margin float64) float64 { return math.Floor(margin*100+1e-6) / 100 }
