package seats

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A script that names a place as an earlier version did still means the same place.
func TestEarlierNames(t *testing.T) {
	for before, now := range earlierNames {
		id, ok := Named(before)
		require.True(t, ok, before)
		require.Equal(t, now, id.String())
	}
}
