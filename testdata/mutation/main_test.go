package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Every line that is taken out still stands in the program, once: otherwise the long run would show
// nothing.
func TestMutationsAreAboutTheProgram(t *testing.T) {
	for _, m := range mutations {
		content, err := os.ReadFile(filepath.Join("..", "..", m.file))
		require.NoError(t, err, m.name)
		require.Equal(t, 1, strings.Count(string(content), m.old), m.name)
		require.NotEqual(t, m.old, m.new, m.name)
		require.DirExists(t, filepath.Join("..", "..", m.pack), m.name)
	}
}
