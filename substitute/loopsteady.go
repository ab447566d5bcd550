package substitute

import (
	"slices"

	"sparewright/substitute/compensation"
)

// steady reports that both loops keep what they must with every part at its worst end.
func (l LoopChoice) steady() bool {
	return min(l.Voltage.Margin, l.Current.Margin) >= compensation.LeastPhase && min(l.Voltage.Gain, l.Current.Gain) >= compensation.LeastGain
}

// loopsAlone chooses the loops of a design as assemble does: nothing taken before them is a resistor or a capacitor.
func (m *measured) loopsAlone(j *job) LoopChoice {
	if m.of != nil {
		j = m.of
	}
	var out Build
	j.regulationOut(&out, m, j.controlFor(m.v.stock.part.FeedbackStop.Or(stopGuess)), newBasket())
	return out.Regulation.Loops
}

// steady reports that a design may be built as far as its loops go.
func (m *measured) steady(j *job) bool { return m.loopsAlone(j).steady() }

// steadyOnes drops the designs whose loops may oscillate and says so in their place. It looks at the best design of a switcher and
// core: other turns on them change the gain of the stage little, its lags not at all.
func (j *job) steadyOnes(found []measured, refused []Refusal) ([]measured, []Refusal) {
	var kept []measured
	for i := range found {
		m := &found[i]
		l := m.loopsAlone(j)
		if l.steady() {
			kept = append(kept, *m)
			continue
		}
		r := l.refusal()
		r.Switcher = m.v.stock.name()
		if m.c != nil {
			r.Core = m.c.stock.name()
		}
		if !slices.Contains(refused, r) {
			refused = append(refused, r)
		}
	}
	return kept, refused
}

// refusal says which loop keeps too little, and what cures it.
func (l LoopChoice) refusal() Refusal {
	id, margin := chkPhaseVoltage, l.Voltage.Margin
	if l.Current.Margin < margin {
		id, margin = chkPhaseCurrent, l.Current.Margin
	}
	r := Refusal{Check: checkNames[id].name, Value: margin, Limit: compensation.LeastPhase, Unit: checkNames[id].unit, miss: 1 - min(margin, 29)/compensation.LeastPhase,
		Cure: "use another switcher"}
	if l.cure != "" {
		r.Cure = l.cure
	} else if l.Filter > 0 {
		r.Cure = "use a switcher whose feedback pin needs no capacitor"
	}
	return r
}
