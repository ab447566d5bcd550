package substitute_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog/si"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/search"
	"sparewright/substitute/stage"
)

// TestBoundsAreNeverTooLow holds every bound of the search against the full computation of the same
// design: margin never below what is measured, loss never above it. A bound that errs cuts the best
// build now and then.
func TestBoundsAreNeverTooLow(t *testing.T) {
	w := advise.NewWorkbench(exchange.Demo())
	held, step, least := 0, 293, 1000
	switch {
	case long():
		step, least = 97, 3000
	case testing.Short():
		step, least = 997, 300
	}
	for _, trial := range append([]substitute.Target{
		{Chemistry: "lead-acid-agm", Duty: "float", Cells: 12, Current: 0.5}}, trials...) {
		j := advise.NewAttempt(w, resolved(t, trial))
		variants := j.Variants()
		usable := j.Controlled(variants)
		j.Settle(usable)
		j.Turns = j.TurnRatios()
		for _, v := range usable {
			sets := j.TurnSets(v)
			for i := range w.Cores {
				cands := j.Candidates(v, &w.Cores[i], &sets)
				for k := 0; k < len(cands); k += step {
					held += holdBounds(t, j.Job, v, &w.Cores[i], &cands[k])
				}
			}
		}
	}
	require.Greater(t, held, least)
}

// holdBounds compares one candidate, wound every way; it returns how many designs it measured.
func holdBounds(t *testing.T, j *search.Job, v *stage.Variant, c *stage.BareCore,
	k *search.Candidate) (held int) {
	d := stage.On(v, c).With(j.Measurer, k.Np, k.Ns, k.Bias, k.Rect, k.Gap)
	warm := j.Warm(d, k.Reflected)
	chip, _ := warm.Chip(j.Bounder, d, k.Reflected, k.Bound)
	plans := j.Shop.Plans(c, d.Planned())
	for i := range plans {
		d.Plan = &plans[i]
		coil, _, loss := warm.Coil(j.Bounder, d, &d.Plan.Gist, k.Reflected,
			v.Breakdown-j.BusMax, chip)
		j.ClampsFor(d, k.Reflected, &d.Plan.Gist, func(c stage.ClampChoice) {
			d.Clamp = c
			holdClamped(t, j, d, k, &warm, chip, coil, loss)
			held++
		})
	}
	return held
}

// holdClamped compares a wound candidate with one clamp.
func holdClamped(t *testing.T, j *search.Job, d stage.Design, k *search.Candidate,
	warm *search.Warmth, chip, coil float64, loss si.Power) {
	clamped, _, spent := warm.Coil(j.Bounder, d, &d.Plan.Gist, k.Reflected, d.Clamp.Lowest, chip)
	m := j.Measure(d)
	what := []any{"%s, %s on %s, %d:%d, %s", j.Target.Name, d.V.Stock.Name(), d.C.Stock.Name(),
		k.Np, k.Ns, m.Op.Mode.String()}
	if !m.Failed {
		require.GreaterOrEqual(t, k.Bound, m.Margin, what...)
		require.GreaterOrEqual(t, chip, m.Margin, what...)
		require.GreaterOrEqual(t, coil, m.Margin, what...)
		require.GreaterOrEqual(t, clamped, m.Margin, what...)
		require.LessOrEqual(t, float64(spent), float64(m.Loss.Total())*(1+1e-9), what...)
		// coil takes for granted that the clamp keeps the drain's limit
		require.LessOrEqual(t, float64(loss), float64(m.Loss.Total())*(1+1e-9), what...)
		require.LessOrEqual(t, float64(d.Clamp.Voltage), float64(m.ClampTop)*(1+1e-9), what...)
	}
	// beyond 300 C the measure stops reckoning the copper hotter
	if m.Coil < 300 {
		require.LessOrEqual(t, float64(warm.Loss), float64(m.Loss.Total())*(1+1e-9), what...)
	}
}
