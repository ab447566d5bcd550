package search

import (
	"math"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/flyback"
	"sparewright/substitute/stage"
)

// turnSet is a turn ratio with a switcher, before any core is chosen.
type turnSet struct {
	*turnRatio
	wall  si.Inductance // below it the power cannot be delivered, even without losses
	Bias  int           // bias turns
	bound float64       // upper bound of the margin
}

// turnList is what turnSets finds: in rising primary turns, and the order from the best whole
// percent of margin down.
type turnList struct {
	All   []turnSet
	order []int32 // equal percents in rising primary turns
	first int     // the one with the best bound
	wall  float64 // H, least of all
}

// best is the highest bound.
func (l *turnList) best() float64 { return l.All[l.first].bound }

// newTurnList sorts by counting, since bounds are compared in whole percents anyway.
func newTurnList(all []turnSet) turnList {
	l := turnList{All: all, order: make([]int32, len(all)), wall: math.Inf(1)}
	const last = 100 - int(100*hopeless) + 1 // and what is hopeless
	// from[i] is where those that are i percent below the best possible begin
	var from [last + 2]int32
	place := func(s *turnSet) int {
		return 100 - int(math.Round(100*max(substitute.Percent(s.bound), hopeless-0.01)))
	}
	for i := range all {
		from[place(&all[i])+1]++
		l.wall = min(l.wall, float64(all[i].wall))
		if all[i].bound > all[l.first].bound {
			l.first = i
		}
	}
	for i := 1; i < len(from); i++ {
		from[i] += from[i-1]
	}
	for i := range all {
		at := &from[place(&all[i])]
		l.order[*at] = int32(i)
		*at++
	}
	return l
}

// turnRatio is a pair of whole turns with the output rectifier that suits their ratio. It does not
// depend on the switcher.
type turnRatio struct {
	Np, Ns, Rect  int
	Reflected     si.Voltage
	reverseMargin float64
	power         si.Power // that crosses the gap when nothing is lost
}

// turner lists the turns worth trying.
type turner struct {
	*Bounder
	Held  TurnsHeld
	Turns []turnRatio
}

// TurnRatios lists every pair of whole turns that reflects a usable voltage, in rising primary
// turns.
func (j *turner) TurnRatios() []turnRatio {
	var out []turnRatio
	for np := 1; np <= stage.MaxPrimaryTurns; np++ {
		for ns := 1; ns <= stage.MaxSecondaryTurns; ns++ {
			if !j.Held.allows(np, ns) {
				continue
			}
			ri := j.ChooseRectifier(np, ns)
			if ri < 0 {
				return nil
			}
			n := si.Ratio(float64(np) / float64(ns))
			t := turnRatio{Np: np, Ns: ns, Rect: ri,
				Reflected: flyback.Reflected(n, j.SecondaryVolts(j.Target.Set, &j.Rectifiers[ri])),
				power:     j.leastPower(&j.Rectifiers[ri])}
			if t.Reflected < stage.LowestVR || t.Reflected > stage.HighestVR {
				continue
			}
			t.reverseMargin = substitute.Most(substitute.ChkReverse,
				flyback.RectifierReverse(j.Target.Absolute, j.BusMax,
					n), j.Rectifiers[ri].Reverse).Margin()
			if t.reverseMargin >= hopeless {
				out = append(out, t)
			}
		}
	}
	return out
}

// TurnsHeld keeps a search to one pair of turns; zero means any.
type TurnsHeld struct{ Primary, Secondary int }

func (h TurnsHeld) allows(np, ns int) bool {
	return h == TurnsHeld{} || h == TurnsHeld{np, ns}
}

// TurnSets lists the turn ratios for a switcher, with what can be said of them before a core is
// chosen: power class, drain, chip temperature, bias supply, and the inductance that the power asks
// for at least. All losses are left out and the bus is taken at its best, so that no bound is too
// low.
func (j *turner) TurnSets(v *stage.Variant) turnList {
	base := 1.0
	if v.Class > 0 {
		base = j.classGauge(v).Margin()
	}
	if base < hopeless {
		return turnList{}
	}
	// by rectifier and secondary turns; margin 0: not yet chosen
	biases := make([]biasChoice, len(j.Rectifiers)*(stage.MaxSecondaryTurns+1))
	out := make([]turnSet, 0, len(j.Turns))
	drain := float64(v.Breakdown - j.BusMax)
	for i := range j.Turns {
		t := &j.Turns[i]
		bias := &biases[t.Rect*(stage.MaxSecondaryTurns+1)+t.Ns]
		if bias.margin == 0 {
			*bias = j.chooseBias(v, t)
		}
		bound := min(base, bias.margin, t.reverseMargin,
			1-stage.ClampAbove*float64(t.Reflected)/drain)
		if bound < hopeless {
			continue
		}
		if bound = min(bound, j.coolestChip(v, t).Margin()); bound < hopeless {
			continue
		}
		s := turnSet{turnRatio: t, Bias: bias.turns, bound: bound}
		j.setWall(v, &s)
		out = append(out, s)
	}
	return newTurnList(out)
}

// biasChoice is the bias winding for a secondary, with the margin it leaves to the chip's supply.
type biasChoice struct {
	turns  int
	margin float64
}

func (j *Bounder) chooseBias(v *stage.Variant, t *turnRatio) biasChoice {
	d := stage.Design{V: v, Ns: t.Ns, Rect: &j.Rectifiers[t.Rect]}
	if d.Nb = j.BiasTurns(d); d.Nb == 0 {
		return biasChoice{0, 1}
	}
	margin, _ := lowest(1, substitute.Gauge{}, v.Supply.Gauges(j.BiasSupply(d))...)
	return biasChoice{d.Nb, margin}
}

// setWall finds the inductance that the power asks for at least; where no inductance will do the
// wall is infinite and the bound at most just below zero.
func (j *Bounder) setWall(v *stage.Variant, s *turnSet) {
	need := s.power
	if v.Gated {
		need /= stage.PulsesLimit
	}
	wall, ok := flyback.InductanceForPower(j.bestBus, s.Reflected, need, v.Freq.Low,
		v.Usable, v.Duty)
	if !ok {
		wall = si.Inductance(math.Inf(1))
		s.bound = min(s.bound, -1e-3, j.endless(v, s).Margin())
	}
	s.wall = wall
}

// endless holds the peak current against its limit as if the inductance had no end.
func (j *Bounder) endless(v *stage.Variant, s *turnSet) substitute.Gauge {
	op := flyback.Operate(flyback.Point{Bus: j.bestBus, Reflected: s.Reflected, Power: s.power,
		Inductance: 1, Frequency: v.Freq.Low})
	if op.Duty > v.Duty {
		return substitute.Most(substitute.ChkDuty, op.Duty, v.Duty)
	}
	return substitute.Most(substitute.ChkPower, op.Peak, v.Usable)
}

// binding tells which limit the bound of a turn set comes from.
func (j *Bounder) binding(v *stage.Variant, s *turnSet) (float64, substitute.Gauge) {
	bound, by := lowest(1, substitute.Gauge{},
		substitute.Most(substitute.ChkReverse,
			flyback.RectifierReverse(j.Target.Absolute, j.BusMax,
				si.Ratio(float64(s.Np)/float64(s.Ns))), j.Rectifiers[s.Rect].Reverse),
		substitute.Most(substitute.ChkDrain, j.BusMax+stage.ClampAbove*s.Reflected,
			v.Breakdown).From(float64(j.BusMax)), j.coolestChip(v, s.turnRatio))
	if v.Class > 0 {
		bound, by = lowest(bound, by, j.classGauge(v))
	}
	if s.Bias > 0 {
		bound, by = lowest(bound, by, v.Supply.Gauges(
			j.BiasSupply(stage.Design{V: v, Ns: s.Ns, Nb: s.Bias, Rect: &j.Rectifiers[s.Rect]}))...)
	}
	if math.IsInf(float64(s.wall), 1) {
		bound, by = lowest(bound, by, j.endless(v, s))
	}
	return bound, by
}

func (j *Bounder) classGauge(v *stage.Variant) substitute.Gauge {
	return substitute.Most(substitute.ChkClass,
		si.Power(float64(j.Target.Set)*float64(j.Target.Current)), v.Class)
}

// coolestChip is the chip's temperature with the smallest rms current that can carry the power, a
// flat top over the longest duty, and with the switching losses that every pulse has.
func (j *Bounder) coolestChip(v *stage.Variant, t *turnRatio) substitute.Gauge {
	mean := float64(t.power) / float64(j.bestBus)
	duty := float64(t.Reflected) / float64(t.Reflected+j.bestBus)
	loss := si.Power(mean * mean / duty * float64(v.OnHot))
	if !v.Gated {
		loss += flyback.CapacitiveLoss(v.Coss+20e-12, j.worstBus, v.Frequency)
	}
	if v.Supply.Self {
		loss += flyback.SelfSupplyLoss(j.worstBus, v.Supply.Current)
	}
	hot := j.Coolest + si.Celsius(float64(loss)*float64(v.JunctionAir))
	return substitute.Most(substitute.ChkJunction, hot,
		v.JunctionMost).From(float64(j.Target.Ambient))
}

// leastPower is what crosses the gap when nothing is lost.
func (j *Bounder) leastPower(r *stage.RectifierChoice) si.Power {
	return si.Power(float64(j.SecondaryVolts(j.Target.Set, r))*float64(j.Target.Current)) +
		j.auxLeast
}
