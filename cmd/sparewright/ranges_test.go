package main

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
)

// Every figure a part can have can be listed by range.
func TestEveryFigureHasARangeReader(t *testing.T) {
	for _, k := range catalog.Kinds() {
		for _, f := range catalog.Schema(k) {
			if !f.Numeric {
				_, _, err := figureRange(f, "1-2")
				require.ErrorContains(t, err, "is a word")
				continue
			}
			low, high, err := figureRange(f, "1-2")
			require.NoError(t, err, "%s %s", k, f.Name)
			near(t, low, 1, 1e-12)
			near(t, high, 2, 1e-12)
		}
	}
}

func TestRangeInUnits(t *testing.T) {
	f, ok := catalog.FieldNamed(catalog.KindCapacitor, "capacitance")
	require.True(t, ok)
	low, high, err := figureRange(f, "100-470uF")
	require.NoError(t, err)
	near(t, low, 100e-6, 1e-12)
	near(t, high, 470e-6, 1e-12)
}
