package magnetics

import "sparewright/catalog/si"

// Leakage estimates the leakage inductance seen from the primary with the secondary shorted:
//
//	mu0 N^2 lm/w (c + (b1 + b2)/3)
//
// with mean turn lm, winding width w, builds b1 and b2 of primary and secondary and insulation c between them. When the
// primary is split, half below and half above the secondary, there are two such insulations and the whole is divided by
// 4. Source: W. T. McLyman, Transformer and Inductor Design Handbook, ch. 17 (from memory). The field is taken as
// straight across the window: expect -20 .. +50 %, and never count on less than 1 % of the primary inductance with
// mains insulation. For two chambers side by side give the build height as width and the chamber widths as builds.
func Leakage(primaryTurns int, meanTurn, width, primaryBuild, secondaryBuild, insulation si.Length, split bool) si.Inductance {
	n := float64(primaryTurns)
	gaps, share := 1.0, 1.0
	if split {
		gaps, share = 2, 0.25
	}
	across := gaps*float64(insulation) + float64(primaryBuild+secondaryBuild)/3
	return si.Inductance(share * si.Mu0 * n * n * float64(meanTurn) / float64(width) * across)
}
