package substitute

import (
	"slices"
	"sync"

	"sparewright/catalog"
)

// partsBench is what a snapshot offers the power stage, made ready: cores with their gaps, unopened transformers, ways to wind.
type partsBench struct {
	cores  []bareCore
	bad    []Refusal
	donors []*donorTransformer
	unfit  []Refusal // transformers that cannot be used
	shop   *windingShop

	winding *windingMemory
}

func newPartsBench(d *drawer) *partsBench {
	w := &partsBench{winding: newWindingMemory()}
	w.cores, w.bad = bareCores(d)
	w.donors, w.unfit = openTransformers(d)
	w.shop = newWindingShop(d)
	return w
}

// restocked is the bench of a drawer to which parts of the given kinds were added.
func (w *partsBench) restocked(d *drawer, kinds ...catalog.Kind) *partsBench {
	n := *w
	if slices.Contains(kinds, catalog.KindCore) || slices.Contains(kinds, catalog.KindFilm) {
		n.cores, n.bad = bareCores(d)
	}
	if slices.Contains(kinds, catalog.KindWire) || len(w.shop.tapes) == 0 {
		n.shop = newWindingShop(d)
		n.winding = newWindingMemory()
	}
	return &n
}

// apart has ways to wind of its own: cores of different shelves stand at the same place of the list.
func (w *partsBench) apart(d *drawer) *partsBench {
	n := *w
	n.winding, n.shop = newWindingMemory(), newWindingShop(d)
	return &n
}

// windingMemory keeps the ways to wind that targets asked for before. Benches that differ only in parts which the entries do not
// depend on share it.
type windingMemory struct {
	mu    sync.Mutex
	gists map[planKey][]gist
	block []gist // where the next are put
}

func newWindingMemory() *windingMemory { return &windingMemory{gists: map[planKey][]gist{}} }
