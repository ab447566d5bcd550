package substitute

import (
	"math"
)

// Percent rounds a room down to whole hundredths, so that the last bit of a float never decides.
func Percent(room float64) float64 { return math.Floor(room*100+1e-6) / 100 }
