package drawerfile

import (
	"context"
	"errors"
	"os"
	"path/filepath"

	sqlite3 "github.com/mattn/go-sqlite3"

	"sparewright/inventory"
	"sparewright/inventory/sqlite/disk"
)

// Absolute is the path of a drawer file from the root; an empty one is an OpenError.
func Absolute(path string) (string, error) {
	if path == "" {
		return "", inventory.OpenError{Path: path, Msg: "has no name",
			Hint: "name the file with --drawers"}
	}
	abs, err := filepath.Abs(path)
	if err != nil {
		return "", inventory.OpenError{Path: path, Msg: "has no absolute path", Err: err}
	}
	return abs, nil
}

// Look reads the header. When a writer died in the middle of a change, that change is undone first:
// it may be the one that made the drawer, or brought it to a new form. Files of other programs are
// left alone.
func Look(ctx context.Context, path string) (Header, error) {
	h, err := ReadHeader(path)
	if err != nil || !h.Magic || h.Application != ApplicationID || !HasJournal(path) {
		return h, err
	}
	if err := rollBack(ctx, path); err != nil {
		return h, ctx.Err() // whoever opens the file now is told why
	}
	return ReadHeader(path)
}

// interrupted reports whether a writer died in the middle of a change, so that its journal must be
// rolled back before the file can be read.
func interrupted(err error) bool {
	var e sqlite3.Error
	return errors.As(err, &e) && e.ExtendedCode == sqlite3.ErrReadonlyRollback
}

// rollBack undoes the unfinished change of a writer that died, which a connection that may not
// write cannot do.
func rollBack(ctx context.Context, path string) error {
	f := At(path, Writing)
	defer f.DB.Close()
	return f.Touch(ctx)
}

// MakeEmpty creates the file by itself because SQLite would give it mode 0644.
func MakeEmpty(path string) error {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return CannotCreate(path, err)
	}
	if err := f.Close(); err != nil {
		return CannotCreate(path, err)
	}
	return nil
}

// CannotCreate is the OpenError of a file that could not be written or made.
func CannotCreate(path string, err error) error {
	e := inventory.OpenError{Path: path, Msg: "cannot be created",
		Hint: "name a place you may write to with --drawers", Err: err}
	if why := disk.Reason(err); why != "" {
		e.Msg += ": " + why
	}
	return e
}
