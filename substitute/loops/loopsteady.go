package loops

import (
	"sparewright/substitute"
	"sparewright/substitute/compensation"
	"sparewright/substitute/control"
	"sparewright/substitute/stage"
	"sparewright/substitute/stock"
)

// Looper chooses what keeps the loops of designs steady.
type Looper struct {
	*stage.Measurer
	*control.Designer
	solved *solved
	brief  bool // of a loop that is not steady no more is asked
}

func NewLooper(m *stage.Measurer, d *control.Designer) *Looper {
	return &Looper{m, d, &solved{}, false}
}

// On is the looper for designs that were reckoned with another shunt voltage.
func (j *Looper) On(m *stage.Measurer) *Looper {
	if m == nil {
		return j
	}
	return &Looper{m, j.Designer, j.solved, j.brief}
}

// Steady reports that both loops keep what they must with every part at its worst end.
func Steady(l substitute.LoopChoice) bool {
	return min(l.Voltage.Margin, l.Current.Margin) >= compensation.LeastPhase &&
		min(l.Voltage.Gain, l.Current.Gain) >= compensation.LeastGain
}

// loopsAlone chooses the loops of a design as assemble does: nothing taken before them is a
// resistor or a capacitor.
func (j *Looper) loopsAlone(m *stage.Measured) substitute.LoopChoice {
	_, loops := j.On(m.Of).TakeControl(m, j.ControlFor(m.V.Feedback.Stop),
		stock.NewBasket())
	return loops
}

// Stands reports whether both loops of a design keep what they must; sooner than Sways says why
// not.
func (j *Looper) Stands(m *stage.Measured) bool {
	own := *j
	own.brief = true
	return Steady(own.loopsAlone(m))
}

// Sways reports that the loops of a design may oscillate, and says which and what cures it.
func (j *Looper) Sways(m *stage.Measured) (substitute.Refusal, bool) {
	l := j.loopsAlone(m)
	if Steady(l) {
		return substitute.Refusal{}, false
	}
	r := RefusalOfLoops(l)
	r.Switcher = m.V.Drive.Name
	if m.C != nil {
		r.Core = m.C.Stock.Name()
	}
	return r, true
}

// RefusalOfLoops says which loop keeps too little, and what cures it.
func RefusalOfLoops(l substitute.LoopChoice) substitute.Refusal {
	id, margin := substitute.ChkPhaseVoltage, l.Voltage.Margin
	if l.Current.Margin < margin {
		id, margin = substitute.ChkPhaseCurrent, l.Current.Margin
	}
	r := substitute.Refusal{Check: substitute.CheckNames[id].Name, Value: margin,
		Limit: compensation.LeastPhase, Unit: substitute.CheckNames[id].Unit, Miss: 1 -
			min(margin, 29)/compensation.LeastPhase,
		Cure: "use another switcher"}
	if l.Cure != "" {
		r.Cure, r.Lack = l.Cure, l.Lack
	} else if l.Filter > 0 {
		r.Cure = "use a switcher whose feedback pin needs no capacitor"
	}
	return r
}
