package exchange

import (
	_ "embed"
	"fmt"
	"strings"
	"sync"

	"sparewright/inventory"
)

//go:embed demo.csv
var demoCSV string

// Demo returns the built-in drawer, lots numbered from 1 in the order of its table. A fault in the table is a programming
// error and panics; a test reads it.
func Demo() inventory.Snapshot {
	s := demo()
	return inventory.Snapshot{Lots: append([]inventory.Lot(nil), s.Lots...)}
}

var demo = sync.OnceValue(func() inventory.Snapshot {
	lots, faults := ReadCSV(strings.NewReader(demoCSV), "demo.csv")
	if len(faults) > 0 {
		panic(fmt.Sprintf("exchange: %v", faults[0]))
	}
	for i := range lots {
		lots[i].ID = int64(i + 1)
	}
	return inventory.Snapshot{Lots: lots}
})
