package purchase

import "slices"

// Tidy makes a problem smaller without changing what the cheapest purchase costs or which
// candidates it is made of: demands that can never exceed what is had are dropped, and so is every
// candidate that demands of nothing less than one liked more. Items keep their places. kept[i][c]
// is the candidate in the problem given that candidate c of want i was.
func Tidy(p Problem) (tidy Problem, kept [][]int) {
	scarce := scarceItems(p)
	tidy = Problem{Sources: p.Sources, Items: p.Items}
	for _, all := range p.Wants {
		var slim []Candidate
		var places []int
		for at, c := range all {
			if c = contended(c, scarce); !slices.ContainsFunc(slim,
				func(other Candidate) bool { return within(other, c) }) {
				slim = append(slim, c)
				places = append(places, at)
			}
		}
		tidy.Wants = append(tidy.Wants, slim)
		kept = append(kept, places)
	}
	return tidy, kept
}

// scarceItems marks the items that could run short if every want took its greediest candidate.
func scarceItems(p Problem) []bool {
	worst := make([]Quantity, len(p.Items))
	for _, all := range p.Wants {
		most := make([]Quantity, len(p.Items))
		for _, c := range all {
			for _, d := range summed(c) {
				most[d.Item] = max(most[d.Item], d.Quantity)
			}
		}
		for i := range worst {
			worst[i] += most[i]
		}
	}
	out := make([]bool, len(p.Items))
	for i := range out {
		out[i] = worst[i] > p.Items[i].Have
	}
	return out
}

// contended is a candidate without demands that are always met, its demands of one item added up,
// by item.
func contended(c Candidate, scarce []bool) Candidate {
	return slices.DeleteFunc(summed(c), func(d Demand) bool { return !scarce[d.Item] })
}

// within reports whether a demands no more of anything than b. Both are sorted by item.
func within(a, b Candidate) bool {
	j := 0
	for _, d := range a {
		for j < len(b) && b[j].Item < d.Item {
			j++
		}
		if j == len(b) || b[j].Item != d.Item || b[j].Quantity < d.Quantity {
			return false
		}
	}
	return true
}
