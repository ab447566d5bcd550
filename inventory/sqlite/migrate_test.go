package sqlite

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"sparewright/inventory"
	"sparewright/inventory/sqlite/drawerfile"
)

// present is the number of the form this program writes.
func present(t *testing.T) int {
	t.Helper()
	steps, err := drawerfile.Migrations(drawerfile.SchemaFiles)
	require.NoError(t, err)
	return len(steps)
}

// twoForms is the real schema with one more step, as the next version of the program would have it.
func twoForms(t *testing.T, next string) []drawerfile.Migration {
	t.Helper()
	steps, err := drawerfile.Migrations(drawerfile.SchemaFiles)
	require.NoError(t, err)
	return append(steps, drawerfile.Migration{Version: len(steps) + 1, Name: "next", SQL: next})
}

// rebuildsLot replaces a table that others refer to, which needs foreign keys off.
const rebuildsLot = `
CREATE TABLE lot_new (id INTEGER PRIMARY KEY, part INTEGER NOT NULL REFERENCES part (id), bin TEXT NOT NULL, donor INTEGER,
    condition TEXT NOT NULL, note TEXT NOT NULL, count REAL NOT NULL, shelf TEXT NOT NULL DEFAULT '') STRICT;
INSERT INTO lot_new SELECT id, part, bin, donor, condition, note, count, '' FROM lot;
DROP TABLE lot;
ALTER TABLE lot_new RENAME TO lot;`

func oldDrawer(t *testing.T) string {
	t.Helper()
	s := fresh(t)
	id := put(t, s, lot(resistor(10), 5))[0]
	require.NoError(t, s.Reserve(ctx, []inventory.Draw{{Lot: id, Count: 2}}, "p", noon))
	require.NoError(t, s.Close())
	return s.file.Path
}

func TestMigrationKeepsRowsAndLeavesACopy(t *testing.T) {
	path := oldDrawer(t)
	old := printOf(t, path)
	s, err := openReadWrite(ctx, path, twoForms(t, rebuildsLot))
	require.NoError(t, err)
	var version int
	require.NoError(t, s.file.DB.Get(&version, "PRAGMA user_version"))
	require.Equal(t, present(t)+1, version)
	got, err := s.Lot(ctx, 1)
	require.NoError(t, err)
	require.Equal(t, 5.0, got.Count)
	require.Equal(t, 2.0, got.SetAside)
	require.NoError(t, s.Close())

	copied, err := Open(ctx, fmt.Sprintf("%s.form-%d", path, present(t)), ReadOnly)
	require.NoError(t, err, "the copy has the old form")
	got, err = copied.Lot(ctx, 1)
	require.NoError(t, err)
	require.Equal(t, 5.0, got.Count)
	sound(t, copied)
	require.NoError(t, copied.Close())

	_, err = Open(ctx, path, ReadWrite)
	refused(t, err, fmt.Sprintf("newer sparewright (form %d", present(t)+1))
	require.NotEqual(t, old.sum, printOf(t, path).sum)
	s, err = openReadWrite(ctx, path, twoForms(t, rebuildsLot))
	require.NoError(t, err, "no second migration")
	require.NoError(t, s.Close())
	left, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	require.Len(t, left, 3, "the drawer, one copy and its checksum")
}

func TestFailedMigrationChangesNothing(t *testing.T) {
	for second, says := range map[string]string{
		"CREATE TABLE extra (x INTEGER) STRICT; CREATE TABLE lot (again INTEGER);": "already " +
			"exists",
		"PRAGMA user_version = 99; DELETE FROM figure; DELETE FROM part;": "cannot be " +
			"updated: lot 1 refers to a missing part",
	} {
		path := oldDrawer(t)
		before := printOf(t, path)
		_, err := openReadWrite(ctx, path, twoForms(t, second))
		refused(t, err, says)
		require.Equal(t, before.sum, printOf(t, path).sum)
		s, err := Open(ctx, path, ReadWrite)
		require.NoError(t, err)
		sound(t, s)
		require.NoError(t, s.Close())
	}
}

func TestOldFormIsReadOnlyAfterUpdate(t *testing.T) {
	path := oldDrawer(t)
	h, err := drawerfile.ReadHeader(path)
	require.NoError(t, err)
	_, err = openReadOnly(ctx, path, h, present(t)+1)
	open := refused(t, err, fmt.Sprintf("old form %d", present(t)))
	require.Contains(t, open.Hint, "writing command")
}

func TestCopiesDoNotOverwrite(t *testing.T) {
	s := fresh(t)
	put(t, s, lot(resistor(10), 5))
	name := filepath.Join(filepath.Dir(s.file.Path), "copy")
	for _, want := range []string{name, name + "-2", name + "-3"} {
		got, err := s.file.SafeCopy(ctx, name)
		require.NoError(t, err)
		require.Equal(t, want, got)
		info, err := os.Stat(got)
		require.NoError(t, err)
		require.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	}
	_, err := s.file.SafeCopy(ctx, filepath.Join(filepath.Dir(s.file.Path), "no", "folder"))
	refused(t, err, "cannot be copied")
	left, err := os.ReadDir(filepath.Dir(s.file.Path))
	require.NoError(t, err)
	require.Len(t, left, 7, "three copies with checksums, no draft is left behind")
}

func TestSchemaFilesAreNumbered(t *testing.T) {
	require.Equal(t, 5, present(t))
	for _, name := range []string{"schema/0002_gap.sql", "schema/first.sql"} {
		_, err := drawerfile.Migrations(fstest.MapFS{name: {Data: []byte("SELECT 1")}})
		require.ErrorContains(t, err, "should carry the number 0001")
	}
}
