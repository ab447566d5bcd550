package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute/adapter"
	"sparewright/substitute/report/screen"
)

// bent is what a terminal shows of an adapter asked for 13 V.
func bent(t *testing.T, s inventory.Snapshot, lot int64) string {
	t.Helper()
	b, ok := adapter.Bend(s, lot, adapter.BendSpec{
		Mains: si.Interval[si.Voltage]{Low: 195, High: 265}, Line: 50, Output: 13})
	require.True(t, ok)
	return laidOut(t, screen.Bending(b))
}

// The limits of an adapter fit into 80 cells, known or not, and text of the user is harmless in
// them.
func TestBendFitsTheScreen(t *testing.T) {
	text := bent(t, exchange.Demo(), 281)
	requireFits(t, text)
	require.Contains(t, text, "\nBy its divider: from ")
	require.Contains(t, text, "\ncautions\n  Mains voltage kills.")
	bare := catalog.Adapter{Named: catalog.Named{Name: "\x1b[2Jx\u202ey\tz " +
		strings.Repeat("Q", 50)}, Volts: catalog.Of[si.Voltage](5),
		Amps: catalog.Of[si.Current](1), Chip: "\x1b[31m", Rectifier: "\u202e"}
	text = bent(t, inventory.Snapshot{Lots: []inventory.Lot{
		{ID: 1, Part: bare, Count: 1, Bin: "\x1b"}}}, 1)
	requireFits(t, text)
	require.Contains(t, text, "not known; measure before anything is called feasible")
	require.NotContains(t, text, "\x1b[2J")
	require.NotContains(t, text, "\u202e")
}

// Damaged and set-aside adapters cannot be bent, as no build takes them.
func TestBendTakesNothingDamaged(t *testing.T) {
	lot, ok := exchange.Demo().Lot(281)
	require.True(t, ok)
	spec := adapter.BendSpec{Mains: si.Interval[si.Voltage]{Low: 195, High: 265}, Line: 50}
	for _, change := range []func(l *inventory.Lot){
		func(l *inventory.Lot) { l.Condition = inventory.Damaged }, func(l *inventory.Lot) {
			l.SetAside = 1
		}} {
		l := lot
		change(&l)
		_, ok := adapter.Bend(inventory.Snapshot{Lots: []inventory.Lot{l}}, 281, spec)
		require.False(t, ok)
	}
}
