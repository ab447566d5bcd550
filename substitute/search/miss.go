package search

// miss is a pair that found nothing: how close did it come?
type miss struct{ *pairing }

// settle says how close a pair came that found nothing.
func (p miss) settle() outcome {
	switch {
	case p.deepest.valid:
		p.out.miss = p.deepest
		p.out.miss.weak = !p.wound
	case !gaps{p.Bounder}.between(p.V, p.C, p.sets):
		for _, m := range p.nearest(p.V, p.C, p.sets) {
			if m.at == nil {
				p.out.miss = m
				break
			}
			p.measureMiss(m)
		}
	}
	return p.out
}

// measureMiss computes a near miss of turns and gap in full, so that the check it is refused by is
// its worst one, and keeps the nearest of all.
func (p miss) measureMiss(m nearMiss) {
	k := m.at
	d := p.With(p.Measurer, k.Np, k.Ns, k.Bias, k.Rect, m.gap)
	plans := p.Shop.Plans(p.C, d.Planned())
	if len(plans) == 0 {
		p.out.stage = max(p.out.stage, 1)
		return
	}
	for i := range plans {
		d.Plan = &plans[i]
		p.FitClamp(&d, k.Reflected, &plans[i].Gist)
		whole := p.Measure(d)
		p.out.miss.see(whole.Worst())
		p.out.stage = 2
	}
}
