package sqlite

import (
	"testing"
	"time"

	"github.com/jmoiron/sqlx"
	"github.com/stretchr/testify/require"

	"sparewright/inventory/sqlite/drawerfile"
)

// Expected numbers: SQLite's pragma.html (synchronous 3 is EXTRA) and the settings the project
// fixed for itself.
func TestSettingsHoldOnEveryConnection(t *testing.T) {
	s := fresh(t)
	for _, c := range []struct {
		how       drawerfile.Access
		foreign   int
		queryOnly int
	}{{drawerfile.Reading, 1, 1}, {drawerfile.Writing, 1, 0}, {drawerfile.Creating, 1, 0},
		{drawerfile.Migrating, 0, 0}, {drawerfile.Copying, 1, 0}} {
		db := drawerfile.Connect(s.file.Path, c.how)
		defer db.Close()
		wanted := map[string]int{"foreign_keys": c.foreign, "query_only": c.queryOnly,
			"synchronous": 3, "busy_timeout": 5000,
			"trusted_schema": 0, "cell_size_check": 1, "mmap_size": 0}
		db.SetMaxOpenConns(8)
		var held []*sqlx.Conn
		for range 8 {
			conn, err := db.Connx(ctx)
			require.NoError(t, err)
			held = append(held, conn)
		}
		for _, conn := range held {
			settingsOf(t, conn, wanted)
		}
		for _, conn := range held {
			require.NoError(t, conn.Close())
		}
		db.SetMaxIdleConns(0) // all are closed; what comes now is a replacement
		db.SetConnMaxLifetime(time.Nanosecond)
		late, err := db.Connx(ctx)
		require.NoError(t, err)
		settingsOf(t, late, wanted)
		require.NoError(t, late.Close())
		require.GreaterOrEqual(t, db.Stats().MaxIdleClosed, int64(8))
	}
}

func settingsOf(t *testing.T, conn *sqlx.Conn, wanted map[string]int) {
	t.Helper()
	for pragma, want := range wanted {
		var got int
		require.NoError(t, conn.GetContext(ctx, &got, "PRAGMA "+pragma))
		require.Equal(t, want, got, pragma)
	}
	var mode string
	require.NoError(t, conn.GetContext(ctx, &mode, "PRAGMA journal_mode"))
	require.Equal(t, "delete", mode)
}

func TestReadingConnectionCannotWrite(t *testing.T) {
	s := fresh(t)
	db := drawerfile.Connect(s.file.Path, drawerfile.Reading)
	defer db.Close()
	_, err := db.ExecContext(ctx, "CREATE TABLE x (y)")
	require.ErrorContains(t, err, "readonly")
}

// A transaction that reads first and writes then must hold the write lock from the start; deferred,
// two of them end in "database is locked" without waiting (SQLite's lang_transaction.html).
func TestWritersQueue(t *testing.T) {
	s := fresh(t)
	first, err := s.file.DB.BeginTxx(ctx, nil)
	require.NoError(t, err)
	other := drawerfile.Connect(s.file.Path, drawerfile.Writing)
	defer other.Close()
	_, err = other.ExecContext(ctx, "PRAGMA busy_timeout = 20")
	require.NoError(t, err)
	_, err = other.BeginTxx(ctx, nil)
	require.ErrorContains(t, err, "locked", "the lock is taken at BEGIN")
	refused(t, s.file.Explain(err), "in use by another program")
	require.NoError(t, first.Rollback())
}

func TestDataSourceKeepsOddPaths(t *testing.T) {
	require.Contains(t, drawerfile.DataSource("/a b/q?x#y%20.db", drawerfile.Reading),
		"file:///a%20b/q%3Fx%23y%2520.db?")
	require.Contains(t, drawerfile.DataSource("C:/x.db", drawerfile.Writing), "file:///C:/x.db?",
		"a drive letter of Windows needs the third slash")
}
