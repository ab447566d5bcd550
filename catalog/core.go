package catalog

import "sparewright/catalog/drawing"

// OutlineOf is the drawing of a core as far as its letters are known; what is not known is 0.
func OutlineOf(p Core) drawing.Outline {
	return drawing.Outline{Family: p.Family, A: p.A.Value, B: p.B.Value, C: p.C.Value, D: p.D.Value,
		E: p.E.Value, F: p.F.Value,
		I: p.I.Value, K: p.K.Value}
}
