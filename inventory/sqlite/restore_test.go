package sqlite

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/inventory"
	"sparewright/inventory/sqlite/drawerfile"
)

// backedUp is a drawer with one lot, its backup, and a second lot put in after it.
func backedUp(t *testing.T) (s *Store, copied string) {
	t.Helper()
	s = fresh(t)
	put(t, s, lot(resistor(10), 5))
	copied = filepath.Join(filepath.Dir(s.file.Path), "copy.db")
	made, err := s.Backup(ctx, copied, false, noon)
	require.NoError(t, err)
	require.Empty(t, made.Unnoted)
	require.True(t, made.Report.OK())
	put(t, s, lot(resistor(22), 1))
	return s, copied
}

// A drawer in the middle of a change is not replaced.
func TestRestoreWaitsForNobody(t *testing.T) {
	t.Parallel()
	s, copied := backedUp(t)
	before := printOf(t, s.file.Path)
	tx, err := s.file.DB.BeginTxx(ctx, nil)
	require.NoError(t, err)
	_, err = Restore(ctx, copied, s.file.Path, noon)
	refused(t, err, "in use by another program; nothing was changed")
	require.NoError(t, tx.Rollback())
	require.Equal(t, before, printOf(t, s.file.Path))
	require.Empty(t, globFor(t, s.file.Path+".before-restore-*"))
	require.Empty(t, globFor(t, filepath.Dir(s.file.Path)+"/.sparewright-*"))
}

// A program that has the drawer open, but is not changing it just then, does not write into the
// file that was put away: its next change is refused, so nothing is acknowledged and lost.
func TestOpenStoreAfterRestore(t *testing.T) {
	s, copied := backedUp(t)
	done, err := Restore(ctx, copied, s.file.Path, noon)
	require.NoError(t, err)
	require.Equal(t, s.file.Path+".before-restore-20260314", done.Kept)
	require.True(t, done.Summed)
	_, err = s.Put(ctx, []inventory.Lot{lot(resistor(47), 1)}, "", noon)
	refused(t, err, "was replaced by a restore or moved; nothing was changed")
	again, err := Open(ctx, s.file.Path, ReadWrite)
	require.NoError(t, err)
	defer again.Close()
	require.Equal(t, map[int64]float64{1: 5}, counts(t, again))
	kept, err := Open(ctx, done.Kept, ReadOnly)
	require.NoError(t, err)
	defer kept.Close()
	require.Equal(t, map[int64]float64{1: 5, 2: 1}, counts(t, kept))
}

// A writer died, then the drawer file was lost and only its journal is left. SQLite would play it
// into the restored file.
func TestRestorePutsTheJournalAway(t *testing.T) {
	path := filled(t)
	backup := filepath.Join(t.TempDir(), "copy.db")
	s, err := Open(ctx, path, ReadWrite)
	require.NoError(t, err)
	put(t, s, lot(resistor(1e5), 1)) // the backup is of another state than the journal
	_, err = s.Backup(ctx, backup, false, noon)
	require.NoError(t, err)
	_, err = s.Take(ctx, 201, 1, "", noon)
	require.NoError(t, err)
	_, err = s.file.DB.Exec("PRAGMA cache_size = 1; PRAGMA cache_spill = 1")
	require.NoError(t, err)
	tx, err := s.file.DB.BeginTxx(ctx, nil)
	require.NoError(t, err)
	_, err = tx.Exec("UPDATE lot SET note = 'half done', count = 0")
	require.NoError(t, err)
	journal, err := os.ReadFile(path + "-journal")
	require.NoError(t, err)
	require.NoError(t, tx.Rollback())
	require.NoError(t, s.Close())

	lost := filepath.Join(t.TempDir(), "drawers.db")
	require.NoError(t, os.WriteFile(lost+"-journal", journal, 0o600))
	_, err = Restore(ctx, backup, lost, noon)
	require.NoError(t, err)
	again, err := Open(ctx, lost, ReadWrite)
	require.NoError(t, err)
	sound(t, again)
	l, err := again.Lot(ctx, 201)
	require.NoError(t, err)
	require.Equal(t, 1.0, l.Count, "as the backup says, not as the journal")
	require.NoError(t, again.Close())
	kept, err := os.ReadFile(lost + ".before-restore-20260314-journal")
	require.NoError(t, err)
	require.Equal(t, journal, kept)
}

func TestRestoreRefusesSources(t *testing.T) {
	s, copied := backedUp(t)
	before := printOf(t, s.file.Path)
	try := func(from, says string) {
		t.Helper()
		_, err := Restore(ctx, from, s.file.Path, noon)
		refused(t, err, says)
		require.Equal(t, before, printOf(t, s.file.Path))
	}
	try("", "has no name")
	try(filepath.Join(t.TempDir(), "none"), "does not exist")
	try(filepath.Dir(s.file.Path), "not a plain file")
	try(s.file.Path, "is the backup itself")
	live := filepath.Join(t.TempDir(), "live.db")
	b, err := os.ReadFile(copied)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(live, b, 0o600))
	require.NoError(t, os.WriteFile(live+"-journal", []byte("something"), 0o600))
	try(live, "in the middle of a change")
	_, err = Restore(ctx, copied, "", noon)
	refused(t, err, "has no name")
	_, err = Restore(ctx, copied, filepath.Join(s.file.Path, "below"), noon)
	require.Error(t, err)
	gone, cancel := context.WithCancel(ctx)
	cancel()
	_, err = Restore(gone, copied, s.file.Path, noon)
	require.ErrorIs(t, err, context.Canceled)
	_, err = s.Backup(gone, filepath.Join(filepath.Dir(s.file.Path), "late.db"), false, noon)
	require.ErrorIs(t, err, context.Canceled)
	require.Equal(t, before, printOf(t, s.file.Path))
}

// A damaged drawer does not take the place of a good backup.
func TestBackupOfDamageKeepsTheOlderOne(t *testing.T) {
	s, copied := backedUp(t)
	require.NoError(t, s.Close())
	good := printOf(t, copied)
	b, err := os.ReadFile(s.file.Path)
	require.NoError(t, err)
	for i := range b[12*4096 : 13*4096] {
		b[12*4096+i] = 0xa5
	}
	require.NoError(t, os.WriteFile(s.file.Path, b, 0o600))
	ro, err := Open(ctx, s.file.Path, ReadOnly)
	require.NoError(t, err)
	defer ro.Close()
	_, err = ro.Backup(ctx, copied, true, noon)
	refused(t, err, "is damaged")
	require.Equal(t, good, printOf(t, copied))
}

// Without the note beside the drawer a backup is as good, but check will not know of it.
func TestBackupThatCannotBeNoted(t *testing.T) {
	s, _ := backedUp(t)
	require.NoError(t, os.Remove(s.file.Path+drawerfile.NoteSuffix))
	require.NoError(t, os.Mkdir(s.file.Path+drawerfile.NoteSuffix, 0o700))
	made, err := s.Backup(ctx, filepath.Join(t.TempDir(), "b.db"), false, noon)
	require.NoError(t, err)
	require.NotEmpty(t, made.Unnoted)
	r, err := Examine(ctx, s.file.Path)
	require.NoError(t, err)
	require.Nil(t, r.Backup)
	require.True(t, r.OK())
}

func globFor(t *testing.T, pattern string) []string {
	t.Helper()
	names, err := filepath.Glob(pattern)
	require.NoError(t, err)
	return names
}
