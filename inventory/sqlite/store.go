package sqlite

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"github.com/jmoiron/sqlx"

	"sparewright/inventory"
	"sparewright/inventory/sqlite/disk"
	"sparewright/inventory/sqlite/drawerfile"
)

// Mode says what an opened store may do.
type Mode int

// ReadOnly leaves the file's bytes and time untouched. ReadWrite may change it but does not create
// it.
const (
	ReadOnly Mode = iota
	ReadWrite
)

// Store is an open drawer file. Its methods may be called from several goroutines; several
// processes may hold stores on one file.
type Store struct {
	file    *drawerfile.File
	mode    Mode
	created bool
	folders []string // that Create made, the innermost first
	joined  *batch   // inside Together: the open entry, whose transaction everything goes through
	booked  int64    // the last entry that was kept
}

// Create opens the drawer file for writing and makes it, and the folder it is in, when missing. The
// file gets mode 0600, a new folder 0700. An existing file is opened as by Open; an existing empty
// one becomes a drawer file.
func Create(ctx context.Context, path string) (*Store, error) {
	path, err := drawerfile.Absolute(path)
	if err != nil {
		return nil, err
	}
	h, err := drawerfile.Look(ctx, path)
	switch {
	case err == nil && h.Size > 0:
		return Open(ctx, path, ReadWrite)
	case err != nil && !errors.Is(err, os.ErrNotExist):
		return nil, err
	}
	folders, err := disk.MakeFolders(filepath.Dir(path))
	if err != nil {
		return nil, drawerfile.CannotCreate(path, err)
	}
	if err := drawerfile.MakeEmpty(path); err != nil {
		return nil, err
	}
	s := &Store{file: drawerfile.At(path, drawerfile.Creating), mode: ReadWrite, folders: folders}
	made, err := s.file.MakeSchema(ctx)
	if err != nil {
		s.file.DB.Close()
		return nil, s.file.Explain(err)
	}
	s.created = made
	return s, nil
}

// Open opens an existing drawer file. A missing, empty, foreign, newer or damaged file is refused
// with an OpenError and left as it is. Opened for writing, the whole file is checked first and
// brought to the present form, with a copy of the old form left beside it.
func Open(ctx context.Context, path string, mode Mode) (*Store, error) {
	path, err := drawerfile.Absolute(path)
	if err != nil {
		return nil, err
	}
	steps, err := drawerfile.Migrations(drawerfile.SchemaFiles)
	if err != nil {
		return nil, err
	}
	h, err := drawerfile.Look(ctx, path)
	if err != nil {
		return nil, err
	}
	if err := h.Accept(path, len(steps)); err != nil {
		return nil, err
	}
	if mode == ReadOnly {
		return openReadOnly(ctx, path, h, len(steps))
	}
	disk.ClearDrafts(filepath.Dir(path))
	return openReadWrite(ctx, path, steps)
}

func openReadOnly(ctx context.Context, path string, h drawerfile.Header,
	known int) (*Store, error) {
	if h.Version < known {
		return nil, inventory.OpenError{Path: path,
			Msg:  fmt.Sprintf("has the old form %d, this program reads form %d", h.Version, known),
			Hint: "run any writing command once; it updates the file and keeps a copy"}
	}
	s := &Store{file: drawerfile.At(path, drawerfile.Reading), mode: ReadOnly}
	if err := s.file.Ready(ctx); err != nil {
		s.file.DB.Close()
		return nil, s.file.Explain(err)
	}
	return s, nil
}

func openReadWrite(ctx context.Context, path string, steps []drawerfile.Migration) (*Store, error) {
	s := &Store{file: drawerfile.At(path, drawerfile.Writing), mode: ReadWrite}
	err := s.file.Integrity(ctx)
	if err == nil {
		err = s.file.Migrate(ctx, steps)
	}
	if err != nil {
		s.file.DB.Close()
		return nil, s.file.Explain(err)
	}
	return s, nil
}

// Close releases the file. The store is of no use afterwards.
func (s *Store) Close() error { return s.file.Close() }

// Path is the absolute path of the file.
func (s *Store) Path() string { return s.file.Path }

// Created reports whether Create made the drawer, rather than finding it.
func (s *Store) Created() bool { return s.created }

// within runs fn in one transaction: everything it does is kept, or nothing.
func (s *Store) within(ctx context.Context, fn func(*sqlx.Tx) error) error {
	if s.joined != nil {
		return s.file.Explain(fn(s.joined.tx))
	}
	return s.file.Within(ctx, fn)
}

// Discard removes the drawer file again that this call of Create has made, when nothing was put
// into it, with its empty folder. The store is of no use afterwards; it has still to be closed.
func (s *Store) Discard() error {
	if !s.created {
		return nil
	}
	ctx := context.Background() // after an interrupt too
	tx, err := s.file.DB.BeginTxx(ctx, nil)
	if err != nil {
		return nil // somebody else is putting something in
	}
	defer tx.Rollback()
	var used bool
	err = tx.GetContext(ctx, &used, "SELECT EXISTS (SELECT 1 FROM entry) OR EXISTS "+
		"(SELECT 1 FROM lot)")
	if err != nil || used {
		return s.file.Explain(err)
	}
	if err := os.Remove(s.file.Path); err != nil {
		return drawerfile.CannotCreate(s.file.Path, err)
	}
	for _, folder := range s.folders {
		os.Remove(folder) // one in use by now stays
	}
	return nil
}
