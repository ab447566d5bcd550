package find

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Films of a stack are called by name, by the number of their lot or by the mark on its label.
func TestFilmsOfAStack(t *testing.T) {
	s, err := StackReading("2xSW:12-K+1 x 34+sw:1-c+polyester=310uH", 0.01)
	require.NoError(t, err)
	require.Len(t, s.Layers, 4)
	for i, want := range []int64{12, 34, 1, 0} {
		require.Equal(t, want, s.Layers[i].Lot)
	}
	require.Equal(t, 2, s.Layers[0].Count)
	require.Equal(t, "polyester", s.Layers[3].Designation)
	_, err = StackReading("2xSW:13-K=310uH", 0.01)
	require.ErrorContains(t, err, "check character")
}
