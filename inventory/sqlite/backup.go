package sqlite

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"sparewright/inventory"
)

// backUp writes a checked copy of the whole file to name, or to name-2, name-3 ... when that is taken, and returns the
// path. A copy appears under its name only when it is complete: it is made under a temporary name, checked, flushed to
// the disk and renamed. A plain copy of a file in use could be torn (SQLite's howtocorrupt.html, section 1.2).
func (s *Store) backUp(ctx context.Context, name string) (string, error) {
	draft, err := os.CreateTemp(filepath.Dir(name), ".sparewright-copy-*")
	if err != nil {
		return "", s.noCopy(name, err)
	}
	defer os.Remove(draft.Name()) // gone already when the copy succeeded
	if err := draft.Close(); err != nil {
		return "", s.noCopy(name, err)
	}
	if _, err := s.db.ExecContext(ctx, "VACUUM INTO ?", draft.Name()); err != nil {
		return "", s.noCopy(name, err)
	}
	if err := s.compare(ctx, draft.Name()); err != nil {
		return "", s.noCopy(name, err)
	}
	final, err := settle(draft.Name(), name)
	if err != nil {
		return "", s.noCopy(name, err)
	}
	return final, nil
}

func (s *Store) noCopy(name string, err error) error {
	return inventory.OpenError{Path: s.path, Msg: fmt.Sprintf("cannot be copied to %q; nothing was changed", name),
		Hint: "make room beside the file, or move it to a folder you may write to", Err: err}
}

// compare checks the copy by itself and counts its ledger against the original.
func (s *Store) compare(ctx context.Context, copied string) error {
	c := &Store{db: connect(copied, reading), path: copied, mode: ReadOnly}
	defer c.db.Close()
	if err := c.integrity(ctx); err != nil {
		return err
	}
	const rows = `SELECT (SELECT count(*) FROM sqlite_schema) || ' ' || (SELECT count(*) FROM lot) || ' ' ||
       (SELECT count(*) FROM movement)`
	var here, there string
	if err := s.db.GetContext(ctx, &here, rows); err != nil {
		return err
	}
	if err := c.db.GetContext(ctx, &there, rows); err != nil {
		return err
	}
	if here != there {
		return errors.New("the copy is not complete")
	}
	return nil
}

// settle flushes the draft and gives it the first free name.
func settle(draft, name string) (string, error) {
	if err := flush(draft); err != nil {
		return "", err
	}
	final := name
	for i := 2; ; i++ {
		err := rename(draft, final)
		if err == nil {
			return final, flush(filepath.Dir(final))
		}
		if !errors.Is(err, os.ErrExist) {
			return "", err
		}
		final = fmt.Sprintf("%s-%d", name, i)
	}
}

// rename gives the draft its name unless that is taken. A second link fails when the name exists, a plain rename would
// overwrite; where the file system knows no links, looking first has to do.
func rename(draft, final string) error {
	err := os.Link(draft, final)
	if err == nil || errors.Is(err, os.ErrExist) {
		return err
	}
	if _, err := os.Lstat(final); !errors.Is(err, os.ErrNotExist) {
		return os.ErrExist
	}
	return os.Rename(draft, final)
}

// flush asks the system to bring a file, or the names in a folder, to the disk.
func flush(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	return f.Sync()
}
