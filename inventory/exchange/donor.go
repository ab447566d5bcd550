package exchange

import (
	"cmp"
	"slices"
	"strings"

	"sparewright/inventory"
)

// Drawer is what a CSV file holds: lots and what is known of donors.
type Drawer struct {
	Lots   []inventory.Lot
	Lines  []int // where each lot stands in the file it was read from
	Donors []inventory.Donor
	// how figures were read that do not say it themselves, each with its place; no faults
	Notes []Fault
}

// donorKind stands in the kind column of a row about a donor. Such a row uses the columns in its
// own way: designation is the name, donor what it was, condition its state, figures plate=TEXT;
// count, unit, bin and measured are empty.
const donorKind = "donor"

// donorRows are the donors worth a row: not those a lot names and of which nothing more is known.
func (d Drawer) donorRows(named map[string]bool) []inventory.Donor {
	var out []inventory.Donor
	for _, donor := range d.Donors {
		if donor.Described() || !named[donor.Name] {
			out = append(out, donor)
		}
	}
	slices.SortStableFunc(out, func(a, b inventory.Donor) int {
		return cmp.Compare(a.Name, b.Name)
	})
	return out
}

// donorRow gives the fields of a donor in the order of columns.
func donorRow(d inventory.Donor, guard func(string) string) []string {
	plate := ""
	if d.Plate != "" {
		plate = joinPairs([]pair{{field: "plate", value: d.Plate}})
	}
	return []string{donorKind, guard(d.Name), "", "", "", guard(d.Was), guard(d.State),
		guard(d.Note), guard(plate), ""}
}

// isDonor reports whether a row is about a donor.
func (t *table) isDonor(cells []cell) bool {
	return strings.EqualFold(strings.TrimSpace(t.field(cells, "kind").text), donorKind)
}

// donor reads a row about a donor and notes everything wrong with it.
func (t *table) donor(cells []cell, earlier []inventory.Donor) inventory.Donor {
	d := inventory.Donor{Name: t.field(cells, "designation").text,
		Was:   t.field(cells, "donor").text,
		State: t.field(cells, "condition").text, Note: t.field(cells, "note").text}
	for _, name := range []string{"count", "unit", "bin", "measured"} {
		if c := t.field(cells, name); strings.TrimSpace(c.text) != "" {
			t.fault(c.at, "%s %q: a donor has none; leave it empty", name, cut(c.text))
		}
	}
	figures := t.field(cells, "figures")
	for _, p := range splitPairs(figures.text) {
		if p.broken || !strings.EqualFold(p.field, "plate") || d.Plate != "" {
			t.fault(t.offset(figures, p.at),
				"figure %q: of a donor only plate=TEXT is known, once; correct it", cut(p.field))
			continue
		}
		d.Plate = p.value
	}
	t.check(t.field(cells, "designation"), d.Validate())
	if slices.ContainsFunc(earlier, func(o inventory.Donor) bool { return o.Name == d.Name }) {
		t.fault(cells[0].at, "donor %q: has a row already; keep one", cut(d.Name))
	}
	return d.Tidy()
}
