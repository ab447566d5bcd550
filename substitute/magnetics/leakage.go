package magnetics

import "sparewright/catalog/si"

// LeakagePath is what lies between primary and secondary where the stray flux goes.
type LeakagePath struct {
	Turns           int       // of the primary
	MeanTurn, Width si.Length // of the windings, in m
	Primary         si.Length // build of the primary, in m
	Secondary       si.Length // build of the secondary, in m
	Insulation      si.Length // between them, in m
	Split           bool      // half the primary below and half above the secondary
}

// Inductance estimates the leakage inductance seen from the primary with the secondary shorted:
//
//	mu0 N^2 lm/w (c + (b1 + b2)/3)
//
// with mean turn lm, winding width w, builds b1 and b2 of primary and secondary and insulation c
// between them. When the primary is split, half below and half above the secondary, there are two
// such insulations and the whole is divided by
//  4. Source: W. T. McLyman, Transformer and Inductor Design Handbook, ch. 17 (from memory). The
//     field is taken as
//
// straight across the window: expect -20 .. +50 %, and never count on less than 1 % of the primary
// inductance with mains insulation. For two chambers side by side give the build height as width
// and the chamber widths as builds.
func (p LeakagePath) Inductance() si.Inductance {
	n := float64(p.Turns)
	gaps, share := 1.0, 1.0
	if p.Split {
		gaps, share = 2, 0.25
	}
	across := gaps*float64(p.Insulation) + float64(p.Primary+p.Secondary)/3
	return si.Inductance(share * si.Mu0 * n * n * float64(p.MeanTurn) / float64(p.Width) * across)
}
