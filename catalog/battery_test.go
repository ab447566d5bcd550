package catalog_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
)

// Per-cell figures. Li-ion: 4.20 +- 0.05 V, 0 to 45 C, 1C (18650 2600 mAh pack sheet; ICR18650
// sheet, Battsys). LiFePO4: 3.65 V recommended, 3.90 V at most, 2.5 V end, 1C (LFP-26650-3300
// specification, AA Portable Power). AGM: cycle 2.40 to 2.45, float 2.25 to 2.30 V at 25 C (Remco
// charging instructions). Gel and flooded, empty voltages 3.0 and 1.75: from memory.
func TestBatteries(t *testing.T) {
	want := map[string][6]float64{ // set, low, high, absolute, empty, rate
		"li-ion ":                  {4.20, 4.15, 4.25, 4.25, 3.0, 1},
		"li-ion-4v35 ":             {4.35, 4.30, 4.40, 4.40, 3.0, 0.7},
		"lifepo4 ":                 {3.65, 3.60, 3.70, 3.90, 2.5, 1},
		"lead-acid-agm cyclic":     {2.425, 2.40, 2.45, 2.45 * 1.02, 1.75, 0.25},
		"lead-acid-agm float":      {2.275, 2.25, 2.30, 2.30 * 1.02, 1.75, 0.25},
		"lead-acid-gel cyclic":     {2.375, 2.35, 2.40, 2.40 * 1.02, 1.75, 0.2},
		"lead-acid-gel float":      {2.265, 2.25, 2.28, 2.28 * 1.02, 1.75, 0.2},
		"lead-acid-flooded cyclic": {2.425, 2.40, 2.45, 2.45 * 1.02, 1.75, 0.2},
		"lead-acid-flooded float":  {2.225, 2.20, 2.25, 2.25 * 1.02, 1.75, 0.2},
		"nimh ":                    {0, 0, 0, 1.6, 1.0, 0.1},
	}
	list := catalog.Batteries()
	require.Len(t, list, len(want))
	for _, b := range list {
		key := b.Chemistry + " " + b.Duty
		w, ok := want[key]
		require.True(t, ok, key)
		got := [5]si.Voltage{b.CellSet, b.CellLow, b.CellHigh, b.CellAbsolute, b.CellEmpty}
		near(t, float64(b.MaxRate), w[5], 1e-9, key)
		for i, v := range got {
			near(t, float64(v), w[i], 1e-9, key)
		}
		require.NotEmpty(t, b.Source.Document, key)
		require.Less(t, b.ChargeMin, b.ChargeMax, key)
		require.Equal(t, b.Duty == "float", b.HoldAllowed, key)
		if b.CellSet == 0 {
			continue
		}
		require.IsIncreasing(t, []float64{float64(b.CellEmpty), float64(b.CellLow),
			float64(b.CellSet), float64(b.CellHigh)}, key)
		require.GreaterOrEqual(t, b.CellAbsolute, b.CellHigh, key)
	}
}

// The 12 V blocks come out at the voltages printed on them: 14.40 to 14.70 V cyclic, 13.50 to 13.80
// V float (Remco charging instructions; the C&D RS-1826 manual prints 13.67 V for float), four
// Li-ion cells at 16.8 V, four LiFePO4 at 14.6 V.
func TestBatteryPacks(t *testing.T) {
	for _, b := range catalog.Batteries() {
		switch b.Chemistry + " " + b.Duty {
		case "lead-acid-agm cyclic":
			near(t, float64(6*b.CellLow), 14.40, 1e-9, b.Name)
			near(t, float64(6*b.CellHigh), 14.70, 1e-9, b.Name)
		case "lead-acid-agm float":
			near(t, float64(6*b.CellLow), 13.50, 1e-9, b.Name)
			near(t, float64(6*b.CellHigh), 13.80, 1e-9, b.Name)
			near(t, float64(6*b.CellSet), 13.67, 0.0045, b.Name) // 13.67 +- 0.06 V
		case "li-ion ":
			near(t, float64(4*b.CellSet), 16.8, 1e-9, b.Name)
		case "lifepo4 ":
			near(t, float64(4*b.CellSet), 14.6, 1e-9, b.Name)
		}
	}
}
