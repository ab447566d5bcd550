package compensation

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog/si"
)

// task is a voltage loop with its gain 4 times up and down and its capacitor a fifth, and what lies
// in a small drawer.
func task() Task {
	l := bench()["li4, voltage"].Loop
	var corners []Loop
	for _, k := range []float64{0.5, 2} {
		for _, c := range []float64{0.8, 1.2} {
			n := l
			n.Gain *= si.Ratio(k)
			n.Output.Capacitance *= si.Capacitance(c)
			corners = append(corners, n)
		}
	}
	return Task{Nominal: []Loop{l}, Corners: corners,
		Cost: func(p Parts) float64 {
			return float64(p.Capacitor) * 1e9 /
				(1 + float64(p.Damping)/2200)
		},
		OnHand: Values{Inputs: []si.Resistance{2200},
			Capacitors: []si.Capacitance{22e-9, 100e-9, 470e-9},
			Dampings: []si.Resistance{0, 1e3, 4.7e3, 10e3,
				22e3}, Leads: []si.Capacitance{0, 2.2e-9}}}
}

// The search against every combination looked at in full: it takes the least cost among those that
// keep 40 degrees in every corner, 45 with nominal parts and twice the gain, else among those that
// keep 30.
func TestDesignEqualsPlainEnumeration(t *testing.T) {
	for _, change := range []func(*Task){
		func(*Task) {},
		func(k *Task) { k.OnHand.Leads = []si.Capacitance{0} },
		func(k *Task) { k.OnHand.Capacitors = k.OnHand.Capacitors[:1] },
		func(k *Task) {
			for i := range k.Corners {
				k.Corners[i].Pin.Capacitance *= 3
			}
		},
	} {
		k := task()
		change(&k)
		var easy, steady []Parts
		for _, p := range combinations(k.OnHand) {
			w, n := Worst(k.Corners, p), Worst(k.Nominal, p)
			if n.Phase < 45 || w.Phase < 30 || w.Gain < 2 {
				continue
			}
			if steady = append(steady, p); w.Phase >= 40 {
				easy = append(easy, p)
			}
		}
		from := easy
		if len(easy) == 0 {
			from = steady
		}
		a := Design(k)
		require.Equal(t, len(steady) > 0, a.Steady)
		if len(from) == 0 {
			continue
		}
		least := slices.MinFunc(from, func(a, b Parts) int {
			if k.Cost(a) < k.Cost(b) {
				return -1
			}
			return 1
		})
		require.InDelta(t, k.Cost(least), k.Cost(a.Parts), 0.05*k.Cost(least),
			"a choice at the very limit may be left by the coarse look")
	}
}

// What is not steady with what lies there names what would be, and that is steady when it is looked
// at in full; it buys the fewest parts.
func TestCureCures(t *testing.T) {
	k := task()
	k.OnHand = Values{Inputs: k.OnHand.Inputs, Capacitors: []si.Capacitance{22e-9},
		Dampings: []si.Resistance{0}, Leads: []si.Capacitance{0}}
	k.Trade = task().OnHand
	a := Design(k)
	require.False(t, a.Steady)
	require.Less(t, a.Worst.Phase, 30.0)
	require.True(t, a.Cured)
	w := Worst(k.Corners, a.Cure)
	require.GreaterOrEqual(t, w.Phase, 30.0)
	require.GreaterOrEqual(t, float64(w.Gain), 2.0)
	for _, p := range combinations(k.Trade) {
		if k.OnHand.lacks(p) < k.OnHand.lacks(a.Cure) {
			require.False(t, Worst(k.Corners, p).steady() && Worst(k.Nominal, p).Phase >= 45, "%+v",
				p)
		}
	}
	k.Trade = Values{}
	require.False(t, Design(k).Cured)
}

// More delay and more gain spread never widen the worst margin: monotony over what only takes phase
// away.
func TestDelayTakesPhase(t *testing.T) {
	for name, c := range bench() {
		before := math.Inf(1)
		for _, delay := range []si.Time{1e-6, 5e-6, 1e-5} {
			l := c.Loop
			l.Delay = delay
			m := l.Margins(c.Parts)
			require.Less(t, m.Phase, before, name)
			before = m.Phase
		}
	}
}
