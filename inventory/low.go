package inventory

import "sparewright/catalog"

// Scarcity is how little is free of a part, over all its lots; empty for enough.
type Scarcity string

// The marks of what runs low.
const (
	LastPiece Scarcity = "last"  // one piece is free
	NoneFree  Scarcity = "none"  // what is there is set aside
	ShortEnd  Scarcity = "short" // less than ShortLength of wire or tape is free
)

// ShortLength is what wire and tape run low below, in metres: a hundred turns of 50 mm, a primary
// on a core of middle size, take it up (common practice, no source).
const ShortLength = 5

// RunningLow returns the lots that run low, by number: a piece is low when it is the last that is
// free, wire and tape below ShortLength. What counts is all that is free of the same part, whatever
// bin it lies in; damaged parts do not count. Emptied lots are not marked, nor are whole adapters
// and unopened transformers, of which there is seldom a second.
func RunningLow(lots []Lot) map[int64]Scarcity {
	free := map[catalog.Part]float64{}
	for _, l := range lots {
		if l.Condition != Damaged {
			free[l.Part] = RoundCount(free[l.Part] + max(0, l.Available()))
		}
	}
	low := map[int64]Scarcity{}
	for _, l := range lots {
		if s := l.scarcity(free[l.Part]); s != "" {
			low[l.ID] = s
		}
	}
	return low
}

// scarcity judges a lot by what is free of its part everywhere.
func (l Lot) scarcity(free float64) Scarcity {
	kind := l.Part.Kind()
	switch {
	case l.Count <= 0 || l.Condition == Damaged ||
		kind == catalog.KindAdapter || kind == catalog.KindTransformer:
		return ""
	case l.Unit() == Metres && free >= ShortLength || l.Unit() == Pieces && free > 1:
		return ""
	case l.Available() <= 0:
		return NoneFree
	case l.Unit() == Metres:
		return ShortEnd
	}
	return LastPiece
}
