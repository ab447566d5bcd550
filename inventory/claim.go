package inventory

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Claim is what one build takes out of the drawer, under the name of what it is for.
type Claim struct {
	Purpose string
	Draws   []Draw
	Target  string // the charger, in the words of who sets aside; "" when not said
}

// Gather adds draws on the same lot together and rounds them up to what can be set aside: whole
// pieces, metres to the millimetre. Lots come in ascending order. A lot that is not in the snapshot
// counts in pieces.
func Gather(draws []Draw, s Snapshot) []Draw {
	total := map[int64]float64{}
	for _, d := range draws {
		total[d.Lot] += d.Count
	}
	out := make([]Draw, 0, len(total))
	for id, n := range total {
		unit := Pieces
		if l, ok := s.Lot(id); ok {
			unit = l.Unit()
		}
		if unit == Pieces {
			n = math.Ceil(n - 1e-9) // forgives the last bit of a sum
		}
		out = append(out, Draw{Lot: id, Count: RoundUpCount(n, unit)})
	}
	slices.SortFunc(out, func(a, b Draw) int { return cmp.Compare(a.Lot, b.Lot) })
	return out
}

// Without is the snapshot after the draws are set aside. A lot never gets less than nothing.
func (s Snapshot) Without(draws []Draw) Snapshot {
	out := Snapshot{Lots: slices.Clone(s.Lots)}
	for _, d := range draws {
		for i := range out.Lots {
			if l := &out.Lots[i]; l.ID == d.Lot {
				l.SetAside = min(l.Count, RoundCount(l.SetAside+d.Count))
			}
		}
	}
	return out
}

// Freed is the snapshot with the draws no longer set aside. What is set aside for others stays so.
func (s Snapshot) Freed(draws []Draw) Snapshot {
	out := Snapshot{Lots: slices.Clone(s.Lots)}
	for _, d := range draws {
		for i := range out.Lots {
			if l := &out.Lots[i]; l.ID == d.Lot {
				l.SetAside = max(0, RoundCount(l.SetAside-d.Count))
			}
		}
	}
	return out
}

// Only is the snapshot with nothing free but the draws, and no more of them than is free.
func (s Snapshot) Only(draws []Draw) Snapshot {
	free := map[int64]float64{}
	for _, d := range draws {
		free[d.Lot] += d.Count
	}
	out := Snapshot{Lots: slices.Clone(s.Lots)}
	for i := range out.Lots {
		l := &out.Lots[i]
		l.SetAside = max(l.SetAside, RoundCount(l.Count-free[l.ID]))
	}
	return out
}

// Changed says that a lot is no longer what it was when a build was worked out from it. Nothing was
// set aside.
type Changed struct{ Lot int64 }

// Error gives the lot and the cure.
func (e Changed) Error() string {
	return fmt.Sprintf("lot \"%d\": changed since the build was worked out; ask again", e.Lot)
}

// PurposeTaken says that something is set aside under that name already. Nothing was changed.
type PurposeTaken struct{ Purpose string }

// Error gives the name and the cure.
func (e PurposeTaken) Error() string {
	return fmt.Sprintf("purpose %q: parts are set aside under that name already; release them "+
		"first, or give another name", e.Purpose)
}
