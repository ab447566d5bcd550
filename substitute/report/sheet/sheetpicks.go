package sheet

import (
	"sort"
	"strings"

	"sparewright/catalog"
	"sparewright/inventory"
	"sparewright/substitute"
	"sparewright/substitute/report"
)

// Pick is one lot to take from a bin, with all that the build takes of it.
type Pick struct {
	Bin         string   `json:"bin,omitempty"`
	Lot         int64    `json:"lot,omitempty"`
	Designation string   `json:"designation"`
	Quantity    float64  `json:"quantity"`
	Unit        string   `json:"unit"`
	Roles       []string `json:"roles"`
	Donor       string   `json:"donor,omitempty"`
	Condition   string   `json:"condition,omitempty"`
	Note        string   `json:"note,omitempty"`
	Measure     string   `json:"measure"`
	Buy         bool     `json:"buy,omitempty"`
}

// picks gathers the parts list by lot in the order of the bins, so that every bin is opened once; what must be bought is last.
func picks(b *substitute.Build, s inventory.Snapshot) []Pick {
	var out []Pick
	at := map[int64]int{}
	for _, p := range b.Parts {
		if i, seen := at[p.Lot]; seen && p.Source == "drawer" {
			out[i].Quantity += p.Quantity
			out[i].Roles = append(out[i].Roles, p.Role)
			continue
		}
		pick := Pick{Bin: p.Bin, Lot: p.Lot, Designation: p.Designation, Quantity: p.Quantity, Unit: p.Unit,
			Roles: []string{p.Role}, Buy: p.Source == "buy"}
		if pick.Buy && p.Requirement != "" && p.Requirement != p.Designation {
			pick.Note = p.Requirement
		}
		if lot, ok := s.Lot(p.Lot); ok && !pick.Buy {
			pick.Donor, pick.Condition, pick.Note = lot.Donor, string(lot.Condition), lot.Note
		}
		pick.Measure = measureFirst(p.Role)
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

// EarlierBin orders bins as they stand in a cabinet: A9 before A10; a part without a bin comes last.
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

// measureFirst says what to measure on a part before it goes in; common bench practice, no source.
func measureFirst(role string) string {
	starts := func(words ...string) bool {
		for _, w := range words {
			if strings.HasPrefix(role, w) {
				return true
			}
		}
		return false
	}
	switch {
	case starts("core pair"):
		return "faces clean, no chip, halves of one pair; inductance with ten test turns, no film between"
	case starts("transformer, unopened"):
		return "primary inductance; the same with the secondary shorted; resistance of both; primary to secondary above 100 Mohm"
	case starts("adapter"):
		return "output at no load and at the load of its plate; plug to output above 100 Mohm"
	case starts("protection zener"):
		return "its voltage at 1 mA from a current-limited supply"
	case starts("former"):
		return "width between the cheeks, height, distance between the pin rows"
	case starts("shim"):
		return "thickness of the whole stack with the caliper; flat, no crease"
	case starts("wire, secondary"):
		return "diameter over all; no nick in the insulation"
	case starts("wire"):
		return "diameter bare and over all; enamel whole"
	case starts("tape"):
		return "width and thickness; sold as insulation"
	case starts("switcher"):
		return "drain to source in diode test: one way only; drain to every other pin above 1 Mohm"
	case starts("bulk capacitor", "output capacitor", "chip supply capacitor"):
		return "capacitance, ESR, leakage at working voltage; no bulge"
	case starts("X capacitor", "Y capacitor"):
		return "capacitance; safety marks printed on it; no crack"
	case starts("bridge", "output rectifier", "bias rectifier", "clamp diode", "diode", SenseClamp, PackDiode):
		return "diode test both ways"
	case starts("drain clamp"):
		return "breakdown voltage at 1 mA from a current-limited supply"
	case starts("optocoupler"):
		return "lamp in diode test; transistor current with 1 mA and with 5 mA in the lamp"
	case starts("bulk bleed", "start resistor", "X discharge"):
		return "resistance of each and of both in series"
	case starts("loop damping", "loop resistor", "divider", "current divider", "reference bias", "lamp resistor", "clamp resistor", "input resistor"):
		return "resistance, out of circuit"
	case starts("reference"):
		return "its voltage at 1 mA and at 10 mA"
	case starts("amplifier"):
		return "as follower: output equals input within its offset"
	case starts("lamp,"):
		return "colour and forward voltage at 2 mA"
	case starts("voltage trimmer", "current trimmer"):
		return "whole track; wiper to end moves without jumps"
	case starts("shunt", "limit resistor"):
		return "voltage across it at a known current, four wires"
	case starts("mains fuse", "output fuse"):
		return "rating printed on the cap; continuity"
	case starts("inrush"):
		return "cold resistance; no burn mark"
	case starts("mains choke", "output choke"):
		return "resistance of every winding; no burnt varnish"
	}
	return "capacitance"
}

// Role finds the parts of the parts list under a role.
func Role(b *substitute.Build, name string) []substitute.PartUse {
	var out []substitute.PartUse
	for _, p := range b.Parts {
		if p.Role == name {
			out = append(out, p)
		}
	}
	return out
}

// PartFor is the designation under a role, empty when the build has no such part, with how many of it in front where the set
// is of several.
func PartFor(b *substitute.Build, name string) string {
	uses := Role(b, name)
	if len(uses) == 0 {
		return ""
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
func trimmerTurns(b *substitute.Build, s inventory.Snapshot, name string) float64 {
	for _, u := range Role(b, name) {
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
