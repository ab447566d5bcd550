package sqlite

import (
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"time"

	"github.com/jmoiron/sqlx"

	"sparewright/inventory"
)

const hintOther = "take another backup, or copy this one again from where it was kept"

// Restored says what Restore did.
type Restored struct {
	Path   string // the drawer file
	From   string // the backup
	Kept   string // where the former drawer file lies now, empty when there was none
	Summed bool   // a checksum lay beside the backup and agreed
	Report Report // what Check finds in the drawer now

	// Unmarked says why undo will not know of this restore, empty when it does: the backup is
	// damaged.
	Unmarked string
}

// Restore puts a backup in the place of the drawer file. The backup is copied and the copy checked
// in whole, with the checksum beside it when there is one, before anything is touched; the backup
// itself stays. The former drawer file is kept beside under a name with the date. A drawer that
// somebody is writing to is refused. At every moment the drawer's name holds the old file or the
// new one.
func Restore(ctx context.Context, from, path string, now time.Time) (_ Restored, err error) {
	if from, path, err = restorePaths(from, path); err != nil {
		return Restored{}, err
	}
	made, err := makeFolders(filepath.Dir(path))
	defer func() {
		for _, folder := range made {
			if err != nil {
				os.Remove(folder) // a refused backup leaves nothing behind; one in use by now stays
			}
		}
	}()
	if err != nil {
		return Restored{}, cannotCreate(path, err)
	}
	return restoreInto(ctx, from, path, now)
}

// makeFolders makes a folder and those above it, and returns the new ones, the innermost first.
func makeFolders(folder string) (made []string, err error) {
	for at := folder; ; at = filepath.Dir(at) {
		if _, err := os.Stat(at); !errors.Is(err, os.ErrNotExist) {
			break
		}
		made = append(made, at)
	}
	return made, os.MkdirAll(folder, 0o700)
}

func restoreInto(ctx context.Context, from, path string, now time.Time) (Restored, error) {
	clearDrafts(filepath.Dir(path))
	draft, err := newDraft(filepath.Dir(path), draftCopy)
	if err != nil {
		return Restored{}, cannotCreate(path, err)
	}
	defer draft.discard() // gone already when it has its name
	if err := copySource(ctx, from, draft.File); err != nil {
		return Restored{}, err
	}
	r := Restored{Path: path, From: from}
	made := Copy{Path: from}
	if r.Summed, err = verify(ctx, &made, draft.Name()); err != nil {
		return Restored{}, err
	}
	r.Report = made.Report
	r.Report.Path = path
	mark := func(kept string) error {
		r.Unmarked = reasonIf(markRestored(ctx, draft.Name(), kept, now))
		return ctx.Err()
	}
	if runtime.GOOS == "windows" {
		draft.Close() // an open file gets no other name there
	}
	aside := path + ".before-restore-" + now.Format("20060102")
	if r.Kept, err = exchangeFiles(ctx, draft.Name(), path, aside, mark); err != nil {
		return Restored{}, err
	}
	if info, err := os.Stat(from); err == nil {
		_ = noteBackup(path, made, info.ModTime()) // only a reminder
	}
	return r, nil
}

// restorePaths looks at both names before anything is read in full.
func restorePaths(from, path string) (string, string, error) {
	from, err := absolute(from)
	if err != nil {
		return "", "", err
	}
	if path, err = absolute(path); err != nil {
		return "", "", err
	}
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real // the file is replaced, not the link to it
	}
	steps, err := migrations(schemaFiles)
	if err != nil {
		return "", "", err
	}
	h, err := readHeader(from)
	if err != nil {
		var open inventory.OpenError
		if errors.As(err, &open) && errors.Is(err, os.ErrNotExist) {
			open.Msg, open.Hint = "does not exist", "check the name of the backup"
			return "", "", open
		}
		return "", "", err
	}
	if err := h.accept(from, len(steps)); err != nil {
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
	h, err := readHeader(path)
	var open inventory.OpenError
	switch {
	case errors.Is(err, os.ErrNotExist):
		return nil
	case errors.As(err, &open):
		return err
	case h.magic && h.application != applicationID && h.application != 0:
		return inventory.OpenError{Path: path, Msg: "belongs to another program", Hint: hintForeign}
	}
	source, err := os.Stat(from)
	if err != nil {
		return cannotRead(from, err)
	}
	if target, err := os.Stat(path); err == nil && os.SameFile(source, target) {
		return inventory.OpenError{Path: path, Msg: "is the backup itself", Hint: hintForeign}
	}
	return nil
}

// copySource copies a backup byte by byte, so that its checksum holds. A transaction that only
// reads keeps others from writing to it meanwhile, should it be a drawer in use; the file is closed
// after the transaction, because closing it ends the lock (SQLite's howtocorrupt.html, section
// 2.2).
func copySource(ctx context.Context, from string, to *os.File) error {
	in, err := openPlain(from)
	if err != nil {
		return cannotRead(from, err)
	}
	defer in.Close()
	s := &Store{db: connect(from, reading), path: from, mode: ReadOnly}
	defer s.db.Close()
	return s.sourceFault(s.within(ctx, func(tx *sqlx.Tx) error {
		var n int
		if err := tx.GetContext(ctx, &n, "SELECT count(*) FROM sqlite_schema"); err != nil {
			return err
		}
		if _, err := io.Copy(to, in); err != nil {
			return cannotCreate(to.Name(), err)
		}
		if err := to.Sync(); err != nil {
			return cannotCreate(to.Name(), err)
		}
		return nil
	}))
}

// verify holds the draft against the checksum beside the backup and looks through it as Open and
// Check do.
func verify(ctx context.Context, c *Copy, draft string) (summed bool, err error) {
	told, err := readSum(c.Path)
	if err != nil {
		return false, inventory.OpenError{Path: c.Path + sumSuffix,
			Msg:  "cannot be read as a checksum: " + reasonOf(err),
			Hint: "remove it when you trust the backup without it", Err: err}
	}
	s := &Store{db: connect(draft, reading), path: c.Path, mode: ReadOnly}
	defer s.db.Close()
	sum, err := sumOf(draft)
	if err != nil {
		return false, cannotRead(c.Path, err)
	}
	if told != "" && told != sum {
		return false, inventory.OpenError{Path: c.Path, Hint: hintOther,
			Msg: "does not agree with the checksum beside it: one of them was changed or damaged"}
	}
	if err := s.integrity(ctx); err != nil {
		return false, s.sourceFault(err)
	}
	if err := c.describe(ctx, draft); err != nil {
		return false, s.sourceFault(err)
	}
	return told != "", nil
}

// sourceFault words a fault of the backup: the cure is another backup, not a restore.
func (s *Store) sourceFault(err error) error {
	err = s.explain(err)
	var open inventory.OpenError
	if errors.As(err, &open) && open.Path == s.path {
		open.Hint = hintOther
		return open
	}
	return err
}

// exchangeFiles keeps the old file under the name aside, or the first free one after it, and gives
// the other file its place, under the lock of a writer. Between the two mark may write into the
// file to come, given the base name of the old one then; it is empty when there was none.
func exchangeFiles(ctx context.Context, other, path, aside string,
	mark func(string) error) (kept string, err error) {
	if _, err := os.Lstat(path); errors.Is(err, os.ErrNotExist) {
		if err := putJournalAway(path, aside); err != nil {
			return "", cannotCreate(path, err)
		}
		if err := mark(""); err != nil {
			return "", err
		}
		if err := rename(other, path); err != nil {
			return "", cannotCreate(path, err)
		}
		return "", settled(path)
	}
	release, err := holdOff(ctx, path)
	if err != nil {
		return "", err
	}
	defer release()
	if kept, err = firstFree(path, aside); err != nil {
		return "", cannotCreate(path, err)
	}
	if err := errors.Join(putJournalAway(path, kept), flushFolder(filepath.Dir(path))); err != nil {
		return "", cannotCreate(path, err)
	}
	if err := mark(filepath.Base(kept)); err != nil {
		// a second name of the file, which has its first one still
		return "", errors.Join(err, os.Remove(kept))
	}
	if runtime.GOOS == "windows" {
		release() // an open file cannot be replaced there
	}
	if err := os.Rename(other, path); err != nil {
		return "", cannotCreate(path, err)
	}
	return kept, settled(path)
}

// putJournalAway moves a journal away that outlived its drawer file, because that is gone or cannot
// be rolled back. SQLite would play it into whatever lies under the drawer's name next, and ruin
// that.
func putJournalAway(path, aside string) error {
	journal := path + "-journal"
	if _, err := os.Lstat(journal); errors.Is(err, os.ErrNotExist) {
		return flushFolder(filepath.Dir(path))
	}
	if _, err := firstFree(journal, aside+"-journal"); err != nil {
		return err
	}
	if err := os.Remove(journal); err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	return flushFolder(filepath.Dir(path))
}

func settled(path string) error {
	if err := flushFolder(filepath.Dir(path)); err != nil {
		return cannotCreate(path, err)
	}
	return nil
}

// holdOff takes the exclusive lock of the file, so that nobody is in the middle of reading or
// writing it, and undoes an unfinished change. A program that keeps the file open finds at its next
// change that the file has moved, and is refused. Nobody can be writing to a file that is damaged
// beyond opening.
func holdOff(ctx context.Context, path string) (release func(), err error) {
	s := &Store{db: connect(path, writing), path: path, mode: ReadWrite}
	release = func() { s.db.Close() } // ends the transaction too
	_, err = s.db.ExecContext(ctx, "BEGIN EXCLUSIVE")
	if _, damaged := damage(err); err != nil && !damaged {
		release()
		return nil, s.explain(err)
	}
	return release, nil
}
