package codes_test

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func near(t *testing.T, got, want, rel float64, what ...any) {
	t.Helper()
	if !(math.Abs(got-want) <= rel*math.Abs(want)) {
		require.Fail(t, "not near", "got %g, want %g within %g: %v", got, want, rel, what)
	}
}

// rows reads a reference table as maps by column name.
func rows(t *testing.T, file string) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "reference", file))
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment, r.FieldsPerRecord = '#', -1
	all, err := r.ReadAll()
	require.NoError(t, err)
	require.NotEmpty(t, all)
	var out []map[string]string
	for _, cells := range all[1:] {
		m := map[string]string{}
		for i, name := range all[0] {
			if i < len(cells) {
				m[name] = cells[i]
			}
		}
		out = append(out, m)
	}
	return out
}
