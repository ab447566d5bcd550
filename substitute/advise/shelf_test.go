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

// What no lamp resistor cures, another chip may: one that stops at less current needs less of the lamp. The same network serves a
// chip that asks for a seventh, so the shelf of the switchers must be tried.
func TestNoLampResistorIsCuredByAnotherChip(t *testing.T) {
	pieces := resistors.NewStock([]resistors.Piece{{Lot: 1, Ohm: 2200, Tolerance: 0.01, Power: 0.25, Count: 4}})
	spec := regulation.LampSpec{Drive: regulation.DriveUp, Supply: si.Interval[si.Voltage]{Low: 9, High: 12.6}, Forward: 1.4,
		OutputDrop: 2, Diode: 0.75, Need: 7e-3, SinkMax: 10e-3}
	_, short := regulation.DesignLamp(spec, pieces)
	require.Equal(t, regulation.NoLampResistor, short.Check)
	spec.Need /= 7
	_, short = regulation.DesignLamp(spec, pieces)
	require.Empty(t, short.Role)

	places := advise.Relevant([]substitute.Refusal{{Check: regulation.NoLampResistor}})
	require.True(t, slices.ContainsFunc(places, func(p int) bool { return stock.Shelves[p].Word == "switcher" }))
}
