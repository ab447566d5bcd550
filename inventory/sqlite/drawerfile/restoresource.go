package drawerfile

import (
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"

	"github.com/jmoiron/sqlx"

	"sparewright/inventory"
	"sparewright/inventory/sqlite/disk"
)

// HintOther is the cure of a faulty backup.
const HintOther = "take another backup, or copy this one again from where it was kept"

// RestorePaths looks at both names before anything is read in full.
func RestorePaths(from, path string) (string, string, error) {
	from, err := Absolute(from)
	if err != nil {
		return "", "", err
	}
	if path, err = Absolute(path); err != nil {
		return "", "", err
	}
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real // the file is replaced, not the link to it
	}
	steps, err := Migrations(SchemaFiles)
	if err != nil {
		return "", "", err
	}
	h, err := ReadHeader(from)
	if err != nil {
		var open inventory.OpenError
		if errors.As(err, &open) && errors.Is(err, os.ErrNotExist) {
			open.Msg, open.Hint = "does not exist", "check the name of the backup"
			return "", "", open
		}
		return "", "", err
	}
	if err := h.Accept(from, len(steps)); err != nil {
		return "", "", err
	}
	if info, err := os.Stat(from + "-journal"); err == nil && info.Size() > 0 {
		return "", "", inventory.OpenError{Path: from,
			Msg:  "is a drawer in the middle of a change, not a finished backup",
			Hint: "run `sparewright list --drawers FILE` on it once, then restore it"}
	}
	return from, path, replaceable(from, path)
}

// replaceable refuses targets that are not drawer files. What is damaged beyond recognition may be
// replaced, since it is kept.
func replaceable(from, path string) error {
	h, err := ReadHeader(path)
	var open inventory.OpenError
	switch {
	case errors.Is(err, os.ErrNotExist):
		return nil
	case errors.As(err, &open):
		return err
	case h.Magic && h.Application != ApplicationID && h.Application != 0:
		return inventory.OpenError{Path: path, Msg: "belongs to another program",
			Hint: HintForeign}
	}
	source, err := os.Stat(from)
	if err != nil {
		return CannotRead(from, err)
	}
	if target, err := os.Stat(path); err == nil && os.SameFile(source, target) {
		return inventory.OpenError{Path: path, Msg: "is the backup itself",
			Hint: HintForeign}
	}
	return nil
}

// CopySource copies a backup byte by byte, so that its checksum holds. A transaction that only
// reads keeps others from writing to it meanwhile, should it be a drawer in use; the file is closed
// after the transaction, because closing it ends the lock (SQLite's howtocorrupt.html, section
// 2.2).
func CopySource(ctx context.Context, from string, to *os.File) error {
	in, err := disk.OpenPlain(from)
	if err != nil {
		return CannotRead(from, err)
	}
	defer in.Close()
	f := At(from, Reading)
	defer f.DB.Close()
	return f.SourceFault(f.Within(ctx, func(tx *sqlx.Tx) error {
		var n int
		if err := tx.GetContext(ctx, &n, "SELECT count(*) FROM sqlite_schema"); err != nil {
			return err
		}
		if _, err := io.Copy(to, in); err != nil {
			return CannotCreate(to.Name(), err)
		}
		if err := to.Sync(); err != nil {
			return CannotCreate(to.Name(), err)
		}
		return nil
	}))
}

// SourceFault words a fault of the backup: the cure is another backup, not a restore.
func (f *File) SourceFault(err error) error {
	err = f.Explain(err)
	var open inventory.OpenError
	if errors.As(err, &open) && open.Path == f.Path {
		open.Hint = HintOther
		return open
	}
	return err
}
