package compensation

import (
	"cmp"
	"math"
	"slices"

	"sparewright/catalog/si"
)

// What a loop must keep, in degrees and as a factor of gain: 45 degrees with nominal parts, 30 in
// every corner, and the gain may double; from 40 in every corner on only speed counts. Common
// practice, no source.
const (
	NominalPhase = 45.0
	LeastPhase   = 30.0
	EasyPhase    = 40.0
	LeastGain    = 2.0
)

// Values is what may be chosen from, in rising order. Dampings and Leads that may be left out hold
// a 0.
type Values struct {
	Inputs     []si.Resistance
	Capacitors []si.Capacitance
	Dampings   []si.Resistance
	Leads      []si.Capacitance
}

// Task is one loop to compensate. All its corners have the same amplifier.
type Task struct {
	Nominal []Loop
	Corners []Loop
	Cost    func(Parts) float64 // what is to be least among steady loops, as the overshoot
	OnHand  Values
	Trade   Values // what can be bought; looked at when nothing on hand will do
}

// Answer is the compensation of a loop. Where nothing on hand is steady, Parts is the nearest and
// Cure, if it is known, what would be.
type Answer struct {
	Parts          Parts
	Worst, Nominal Margins
	Steady         bool
	Cured          bool
	Cure           Parts
	CureWorst      Margins
}

// Design tries every combination of the values, the least cost first, and takes the first that is
// easy in every corner; else the first that is steady; else it says what comes nearest and which
// parts of the trade would make it steady, the fewest to be bought.
func Design(t Task) Answer {
	table := tabulate(t)
	a, steady := table.find(t)
	if steady {
		return a
	}
	a = table.answer(table.search(combinations(t.OnHand), t, math.Inf(-1)))
	all := combinations(t.OnHand.with(t.Trade))
	cost := t.Cost
	t.Cost = func(p Parts) float64 { return 1e3*float64(t.OnHand.lacks(p)) + cost(p) }
	if cure := table.search(all, t, barely); cure.steady {
		a.Cure, a.CureWorst, a.Cured = cure.Parts, table.exact.worst(cure.Parts), true
	}
	return a
}

// Find is the answer of Design where parts on hand keep the loop steady. Where none do, it says so
// and no more, which takes a small part of the time.
func Find(t Task) (Answer, bool) { return tabulate(t).find(t) }

func (t *table) find(task Task) (Answer, bool) {
	found := t.search(combinations(task.OnHand), task, barely)
	if !found.steady {
		return Answer{}, false
	}
	return t.answer(found), true
}

// barely is just not enough phase.
var barely = math.Nextafter(LeastPhase, 0)

// answer states the margins of a choice exactly.
func (t *table) answer(c choice) Answer {
	a := Answer{Parts: c.Parts, Worst: t.exact.worst(c.Parts), Nominal: t.middle.worst(c.Parts)}
	a.Steady = a.Worst.steady()
	return a
}

// choice is what a search found.
type choice struct {
	Parts
	phase  float64 // on the coarse frequencies
	steady bool    // judged exactly
}

func (m Margins) steady() bool { return m.Phase >= LeastPhase && m.Gain >= LeastGain }

// combinations lists every compensation that the values make.
func combinations(v Values) []Parts {
	var out []Parts
	for _, in := range v.Inputs {
		for _, c := range v.Capacitors {
			for _, d := range v.Dampings {
				for _, l := range v.Leads {
					out = append(out, Parts{in, c, d, l})
				}
			}
		}
	}
	return out
}

// Equal reports whether both offer the same.
func (v Values) Equal(o Values) bool {
	return slices.Equal(v.Inputs, o.Inputs) && slices.Equal(v.Capacitors, o.Capacitors) &&
		slices.Equal(v.Dampings, o.Dampings) &&
		slices.Equal(v.Leads, o.Leads)
}

// with is both sets of values together.
func (v Values) with(more Values) Values {
	return Values{union(v.Inputs, more.Inputs), union(v.Capacitors, more.Capacitors),
		union(v.Dampings, more.Dampings),
		union(v.Leads, more.Leads)}
}

func union[Q cmp.Ordered](a, b []Q) []Q {
	out := append(slices.Clone(a), b...)
	slices.Sort(out)
	return slices.Compact(out)
}

// lacks counts the parts of a compensation that are not on hand.
func (v Values) lacks(p Parts) int {
	n := 0
	for _, missing := range []bool{!slices.Contains(v.Inputs, p.Input),
		!slices.Contains(v.Capacitors, p.Capacitor),
		!slices.Contains(v.Dampings, p.Damping), !slices.Contains(v.Leads, p.Lead)} {
		if missing {
			n++
		}
	}
	return n
}

// searchPerDecade is how many frequencies a decade the search looks at; what it finds is judged
// with more.
const searchPerDecade = 12

// table holds what does not depend on the compensation: the chain of every corner at every
// frequency.
type table struct {
	freqs   []float64
	corners []row // those of Nominal last
	nominal int   // where they begin
	exact   *watched
	middle  *watched // the nominal ones
}

type row struct{ watched, direct []complex128 }

func tabulate(t Task) *table {
	all := append(slices.Clone(t.Corners), t.Nominal...)
	end := highest
	for _, l := range all {
		end = min(end, l.top())
	}
	out := &table{freqs: grid(end, searchPerDecade), nominal: len(t.Corners),
		exact: watch(t.Corners), middle: watch(t.Nominal)}
	for _, l := range all {
		out.corners = append(out.corners, l.row(out.freqs))
	}
	return out
}

// row is the chain of a loop over frequency.
func (l Loop) row(freqs []float64) row {
	r := row{make([]complex128, len(freqs)), make([]complex128, len(freqs))}
	for i, f := range freqs {
		r.watched[i], r.direct[i] = l.chain(complex(0, 2*math.Pi*f))
	}
	return r
}

// byCost sorts compensations, the cheapest first, equal ones as they come.
func byCost(all []Parts, cost func(Parts) float64) []Parts {
	type priced struct {
		p    Parts
		cost float64
	}
	list := make([]priced, len(all))
	for i, p := range all {
		list[i] = priced{p, cost(p)}
	}
	slices.SortStableFunc(list, func(a, b priced) int { return cmp.Compare(a.cost, b.cost) })
	for i := range list {
		all[i] = list[i].p
	}
	return all
}

// search goes through compensations in the order of their cost and stops at the first that is easy.
// It returns the first steady one where none is easy, and the nearest where none is steady; with a
// floor of phase, what comes no nearer than that is left before all its corners are looked at.
func (t *table) search(all []Parts, task Task, floor float64) choice {
	amp := task.Corners[0].Amplifier
	gains := make([]complex128, len(t.freqs))
	best := choice{phase: floor}
	hard := 0 // the corner that failed last fails the next first
	for _, p := range byCost(all, task.Cost) {
		for i, f := range t.freqs {
			gains[i] = amp.Gain(p, complex(0, 2*math.Pi*f))
		}
		// one that is judged steady exactly comes before a nearer one
		need := min(best.phase, barely)
		if best.steady {
			need = EasyPhase
		}
		phase, ok := t.judge(gains, need, &hard)
		switch {
		case !ok:
		case (phase >= EasyPhase || phase >= LeastPhase && !best.steady) && t.exact.steady(p):
			if best = (choice{p, phase, true}); phase >= EasyPhase {
				return best
			}
		case !best.steady && phase > best.phase:
			best.Parts, best.phase = p, phase
		}
	}
	return best
}

// judge is the least phase margin of all corners; it gives up below need. Too little margin of gain
// or of phase with nominal parts counts as just too little phase in a corner.
func (t *table) judge(gains []complex128, need float64, hard *int) (float64, bool) {
	least := math.Inf(1)
	for k := range t.corners {
		at := k
		if k == 0 {
			at = *hard
		} else if k == *hard {
			at = 0
		}
		m := t.margins(at, gains)
		phase := m.Phase
		if at >= t.nominal && phase < NominalPhase {
			phase += LeastPhase - NominalPhase
		} else if at >= t.nominal {
			phase = math.Inf(1)
		}
		if m.Gain < LeastGain*1.02 {
			phase = min(phase, LeastPhase-1)
		}
		if least = min(least, phase); least <= need {
			*hard = at
			return least, false
		}
	}
	return least, true
}

// margins is that of Loop, on the coarse frequencies.
func (t *table) margins(corner int, gains []complex128) Margins {
	var n nyquist
	n.start()
	r := &t.corners[corner]
	for i, g := range gains {
		g = r.watched[i]*g + r.direct[i]
		if i == 0 {
			n.first(g)
		} else {
			n.step(t.freqs[i-1], t.freqs[i], g, nil)
		}
	}
	return n.margins()
}
