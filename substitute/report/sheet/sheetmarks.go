package sheet

import (
	"sort"

	"sparewright/substitute"
	"sparewright/substitute/seats"
)

// MarkLine is one line of the list that tells what each mark of the drawings is.
type MarkLine struct {
	Mark string
	Role seats.ID
	What string
}

// markLines lists the marks as they are counted; a set of several parts stands in one line.
func markLines(b *substitute.Build) []MarkLine {
	var out []MarkLine
	seen := map[seats.ID]bool{}
	networks := map[seats.ID]substitute.NetworkUse{}
	for _, n := range b.Regulation.Networks {
		networks[n.Role] = n
	}
	for _, p := range b.Parts {
		m := p.Role.Mark()
		if seen[p.Role] || m == "" || m == seats.Core.Mark() {
			continue
		}
		seen[p.Role] = true
		what := PartFor(b, p.Role)
		if n, ok := networks[p.Role]; ok {
			what = n.Wiring
		}
		out = append(out, MarkLine{m, p.Role, what})
	}
	sort.SliceStable(out, func(i, j int) bool { return EarlierBin(out[i].Mark, out[j].Mark) })
	return out
}
