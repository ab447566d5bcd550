package netlist

import (
	"sparewright/substitute"
)

// Inside is the build to reckon with: for a whole adapter the one with a stage that stands for its
// inside.
func Inside(b *substitute.Build) *substitute.Build {
	if b.Drawing.StandIn != nil {
		return b.Drawing.StandIn
	}
	return b
}
