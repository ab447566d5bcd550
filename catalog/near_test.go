package catalog_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// near requires got within the relative error rel of want; NaN never passes.
func near(t *testing.T, got, want, rel float64, what string) {
	t.Helper()
	require.Truef(t, math.Abs(got-want) <= rel*math.Abs(want),
		"%s: got %.12g, want %.12g within %g", what, got, want, rel)
}
