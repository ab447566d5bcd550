package drawerfile

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/jmoiron/sqlx"
	sqlite3 "github.com/mattn/go-sqlite3"

	"sparewright/inventory"
)

// File is a drawer file under its path and the connection to it. The connection may be to a draft
// of the file, while the path is what messages call it.
type File struct {
	DB   *sqlx.DB
	Path string
}

// At is the file of a path; nothing is opened before its first use.
func At(path string, how Access) *File { return &File{Connect(path, how), path} }

// Close releases the file.
func (f *File) Close() error { return f.Explain(f.DB.Close()) }

// Touch makes the driver open the file and read its schema.
func (f *File) Touch(ctx context.Context) error {
	var n int
	return f.DB.GetContext(ctx, &n, "SELECT count(*) FROM sqlite_schema")
}

// Ready is Touch that first undoes the unfinished change of a writer that died.
func (f *File) Ready(ctx context.Context) error {
	err := f.Touch(ctx)
	if interrupted(err) {
		if err = rollBack(ctx, f.Path); err == nil {
			err = f.Touch(ctx)
		}
	}
	return err
}

// Integrity runs SQLite's whole check of the file; 100,000 rows take about 30 ms.
func (f *File) Integrity(ctx context.Context) error {
	lines, err := f.IntegrityLines(ctx)
	if err != nil || len(lines) == 0 {
		return err
	}
	return inventory.OpenError{Path: f.Path, Msg: "is damaged: " + lines[0],
		Hint: DamagedHint(f.Path)}
}

// IntegrityLines is what SQLite finds wrong with the file, nothing when it is sound.
func (f *File) IntegrityLines(ctx context.Context) ([]string, error) {
	var lines []string
	if err := f.DB.SelectContext(ctx, &lines, "PRAGMA integrity_check(20)"); err != nil {
		return nil, err
	}
	if len(lines) == 1 && lines[0] == "ok" {
		return nil, nil
	}
	return lines, nil
}

// Within runs fn in one transaction: everything it does is kept, or nothing. Errors of the driver
// come out as OpenErrors.
func (f *File) Within(ctx context.Context, fn func(*sqlx.Tx) error) error {
	tx, err := f.DB.BeginTxx(ctx, nil)
	if err != nil {
		return f.Explain(err)
	}
	if err := fn(tx); err != nil {
		if undo := tx.Rollback(); undo != nil && ctx.Err() == nil {
			err = errors.Join(err, undo)
		}
		return f.Explain(err)
	}
	return f.Explain(tx.Commit())
}

// Orphans lists rows that refer to something that is not there; SQLite's integrity check does not
// see them.
func Orphans(ctx context.Context, tx *sqlx.Tx) ([]string, error) {
	var rows []struct {
		Table  string `db:"table"`
		Row    *int64 `db:"rowid"`
		Parent string `db:"parent"`
		Key    int    `db:"fkid"`
	}
	if err := tx.SelectContext(ctx, &rows, "PRAGMA foreign_key_check"); err != nil {
		return nil, err
	}
	out := make([]string, len(rows))
	for i, r := range rows {
		where := ""
		if r.Row != nil {
			where = fmt.Sprintf(" %d", *r.Row)
		}
		out[i] = fmt.Sprintf("%s%s refers to a missing %s", r.Table, where, r.Parent)
	}
	return out, nil
}

// Damage tells whether an error is a finding about the content of the file.
func Damage(err error) (string, bool) {
	var e sqlite3.Error
	if errors.As(err, &e) && (e.Code == sqlite3.ErrCorrupt || e.Code == sqlite3.ErrNotADB ||
		e.Code == sqlite3.ErrError) {
		return OneLine(e), true
	}
	return "", false
}

// OneLine joins the lines of an error that collects several.
func OneLine(err error) string { return strings.ReplaceAll(err.Error(), "\n", "; ") }
