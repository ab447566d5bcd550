package stage

import (
	"slices"
	"sync"

	"sparewright/catalog"
	"sparewright/substitute"
	"sparewright/substitute/stock"
)

// PartsBench is what a snapshot offers the power stage, made ready: cores with their gaps, unopened
// transformers, ways to wind.
type PartsBench struct {
	Cores  []BareCore
	Bad    []substitute.Refusal
	Donors []*DonorTransformer
	Unfit  []substitute.Refusal // transformers that cannot be used
	Shop   *windingShop

	winding *windingMemory
}

func NewPartsBench(d *stock.Drawer) *PartsBench {
	w := &PartsBench{winding: newWindingMemory()}
	w.Cores, w.Bad = bareCores(d)
	w.Donors, w.Unfit = openTransformers(d)
	w.Shop = newWindingShop(d)
	return w
}

// Restocked is the bench of a drawer to which parts of the given kinds were added.
func (w *PartsBench) Restocked(d *stock.Drawer, kinds ...catalog.Kind) *PartsBench {
	n := *w
	if slices.Contains(kinds, catalog.KindCore) || slices.Contains(kinds, catalog.KindFilm) {
		n.Cores, n.Bad = bareCores(d)
	}
	if slices.Contains(kinds, catalog.KindWire) || len(w.Shop.Tapes) == 0 {
		n.Shop = newWindingShop(d)
		n.winding = newWindingMemory()
	}
	return &n
}

// Apart has ways to wind of its own: cores of different shelves stand at the same place of the
// list.
func (w *PartsBench) Apart(d *stock.Drawer) *PartsBench {
	n := *w
	n.winding, n.Shop = newWindingMemory(), newWindingShop(d)
	return &n
}

// windingMemory keeps the ways to wind that targets asked for before. Benches that differ only in
// parts which the entries do not depend on share it.
type windingMemory struct {
	mu    sync.Mutex
	gists map[planKey][]Gist
	block []Gist // where the next are put
}

func newWindingMemory() *windingMemory { return &windingMemory{gists: map[planKey][]Gist{}} }
