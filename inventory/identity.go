package inventory

import (
	"math"
	"strings"

	"sparewright/catalog"
)

// Identity is what makes two lots one: equal part, place, origin, condition, note and readings. It
// serves as a map key. Every kind of part is a plain comparable struct, so equality of the part is
// equality of all its figures and their basis.
type Identity struct {
	part      catalog.Part
	bin       string
	donor     string
	condition Condition
	note      string
	readings  string
}

// Identity returns the key under which equal lots fall together. Readings count in the order of
// their field names.
func (l Lot) Identity() Identity {
	return Identity{l.Part, l.Bin, l.Donor, l.Condition, l.Note, readingsKey(l.Measured)}
}

func readingsKey(ms []Measurement) string {
	var b strings.Builder
	for _, m := range sortedReadings(ms) {
		b.WriteString(m.Field)
		b.WriteByte(0)
		writeBits(&b, m.Value)
		writeBits(&b, m.Error)
	}
	return b.String()
}

func writeBits(b *strings.Builder, x float64) {
	bits := math.Float64bits(x)
	for range 8 {
		b.WriteByte(byte(bits))
		bits >>= 8
	}
}

// Coalesce adds equal lots together, each at the place where it first occurs. The lots handed in
// are left as they are. The ID of the first is kept.
func Coalesce(lots []Lot) []Lot {
	at := make(map[Identity]int, len(lots))
	out := make([]Lot, 0, len(lots))
	for _, l := range lots {
		key := l.Identity()
		i, seen := at[key]
		if !seen {
			at[key] = len(out)
			out = append(out, l)
			continue
		}
		out[i].Count = RoundCount(out[i].Count + l.Count)
		out[i].SetAside = RoundCount(out[i].SetAside + l.SetAside)
	}
	return out
}
