package inventory

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
)

// Draws on one lot count together before they are rounded up: three thirds of a sheet are one
// sheet, not three; lengths go up to the next millimetre. The sums are made by hand.
func TestGather(t *testing.T) {
	sheet := Lot{ID: 2, Part: catalog.Film{Form: "sheet"}, Count: 3}
	spool := Lot{ID: 1, Part: catalog.Wire{}, Count: 4}
	s := Snapshot{Lots: []Lot{spool, sheet}}
	got := Gather([]Draw{{2, 1.0 / 3}, {1, 0.5002}, {2, 1.0 / 3}, {1, 0.25}, {2, 1.0 / 3}}, s)
	require.Equal(t, []Draw{{1, 0.751}, {2, 1}}, got)
	require.Equal(t, []Draw{{2, 2}}, Gather([]Draw{{2, 1.01}}, s))
	require.Empty(t, Gather(nil, s))
}

// What is set aside is gone for the next build, the drawer that was handed in stays as it was.
func TestWithout(t *testing.T) {
	s := Snapshot{Lots: []Lot{{ID: 1, Part: catalog.Wire{}, Count: 4, SetAside: 0.5},
		{ID: 2, Part: catalog.Film{Form: "sheet"}, Count: 1}}}
	left := s.Without([]Draw{{1, 1.25}, {2, 1}, {9, 1}})
	require.Equal(t, 2.25, left.Lots[0].Available())
	require.Equal(t, 0.0, left.Lots[1].Available())
	require.Equal(t, 3.5, s.Lots[0].Available())
	require.Equal(t, 0.0, left.Without([]Draw{{1, 99}}).Lots[0].Available())
}

// What is set aside under one name counts as free again, what others hold does not: 4 m, of which
// 0.5 m for another and 1.25 m for this one, has 2.25 m free, 3.5 m with this name counted as free,
// and of the parts of this name alone 1.25 m. By hand.
func TestFreedAndOnly(t *testing.T) {
	s := Snapshot{Lots: []Lot{{ID: 1, Part: catalog.Wire{}, Count: 4, SetAside: 1.75},
		{ID: 2, Part: catalog.Film{Form: "sheet"}, Count: 1}}}
	aside := []Draw{{1, 1.25}, {9, 1}}
	freed := s.Freed(aside)
	require.Equal(t, 3.5, freed.Lots[0].Available())
	require.Equal(t, 1.0, freed.Lots[1].Available())
	require.Equal(t, 2.25, s.Lots[0].Available())
	alone := freed.Only(aside)
	require.Equal(t, 1.25, alone.Lots[0].Available())
	require.Equal(t, 0.0, alone.Lots[1].Available())
	require.Equal(t, 0.5, freed.Only([]Draw{{1, 0.25}, {1, 0.25}}).Lots[0].Available())
	require.Equal(t, 3.5, freed.Only([]Draw{{1, 99}}).Lots[0].Available())
	require.Equal(t, 4.0, s.Freed([]Draw{{1, 99}}).Lots[0].Available())
}
