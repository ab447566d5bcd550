package advise_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog/si"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/regulation"
	"sparewright/substitute/regulation/resistors"
	"sparewright/substitute/stock"
)

// What no LED resistor cures, another chip may: one that stops at less current needs less of the
// LED. The same network serves a chip that asks for a seventh, so the shelf of the switchers must
// be tried.
func TestNoLEDResistorIsCuredByAnotherChip(t *testing.T) {
	pieces := resistors.NewStock([]resistors.Piece{
		{Lot: 1, Ohm: 2200, Tolerance: 0.01, Power: 0.25, Count: 4}})
	spec := regulation.LEDSpec{Drive: regulation.DriveUp,
		Supply: si.Interval[si.Voltage]{Low: 9, High: 12.6}, Forward: 1.4,
		OutputDrop: 2, Diode: 0.75, Need: 7e-3, SinkMax: 10e-3}
	_, short := regulation.DesignLED(spec, pieces)
	require.Equal(t, regulation.NoLEDResistor, short.Check)
	spec.Need /= 7
	_, short = regulation.DesignLED(spec, pieces)
	require.Empty(t, short.Role)

	places := advise.Relevant([]substitute.Refusal{{Check: regulation.NoLEDResistor}})
	require.True(t, slices.ContainsFunc(places,
		func(p int) bool { return stock.Shelves[p].Word == "switcher" }))
}
