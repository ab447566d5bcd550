package stage

import (
	"sparewright/catalog/si"
	"sparewright/substitute"
)

// Judgement is what the limits say of a design: each once, at its worst corner, and how much the
// tightest leaves.
type Judgement struct {
	Gauges  [substitute.ChkCount]substitute.Gauge
	Count   int
	Margin  float64 // smallest margin of the gauges that are not shared, rounded to 1 %
	Binding substitute.CheckID
	Failed  bool
	Left    bool // without its corners
}

// hold notes a gauge; of several with the same number the worst stays.
func (m *Judgement) hold(g substitute.Gauge) {
	for i := range m.Gauges[:m.Count] {
		if h := &m.Gauges[i]; h.Id == g.Id {
			if g.Worse(*h) {
				*h = g
			}
			return
		}
	}
	m.Gauges[m.Count] = g
	m.Count++
}

// worsen takes over every gauge of another corner that has less margin.
func (m *Judgement) worsen(o *Judgement) {
	for _, g := range o.Gauges[:o.Count] {
		known := false
		for i := range m.Gauges[:m.Count] {
			if h := &m.Gauges[i]; h.Id == g.Id {
				known = true
				if g.Worse(*h) {
					*h = g
				}
			}
		}
		if !known {
			m.hold(g)
		}
	}
}

// settle finds the smallest margin and the check it belongs to.
func (m *Judgement) settle() {
	m.Margin, m.Binding, m.Failed = substitute.Tightest(m.Gauges[:m.Count])
}

// Worst is the hard gauge with the least margin, and that margin; negative when the design failed.
func (m *Judgement) Worst() (substitute.Gauge, float64) {
	return substitute.WorstOf(m.Gauges[:m.Count])
}

// useless reports that a design that loses so much is known to fail or to stay below the mark that
// it has to reach.
func (m *Judgement) useless(least Mark, loss si.Power) bool {
	if least == Anything {
		return false
	}
	m.settle()
	return m.Failed || least.Below(m.Margin, loss)
}
