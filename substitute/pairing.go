package substitute

import (
	"cmp"
	"math"
	"slices"

	"sparewright/catalog/si"
	"sparewright/substitute/flyback"
)

// outcome is what the search of one switcher with one core came to.
type outcome struct {
	best  measured
	found bool
	miss  nearMiss
	stage int // how far the nearest miss came: 0 turns and gap, 1 no winding, 2 full computation
}

// pairing is the search of one switcher with one core under way.
type pairing struct {
	*job
	design  // without turns
	sets    *turnList
	top     float64 // no design of the pair has more room
	wound   bool    // some candidate was cool enough to be wound
	deepest nearMiss
	out     outcome
}

// probes is how many candidates of a pair are measured, spread evenly over its list, before the rest: a good margin early saves
// most of the work.
const probes = 8

// open prepares a pair and bounds what it can come to.
func (j *job) open(v *variant, c *bareCore, sets *turnList) *pairing {
	return &pairing{job: j, design: on(v, c), sets: sets, top: j.topBound(v, c, sets)}
}

// hopeful groups the pairs of one switcher with one core and orders the groups by the best bound of their candidates: what wins
// is found early and cuts the rest.
func hopeful(pairs []*pairing) [][]int {
	at := map[[2]string]int{}
	var groups [][]int
	var bounds []float64
	for i, p := range pairs {
		key := [2]string{p.v.stock.key, p.c.stock.key}
		g, seen := at[key]
		if !seen {
			g = len(groups)
			at[key] = g
			groups, bounds = append(groups, nil), append(bounds, -1)
		}
		groups[g] = append(groups[g], i)
		bounds[g] = max(bounds[g], p.top)
	}
	slices.SortStableFunc(groups, func(a, b []int) int {
		ka, kb := pairs[a[0]], pairs[b[0]]
		return cmp.Compare(bounds[at[[2]string{kb.v.stock.key, kb.c.stock.key}]], bounds[at[[2]string{ka.v.stock.key, ka.c.stock.key}]])
	})
	return groups
}

// pair searches every whole number of turns, gap and rectifier of one switcher with one core.
func (j *job) pair(v *variant, c *bareCore, sets *turnList) outcome {
	return j.open(v, c, sets).finish()
}

// finish lists the candidates, bounds the temperature of the chip for each, measures a few, then the rest in the order of their
// bound; once the bound falls below the best margin found, none of the rest can win.
func (p *pairing) finish() outcome {
	if p.top < p.record.margin() {
		return p.out
	}
	cands := p.cool(p.candidates(p.v, p.c, p.sets))
	step := max(1, len(cands)/probes)
	for i := 0; i < len(cands); i += step {
		p.look(&cands[i])
	}
	for i := range cands {
		k := &cands[i]
		if p.out.found && k.bound < p.out.best.margin || k.bound < p.record.margin() {
			break
		}
		if i%step != 0 {
			p.look(k)
		}
	}
	return p.out
}

// cool keeps the candidates whose chip may stay cool enough, best bound first, then least loss.
func (p *pairing) cool(cands []candidate) []candidate {
	kept := cands[:0]
	for _, k := range cands {
		warm := p.warm(p.with(p.job, k.turnSet, k.gap), k.reflected)
		bound, by := warm.chip(p.job, p.design, k.bound)
		if bound < 0 {
			p.fail(by, bound)
			continue
		}
		if k.bound, k.loss = bound, warm.loss; !p.beaten(bound, warm.loss) {
			kept = append(kept, k)
		}
	}
	slices.SortFunc(kept, func(a, b candidate) int {
		return cmp.Or(cmp.Compare(b.bound, a.bound), cmp.Compare(a.loss, b.loss), cmp.Compare(a.at, b.at))
	})
	return kept
}

// missed settles how close a pair came that found nothing.
func (p *pairing) missed() outcome {
	switch {
	case p.deepest.valid:
		p.out.miss = p.deepest
		p.out.miss.weak = !p.wound
	case !p.between(p.v, p.c, p.sets):
		for _, m := range p.nearest(p.v, p.c, p.sets) {
			if m.at == nil {
				p.out.miss = m
				break
			}
			p.measureMiss(m)
		}
	}
	if p.out.miss.valid && !p.out.miss.weak && p.out.stage != 1 {
		p.record.seeMiss(p.out.miss.room)
	}
	return p.out
}

// beaten reports that a design with this bound and at least this loss cannot become the best of the pair, or of all.
func (p *pairing) beaten(bound float64, loss si.Power) bool {
	return p.out.hopeless(bound, loss) || p.record.beats(bound, loss)
}

// fail notes a design that a check refuses.
func (p *pairing) fail(g gauge, room float64) {
	p.deepest.see(g, room)
	p.out.stage = 2
}

// look winds and measures one candidate, as far as its bounds leave hope.
func (p *pairing) look(k *candidate) {
	if p.beaten(k.bound, k.loss) {
		return
	}
	d := p.with(p.job, k.turnSet, k.gap)
	gists := p.gists(p.c, d.planned())
	if len(gists) == 0 {
		p.out.stage = max(p.out.stage, 1)
		return
	}
	p.wound = true
	warm := p.warm(d, k.reflected)
	var plans []plan
	for i := range gists {
		g := &gists[i]
		if !p.promising(&d, k, &warm, g) {
			continue
		}
		lead := d.primary(d.gap.al)
		p.clampsFor(d, k.reflected, max(g.leakage, leastLeakage*lead), lead, func(c clampChoice) {
			if d.clamp = c; !p.held(&d, k, &warm, g) {
				return
			}
			if plans == nil {
				plans = p.shop.plans(p.c, d.planned())
			}
			d.plan = &plans[i]
			p.lookAt(d)
		})
	}
}

// promising reports whether the bounds of one way to wind a candidate leave hope, with the highest clamp that the drain bears.
func (p *pairing) promising(d *design, k *candidate, warm *warmth, g *gist) bool {
	return p.hope(warm.coil(p.job, *d, g, k.reflected, p.v.breakdown-p.busMax, k.bound))
}

// held is promising with the clamp of the design.
func (p *pairing) held(d *design, k *candidate, warm *warmth, g *gist) bool {
	bound, by := lowest(k.bound, gauge{}, most(chkDrain, flyback.DrainPeak(p.busMax, d.clamp.voltage), p.v.breakdown).from(float64(p.busMax)),
		least(chkClampAbove, d.clamp.lowest, clampAbove*k.reflected))
	if bound < 0 {
		p.fail(by, bound)
		return false
	}
	return p.hope(warm.coil(p.job, *d, g, k.reflected, d.clamp.lowest, bound))
}

// hope reports whether a bound leaves hope; a limit that it breaks is noted.
func (p *pairing) hope(bound float64, by gauge, loss si.Power) bool {
	if bound < 0 {
		p.fail(by, bound)
		return false
	}
	return !p.beaten(percent(bound), loss)
}

// lookAt measures one way to wind a candidate.
func (p *pairing) lookAt(d design) {
	least := max(0, p.record.margin())
	if p.out.found {
		least = max(least, p.out.best.margin)
	}
	m := p.measureAbove(d, least)
	if m.failed {
		p.fail(m.worst())
		return
	}
	if m.margin < least {
		return
	}
	if !p.out.found || m.better(&p.out.best) {
		p.out.best, p.out.found = m, true
	}
}

// fitClamp chooses the clamp of a design for its leakage.
func (j *job) fitClamp(d *design, t *turnRatio, g *gist) {
	lead := si.Inductance(float64(d.gap.al) * float64(d.np) * float64(d.np))
	d.clamp = j.chooseClamp(*d, t.reflected, max(g.leakage, leastLeakage*lead), lead)
}

// measureMiss computes a near miss of turns and gap in full, so that the check it is refused by is its worst one, and keeps the
// nearest of all.
func (p *pairing) measureMiss(m nearMiss) {
	k := m.at
	d := p.with(p.job, k, m.gap)
	plans := p.shop.plans(p.c, d.planned())
	if len(plans) == 0 {
		p.out.stage = max(p.out.stage, 1)
		return
	}
	for i := range plans {
		d.plan = &plans[i]
		p.fitClamp(&d, k.turnRatio, &plans[i].gist)
		whole := p.measure(d)
		p.out.miss.see(whole.worst())
		p.out.stage = 2
	}
}

// hopeless reports that a design with this bound and at least this loss cannot beat the best found.
func (o *outcome) hopeless(bound float64, loss si.Power) bool {
	if !o.found {
		return false
	}
	return bound < o.best.margin || bound == o.best.margin && milli(loss) > milli(o.best.loss.total())
}

// better is the order among designs of one pair: smallest margin, then loss, then films, then turns.
func (m *measured) better(o *measured) bool {
	if m.margin != o.margin {
		return m.margin > o.margin
	}
	if a, b := milli(m.loss.total()), milli(o.loss.total()); a != b {
		return a < b
	}
	if m.gap.layers != o.gap.layers {
		return m.gap.layers < o.gap.layers
	}
	if m.np != o.np {
		return m.np < o.np
	}
	if m.ns != o.ns {
		return m.ns < o.ns
	}
	return m.gap.shim < o.gap.shim
}

// milli rounds to whole milliwatts, so that the last bit of a sum never decides.
func milli(p si.Power) int64 { return int64(math.Round(float64(p) * 1e3)) }
