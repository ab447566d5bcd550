package flyback

import (
	"sparewright/catalog/si"
	"sparewright/substitute/magnetics"
)

// Trapezoid is the current of a winding, of the switch or of the rectifier, which are the same.
type Trapezoid = magnetics.Trapezoid

// alternating is what remains of an rms current after its mean is taken away.
func alternating(rms, mean si.Current) si.Current { return magnetics.Alternating(rms, mean) }
