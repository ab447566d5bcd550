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
	v       *variant
	c       *bareCore
	sets    *turnList
	cands   []candidate
	wound   bool // some candidate was cool enough to be wound
	probed  int  // step of the candidates that the probe measured
	deepest nearMiss
	out     outcome
}

// probes is how many candidates of a pair are measured, spread evenly over its list, before the rest: a good record early
// saves most of the work.
const probes = 8

// probe lists the candidates of a pair and measures a few.
func (j *job) probe(v *variant, c *bareCore, sets *turnList) *pairing {
	p := &pairing{job: j, v: v, c: c, sets: sets}
	p.cands = j.candidates(v, c, sets)
	p.probed = max(1, len(p.cands)/probes)
	for i := 0; i < len(p.cands); i += p.probed {
		p.look(&p.cands[i])
	}
	return p
}

// hopeful orders pairs by the best bound of their candidates: what wins is found early and cuts the rest.
func hopeful(pairs []*pairing) []int {
	order := make([]int, len(pairs))
	for i := range order {
		order[i] = i
	}
	bound := func(i int) float64 {
		if len(pairs[i].cands) == 0 {
			return -1
		}
		return pairs[i].cands[0].bound
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(bound(b), bound(a)) })
	return order
}

// pair searches every whole number of turns, gap and rectifier of one switcher with one core.
func (j *job) pair(v *variant, c *bareCore, sets *turnList) outcome {
	return j.probe(v, c, sets).finish()
}

// finish measures the candidates that the probe left out, in the order of their bound; once the bound falls below the best
// margin found, none of the rest can win.
func (p *pairing) finish() outcome {
	for i := range p.cands {
		k := &p.cands[i]
		if p.out.found && k.bound < p.out.best.margin || k.bound < p.record.margin() {
			break
		}
		if i%p.probed != 0 {
			p.look(k)
		}
	}
	return p.out
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
	d := design{v: p.v, c: p.c, np: k.np, ns: k.ns, gap: &p.c.gaps[k.gap], rect: &p.rectifiers[k.rect], nb: k.bias}
	warm := p.warm(d, k.reflected)
	bound, by := warm.chip(p.job, d, k.bound)
	if bound < 0 {
		p.fail(by, bound)
		return
	}
	if p.beaten(bound, warm.loss) {
		return
	}
	plans := p.plan(p.c, planKey{core: p.c.index, np: k.np, ns: k.ns, bias: k.bias, band: int(float64(p.v.frequency) / 20e3)})
	if len(plans) == 0 {
		p.out.stage = max(p.out.stage, 1)
	}
	for i := range plans {
		p.wound = true
		d.plan = &plans[i]
		p.lookAt(d, k, &warm, bound)
	}
}

// lookAt measures one way to wind a candidate.
func (p *pairing) lookAt(d design, k *candidate, warm *warmth, bound float64) {
	bound, by, loss := warm.coil(p.job, d, k.reflected, bound)
	if bound >= 0 {
		if p.beaten(bound, loss) {
			return
		}
		p.fitClamp(&d, k.turnRatio)
		bound, by = lowest(bound, by, most(chkDrain, flyback.DrainPeak(p.busMax, d.clamp.voltage), p.v.breakdown).from(float64(p.busMax)),
			least(chkClampAbove, d.clamp.lowest, clampAbove*k.reflected))
	}
	if bound < 0 {
		p.fail(by, bound)
		return
	}
	if p.beaten(percent(bound), loss) {
		return
	}
	m := p.measure(d)
	if m.failed {
		p.fail(m.worst())
		return
	}
	if !p.out.found || m.better(&p.out.best) {
		p.out.best, p.out.found = m, true
		p.record.set(&m, p.complete)
	}
}

// fitClamp chooses the clamp of a design for its leakage.
func (j *job) fitClamp(d *design, t *turnRatio) {
	lead := si.Inductance(float64(d.gap.al) * float64(d.np) * float64(d.np))
	d.clamp = j.chooseClamp(*d, t.reflected, max(d.plan.leakage, leastLeakage*lead), lead)
}

// measureMiss computes a near miss of turns and gap in full, so that the check it is refused by is its worst one, and keeps the
// nearest of all.
func (p *pairing) measureMiss(m nearMiss) {
	k := m.at
	d := design{v: p.v, c: p.c, np: k.np, ns: k.ns, gap: &p.c.gaps[m.gap], rect: &p.rectifiers[k.rect], nb: k.bias}
	plans := p.plan(p.c, planKey{core: p.c.index, np: k.np, ns: k.ns, bias: k.bias, band: int(float64(p.v.frequency) / 20e3)})
	if len(plans) == 0 {
		p.out.stage = max(p.out.stage, 1)
		return
	}
	for i := range plans {
		d.plan = &plans[i]
		p.fitClamp(&d, k.turnRatio)
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
