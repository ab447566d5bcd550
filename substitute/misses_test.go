package substitute_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/search"
)

// TestBestAloneTellsOfTheSameShelves asks for the best build alone where there is none: what is in
// the way is the same as when all are wanted, so that the same purchases are looked at, whichever
// pair of switcher and core came first.
func TestBestAloneTellsOfTheSameShelves(t *testing.T) {
	w := advise.NewWorkbench(exchange.Demo())
	for _, trial := range []substitute.Target{
		{Chemistry: "lead-acid-agm", Duty: "float", Cells: 12, Current: 3},
		{Chemistry: "li-ion", Cells: 2, Current: 3}, {Chemistry: "lifepo4", Cells: 4, Current: 2}} {
		target := resolved(t, trial)
		t.Run(target.Name, func(t *testing.T) {
			found, all := advise.NewAttempt(w, target).Pairs()
			require.Empty(t, found)
			one := advise.NewAttempt(w, target)
			one.Record = &search.Record{}
			_, told := one.Pairs()
			require.Equal(t, advise.Relevant(all), advise.Relevant(told))
			misses := map[substitute.Refusal]bool{}
			for _, r := range told {
				misses[r] = true
			}
			for _, r := range all {
				if r.Limit != 0 {
					require.True(t, misses[r], "%+v", r)
				}
			}
		})
	}
}
