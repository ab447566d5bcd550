package inventory_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
)

// near requires got within rel of want; NaN never passes.
func near(t *testing.T, got, want, rel float64) {
	t.Helper()
	require.Truef(t, math.Abs(got-want) <= rel*math.Abs(want), "got %g, want %g within %g",
		got, want, rel)
}

func resistor(ohm float64) catalog.Resistor {
	return catalog.Resistor{Named: catalog.Named{Name: "film"},
		Resistance: catalog.Of(si.Resistance(ohm)),
		Tolerance:  catalog.Of(si.Ratio(0.05))}
}

func wire(name string) catalog.Wire {
	return catalog.Wire{Named: catalog.Named{Name: name}, Insulation: "enamelled",
		Diameter: catalog.Of(si.Length(0.3e-3))}
}

func lot(p catalog.Part, n float64) inventory.Lot {
	return inventory.Lot{Part: p, Count: n, Condition: inventory.Tested}
}
