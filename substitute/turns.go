package substitute

import (
	"math"

	"sparewright/catalog/si"
	"sparewright/substitute/flyback"
)

// turnSet is a turn ratio with a switcher, before any core is chosen.
type turnSet struct {
	*turnRatio
	wall  si.Inductance // below it the power cannot be delivered, even without losses
	bias  int           // bias turns
	bound float64       // upper bound of the room
}

// turnList is what turnSets finds: in rising primary turns, and the order from the best whole percent of room down.
type turnList struct {
	all   []turnSet
	order []int32 // equal percents in rising primary turns
	first int     // the one with the best bound
	wall  float64 // H, least of all
}

// best is the highest bound.
func (l *turnList) best() float64 { return l.all[l.first].bound }

// newTurnList sorts by counting, since bounds are compared in whole percents anyway.
func newTurnList(all []turnSet) turnList {
	l := turnList{all: all, order: make([]int32, len(all)), wall: math.Inf(1)}
	const last = 100 - int(100*hopeless) + 1 // and what is hopeless
	var from [last + 2]int32                 // from[i] is where those that are i percent below the best possible begin
	place := func(s *turnSet) int { return 100 - int(math.Round(100*max(percent(s.bound), hopeless-0.01))) }
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

// Turns beyond these do not fit any former the tables hold at wire that can be handled.
const (
	maxSecondaryTurns = 60
	maxPrimaryTurns   = 250
)

// turnRatio is a pair of whole turns with the output rectifier that suits their ratio. It does not depend on the switcher.
type turnRatio struct {
	np, ns, rect int
	reflected    si.Voltage
	reverseRoom  float64
	power        si.Power // that crosses the gap when nothing is lost
}

// turnRatios lists every pair of whole turns that reflects a usable voltage, in rising primary turns.
func (j *job) turnRatios() []turnRatio {
	var out []turnRatio
	for np := 1; np <= maxPrimaryTurns; np++ {
		for ns := 1; ns <= maxSecondaryTurns; ns++ {
			if !j.held.allows(np, ns) {
				continue
			}
			ri := j.chooseRectifier(np, ns)
			if ri < 0 {
				return nil
			}
			n := si.Ratio(float64(np) / float64(ns))
			t := turnRatio{np: np, ns: ns, rect: ri, reflected: flyback.Reflected(n, j.secondaryVolts(j.target.Set, &j.rectifiers[ri])),
				power: j.leastPower(&j.rectifiers[ri])}
			if t.reflected < lowestVR || t.reflected > highestVR {
				continue
			}
			t.reverseRoom = most(chkReverse, flyback.RectifierReverse(j.target.Absolute, j.busMax, n), j.rectifiers[ri].reverse).room()
			if t.reverseRoom >= hopeless {
				out = append(out, t)
			}
		}
	}
	return out
}

// turnsHeld keeps a search to one pair of turns; zero means any.
type turnsHeld struct{ primary, secondary int }

func (h turnsHeld) allows(np, ns int) bool {
	return h == turnsHeld{} || h == turnsHeld{np, ns}
}

// chooseRectifier picks the output rectifier for a ratio of turns: the one with the most room towards its reverse voltage and its heat, more
// than a quarter counting as a quarter; with equal room the one with the lower drop, then the first.
func (j *job) chooseRectifier(np, ns int) int {
	best, bestRoom := -1, math.Inf(-1)
	reverse := flyback.RectifierReverse(j.target.Absolute, j.busMax, si.Ratio(float64(np)/float64(ns)))
	for i := range j.rectifiers {
		r := min(0.25, percent(min(most(chkReverse, reverse, j.rectifiers[i].reverse).room(), j.rectifierRoom(&j.rectifiers[i]))))
		if best < 0 || r > bestRoom || r == bestRoom && j.rectifiers[i].drop < j.rectifiers[best].drop {
			best, bestRoom = i, r
		}
	}
	return best
}

// turnSets lists the turn ratios for a switcher, with what can be said of them before a core is chosen: power class, drain,
// chip temperature, bias supply, and the inductance that the power asks for at least. All losses are left out and the bus is
// taken at its best, so that no bound is too low.
func (j *job) turnSets(v *variant) turnList {
	base := 1.0
	if v.class > 0 {
		base = j.classGauge(v).room()
	}
	if base < hopeless {
		return turnList{}
	}
	biases := make([]biasChoice, len(j.rectifiers)*(maxSecondaryTurns+1)) // by rectifier and secondary turns; room 0: not yet chosen
	out := make([]turnSet, 0, len(j.turns))
	drain := float64(v.breakdown - j.busMax)
	for i := range j.turns {
		t := &j.turns[i]
		bias := &biases[t.rect*(maxSecondaryTurns+1)+t.ns]
		if bias.room == 0 {
			*bias = j.chooseBias(v, t)
		}
		bound := min(base, bias.room, t.reverseRoom, 1-clampAbove*float64(t.reflected)/drain)
		if bound < hopeless {
			continue
		}
		if bound = min(bound, j.coolestChip(v, t).room()); bound < hopeless {
			continue
		}
		s := turnSet{turnRatio: t, bias: bias.turns, bound: bound}
		j.setWall(v, &s)
		out = append(out, s)
	}
	return newTurnList(out)
}

// biasChoice is the bias winding for a secondary, with the room it leaves to the chip's supply.
type biasChoice struct {
	turns int
	room  float64
}

func (j *job) chooseBias(v *variant, t *turnRatio) biasChoice {
	d := design{v: v, ns: t.ns, rect: &j.rectifiers[t.rect]}
	if d.nb = j.biasTurns(d); d.nb == 0 {
		return biasChoice{0, 1}
	}
	room, _ := lowest(1, gauge{}, biasGauges(v.stock.part, j.biasSupply(d))...)
	return biasChoice{d.nb, room}
}

// setWall finds the inductance that the power asks for at least; where no inductance will do the wall is infinite and the bound
// at most just below zero.
func (j *job) setWall(v *variant, s *turnSet) {
	need := s.power
	if v.gated {
		need /= pulsesLimit
	}
	wall, ok := flyback.InductanceForPower(j.bestBus, s.reflected, need, v.freq.Low, v.usable, v.duty)
	if !ok {
		wall = si.Inductance(math.Inf(1))
		s.bound = min(s.bound, -1e-3, j.endless(v, s).room())
	}
	s.wall = wall
}

// endless holds the peak current against its limit as if the inductance had no end.
func (j *job) endless(v *variant, s *turnSet) gauge {
	op := flyback.Operate(flyback.Point{Bus: j.bestBus, Reflected: s.reflected, Power: s.power, Inductance: 1, Frequency: v.freq.Low})
	if op.Duty > v.duty {
		return most(chkDuty, op.Duty, v.duty)
	}
	return most(chkPower, op.Peak, v.usable)
}

// binding tells which limit the bound of a turn set comes from.
func (j *job) binding(v *variant, s *turnSet) (float64, gauge) {
	bound, by := lowest(1, gauge{}, most(chkReverse, flyback.RectifierReverse(j.target.Absolute, j.busMax, si.Ratio(float64(s.np)/float64(s.ns))), j.rectifiers[s.rect].reverse),
		most(chkDrain, j.busMax+clampAbove*s.reflected, v.breakdown).from(float64(j.busMax)), j.coolestChip(v, s.turnRatio))
	if v.class > 0 {
		bound, by = lowest(bound, by, j.classGauge(v))
	}
	if s.bias > 0 {
		bound, by = lowest(bound, by, biasGauges(v.stock.part, j.biasSupply(design{v: v, ns: s.ns, nb: s.bias, rect: &j.rectifiers[s.rect]}))...)
	}
	if math.IsInf(float64(s.wall), 1) {
		bound, by = lowest(bound, by, j.endless(v, s))
	}
	return bound, by
}

func (j *job) classGauge(v *variant) gauge {
	return most(chkClass, si.Power(float64(j.target.Set)*float64(j.target.Current)), v.class)
}

// coolestChip is the chip's temperature with the smallest rms current that can carry the power, a flat top over the longest
// duty, and with the switching losses that every pulse has.
func (j *job) coolestChip(v *variant, t *turnRatio) gauge {
	part := v.stock.part
	mean := float64(t.power) / float64(j.bestBus)
	duty := float64(t.reflected) / float64(t.reflected+j.bestBus)
	loss := si.Power(mean * mean / duty * float64(part.OnHot.Or(1.8*part.OnResistance.Value)))
	if !v.gated {
		loss += flyback.CapacitiveLoss(part.Coss.Or(60e-12)+20e-12, j.worstBus, v.frequency)
	}
	if part.SelfSupply == "yes" {
		loss += flyback.SelfSupplyLoss(j.worstBus, part.SupplyCurrent.Or(chipOwnCurrent))
	}
	hot := j.coolest + si.Celsius(float64(loss)*float64(junctionAir(part)))
	return most(chkJunction, hot, junctionMost(part)).from(float64(j.target.Ambient))
}

// leastPower is what crosses the gap when nothing is lost.
func (j *job) leastPower(r *rectifierChoice) si.Power {
	return si.Power(float64(j.secondaryVolts(j.target.Set, r))*float64(j.target.Current)) + j.auxLeast
}
