package sqlite

import (
	"fmt"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sparewright/inventory"
)

func claim(purpose string, draws ...inventory.Draw) []inventory.Claim {
	return []inventory.Claim{{Purpose: purpose, Draws: draws}}
}

// What was seen decides: a lot that became another in the meantime is refused by name, one that
// merely gave some away is not, as long as enough is left. A refusal sets nothing aside, not even
// for the claims before it.
func TestClaimHoldsToWhatWasSeen(t *testing.T) {
	s := fresh(t)
	ids := put(t, s, lot(resistor(10), 5), lot(resistor(22), 2), lot(wire(), 3))
	seen, err := s.Snapshot(ctx)
	require.NoError(t, err)
	_, err = s.Take(ctx, ids[0], 2, "bench", noon)
	require.NoError(t, err)
	bin := "C1"
	_, err = s.Edit(ctx, ids[1], Change{Bin: &bin}, noon)
	require.NoError(t, err)

	require.NoError(t, s.Claim(ctx, claim("one", inventory.Draw{Lot: ids[0], Count: 3}), seen,
		noon))
	nothingMore := func() {
		held, err := s.SetAsides(ctx, "")
		require.NoError(t, err)
		require.Len(t, held, 1)
		sound(t, s)
	}
	both := append(claim("two", inventory.Draw{Lot: ids[2], Count: 1}),
		claim("three", inventory.Draw{Lot: ids[1], Count: 1})...)
	require.Equal(t, inventory.Changed{Lot: ids[1]}, s.Claim(ctx, both, seen, noon))
	nothingMore()
	require.Equal(t, inventory.PurposeTaken{Purpose: "one"},
		s.Claim(ctx, claim("one", inventory.Draw{Lot: ids[2], Count: 1}), seen, noon))
	nothingMore()
	require.Equal(t, inventory.Overdraw{Lot: ids[0], Asked: 1, Available: 0, SetAside: 3,
		Unit: inventory.Pieces},
		s.Claim(ctx, claim("four", inventory.Draw{Lot: ids[2], Count: 1},
			inventory.Draw{Lot: ids[0], Count: 1}), seen, noon))
	nothingMore()
	require.Equal(t, inventory.Changed{Lot: 1},
		s.Claim(ctx, claim("five", inventory.Draw{Lot: 1, Count: 1}), inventory.Snapshot{}, noon))
	require.ErrorIs(t, s.Claim(ctx, claim("six", inventory.Draw{Lot: 99, Count: 1}), seen, noon),
		inventory.ErrNoLot)
	var data inventory.DataError
	require.ErrorAs(t, s.Claim(ctx, claim(""), seen, noon), &data)
	nothingMore()
}

// Eight hands on four open stores reach for the last part at the same time, two hundred times: one
// gets it.
func TestClaimOfTheLastPart(t *testing.T) {
	s := fresh(t)
	id := put(t, s, lot(resistor(10), 1))[0]
	seen, err := s.Snapshot(ctx)
	require.NoError(t, err)
	var stores []*Store
	for range 4 {
		o, err := Open(ctx, s.Path(), ReadWrite)
		require.NoError(t, err)
		defer o.Close()
		stores = append(stores, o)
	}
	rounds := 60
	if long() {
		rounds = 200
	}
	for round := range rounds {
		var won atomic.Int64
		var wg sync.WaitGroup
		errs := make([]error, 8)
		for i := range errs {
			wg.Go(func() {
				errs[i] = stores[i%len(stores)].Claim(ctx,
					claim(fmt.Sprint(i), inventory.Draw{Lot: id, Count: 1}), seen, noon)
				if errs[i] == nil {
					won.Add(int64(i) + 1)
				}
			})
		}
		wg.Wait()
		lost := 0
		for _, err := range errs {
			if err != nil {
				require.IsType(t, inventory.Overdraw{}, err, "round %d", round)
				lost++
			}
		}
		require.Equal(t, len(errs)-1, lost, "round %d", round)
		freed, err := s.Release(ctx, fmt.Sprint(won.Load()-1), noon)
		require.NoError(t, err)
		require.Len(t, freed, 1)
	}
	sound(t, s)
}

// The charger goes with the set-aside, also when undo brings that back after the name has served
// another charger.
func TestTargetGoesWithTheSetAside(t *testing.T) {
	s := fresh(t)
	ids := put(t, s, lot(resistor(10), 5))
	seen, err := s.Snapshot(ctx)
	require.NoError(t, err)
	reserve := func(target string, hours int) {
		c := claim("pack", inventory.Draw{Lot: ids[0], Count: 1})
		c[0].Target = target
		require.NoError(t, s.Claim(ctx, c, seen, noon.Add(time.Duration(hours)*time.Hour)))
	}
	kept := func(want string) {
		t.Helper()
		got, err := s.TargetOf(ctx, "pack")
		require.NoError(t, err)
		require.Equal(t, want, got)
	}
	_, err = s.TargetOf(ctx, "pack")
	require.Equal(t, inventory.NoPurpose{Purpose: "pack"}, err)
	reserve("first", 0)
	kept("first")
	_, err = s.Release(ctx, "pack", noon)
	require.NoError(t, err)
	reserve("second", 1)
	kept("second")
	for range 2 { // the second claim, then the release
		_, err = s.Undo(ctx, 1, noon)
		require.NoError(t, err)
	}
	kept("first")
	_, err = s.Release(ctx, "pack", noon)
	require.NoError(t, err)
	reserve("", 2)
	kept("")
	sound(t, s)
}
