package substitute

import (
	"sync"

	"sparewright/catalog"
	"sparewright/inventory"
)

// Workbench is a snapshot made ready: parts merged and completed, cores with their gaps, ways to wind. It may be used for many
// targets and by several goroutines.
type Workbench struct {
	*partsBench
	*networkBench
	drawer  *drawer
	benches *benchMemory
}

// benchMemory keeps the workbenches with parts of the shelves added.
type benchMemory struct {
	mu  sync.Mutex
	all map[string]*Workbench
}

// NewWorkbench prepares a snapshot. The order of its lots has no influence on any answer.
func NewWorkbench(s inventory.Snapshot) *Workbench { return newWorkbench(openDrawer(s)) }

func newWorkbench(d *drawer) *Workbench {
	return &Workbench{drawer: d, partsBench: newPartsBench(d), networkBench: newNetworkBench(d),
		benches: &benchMemory{all: map[string]*Workbench{}}}
}

// restocked is the workbench of a drawer to which parts of the given kinds were added at the end of their lists. What does not
// depend on those kinds is shared.
func (w *Workbench) restocked(d *drawer, kinds ...catalog.Kind) *Workbench {
	n := *w
	n.drawer = d
	n.partsBench = w.partsBench.restocked(d, kinds...)
	n.networkBench = w.networkBench.restocked(d, kinds...)
	return &n
}
