// Package advise answers what can be built for a target from a snapshot, and what to buy where
// nothing can.
package advise

import (
	"sync"

	"sparewright/catalog"
	"sparewright/inventory"
	"sparewright/substitute/control"
	"sparewright/substitute/stage"
	"sparewright/substitute/stock"
)

// Workbench is a snapshot made ready: parts merged and completed, cores with their gaps, ways to
// wind. It may be used for many targets and by several goroutines.
type Workbench struct {
	*stage.PartsBench
	*control.NetworkBench
	snapshot inventory.Snapshot // that it was made of
	drawer   *stock.Drawer
	benches  *benchMemory
}

// benchMemory keeps the workbenches with parts of the shelves added.
type benchMemory struct {
	mu  sync.Mutex
	all map[string]*Workbench
}

// NewWorkbench prepares a snapshot. The order of its lots has no influence on any answer.
func NewWorkbench(s inventory.Snapshot) *Workbench {
	w := newWorkbench(stock.OpenDrawer(s))
	w.snapshot = s
	return w
}

func newWorkbench(d *stock.Drawer) *Workbench {
	return &Workbench{drawer: d, PartsBench: stage.NewPartsBench(d),
		NetworkBench: control.NewNetworkBench(d),
		benches:      &benchMemory{all: map[string]*Workbench{}}}
}

// restocked is the workbench of a drawer to which parts of the given kinds were added at the end of
// their lists. What does not depend on those kinds is shared.
func (w *Workbench) restocked(d *stock.Drawer, kinds ...catalog.Kind) *Workbench {
	n := *w
	n.drawer = d
	n.PartsBench = w.PartsBench.Restocked(d, kinds...)
	n.NetworkBench = w.NetworkBench.Restocked(d, kinds...)
	return &n
}
