package search

import (
	"slices"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/stage"
)

// Verdict is what becomes of a design once its last parts are chosen: those of its loops, of its
// protection and of its output.
type Verdict struct {
	Missing int                // lines to buy
	Open    int                // of these, lines that another design of the pair may do without
	Margin  float64            // the smallest of the whole build, at most that of the design
	Refusal substitute.Refusal // with a check where a limit is broken

	// Ceiling is that of the design where the protection lacks a part or breaks a limit for it, so
	// that only one with a lower ceiling may do better; else 0.
	Ceiling si.Voltage
}

func (v *Verdict) refused() bool { return v.Refusal.Check != "" }

// MostJudged is how many designs of a switcher and core are judged before the pair is given up.
const MostJudged = 24

// widening is by how much more designs of a pair are kept each time that all of those kept were
// judged in vain.
const widening = 4

// rivals are the settings of one switcher on one core, which are one build.
type rivals struct {
	all     []*pairing
	Best    stage.Measured
	Found   bool
	verdict Verdict // on the best; where none was found, on the best of those that were refused
}

// judge judges the designs, the best first, until one stands for which no more has to be bought
// than for every build of the search. Where there is none, the one with the fewest lines to buy
// is taken.
func (j *Job) judge(r *rivals) {
	for _, p := range r.all {
		p.keep = 1
		p.seek()
	}
	for range MostJudged {
		m, left := r.take()
		if !left {
			return
		}
		v := j.verdict(m, r.Found || r.verdict.refused())
		if v.Ceiling > 0 {
			r.lower(v.Ceiling)
		}
		switch {
		case v.refused():
			if !r.Found && !r.verdict.refused() {
				r.verdict = v
			}
			continue
		case !r.Found || v.Missing < r.verdict.Missing:
			r.Best, r.Found, r.verdict = *m, true, v
		}
		if v.Missing <= j.Missing || v.Open == 0 {
			return
		}
	}
}

func (j *Job) verdict(m *stage.Measured, brief bool) Verdict {
	if j.Judge == nil {
		return Verdict{Margin: m.Margin}
	}
	return j.Judge(m, brief)
}

// lower leaves the designs out whose ceiling is not below the given one.
func (r *rivals) lower(ceiling si.Voltage) {
	for _, p := range r.all {
		p.below = ceiling
		p.held = slices.DeleteFunc(p.held, func(m stage.Measured) bool { return p.tooHigh(&m) })
	}
}

// tooHigh reports that the ceiling of a design is not below the one that was judged too high.
func (p *pairing) tooHigh(m *stage.Measured) bool {
	return p.below > 0 && m.Ceiling(p.Target) >= p.below
}

// take gives the best of the designs that were not judged yet.
func (r *rivals) take() (*stage.Measured, bool) {
	var from *pairing
	for _, p := range r.all {
		if m := p.head(); m != nil && (from == nil || m.Better(from.head())) {
			from = p
		}
	}
	if from == nil {
		return nil, false
	}
	m := from.held[0]
	from.held, from.given = from.held[1:], append(from.given, m)
	return &m, true
}

// head is the best design of a pair that was not judged yet; where all of those kept were, it looks
// for more.
func (p *pairing) head() *stage.Measured {
	if len(p.held) == 0 && p.full {
		p.keep *= widening
		p.full = false
		p.seek()
	}
	if len(p.held) == 0 {
		return nil
	}
	return &p.held[0]
}

// was reports that a design was judged.
func (p *pairing) was(m *stage.Measured) bool {
	return slices.ContainsFunc(p.given, func(g stage.Measured) bool { return g.Like(m) })
}
