package drawerfile

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"net/url"
	"path/filepath"
	"strings"

	"github.com/jmoiron/sqlx"
	sqlite3 "github.com/mattn/go-sqlite3"
)

// Access is how a connection may touch the file.
type Access int

// How a file is opened.
const (
	Reading   Access = iota // never writes, never creates
	Writing                 // writes, never creates
	Creating                // writes, creates what is missing
	Migrating               // writes with foreign keys off, as rebuilding a table needs
	Copying                 // writes other files only; query_only would forbid these too
)

// DataSource builds the driver's name of the file. It goes through net/url because ?, # and % in a
// path would otherwise be read as options. Settings that the driver knows go here, so that every
// connection of a pool has them; the rest is in tune.
func DataSource(path string, how Access) string {
	q := url.Values{}
	q.Set("_busy_timeout", "5000")
	q.Set("_foreign_keys", "1")
	// the driver's own default is NORMAL, which may lose or damage a file on power loss
	q.Set("_synchronous", "EXTRA")
	q.Set("_stmt_cache_size", "32")
	switch how {
	case Reading:
		q.Set("mode", "ro")
		q.Set("_query_only", "1")
		q.Set("_txlock", "deferred")
	case Copying:
		q.Set("mode", "ro")
		q.Set("_txlock", "deferred")
	case Creating:
		q.Set("mode", "rwc")
	case Migrating:
		q.Set("mode", "rw")
		q.Set("_foreign_keys", "0")
	default:
		q.Set("mode", "rw")
	}
	if how != Reading && how != Copying {
		q.Set("_journal_mode", "DELETE") // one self-contained file when idle
		// a deferred transaction that turns to writing fails at once when another writes
		q.Set("_txlock", "immediate")
	}
	slashed := filepath.ToSlash(path)
	if !strings.HasPrefix(slashed, "/") {
		slashed = "/" + slashed // C:/... on Windows
	}
	return (&url.URL{Scheme: "file", Path: slashed, RawQuery: q.Encode()}).String()
}

// tune sets on each new connection what the driver has no option for: functions and views of the
// schema are not trusted, cells are checked when pages are read, the file is never mapped into
// memory. SQLite's "Defense Against The Dark Arts" (security.html, section 1.2) asks for these
// where a file may come from elsewhere.
func tune(c *sqlite3.SQLiteConn) error {
	_, err := c.Exec("PRAGMA trusted_schema = 0; PRAGMA cell_size_check = 1; PRAGMA mmap_size = 0",
		nil)
	return err
}

// Connector opens connections to one file without registering a driver under a global name.
type connector struct {
	driver *sqlite3.SQLiteDriver
	name   string
}

func (c connector) Connect(context.Context) (driver.Conn, error) { return c.driver.Open(c.name) }
func (c connector) Driver() driver.Driver                        { return c.driver }

// Connector is what the driver opens the file with.
func Connector(path string, how Access) driver.Connector {
	return connector{&sqlite3.SQLiteDriver{ConnectHook: tune}, DataSource(path, how)}
}

// Connect makes a pool of one connection. Nothing is opened before its first use. With one
// connection a result set left open while writing would wait for itself; so results are always read
// whole into slices.
func Connect(path string, how Access) *sqlx.DB {
	db := sqlx.NewDb(sql.OpenDB(Connector(path, how)), "sqlite3")
	db.SetMaxOpenConns(1)
	return db
}
