package swap

import (
	"math"
	"slices"

	"sparewright/catalog"
	"sparewright/inventory"
	"sparewright/substitute/seats"
)

// Wanted is one rating a part outside any build must have, in the words of the catalog. Low and
// High are in the base unit; nil is no limit on that side. Words are the allowed words of a text
// field.
type Wanted struct {
	Field string   `json:"field"`
	Low   *float64 `json:"low,omitempty" figures:"entered"`
	High  *float64 `json:"high,omitempty" figures:"entered"`
	Words []string `json:"words,omitempty"`
	Hard  bool     `json:"hard"`
}

// Outside is every stand-in on hand for a part of a circuit this program does not know.
type Outside struct {
	Kind     catalog.Kind `json:"kind"`
	Wanted   []Wanted     `json:"wanted"`
	StandIns []StandIn    `json:"stand_ins"`
}

// StandInsOutside holds every lot of a kind against the ratings wanted. Same: all are kept. Worse:
// a rating that the table of substitutions calls soft wherever it counts is missed, or one is kept
// only by a cautious stand-in for a figure nobody stated. Refused: another rating is missed or not
// known. Nothing can be recomputed for a circuit that is not known.
func StandInsOutside(k catalog.Kind, wanted []Wanted, s inventory.Snapshot) Outside {
	out := Outside{Kind: k, Wanted: slices.Clone(wanted), StandIns: []StandIn{}}
	for i := range out.Wanted {
		out.Wanted[i].Hard = !softEverywhere(k, out.Wanted[i].Field)
	}
	for _, l := range s.Sorted().Usable().ByKind(k) {
		out.StandIns = append(out.StandIns, outside(out.Wanted, l))
	}
	slices.SortStableFunc(out.StandIns, byVerdict)
	return out
}

// softEverywhere reports whether the table has rules for a figure and all of them are soft.
func softEverywhere(k catalog.Kind, field string) bool {
	found := false
	for _, r := range catalog.Substitutions(k, "") {
		if r.Field == field {
			if r.Hard {
				return false
			}
			found = true
		}
	}
	return found
}

func outside(wanted []Wanted, l inventory.Lot) StandIn {
	part := Completed(l)
	out := StandIn{Lot: l.ID, Designation: part.Designation(),
		Free: inventory.RoundCount(l.Available()), Unit: l.Unit(), Bin: l.Bin,
		Changes: []SwapChange{}, Verdict: SwapSame, Binds: Bound{margin: math.Inf(1), Passed: true}}
	for _, w := range wanted {
		b := against(w.need(), part, seats.None)
		b.Hard, b.Why = w.Hard, ""
		v, known := figureOf(part, w.Field)
		switch {
		case !b.Passed && w.Hard:
			if out.Verdict != SwapRefused || b.margin < out.Binds.margin {
				out.Verdict, out.Binds = SwapRefused, b
			}
			continue
		case !b.Passed:
			out.Soft = append(out.Soft, b)
		case known && v.Numeric && v.Basis == catalog.Assumed:
			b.Why = "by a cautious stand-in: the figure was not stated"
		default:
			if out.Verdict == SwapSame &&
				(b.margin < out.Binds.margin || out.Binds.Parameter == "") {
				out.Binds = b
			}
			continue
		}
		if out.Verdict == SwapSame {
			out.Verdict, out.Binds = SwapWorse, b
		}
	}
	return out
}

func (w Wanted) need() seats.Need {
	n := seats.Need{Field: w.Field, Low: math.NaN(), High: math.NaN(), Words: w.Words}
	if w.Low != nil {
		n.Low = *w.Low
	}
	if w.High != nil {
		n.High = *w.High
	}
	return n
}
