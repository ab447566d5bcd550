package substitute

import "slices"

// steady reports that neither loop can oscillate with every part at its worst end. What is steady and keeps less than marginLeast
// says so by a check that warns.
func steady(l LoopChoice) bool { return min(l.Voltage.Margin, l.Current.Margin) >= marginFloor }

// looper chooses what keeps the loops of designs steady.
type looper struct {
	*measurer
	*designer
}

func newLooper(m *measurer, d *designer) *looper { return &looper{m, d} }

// on is the looper for designs that were reckoned with another shunt voltage.
func (j *looper) on(m *measurer) *looper {
	if m == nil {
		return j
	}
	return &looper{m, j.designer}
}

// loopsAlone chooses the loops of a design as assemble does: nothing taken before them is a resistor or a capacitor.
func (j *looper) loopsAlone(m *measured) LoopChoice {
	_, loops := j.on(m.of).takeControl(m, j.controlFor(m.v.stock.part.FeedbackStop.Or(stopGuess)), newBasket())
	return loops
}

// steady reports that a design may be built as far as its loops go.
func (j *looper) steady(m *measured) bool { return steady(j.loopsAlone(m)) }

// steadyOnes drops the designs whose loops may oscillate and says so in their place. It looks at the best design of a switcher and
// core: other turns on them change the gain of the stage little, its lags not at all.
func (j *looper) steadyOnes(found []measured, refused []Refusal) ([]measured, []Refusal) {
	var kept []measured
	for i := range found {
		m := &found[i]
		l := j.loopsAlone(m)
		if steady(l) {
			kept = append(kept, *m)
			continue
		}
		r := refusalOfLoops(l)
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
func refusalOfLoops(l LoopChoice) Refusal {
	id, margin := chkPhaseVoltage, l.Voltage.Margin
	if l.Current.Margin < margin {
		id, margin = chkPhaseCurrent, l.Current.Margin
	}
	r := Refusal{Check: checkNames[id].name, Value: margin, Limit: marginFloor, Unit: checkNames[id].unit, miss: 1 - margin/marginLeast,
		Cure: "use another switcher"}
	if l.Filter > 0 {
		r.Cure = "use a switcher whose feedback pin needs no capacitor"
	}
	return r
}
