package search

import (
	"cmp"
	"slices"
	"sync/atomic"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/flyback"
	"sparewright/substitute/magnetics"
	"sparewright/substitute/stage"
)

// outcome is what the search of one switcher with one core came to.
type outcome struct {
	Found bool // a design within all limits of the power stage
	miss  nearMiss
	stage int // how far the nearest miss came: 0 turns and gap, 1 no winding, 2 full computation
}

// pairing is the search of one switcher with one core under way.
type pairing struct {
	*Job
	stage.Design // without turns
	sets         *turnList
	top          float64 // no design of the pair has more margin
	wound        bool    // some candidate was cool enough to be wound
	// of the core at the highest and the lowest frequency of the switcher
	fast, slow *magnetics.LossCurve
	deepest    nearMiss
	out        outcome
	some       *atomic.Bool // whether any pair of the search found a build
	shortlist
	given []stage.Measured // that were judged
	below si.Voltage       // only designs with a lower ceiling are kept; 0 for all
}

// shortlist is the best designs of a pair that were found.
type shortlist struct {
	held []stage.Measured // the best first, no more than keep
	keep int
	full bool // as many as it keeps were found, so that there may be more
}

// probes is how many candidates of a pair are measured, spread evenly over its list, before the
// rest: a good margin early saves most of the work.
const probes = 8

// open prepares a pair and bounds what it can come to.
func (j *Job) open(v *stage.Variant, c *stage.BareCore, sets *turnList,
	some *atomic.Bool) *pairing {
	return &pairing{Job: j, some: some, Design: stage.On(v, c), sets: sets,
		top: gaps{j.Bounder}.topBound(v, c, sets)}
}

// hopeful groups the pairs of one switcher with one core and orders the groups by the best bound of
// their candidates: what wins is found early and cuts the rest.
func hopeful(pairs []*pairing) []*rivals {
	at := map[[2]string]*rivals{}
	var groups []*rivals
	for _, p := range pairs {
		r := at[p.key()]
		if r == nil {
			r = &rivals{}
			at[p.key()] = r
			groups = append(groups, r)
		}
		r.all = append(r.all, p)
	}
	slices.SortStableFunc(groups, func(a, b *rivals) int { return cmp.Compare(b.top(), a.top()) })
	return groups
}

// key names the switcher and core of a pair.
func (p *pairing) key() [2]string { return [2]string{p.V.Stock.Key, p.C.Stock.Key} }

// top is the best bound of all settings.
func (r *rivals) top() float64 {
	best := -1.0
	for _, p := range r.all {
		best = max(best, p.top)
	}
	return best
}

// Pair searches every whole number of turns, gap and rectifier of one switcher with one core.
func (j *Job) Pair(v *stage.Variant, c *stage.BareCore, sets *turnList) (stage.Measured, bool) {
	r := rivals{all: []*pairing{j.open(v, c, sets, &atomic.Bool{})}}
	j.judge(&r)
	return r.Best, r.Found
}

// seek finds the best designs of the pair, as many as it keeps. It lists the candidates, bounds the
// temperature of the chip for each, measures a few, then the rest in the order of their bound; once
// the bound falls below what the last of those kept leaves, none of the rest can win.
func (p *pairing) seek() {
	if p.top < p.Record.margin() {
		return
	}
	cands := p.cool(p.Candidates(p.V, p.C, p.sets))
	step := max(1, len(cands)/probes)
	for i := 0; i < len(cands); i += step {
		p.look(&cands[i])
	}
	for i := range cands {
		k := &cands[i]
		if last := p.last(); last != nil && k.Bound < last.Margin || k.Bound < p.Record.margin() {
			break
		}
		if i%step != 0 {
			p.look(k)
		}
	}
}

// last is the worst of the designs kept, nil while there is space for another.
func (p *shortlist) last() *stage.Measured {
	if len(p.held) < p.keep {
		return nil
	}
	return &p.held[len(p.held)-1]
}

// cool keeps the candidates whose chip may stay cool enough, best bound first, then least loss.
func (p *pairing) cool(cands []Candidate) []Candidate {
	kept := cands[:0]
	for _, k := range cands {
		d := p.With(p.Measurer, k.Np, k.Ns, k.Bias, k.Rect, k.Gap)
		warm := p.Warm(d, k.Reflected)
		bound, by := warm.Chip(p.Bounder, d, k.Reflected, k.Bound)
		if bound < 0 {
			p.fail(by, bound)
			continue
		}
		if k.Bound, k.loss = bound, warm.Loss; !p.beaten(bound, warm.Loss) {
			kept = append(kept, k)
		}
	}
	slices.SortFunc(kept, func(a, b Candidate) int {
		return cmp.Or(cmp.Compare(b.Bound, a.Bound), cmp.Compare(a.loss, b.loss),
			cmp.Compare(a.at, b.at))
	})
	return kept
}

// beaten reports that a design with this bound and at least this loss cannot become the best of the
// pair, or of all.
func (p *pairing) beaten(bound float64, loss si.Power) bool {
	last := p.last()
	return last != nil && hopelessBeside(last, bound, loss) || p.Record.beats(bound, loss)
}

// fail notes a design that a check refuses.
func (p *pairing) fail(g substitute.Gauge, margin float64) {
	p.deepest.see(g, margin)
	p.out.stage = 2
}

// look winds and measures one candidate, as far as its bounds leave hope.
func (p *pairing) look(k *Candidate) {
	if p.beaten(k.Bound, k.loss) {
		return
	}
	d := p.With(p.Measurer, k.Np, k.Ns, k.Bias, k.Rect, k.Gap)
	gists := p.Gists(p.C, d.Planned())
	if len(gists) == 0 {
		p.out.stage = max(p.out.stage, 1)
		return
	}
	p.wound = true
	warm := p.Warm(d, k.Reflected)
	var plans []stage.Plan
	for i := range gists {
		g := &gists[i]
		d.Clamp = stage.ClampChoice{} // that of the way before has no say
		if !p.promising(&d, k, &warm, g) {
			continue
		}
		p.ClampsFor(d, k.Reflected, g, func(c stage.ClampChoice) {
			d.Clamp = c
			w := p.fits(&d, k, &warm, g)
			if w == nil {
				return
			}
			if plans == nil {
				plans = p.Shop.Plans(p.C, d.Planned())
			}
			d.Plan = &plans[i]
			p.lookAt(w)
		})
	}
}

// promising reports whether the bounds of one way to wind a candidate leave hope, with the highest
// clamp that the drain bears.
func (p *pairing) promising(d *stage.Design, k *Candidate, warm *Warmth, g *stage.Gist) bool {
	return p.hope(warm.Coil(p.Bounder, *d, g, k.Reflected, p.V.Breakdown-p.BusMax, k.Bound))
}

// fits is promising with the clamp of the design, and nil where it is not.
func (p *pairing) fits(d *stage.Design, k *Candidate, warm *Warmth, g *stage.Gist) *winding {
	bound, by := lowest(k.Bound, substitute.Gauge{},
		substitute.Most(substitute.ChkDrain, flyback.DrainPeak(p.BusMax, d.Clamp.Voltage),
			p.V.Breakdown).From(float64(p.BusMax)),
		substitute.Least(substitute.ChkClampAbove, d.Clamp.Lowest, stage.ClampAbove*k.Reflected))
	if bound < 0 {
		p.fail(by, bound)
		return nil
	}
	own := *warm
	bound, by, loss := own.coil(p.Bounder, d, g, k.Reflected, d.Clamp.Lowest, bound)
	if !p.hope(bound, by, loss) {
		return nil
	}
	ahead := outlook{p}
	if w := ahead.winding(d, g, k.Reflected, &own, loss); !ahead.doomed(w, bound) {
		return w
	}
	return nil
}

// hope reports whether a bound leaves hope; a limit that it breaks is noted.
func (p *pairing) hope(bound float64, by substitute.Gauge, loss si.Power) bool {
	if bound < 0 {
		p.fail(by, bound)
		return false
	}
	return !p.beaten(substitute.Percent(bound), loss)
}

// wanted is what a design has to come up to: no limit broken, and no worse than the last of those
// that are kept of the pair and of all.
func (p *pairing) wanted() stage.Mark {
	least := stage.Sound
	if k := p.Record.mark(); k.Margin >= least.Margin {
		least = k
	}
	if b := p.last(); b != nil && !least.Below(b.Margin, b.Loss.Total()) {
		least = stage.Mark{Margin: b.Margin, Loss: substitute.Milli(b.Loss.Total())}
	}
	return least
}

// lookAt measures one way to wind a candidate.
func (p *pairing) lookAt(w *winding) {
	least := p.wanted()
	m := p.MeasureUnless(*w.Design, least, func() bool { return outlook{p}.fartherOff(w) })
	if m.Left {
		p.out.stage = 2
		return
	}
	if m.Failed {
		p.fail(m.Worst())
		return
	}
	if least.Below(m.Margin, m.Loss.Total()) {
		return
	}
	if p.out.Found = true; !p.was(&m) && !p.tooHigh(&m) {
		m.Of = p.Measurer
		p.enter(&m)
	}
}

// enter keeps a design if it is one of the best.
func (p *shortlist) enter(m *stage.Measured) {
	if last := p.last(); last != nil {
		if !m.Better(last) {
			return
		}
		p.held = p.held[:len(p.held)-1]
	}
	at := len(p.held)
	for at > 0 && m.Better(&p.held[at-1]) {
		at--
	}
	p.held = slices.Insert(p.held, at, *m)
	p.full = len(p.held) == p.keep
}

// hopelessBeside reports that a design with this bound and at least this loss cannot beat another.
func hopelessBeside(other *stage.Measured, bound float64, loss si.Power) bool {
	return bound < other.Margin || bound == other.Margin &&
		substitute.Milli(loss) > substitute.Milli(other.Loss.Total())
}
