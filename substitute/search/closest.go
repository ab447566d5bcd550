package search

import (
	"sync/atomic"

	"sparewright/substitute"
	"sparewright/substitute/stage"
)

// mostProbed is how many candidates of a pair Closest measures in full.
const mostProbed = 16

// Closest is the design of a switcher and core, named as they are designated, that breaks the
// fewest hard limits, of those the one whose worst misses by least, with all its corners. It looks
// at a part of the candidates, spread evenly over their list. There is none where nothing can be
// wound.
func (j *Job) Closest(switcher, core string) (best stage.Measured, found bool) {
	usable := j.Controlled(j.Variants())
	j.Settle(usable)
	j.Turns = j.TurnRatios()
	c := closest{Job: j}
	for _, v := range usable {
		if v.Drive.Name != switcher {
			continue
		}
		sets := j.TurnSets(v)
		for k := range j.Cores {
			if core == "" || j.Cores[k].Stock.Name() == core {
				c.pair(j.open(v, &j.Cores[k], &sets, &atomic.Bool{}))
			}
		}
	}
	return c.best, c.found
}

// closest is the search for the nearest miss under way.
type closest struct {
	*Job
	best  stage.Measured
	fails int
	found bool
}

func (c *closest) pair(p *pairing) {
	cands := p.Candidates(p.V, p.C, p.sets)
	for i := 0; i < len(cands); i += max(1, len(cands)/mostProbed) {
		c.measure(p, cands[i].turnSet, cands[i].Gap)
	}
	if len(cands) > 0 {
		return
	}
	for _, m := range p.nearest(p.V, p.C, p.sets) {
		if m.at != nil {
			c.measure(p, m.at, m.gap)
		}
	}
	for i := 0; !c.found && i < len(p.sets.order); i += max(1, len(p.sets.order)/mostProbed) {
		s := &p.sets.All[p.sets.order[i]]
		if gap, fits := p.BestGap(p.V, p.C, s); fits {
			c.measure(p, s, gap)
		}
	}
}

// measure looks at every way to wind one set of turns with one gap.
func (c *closest) measure(p *pairing, k *turnSet, gap int) {
	d := p.With(p.Measurer, k.Np, k.Ns, k.Bias, k.Rect, gap)
	plans := p.Shop.Plans(p.C, d.Planned())
	for i := range plans {
		d.Plan = &plans[i]
		p.FitClamp(&d, k.Reflected, &plans[i].Gist)
		m := p.Measure(d)
		fails := 0
		for _, g := range m.Gauges[:m.Count] {
			if !substitute.CheckNames[g.Id].Soft && !g.Passed() {
				fails++
			}
		}
		_, margin := m.Worst()
		_, before := c.best.Worst()
		if !c.found || fails < c.fails || fails == c.fails && margin > before {
			m.Of = p.Measurer
			c.best, c.fails, c.found = m, fails, true
		}
	}
}
