package sheet

import (
	"sort"
	"strings"

	"sparewright/catalog"
	"sparewright/inventory"
	"sparewright/substitute"
	"sparewright/substitute/report"
	"sparewright/substitute/seats"
)

// Pick is one lot to take from a bin, with all that the build takes of it.
type Pick struct {
	Bin         string     `json:"bin,omitempty"`
	Lot         int64      `json:"lot,omitempty"`
	Designation string     `json:"designation"`
	Quantity    float64    `json:"quantity"`
	Unit        string     `json:"unit"`
	Roles       []seats.ID `json:"roles"`
	Donor       string     `json:"donor,omitempty"`
	Condition   string     `json:"condition,omitempty"`
	Note        string     `json:"note,omitempty"`
	Measure     string     `json:"measure"`
	Buy         bool       `json:"buy,omitempty"`
}

// picks gathers the parts list by lot in the order of the bins, so that every bin is opened once;
// what must be bought is last.
func picks(b *substitute.Build, s inventory.Snapshot) []Pick {
	var out []Pick
	at := map[int64]int{}
	for _, p := range b.Parts {
		if i, seen := at[p.Lot]; seen && p.Source == "drawer" {
			out[i].Quantity += p.Quantity
			out[i].Roles = append(out[i].Roles, p.Role)
			continue
		}
		pick := Pick{Bin: p.Bin, Lot: p.Lot, Designation: p.Designation,
			Quantity: p.Quantity, Unit: p.Unit,
			Roles: []seats.ID{p.Role}, Buy: p.Source == "buy"}
		if pick.Buy && p.Requirement != "" && p.Requirement != p.Designation {
			pick.Note = p.Requirement
		}
		if lot, ok := s.Lot(p.Lot); ok && !pick.Buy {
			pick.Donor, pick.Condition, pick.Note = lot.Donor, string(lot.Condition), lot.Note
		}
		pick.Measure = p.Role.Measure()
		if !pick.Buy {
			at[p.Lot] = len(out)
		}
		out = append(out, pick)
	}
	sort.SliceStable(out, func(i, j int) bool {
		a, c := out[i], out[j]
		switch {
		case a.Buy != c.Buy:
			return c.Buy
		case a.Buy || a.Bin == c.Bin:
			return a.Lot < c.Lot
		}
		return EarlierBin(a.Bin, c.Bin)
	})
	return out
}

// EarlierBin orders bins as they stand in a cabinet: A9 before A10; a part without a bin comes
// last.
func EarlierBin(a, b string) bool {
	if (a == "") != (b == "") {
		return b == ""
	}
	for a != "" && b != "" {
		wa, na, restA := binWord(a)
		wb, nb, restB := binWord(b)
		switch {
		case wa != wb:
			return wa < wb
		case len(na) != len(nb):
			return len(na) < len(nb)
		case na != nb:
			return na < nb
		}
		a, b = restA, restB
	}
	return len(a) < len(b)
}

// binWord splits the leading word and the digits behind it off, leading zeros dropped.
func binWord(s string) (word, digits, rest string) {
	i := strings.IndexAny(s, "0123456789")
	if i < 0 {
		return s, "", ""
	}
	word, rest = s[:i], s[i:]
	n := 0
	for n < len(rest) && rest[n] >= '0' && rest[n] <= '9' {
		n++
	}
	return word, strings.TrimLeft(rest[:n], "0"), rest[n:]
}

// Role finds the parts of the parts list under a role.
func Role(b *substitute.Build, id seats.ID) []substitute.PartUse {
	var out []substitute.PartUse
	for _, p := range b.Parts {
		if p.Role == id {
			out = append(out, p)
		}
	}
	return out
}

// PartFor is the designation under a role, empty when the build has no such part, with how many of
// it in front where the set is of several.
func PartFor(b *substitute.Build, id seats.ID) string {
	uses := Role(b, id)
	if len(uses) == 0 {
		return ""
	}
	if id == seats.SetResistor {
		return "named by the measured step of Set-up"
	}
	n := 0.0
	for _, u := range uses {
		n += u.Quantity
	}
	if n > 1 && uses[0].Unit == "piece" {
		return report.Number(n) + " x " + uses[0].Designation
	}
	return uses[0].Designation
}

// trimmerTurns is the number of turns of the trimmer under a role, 0 when not known.
func trimmerTurns(b *substitute.Build, s inventory.Snapshot, id seats.ID) float64 {
	for _, u := range Role(b, id) {
		lot, ok := s.Lot(u.Lot)
		if !ok {
			continue
		}
		if p, is := inventory.Effective(lot).(catalog.Trimmer); is {
			return float64(p.Turns.Value)
		}
	}
	return 0
}
