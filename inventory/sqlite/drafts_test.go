package sqlite

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/inventory"
	"sparewright/inventory/sqlite/disk"
)

// What a killed backup or restore left behind is cleared by the next; what somebody is writing
// stays, and so does whatever only has such a name.
func TestDraftsOfTheDeadAreCleared(t *testing.T) {
	s, copied := backedUp(t)
	dir := filepath.Dir(s.file.Path)
	whole, err := os.ReadFile(copied)
	require.NoError(t, err)
	write := func(name string, content []byte) string {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, content, 0o600))
		return path
	}
	dead := []string{write(disk.DraftCopy+"0000000001", nil),
		write(disk.DraftCopy+"4294967295", whole[:5000]),
		write(disk.DraftCopy+"17", make([]byte, 4096)), write(disk.DraftCopy+"17-journal", nil),
		write(disk.DraftNote+"3", []byte(`{"file":"/x`)),
		write(disk.DraftNote+"4", []byte("0123456789abcdef0123"))}
	others := []string{write(disk.DraftCopy+"list.txt", nil),
		write(disk.DraftCopy+"18", []byte("what I wanted to buy")),
		write(disk.DraftNote+"5", []byte("call the workshop, it is about the cores")),
		write(disk.DraftCopy+"12345678901", nil)}
	require.NoError(t, os.Mkdir(filepath.Join(dir, disk.DraftCopy+"19"), 0o700))
	live, err := disk.NewDraft(dir, disk.DraftCopy)
	require.NoError(t, err)
	defer live.Discard()
	for _, run := range []func() error{
		func() error {
			_, err := s.Backup(ctx, filepath.Join(dir, "second.db"), false,
				noon)
			return err
		},
		func() error { _, err := Restore(ctx, copied, s.file.Path, noon); return err },
	} {
		require.NoError(t, run())
		for _, path := range dead {
			require.NoFileExists(t, path)
		}
		for _, path := range append(others, live.Name()) {
			require.FileExists(t, path)
		}
		require.DirExists(t, filepath.Join(dir, disk.DraftCopy+"19"))
		dead = []string{write(disk.DraftCopy+"0000000002", whole)}
	}
}

// check and history say of the same file that it is damaged, or both that it is not: times as other
// programs write them are none, times that no calendar has are.
func TestCheckAndHistoryAgreeOnTimes(t *testing.T) {
	for at, damaged := range map[string]bool{
		"2026-03-14T11:00:00Z": false, "2026-03-14T11:00:00.5Z": false,
		"2026-03-14T11:00:00.123456Z": false,
		"2026-02-29T11:00:00Z":        true, "2026-13-14T11:00:00.000Z": true,
		"2026-03-14T25:00:00Z":       true,
		"2026-03-14T11:00:00+01:00Z": true, "2026-03-14T11:00:00 noonZ": true,
	} {
		for _, table := range []string{"movement", "entry", "set_aside"} {
			s := fresh(t)
			id := put(t, s, lot(resistor(10), 5))[0]
			require.NoError(t, s.Reserve(ctx, []inventory.Draw{{Lot: id, Count: 1}}, "p", noon))
			_, err := s.file.DB.Exec("DROP TRIGGER movement_stays; DROP TRIGGER entry_stays; "+
				"UPDATE "+
				table+" SET at = ?", at)
			require.NoError(t, err)
			_, _, history := s.History(ctx, 10)
			_, asides := s.SetAsides(ctx, "")
			r, err := s.Check(ctx)
			require.NoError(t, err)
			require.Equal(t, damaged, history != nil || asides != nil, "%s %s", table, at)
			require.Equal(t, damaged, !r.OK(), "%s %s: %v", table, at, r.Problems)
		}
	}
}

// A restore that made the drawer has nothing before it, and undo says so instead of taking back
// something older.
func TestUndoOfTheRestoreThatMadeTheDrawer(t *testing.T) {
	_, copied := backedUp(t)
	path := filepath.Join(t.TempDir(), "d.db")
	_, err := Restore(ctx, copied, path, noon)
	require.NoError(t, err)
	s, err := Open(ctx, path, ReadWrite)
	require.NoError(t, err)
	_, err = s.Undo(ctx, 1, noon)
	require.ErrorAs(t, err, &inventory.RestoreFirst{})
	require.NoError(t, s.Close())
	_, err = UndoRestore(ctx, path, noon)
	require.ErrorAs(t, err, &inventory.NoFormer{})
}
