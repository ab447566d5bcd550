package substitute

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog/si"
	"sparewright/inventory/exchange"
)

// TestBoundsAreNeverTooLow holds every bound of the search against the full computation of the same design: room never below
// what is measured, loss never above it. A bound that errs cuts the best build now and then.
func TestBoundsAreNeverTooLow(t *testing.T) {
	w := NewWorkbench(exchange.Demo())
	held := 0
	for _, trial := range append([]Target{{Chemistry: "lead-acid-agm", Duty: "float", Cells: 12, Current: 0.5}}, trials...) {
		j := newJob(w, resolved(t, trial))
		variants := j.variants()
		usable := j.controlled(variants)
		j.settle(usable)
		j.turns = j.turnRatios()
		for _, v := range usable {
			sets := j.turnSets(v)
			for i := range w.cores {
				cands := j.candidates(v, &w.cores[i], &sets)
				for k := 0; k < len(cands); k += 97 {
					held += j.holdBounds(t, v, &w.cores[i], &cands[k])
				}
			}
		}
	}
	require.Greater(t, held, 3000)
}

// holdBounds compares one candidate, wound every way; it returns how many designs it measured.
func (j *job) holdBounds(t *testing.T, v *variant, c *bareCore, k *candidate) (held int) {
	d := on(v, c).with(j, k.turnSet, k.gap)
	warm := j.warm(d, k.reflected)
	chip, _ := warm.chip(j, d, k.bound)
	plans := j.shop.plans(c, d.planned())
	for i := range plans {
		d.plan = &plans[i]
		coil, _, loss := warm.coil(j, d, &d.plan.gist, k.reflected, v.breakdown-j.busMax, chip)
		lead := d.primary(d.gap.al)
		j.clampsFor(d, k.reflected, max(d.plan.leakage, leastLeakage*lead), lead, func(c clampChoice) {
			d.clamp = c
			j.holdClamped(t, d, k, &warm, chip, coil, loss)
			held++
		})
	}
	return held
}

// holdClamped compares a wound candidate with one clamp.
func (j *job) holdClamped(t *testing.T, d design, k *candidate, warm *warmth, chip, coil float64, loss si.Power) {
	clamped, _, spent := warm.coil(j, d, &d.plan.gist, k.reflected, d.clamp.lowest, chip)
	m := j.measure(d)
	what := []any{"%s, %s on %s, %d:%d, %s", j.target.Name, d.v.stock.name(), d.c.stock.name(), k.np, k.ns, m.op.Mode.String()}
	if !m.failed {
		require.GreaterOrEqual(t, k.bound, m.margin, what...)
		require.GreaterOrEqual(t, chip, m.margin, what...)
		require.GreaterOrEqual(t, coil, m.margin, what...)
		require.GreaterOrEqual(t, clamped, m.margin, what...)
		require.LessOrEqual(t, float64(spent), float64(m.loss.total())*(1+1e-9), what...)
		// coil takes for granted that the clamp keeps the drain's limit
		require.LessOrEqual(t, float64(loss), float64(m.loss.total())*(1+1e-9), what...)
		require.LessOrEqual(t, float64(d.clamp.voltage), float64(m.clampTop)*(1+1e-9), what...)
	}
	// beyond 300 C the measure stops reckoning the copper hotter
	if m.coil < 300 {
		require.LessOrEqual(t, float64(warm.loss), float64(m.loss.total())*(1+1e-9), what...)
	}
}
