// Package control designs the regulation network of a charger: dividers, reference, bias,
// optocoupler and its LED resistor.
package control

import (
	"slices"
	"sync"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/regulation"
	"sparewright/substitute/regulation/resistors"
	"sparewright/substitute/stock"
)

// NetworkBench is what a snapshot offers the regulation network, made ready.
type NetworkBench struct {
	Drawer *stock.Drawer
	Legs   resistors.Stock
	// of a watt and more, for bias and LED resistors that get too hot for the others
	heavy  resistors.Stock
	shunts []resistors.Piece
	Trims  []resistors.TrimmerPiece

	LoopInput *stock.Stock[catalog.Resistor]
	Dampers   []*stock.Stock[catalog.Resistor]

	network *networkMemory
}

func NewNetworkBench(d *stock.Drawer) *NetworkBench {
	w := &NetworkBench{Drawer: d, network: &networkMemory{volts: map[voltageKey]voltageAnswer{},
		measured: map[voltageKey]voltageAnswer{},
		controls: map[controlKey]controlAnswer{},
		currents: map[currentKey][]regulation.CurrentNetwork{}}}
	w.Legs, w.heavy, w.shunts = resistorStock(d)
	w.Dampers = dampersOf(d)
	if i := loopInputAt(d); i >= 0 { // kept back from the dividers
		w.LoopInput = &d.Resistors[i]
		w.Legs = w.Legs.WithoutLots([]resistors.Use{
			{Lot: int64(i + 1), Ohm: w.LoopInput.Part.Resistance.Value, Count: loopInputs}})
	}
	w.Trims = trimmerStock(d)
	return w
}

// Restocked is the bench of a drawer to which parts of the given kinds were added.
func (w *NetworkBench) Restocked(d *stock.Drawer, kinds ...catalog.Kind) *NetworkBench {
	for _, k := range []catalog.Kind{catalog.KindAmplifier, catalog.KindOptocoupler,
		catalog.KindReference, catalog.KindResistor,
		catalog.KindTrimmer} {
		if slices.Contains(kinds, k) {
			return NewNetworkBench(d)
		}
	}
	n := *w
	n.Drawer = d
	return &n
}

// networkMemory keeps the regulation networks that targets asked for before.
type networkMemory struct {
	mu       sync.Mutex
	volts    map[voltageKey]voltageAnswer
	measured map[voltageKey]voltageAnswer
	controls map[controlKey]controlAnswer
	currents map[currentKey][]regulation.CurrentNetwork
}

// controlKey is all that a regulation network depends on, apart from the drawer.
type controlKey struct {
	set, empty, absolute, low, high si.Voltage
	current, stop                   si.Current
}

type controlAnswer struct {
	control Control
	refusal substitute.Refusal
	ok      bool
}

type voltageAnswer struct {
	nets  []regulation.VoltageNetwork
	short regulation.Shortfall
}
