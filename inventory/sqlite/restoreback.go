package sqlite

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"github.com/jmoiron/sqlx"

	"sparewright/inventory"
	"sparewright/inventory/sqlite/drawerfile"
)

// markRestored writes into a copy that is about to become the drawer that it was restored and where
// the drawer before it lies. A copy of an older form is brought up for that.
func markRestored(ctx context.Context, draft, kept string, now time.Time) error {
	steps, err := drawerfile.Migrations(drawerfile.SchemaFiles)
	if err != nil {
		return err
	}
	s := &Store{file: drawerfile.At(draft, drawerfile.Migrating), mode: ReadWrite}
	defer s.file.DB.Close()
	return s.within(ctx, func(tx *sqlx.Tx) error {
		_, version, err := drawerfile.FormOf(ctx, tx)
		if err != nil {
			return err
		}
		if version < len(steps) {
			if err := drawerfile.Apply(ctx, tx, steps[version:]); err != nil {
				return err
			}
		}
		return mark(ctx, tx, entryRow{Kind: kindRestore, Reason: "restore",
			At: writeTime(now), File: kept})
	})
}

// mark writes an entry that alters nothing.
func mark(ctx context.Context, tx *sqlx.Tx, e entryRow) error {
	b, err := openEntry(ctx, tx, e)
	if err == nil {
		_, err = b.finish(ctx)
	}
	return err
}

// UndoRestore takes back the restore that was the last change of the drawer: the file from before
// it is the drawer again, and the one that was restored is kept beside under a name with the date,
// where RedoRestore finds it. Both keep their own journal. The last change being another one is a
// NothingToUndo.
func UndoRestore(ctx context.Context, path string, now time.Time) (Restored, error) {
	aside := func(path string) string { return path + ".before-undo-" + now.Format("20060102") }
	return turnRestore(ctx, path, Undo, aside, func(tx *sqlx.Tx, kept string) error {
		return mark(ctx, tx, entryRow{Kind: kindUndo, Reason: "undo restore",
			At: writeTime(now), File: kept})
	})
}

// RedoRestore makes again the restore that UndoRestore took back last, as long as nothing else was
// changed since.
func RedoRestore(ctx context.Context, path string, now time.Time) (Restored, error) {
	aside := func(path string) string { return path + ".before-restore-" + now.Format("20060102") }
	return turnRestore(ctx, path, Redo, aside, func(tx *sqlx.Tx, kept string) error {
		entries, err := inForce(ctx, tx, 1)
		if err != nil {
			return err
		}
		if len(entries) == 0 || entries[0].Kind != kindRestore {
			return inventory.NotAsLeft{What: "the restored drawer"}
		}
		_, err = tx.ExecContext(ctx, "UPDATE entry SET file = ? WHERE id = ?", kept, entries[0].ID)
		return err
	})
}

// Direction is which way a change is turned.
type Direction int

// Undo takes back, Redo makes again.
const (
	Undo Direction = iota
	Redo
)

// turnRestore exchanges the drawer with the file that its journal names, into which note is written
// first.
func turnRestore(ctx context.Context, path string, way Direction, aside func(string) string,
	note func(*sqlx.Tx, string) error) (Restored, error) {
	path, err := drawerfile.Absolute(path)
	if err != nil {
		return Restored{}, err
	}
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	other, err := otherFile(ctx, path, way)
	if err != nil {
		return Restored{}, err
	}
	s, err := Open(ctx, other, ReadWrite) // checks it, and brings it to the present form
	if err != nil {
		return Restored{}, err
	}
	defer s.file.DB.Close()
	r := Restored{Path: path, From: other}
	if r.Report, err = s.Check(ctx); err != nil {
		return Restored{}, err
	}
	r.Report.Path = path
	r.Kept, err = drawerfile.Exchange(ctx, other, path, aside(path), func(kept string) error {
		if err := s.within(ctx, func(tx *sqlx.Tx) error { return note(tx, kept) }); err != nil {
			return err
		}
		return s.Close()
	})
	return r, err
}

// otherFile is the file beside the drawer that holds it as it was before its last restore, or as
// the restore that was taken back had made it.
func otherFile(ctx context.Context, path string, way Direction) (string, error) {
	s, err := Open(ctx, path, ReadWrite)
	if err != nil {
		return "", err
	}
	defer s.Close()
	var entries []entryRow
	err = s.within(ctx, func(tx *sqlx.Tx) (err error) {
		if way == Undo {
			entries, err = inForce(ctx, tx, 1)
		} else {
			entries, err = takenBack(ctx, tx, 1)
		}
		return err
	})
	if err != nil {
		return "", err
	}
	if len(entries) == 0 || entries[0].Kind != kindRestore && entries[0].File == "" {
		return "", inventory.NothingToUndo{Asked: 1, Again: way == Redo}
	}
	if entries[0].File == "" {
		return "", inventory.NoFormer{Path: path}
	}
	other := filepath.Join(filepath.Dir(path), entries[0].File)
	if _, err := os.Stat(other); errors.Is(err, os.ErrNotExist) {
		return "", inventory.OpenError{Path: other,
			Msg:  "is gone, which held the drawer from the other side of the restore",
			Hint: "bring it back beside the drawer, or restore another backup", Err: err}
	}
	if drawerfile.HasJournal(other) {
		return "", inventory.OpenError{Path: other, Msg: "was put away in the middle of a change",
			Hint: fmt.Sprintf("run `sparewright check --drawers %s`, then restore it", other)}
	}
	return other, nil
}
