package sqlite

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/inventory"
	"sparewright/inventory/anylot"
	"sparewright/inventory/exchange"
)

// copied opens a copy of an empty drawer, which is quicker than making one.
func copied(t require.TestingT, empty []byte, path string) *Store {
	require.NoError(t, os.WriteFile(path, empty, 0o600))
	s, err := Open(ctx, path, ReadWrite)
	require.NoError(t, err)
	_, err = s.file.DB.Exec("PRAGMA synchronous = OFF") // what is tested here is the content
	require.NoError(t, err)
	return s
}

// A thousand random inventories go out, into an empty drawer and out again: the same bytes. Texts
// hold every script, quotes, line breaks, and begin with the signs of a formula.
func TestInventoriesComeBack(t *testing.T) {
	s := fresh(t)
	require.NoError(t, s.Close())
	empty, err := os.ReadFile(s.file.Path)
	require.NoError(t, err)
	dir := t.TempDir()
	inventories, lots := 0, 0
	runs := 3 // of rapid, each a hundred inventories
	if long() {
		runs = 10
	}
	for range runs {
		rapid.Check(t, func(t *rapid.T) {
			var some []inventory.Lot
			for range rapid.IntRange(1, 6).Draw(t, "lots") {
				some = append(some, anylot.Draw(t))
			}
			inventories, lots = inventories+1, lots+len(some)
			one := copied(t, empty, filepath.Join(dir, "one.db"))
			defer one.Close()
			_, err := one.Import(ctx, some, false, noon)
			require.NoError(t, err)
			first := exported(t, one)
			whole, faults := exchange.Read(strings.NewReader(first), "first.csv")
			read := whole.Lots
			require.Empty(t, faults)
			other := copied(t, empty, filepath.Join(dir, "other.db"))
			defer other.Close()
			_, err = other.Import(ctx, read, true, noon)
			require.NoError(t, err)
			require.Equal(t, first, exported(t, other))
		})
	}
	require.GreaterOrEqual(t, inventories, 100*runs)
	t.Logf("CASES %s: %d inventories, %d lots", t.Name(), inventories, lots)
}

func exported(t require.TestingT, s *Store) string {
	snapshot, err := s.Snapshot(ctx)
	require.NoError(t, err)
	var b strings.Builder
	require.NoError(t, exchange.Write(&b, exchange.Drawer{Lots: snapshot.Lots}, false))
	return b.String()
}
