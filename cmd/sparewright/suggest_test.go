package main

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestClosest(t *testing.T) {
	words := []string{"put", "take", "list", "show", "import", "export"}
	require.Equal(t, "list", closest("lsit", words))
	require.Equal(t, "import", closest("imprt", words))
	require.Equal(t, "export", closest("EXPROT", words))
	require.Equal(t, "show", closest("sh", words), "the only word that begins so")
	require.Equal(t, "", closest("zzz", words))
	require.Equal(t, "", closest("", words))
	require.Equal(t, "", closest("frobnicate", words))
}

// The classic pair is kitten and sitting, 3 apart (Levenshtein; from memory); a swap of neighbours
// counts once in the optimal string alignment distance.
func TestEditDistance(t *testing.T) {
	require.Equal(t, 3, editDistance("kitten", "sitting"))
	require.Equal(t, 1, editDistance("ab", "ba"))
	require.Equal(t, 3, editDistance("ca", "abc"))
	require.Equal(t, 4, editDistance("", "list"))
	require.Equal(t, 0, editDistance("Ω", "Ω"))
}
