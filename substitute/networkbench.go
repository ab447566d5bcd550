package substitute

import (
	"slices"
	"sync"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/regulation"
)

// networkBench is what a snapshot offers the regulation network, made ready.
type networkBench struct {
	drawer *drawer
	legs   regulation.Stock
	heavy  regulation.Stock // of a watt and more, for bias and lamp resistors that get too hot for the others
	shunts []regulation.Piece
	trims  []regulation.TrimmerPiece

	loopInput *stock[catalog.Resistor]
	dampers   []*stock[catalog.Resistor]

	network *networkMemory
}

func newNetworkBench(d *drawer) *networkBench {
	w := &networkBench{drawer: d, network: &networkMemory{volts: map[voltageKey]voltageAnswer{},
		controls: map[controlKey]controlAnswer{}, currents: map[currentKey][]regulation.CurrentNetwork{}}}
	w.legs, w.heavy, w.shunts = resistorStock(d)
	w.dampers = dampersOf(d)
	if i := loopInputAt(d); i >= 0 { // kept back from the dividers
		w.loopInput = &d.resistors[i]
		w.legs = w.legs.WithoutLots([]regulation.Use{{Lot: int64(i + 1), Ohm: w.loopInput.part.Resistance.Value, Count: loopInputs}})
	}
	w.trims = trimmerStock(d)
	return w
}

// restocked is the bench of a drawer to which parts of the given kinds were added.
func (w *networkBench) restocked(d *drawer, kinds ...catalog.Kind) *networkBench {
	for _, k := range []catalog.Kind{catalog.KindAmplifier, catalog.KindOptocoupler, catalog.KindReference, catalog.KindResistor,
		catalog.KindTrimmer} {
		if slices.Contains(kinds, k) {
			return newNetworkBench(d)
		}
	}
	n := *w
	n.drawer = d
	return &n
}

// networkMemory keeps the regulation networks that targets asked for before.
type networkMemory struct {
	mu       sync.Mutex
	volts    map[voltageKey]voltageAnswer
	controls map[controlKey]controlAnswer
	currents map[currentKey][]regulation.CurrentNetwork
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
