package exchange

import (
	"cmp"
	_ "embed"
	"fmt"
	"slices"
	"strings"
	"sync"

	"sparewright/inventory"
)

//go:embed demo.csv
var demoCSV string

// Demo returns the built-in drawer, lots numbered from 1 in the order of its table. A fault in the
// table is a programming error and panics; a test reads it.
func Demo() inventory.Snapshot {
	return inventory.Snapshot{Lots: append([]inventory.Lot(nil), demo().Lots...)}
}

// DemoDonors returns the donors of the built-in drawer by name, those included that only a lot
// names.
func DemoDonors() []inventory.Donor {
	out := append([]inventory.Donor(nil), demo().Donors...)
	named := map[string]bool{"": true}
	for _, d := range out {
		named[d.Name] = true
	}
	for _, l := range demo().Lots {
		if !named[l.Donor] {
			named[l.Donor] = true
			out = append(out, inventory.Donor{Name: l.Donor})
		}
	}
	slices.SortFunc(out, func(a, b inventory.Donor) int { return cmp.Compare(a.Name, b.Name) })
	return out
}

var demo = sync.OnceValue(func() Drawer {
	d, faults := Read(strings.NewReader(demoCSV), "demo.csv")
	if len(faults) > 0 {
		panic(fmt.Sprintf("exchange: %v", faults[0]))
	}
	for i := range d.Lots {
		d.Lots[i].ID = int64(i + 1)
	}
	return d
})
