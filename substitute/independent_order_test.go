package substitute_test

import (
	"cmp"

	"github.com/stretchr/testify/require"

	"sparewright/substitute"
)

// auditOrder: fewest parts to buy, lowest cost, fewest measured steps, largest margin, fewest
// parts of which no other is left, lowest loss, fewest parts; feasible
// before the rest; ranks from 1.
func auditOrder(t require.TestingT, builds []substitute.Build) {
	for i := range builds {
		b := &builds[i]
		require.Equal(t, i+1, b.Rank)
		if i == 0 {
			continue
		}
		p, s := builds[i-1].Score, b.Score
		order := cmp.Or(cmp.Compare(p.Missing, s.Missing), cmp.Compare(p.Cost, s.Cost),
			cmp.Compare(p.Steps, s.Steps), cmp.Compare(s.Margin, p.Margin),
			cmp.Compare(len(p.Scarce), len(s.Scarce)), cmp.Compare(p.Loss, s.Loss),
			cmp.Compare(p.Parts, s.Parts))
		require.LessOrEqual(t, order, 0, "build %d before build %d: %+v, %+v", i, i+1, p, s)
		require.False(t, builds[i-1].Verdict != substitute.Feasible &&
			b.Verdict == substitute.Feasible, "build %d", i+1)
	}
}
