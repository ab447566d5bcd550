package sqlite

import (
	"context"
	"crypto/sha256"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
)

var (
	ctx  = context.Background()
	noon = time.Date(2026, 3, 14, 12, 0, 0, 250e6, time.FixedZone("", 3600))
)

func resistor(ohm float64) catalog.Resistor {
	return catalog.Resistor{Named: catalog.Named{Name: "film"},
		Resistance: catalog.Of(si.Resistance(ohm)),
		Tolerance:  catalog.Guess(si.Ratio(0.05)), Type: "film"}
}

func wire() catalog.Wire {
	return catalog.Wire{Named: catalog.Named{Name: "enamelled 0.3"}, Insulation: "enamelled",
		Diameter: catalog.Of(si.Length(0.3e-3))}
}

func lot(p catalog.Part, n float64) inventory.Lot {
	return inventory.Lot{Part: p, Count: n, Bin: "B4", Condition: inventory.Tested}
}

// fresh makes a new drawer file in a folder of its own.
func fresh(t testing.TB) *Store {
	t.Helper()
	s, err := Create(ctx, filepath.Join(t.TempDir(), "drawers.db"))
	require.NoError(t, err)
	t.Cleanup(func() { s.Close() })
	return s
}

func put(t testing.TB, s *Store, lots ...inventory.Lot) []int64 {
	t.Helper()
	ids, err := s.Put(ctx, lots, "found", noon)
	require.NoError(t, err)
	return ids
}

func sound(t testing.TB, s *Store) {
	t.Helper()
	r, err := s.Check(ctx)
	require.NoError(t, err)
	require.Empty(t, r.Problems)
	require.True(t, r.OK())
}

// print is what must not change when a file is refused.
type print struct {
	sum  [32]byte
	when time.Time
	size int64
}

func printOf(t testing.TB, path string) print {
	t.Helper()
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	info, err := os.Stat(path)
	require.NoError(t, err)
	return print{sha256.Sum256(b), info.ModTime(), info.Size()}
}

// refused requires an OpenError for the path that says what is meant.
func refused(t testing.TB, err error, says string) inventory.OpenError {
	t.Helper()
	var open inventory.OpenError
	require.ErrorAs(t, err, &open)
	require.Contains(t, open.Error(), says)
	return open
}
