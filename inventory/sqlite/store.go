package sqlite

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"github.com/jmoiron/sqlx"
	sqlite3 "github.com/mattn/go-sqlite3"

	"sparewright/inventory"
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
	db      *sqlx.DB
	path    string
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
	path, err := absolute(path)
	if err != nil {
		return nil, err
	}
	h, err := look(ctx, path)
	switch {
	case err == nil && h.size > 0:
		return Open(ctx, path, ReadWrite)
	case err != nil && !errors.Is(err, os.ErrNotExist):
		return nil, err
	}
	folders, err := makeFolders(filepath.Dir(path))
	if err != nil {
		return nil, cannotCreate(path, err)
	}
	if err := makeEmpty(path); err != nil {
		return nil, err
	}
	s := &Store{db: connect(path, creating), path: path, mode: ReadWrite, folders: folders}
	made, err := s.makeSchema(ctx)
	if err != nil {
		s.db.Close()
		return nil, s.explain(err)
	}
	s.created = made
	return s, nil
}

// makeEmpty creates the file by itself because SQLite would give it mode 0644.
func makeEmpty(path string) error {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return cannotCreate(path, err)
	}
	if err := f.Close(); err != nil {
		return cannotCreate(path, err)
	}
	return nil
}

func cannotCreate(path string, err error) error {
	e := inventory.OpenError{Path: path, Msg: "cannot be created",
		Hint: "name a place you may write to with --drawers", Err: err}
	if why := systemReason(err); why != "" {
		e.Msg += ": " + why
	}
	return e
}

// systemReason is the last link of an error of the file system, such as "permission denied".
func systemReason(err error) string {
	var pe *os.PathError
	if errors.As(err, &pe) {
		return pe.Err.Error()
	}
	return ""
}

// Open opens an existing drawer file. A missing, empty, foreign, newer or damaged file is refused
// with an OpenError and left as it is. Opened for writing, the whole file is checked first and
// brought to the present form, with a copy of the old form left beside it.
func Open(ctx context.Context, path string, mode Mode) (*Store, error) {
	path, err := absolute(path)
	if err != nil {
		return nil, err
	}
	steps, err := migrations(schemaFiles)
	if err != nil {
		return nil, err
	}
	h, err := look(ctx, path)
	if err != nil {
		return nil, err
	}
	if err := h.accept(path, len(steps)); err != nil {
		return nil, err
	}
	if mode == ReadOnly {
		return openReadOnly(ctx, path, h, len(steps))
	}
	clearDrafts(filepath.Dir(path))
	return openReadWrite(ctx, path, steps)
}

func absolute(path string) (string, error) {
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

func openReadOnly(ctx context.Context, path string, h header, known int) (*Store, error) {
	if h.version < known {
		return nil, inventory.OpenError{Path: path,
			Msg:  fmt.Sprintf("has the old form %d, this program reads form %d", h.version, known),
			Hint: "run any writing command once; it updates the file and keeps a copy"}
	}
	s := &Store{db: connect(path, reading), path: path, mode: ReadOnly}
	err := s.touch(ctx)
	if interrupted(err) {
		if err = rollBack(ctx, path); err == nil {
			err = s.touch(ctx)
		}
	}
	if err != nil {
		s.db.Close()
		return nil, s.explain(err)
	}
	return s, nil
}

// look reads the header. When a writer died in the middle of a change, that change is undone first:
// it may be the one that made the drawer, or brought it to a new form. Files of other programs are
// left alone.
func look(ctx context.Context, path string) (header, error) {
	h, err := readHeader(path)
	if err != nil || !h.magic || h.application != applicationID || !hasJournal(path) {
		return h, err
	}
	if err := rollBack(ctx, path); err != nil {
		return h, ctx.Err() // whoever opens the file now is told why
	}
	return readHeader(path)
}

// touch makes the driver open the file and read its schema.
func (s *Store) touch(ctx context.Context) error {
	var n int
	return s.db.GetContext(ctx, &n, "SELECT count(*) FROM sqlite_schema")
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
	s := &Store{db: connect(path, writing), path: path, mode: ReadWrite}
	defer s.db.Close()
	return s.touch(ctx)
}

func openReadWrite(ctx context.Context, path string, steps []migration) (*Store, error) {
	s := &Store{db: connect(path, writing), path: path, mode: ReadWrite}
	err := s.integrity(ctx)
	if err == nil {
		err = s.migrate(ctx, steps)
	}
	if err != nil {
		s.db.Close()
		return nil, s.explain(err)
	}
	return s, nil
}

// integrity runs SQLite's whole check of the file; 100,000 rows take about 30 ms.
func (s *Store) integrity(ctx context.Context) error {
	lines, err := s.integrityLines(ctx)
	if err != nil || len(lines) == 0 {
		return err
	}
	return inventory.OpenError{Path: s.path, Msg: "is damaged: " + lines[0],
		Hint: damagedHint(s.path)}
}

func (s *Store) integrityLines(ctx context.Context) ([]string, error) {
	var lines []string
	if err := s.db.SelectContext(ctx, &lines, "PRAGMA integrity_check(20)"); err != nil {
		return nil, err
	}
	if len(lines) == 1 && lines[0] == "ok" {
		return nil, nil
	}
	return lines, nil
}

// Close releases the file. The store is of no use afterwards.
func (s *Store) Close() error { return s.explain(s.db.Close()) }

// Path is the absolute path of the file.
func (s *Store) Path() string { return s.path }

// Created reports whether Create made the drawer, rather than finding it.
func (s *Store) Created() bool { return s.created }

// within runs fn in one transaction: everything it does is kept, or nothing. Errors of the driver
// come out as OpenErrors.
func (s *Store) within(ctx context.Context, fn func(*sqlx.Tx) error) error {
	if s.joined != nil {
		return s.explain(fn(s.joined.tx))
	}
	tx, err := s.db.BeginTxx(ctx, nil)
	if err != nil {
		return s.explain(err)
	}
	if err := fn(tx); err != nil {
		if undo := tx.Rollback(); undo != nil && ctx.Err() == nil {
			err = errors.Join(err, undo)
		}
		return s.explain(err)
	}
	return s.explain(tx.Commit())
}

// Discard removes the drawer file again that this call of Create has made, when nothing was put
// into it, with its empty folder. The store is of no use afterwards; it has still to be closed.
func (s *Store) Discard() error {
	if !s.created {
		return nil
	}
	ctx := context.Background() // after an interrupt too
	tx, err := s.db.BeginTxx(ctx, nil)
	if err != nil {
		return nil // somebody else is putting something in
	}
	defer tx.Rollback()
	var used bool
	err = tx.GetContext(ctx, &used, "SELECT EXISTS (SELECT 1 FROM entry) OR EXISTS "+
		"(SELECT 1 FROM lot)")
	if err != nil || used {
		return s.explain(err)
	}
	if err := os.Remove(s.path); err != nil {
		return cannotCreate(s.path, err)
	}
	for _, folder := range s.folders {
		os.Remove(folder) // one in use by now stays
	}
	return nil
}
