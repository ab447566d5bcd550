package browse

import (
	"slices"

	"sparewright/inventory"
)

// donor is one donor with its lots.
type donor struct {
	Number int
	Name   string
	Facts  []fact
	Lots   []row
}

// donorNumbers numbers the donors of lots from 1 in the order of their names.
func donorNumbers(lots []inventory.Lot) map[string]int {
	out := map[string]int{}
	for i, name := range donorNames(lots) {
		out[name] = i + 1
	}
	return out
}

func donorNames(lots []inventory.Lot) []string {
	var names []string
	for _, l := range lots {
		if l.Donor != "" {
			names = append(names, l.Donor)
		}
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// donorsOf are the donors of lots with what is known of them.
func donorsOf(lots []inventory.Lot, known []inventory.Donor) []donor {
	var out []donor
	for i, name := range donorNames(lots) {
		d := donor{Number: i + 1, Name: inventory.Plain(name)}
		for _, k := range known {
			if k.Name == name {
				d.Facts = factsOf(k)
			}
		}
		for _, l := range lots {
			if l.Donor == name {
				d.Lots = append(d.Lots, row{Number: l.ID, Kind: l.Part.Kind(),
					Name: inventory.Plain(l.Part.Designation())})
			}
		}
		out = append(out, d)
	}
	return out
}

func factsOf(d inventory.Donor) []fact {
	var out []fact
	for _, f := range []fact{{"was", d.Was, ""}, {"plate", d.Plate, ""}, {"state", d.State, ""},
		{"note", d.Note, ""}} {
		if f.Text != "" {
			f.Text = inventory.Plain(f.Text)
			out = append(out, f)
		}
	}
	return out
}
