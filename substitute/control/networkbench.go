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
	legs    *legMemory
}

func NewNetworkBench(d *stock.Drawer) *NetworkBench {
	w := &NetworkBench{Drawer: d, network: newNetworkMemory(), legs: newLegMemory()}
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

// Restocked is the bench of a drawer to which parts of the given kinds were added. Where they are
// neither resistors nor trimmers, the dividers that were designed hold; where they are no other
// part of the network either, the whole network does.
func (w *NetworkBench) Restocked(d *stock.Drawer, kinds ...catalog.Kind) *NetworkBench {
	among := func(some ...catalog.Kind) bool {
		return slices.ContainsFunc(kinds,
			func(k catalog.Kind) bool { return slices.Contains(some, k) })
	}
	if among(catalog.KindResistor, catalog.KindTrimmer) {
		return NewNetworkBench(d)
	}
	n := *w
	n.Drawer = d
	if among(catalog.KindAmplifier, catalog.KindOptocoupler, catalog.KindReference) {
		n.network = newNetworkMemory()
	}
	return &n
}

// networkMemory keeps the regulation networks that targets asked for before.
type networkMemory struct {
	mu       sync.Mutex
	controls map[controlKey]controlAnswer
}

func newNetworkMemory() *networkMemory {
	return &networkMemory{controls: map[controlKey]controlAnswer{}}
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
