package sqlite

import (
	"database/sql"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// Whatever another program has written into the columns of the drawer file, reading it gives lots
// that can be stored, or one refusal that names the file; nothing panics, and nothing but the
// file's own rules decides.
func FuzzContent(f *testing.F) {
	f.Add("10k", "B4", "note", "10k", "2026-01-01T00:00:00Z", "published", 1e4, 5.0)
	f.Add("x\x1b[2J", "\xff", "\u202e", "", "", "measured", -1.0, 1e300)
	f.Add("", "", "a\nb", "~", "2026-13-45T99:99:99Z", "", 0.0, -5e-324)
	s := fresh(f)
	put(f, s, lot(resistor(1e4), 5), lot(wire(), 2.5))
	path := s.Path()
	require.NoError(f, s.Close())
	content, err := os.ReadFile(path)
	require.NoError(f, err)
	f.Fuzz(func(t *testing.T, designation, bin, note, text, at, basis string, value,
		count float64) {
		path := filepath.Join(t.TempDir(), "d.db")
		require.NoError(t, os.WriteFile(path, content, 0o600))
		// whatever makes it quick; it is a copy
		db, err := sql.Open("sqlite3", path+"?_sync=0&_journal_mode=MEMORY")
		require.NoError(t, err)
		for _, change := range []struct {
			statement string
			args      []any
		}{
			{"PRAGMA ignore_check_constraints = 1", nil}, {"DROP TRIGGER movement_stays", nil},
			{"UPDATE part SET designation = ?", []any{designation}},
			{"UPDATE lot SET bin = ?, note = ?, count = ?", []any{bin, note, count}},
			{"UPDATE figure SET text = ?, basis = ?, value = ?", []any{text, basis, value}},
			{"UPDATE movement SET delta = ?, at = ?, reason = ?", []any{count, at, note}},
		} {
			if _, err := db.Exec(change.statement, change.args...); err != nil {
				break // STRICT columns take no such value: the file stays as it is then
			}
		}
		require.NoError(t, db.Close())
		s, err := Open(t.Context(), path, ReadOnly)
		if err != nil {
			require.Contains(t, err.Error(), path)
			return
		}
		defer s.Close()
		_, err = s.Check(t.Context())
		require.NoError(t, err)
		snapshot, err := s.Snapshot(t.Context())
		if err != nil {
			require.Contains(t, err.Error(), path)
			return
		}
		for _, l := range snapshot.Lots {
			require.NoError(t, l.Part.Validate())
		}
	})
}
