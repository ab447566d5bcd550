// Package flyback computes the power stage of an off-line flyback converter with peak current
// limit: rectified mains, mode of conduction, currents, stresses, losses and heat. It takes plain
// quantities, so that one line of a published example is one call.
//
// Formulas without a named source are derived here from energy and volt-second balance of an ideal
// stage: the primary current rises by bus/L, falls by reflected/L, and the power in a Point is all
// that crosses the gap. Losses on the primary side belong on top of the bus power, losses on the
// secondary side inside that power.
//
// Arguments outside the stated range give the answer that fails the check it feeds: +Inf where a
// large figure is bad, zero where a small one is.
package flyback

import "math"

var inf = math.Inf(1)
