package magnetics

import (
	"math"

	"sparewright/catalog/si"
)

// TurnsForInductance is the number of turns, not rounded, that gives inductance l on inductance
// factor al: sqrt(L/AL). Round up to keep at least l.
func TurnsForInductance(l si.Inductance, al si.InductanceFactor) float64 {
	return math.Sqrt(float64(l) / float64(al))
}

// TurnsForFlux is the number of turns, not rounded, at which current i (or a change of it) in
// inductance l makes flux density b (or that change of it) in the section area: L I/(B A). Fewer
// turns make more flux.
func TurnsForFlux(l si.Inductance, i si.Current, b si.FluxDensity, area si.Area) float64 {
	return float64(l) * float64(i) / (float64(b) * float64(area))
}
