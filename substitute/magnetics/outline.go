package magnetics

import (
	"sparewright/catalog/drawing"
)

// Outline is the drawing of one core half; see package drawing.
type Outline = drawing.Outline

// Effective holds the effective parameters of a closed pair; see package drawing.
type Effective = drawing.Effective

// FromOutline returns the effective parameters of a pair from its outline. Errors as
// drawing.ParametersOf.
func FromOutline(o Outline) (Effective, error) { return drawing.ParametersOf(o) }
