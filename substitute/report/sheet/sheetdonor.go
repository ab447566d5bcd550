package sheet

import (
	"fmt"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/report"
)

// donorCard stands in place of the winding card where nothing is wound: how to know the pins of an
// unopened transformer, or what is done to a whole adapter.
func donorCard(b *substitute.Build) []string {
	switch b.Kind {
	case substitute.DonorAdapter:
		return b.Adapter.Steps
	case substitute.DonorTransformer:
		return transformerCard(b)
	}
	return nil
}

// transformerCard is the bench method for a transformer that is not opened: inductances tell the
// windings, the shorted secondary tells that it is the same part, aiding and opposing tell like
// ends.
func transformerCard(b *substitute.Build) []string {
	x, d := b.Transformer, b.Donor
	ratio := float64(x.PrimaryTurns) / float64(x.SecondaryTurns)
	second := func(l si.Inductance) si.Inductance {
		return si.Inductance(float64(l) / ratio / ratio)
	}
	out := []string{
		fmt.Sprintf("Primary, A and C: the pair of pins with %s, %s cold.",
			report.Between(x.InductanceLow, x.InductanceHigh, 3), report.Three(d.PrimaryOhm)),
		fmt.Sprintf("Secondary, D and E: the pair with about %s, %s cold, on the other side "+
			"of the former.",
			report.Between(second(x.InductanceLow), second(x.InductanceHigh),
				2), report.Three(d.SecondaryOhm)),
	}
	if x.BiasTurns > 0 {
		n := float64(x.PrimaryTurns) / float64(x.BiasTurns)
		out = append(out, fmt.Sprintf("Bias winding, F and G: the pair on the primary side "+
			"with about %s.",
			si.Format(si.Inductance(float64(x.Inductance)/n/n), 2)))
	}
	out = append(out,
		fmt.Sprintf("Short D and E at the pins with thick wire: A and C must fall to about %s. "+
			"Else it is another part, or damaged.", report.Three(d.Leakage)),
		"Like ends: join one end of two windings and read the two free ends. The way round that "+
			"reads less joins like ends; they carry the dot.",
		"Dots: A to the drain, D to the output rectifier, F to the bias rectifier; C to bulk +, "+
			"E to control ground, G to bulk -.",
		fmt.Sprintf("Never open it, never heat more than its pins. Its barrier: %s. No "+
			"meter proves it.", x.Barrier))
	return out
}

func (s *Sheet) textDonor(t *typed) {
	title := "Transformer card"
	if s.Build.Kind == substitute.DonorAdapter {
		title = "What is done to the adapter"
	}
	t.head(title)
	for i, line := range s.Card {
		t.item(fmt.Sprintf("[ ] %d ", i+1), plain(line))
	}
	if s.Build.Kind == substitute.DonorTransformer {
		g := s.Gap
		t.item("", fmt.Sprintf("Inductance at A and C: accept %s, measured %s (%s).",
			report.Between(g.WallPower, g.WallSaturation, 3),
			report.Three(g.Expected), report.Between(g.Low, g.High, 3)))
	}
}
