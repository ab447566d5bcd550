package substitute

import (
	"slices"
	"sync"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/substitute/regulation"
)

// Workbench is a snapshot made ready: parts merged and completed, cores with their gaps, ways to wind. It may be used for many
// targets and by several goroutines.
type Workbench struct {
	drawer *drawer
	cores  []bareCore
	bad    []Refusal
	donors []*donorTransformer
	unfit  []Refusal // transformers that cannot be used
	shop   *windingShop
	legs   regulation.Stock
	heavy  regulation.Stock // of a watt and more, for bias and lamp resistors that get too hot for the others
	shunts []regulation.Piece
	trims  []regulation.TrimmerPiece

	loopInput *stock[catalog.Resistor]
	dampers   []*stock[catalog.Resistor]

	winding *windingMemory
	network *networkMemory
	benches *benchMemory
}

// windingMemory keeps the ways to wind, networkMemory the regulation networks that targets asked for before. Workbenches that
// differ only in parts which the entries do not depend on share them.
type windingMemory struct {
	mu    sync.Mutex
	gists map[planKey][]gist
	block []gist // where the next are put
}

func newWindingMemory() *windingMemory { return &windingMemory{gists: map[planKey][]gist{}} }

type networkMemory struct {
	mu       sync.Mutex
	volts    map[voltageKey]voltageAnswer
	controls map[controlKey]controlAnswer
	currents map[currentKey][]regulation.CurrentNetwork
}

// benchMemory keeps the workbenches with parts of the shelves added.
type benchMemory struct {
	mu  sync.Mutex
	all map[string]*Workbench
}

// controlKey is all that a regulation network depends on, apart from the drawer.
type controlKey struct {
	set, empty, absolute, low, high si.Voltage
	current, stop                   si.Current
}

type controlAnswer struct {
	control control
	refusal Refusal
	ok      bool
}

type voltageAnswer struct {
	nets  []regulation.VoltageNetwork
	short regulation.Shortfall
}

// NewWorkbench prepares a snapshot. The order of its lots has no influence on any answer.
func NewWorkbench(s inventory.Snapshot) *Workbench { return newWorkbench(openDrawer(s)) }

func newWorkbench(d *drawer) *Workbench {
	w := &Workbench{drawer: d, winding: newWindingMemory(), benches: &benchMemory{all: map[string]*Workbench{}}}
	w.cores, w.bad = bareCores(d)
	w.donors, w.unfit = openTransformers(d)
	w.shop = newWindingShop(d)
	w.openNetworks()
	return w
}

func (w *Workbench) openNetworks() {
	w.network = &networkMemory{volts: map[voltageKey]voltageAnswer{}, controls: map[controlKey]controlAnswer{},
		currents: map[currentKey][]regulation.CurrentNetwork{}}
	w.legs, w.heavy, w.shunts = resistorStock(w.drawer)
	w.dampers = dampersOf(w.drawer)
	w.loopInput = nil
	if i := loopInputAt(w.drawer); i >= 0 { // kept back from the dividers
		w.loopInput = &w.drawer.resistors[i]
		w.legs = w.legs.WithoutLots([]regulation.Use{{Lot: int64(i + 1), Ohm: w.loopInput.part.Resistance.Value, Count: loopInputs}})
	}
	w.trims = trimmerStock(w.drawer)
}

// restocked is the workbench of a drawer to which parts of the given kinds were added at the end of their lists. What does not
// depend on those kinds is shared.
func (w *Workbench) restocked(d *drawer, kinds ...catalog.Kind) *Workbench {
	n := *w
	n.drawer = d
	for _, k := range kinds {
		switch k {
		case catalog.KindCore, catalog.KindFilm:
			n.cores, n.bad = bareCores(d)
		case catalog.KindAmplifier, catalog.KindOptocoupler, catalog.KindReference, catalog.KindResistor, catalog.KindTrimmer:
			n.openNetworks()
		}
	}
	if slices.Contains(kinds, catalog.KindWire) || len(w.shop.tapes) == 0 {
		n.shop = newWindingShop(d)
		n.winding = newWindingMemory()
	}
	return &n
}
