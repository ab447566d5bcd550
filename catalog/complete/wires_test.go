package complete_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/complete"
)

// The formula for the diameter over enamel is never below a listed grade 2 maximum, and above it by
// 0.017 mm at most.
func TestEnamelFormulaIsAnEnvelope(t *testing.T) {
	for _, row := range catalog.Wires() {
		if row.Insulation != "enamelled" || !row.Overall.Known() {
			continue
		}
		formula := complete.OverallOf(catalog.Wire{Insulation: "enamelled", Diameter: row.Diameter})
		require.GreaterOrEqual(t, float64(formula-row.Overall.Value), -1e-9, row.Name)
		require.LessOrEqual(t, float64(formula-row.Overall.Value), 0.017e-3, row.Name)
	}
}
