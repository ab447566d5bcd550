package inventory

import (
	"cmp"
	"slices"

	"sparewright/catalog"
)

// Sorted returns the same lots in ascending ID. The receiver keeps its order.
func (s Snapshot) Sorted() Snapshot {
	lots := slices.Clone(s.Lots)
	slices.SortStableFunc(lots, func(a, b Lot) int { return cmp.Compare(a.ID, b.ID) })
	return Snapshot{Lots: lots}
}

// ByKind returns the lots of one kind in the order of the snapshot.
func (s Snapshot) ByKind(k catalog.Kind) []Lot {
	return s.which(func(l Lot) bool { return l.Part.Kind() == k })
}

// Lot returns the lot of that number.
func (s Snapshot) Lot(id int64) (Lot, bool) {
	i := slices.IndexFunc(s.Lots, func(l Lot) bool { return l.ID == id })
	if i < 0 {
		return Lot{}, false
	}
	return s.Lots[i], true
}

// Usable returns the lots a build may draw from: not damaged, and with something left beyond what
// is set aside.
func (s Snapshot) Usable() Snapshot {
	return Snapshot{Lots: s.which(func(l Lot) bool {
		return l.Condition != Damaged && l.Available() > 0
	})}
}

// Select returns the lots that match the query, in the order of the snapshot.
func (s Snapshot) Select(q Query) []Lot { return s.which(q.Match) }

func (s Snapshot) which(keep func(Lot) bool) []Lot {
	var lots []Lot
	for _, l := range s.Lots {
		if keep(l) {
			lots = append(lots, l)
		}
	}
	return lots
}
