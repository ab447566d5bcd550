package sqlite

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"sparewright/inventory"
)

// Copy is a finished copy of a drawer file.
type Copy struct {
	Path      string
	Bytes     int64
	Sum       string // SHA-256 in hexadecimal, as it stands in the file beside the copy
	Report    Report // what Check finds in the copy
	Unnoted   string // why the drawer does not know of this backup, empty when it does
	movements int64  // number of the last movement in the copy
}

// CopyError says that a copy could not be written under the name asked for. What was there before
// is still there. Hint is a command or an action, or empty.
type CopyError struct {
	Path string
	Msg  string
	Hint string
	Err  error
}

// Error gives the path and the reason on one line, without the hint.
func (e CopyError) Error() string { return fmt.Sprintf("backup %q: %s", e.Path, e.Msg) }

// Unwrap returns what the system reported.
func (e CopyError) Unwrap() error { return e.Err }

// Backup writes a checked copy of the whole file to name, which must be free unless force is set,
// and its SHA-256 beside it in name.sha256. The name holds the old content or the whole copy at
// every moment; other processes may write meanwhile, the copy then holds what was there at one
// moment. When it was made is noted beside the drawer for Check.
func (s *Store) Backup(ctx context.Context, name string, force bool, now time.Time) (Copy, error) {
	name, err := s.backupName(name, force)
	if err != nil {
		return Copy{}, err
	}
	source := &Store{db: connect(s.path, copying), path: s.path, mode: ReadOnly}
	defer source.db.Close()
	// a copy of a damaged file must not take the place of a good one
	if err := source.integrity(ctx); err != nil {
		return Copy{}, s.explain(err)
	}
	clearDrafts(filepath.Dir(name))
	draft, err := source.draft(ctx, filepath.Dir(name))
	if err != nil {
		return Copy{}, notCopied(ctx, name, err)
	}
	defer draft.discard() // gone already when the copy succeeded
	made := Copy{Path: name}
	if err := made.describe(ctx, draft.Name()); err != nil {
		return Copy{}, notCopied(ctx, name, err)
	}
	if force {
		err = replaceCopy(draft, made)
	} else {
		err = placeCopy(draft, made)
	}
	if err != nil {
		return Copy{}, notCopied(ctx, name, err)
	}
	if err := noteBackup(s.path, made, now); err != nil {
		made.Unnoted = reasonOf(err)
	}
	return made, nil
}

// backupName refuses names that would overwrite something, first of all the drawer itself or what
// SQLite keeps beside it.
func (s *Store) backupName(name string, force bool) (string, error) {
	refuse := func(msg, hint string) (string, error) {
		return "", CopyError{Path: name, Msg: msg, Hint: hint}
	}
	path, err := filepath.Abs(name)
	if err != nil || name == "" {
		return refuse("names no file", "give the file to write")
	}
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real // the file is replaced, not the link to it
	}
	own, err := os.Stat(s.path)
	if err != nil {
		return "", cannotRead(s.path, err)
	}
	for _, file := range []string{path, path + sumSuffix} {
		info, err := os.Stat(file)
		switch {
		case err != nil: // free, or found out when writing
		case os.SameFile(info, own):
			return refuse("is the drawer file itself", "give another name")
		case !info.Mode().IsRegular():
			return refuse("is not a plain file", "give another name")
		case !force:
			return "", CopyError{Path: file, Msg: "the file exists",
				Hint: "give another name, or --force to replace the file"}
		}
	}
	if hasJournal(path) {
		return refuse("has the journal of another drawer file beside it", "give another name")
	}
	for _, suffix := range []string{"-journal", "-wal", "-shm", noteSuffix} {
		if path == s.path+suffix {
			return refuse("is a name the drawer file needs for itself", "give another name")
		}
	}
	return path, nil
}

func notCopied(ctx context.Context, name string, err error) error {
	var e CopyError
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if errors.As(err, &e) {
		return err
	}
	if errors.Is(err, os.ErrExist) {
		return CopyError{Path: name, Msg: "the file exists",
			Hint: "give another name, or --force to replace the file"}
	}
	return CopyError{Path: name, Msg: "was not written: " + reasonOf(err),
		Hint: "make room, or name a folder you may write to",
		Err:  err}
}

// reasonOf is the short plain reason of an error of the file system or of the database.
func reasonOf(err error) string {
	if why := systemReason(err); why != "" {
		return why
	}
	var open inventory.OpenError
	if errors.As((&Store{}).explain(err), &open) {
		return open.Msg
	}
	return oneLine(err)
}

// backUp leaves a checked copy beside the file before it is changed, under name or name-2, name-3
// ... when that is taken, and returns the path.
func (s *Store) backUp(ctx context.Context, name string) (string, error) {
	draft, err := s.draft(ctx, filepath.Dir(name))
	if err != nil {
		return "", s.noCopy(name, err)
	}
	defer draft.discard()
	sum, err := sumOf(draft.Name())
	if err != nil {
		return "", s.noCopy(name, err)
	}
	final, err := firstFree(draft.Name(), name)
	if err == nil {
		err = flushFolder(filepath.Dir(final))
	}
	if err == nil {
		err = writeSum(final, sum)
	}
	if err != nil {
		return "", s.noCopy(name, err)
	}
	return final, nil
}

func (s *Store) noCopy(name string, err error) error {
	return inventory.OpenError{Path: s.path,
		Msg:  fmt.Sprintf("cannot be copied to %q; nothing was changed", name),
		Hint: "make room beside the file, or move it to a folder you may write to", Err: err}
}

// draft writes a copy under a temporary name into the folder, checks it and brings it to the disk.
// A plain copy of a file in use could be torn (SQLite's howtocorrupt.html, section 1.2), VACUUM
// INTO copies one moment.
func (s *Store) draft(ctx context.Context, folder string) (_ *draftFile, err error) {
	f, err := newDraft(folder, draftCopy)
	if err != nil {
		return nil, err
	}
	defer func() {
		if err != nil {
			f.discard()
		}
	}()
	before, err := s.tallies(ctx)
	if err != nil {
		return nil, err
	}
	if _, err := s.db.ExecContext(ctx, "VACUUM INTO ?", f.Name()); err != nil {
		return nil, err
	}
	if err := flush(f.Name()); err != nil {
		return nil, err
	}
	return f, s.compare(ctx, f.Name(), before)
}

// tallies counts what is only ever added to: tables and indexes, lots, movements.
func (s *Store) tallies(ctx context.Context) (t [3]int64, err error) {
	for i, query := range []string{"SELECT count(*) FROM sqlite_schema", "SELECT count(*) FROM lot",
		"SELECT count(*) FROM movement"} {
		if err := s.db.GetContext(ctx, &t[i], query); err != nil {
			return t, err
		}
	}
	return t, nil
}

// compare checks the copy by itself and counts it against the original, which may have grown
// meanwhile.
func (s *Store) compare(ctx context.Context, copied string, before [3]int64) error {
	c := &Store{db: connect(copied, reading), path: copied, mode: ReadOnly}
	defer c.db.Close()
	if err := c.integrity(ctx); err != nil {
		return err
	}
	there, err := c.tallies(ctx)
	if err != nil {
		return err
	}
	after, err := s.tallies(ctx)
	if err != nil {
		return err
	}
	for i := range there {
		if there[i] < before[i] || there[i] > after[i] {
			return errors.New("the copy is not complete")
		}
	}
	return nil
}

// describe notes size, checksum and what Check says of the finished draft.
func (c *Copy) describe(ctx context.Context, draft string) (err error) {
	if c.Sum, err = sumOf(draft); err != nil {
		return err
	}
	info, err := os.Stat(draft)
	if err != nil {
		return err
	}
	c.Bytes = info.Size()
	s := &Store{db: connect(draft, reading), path: draft, mode: ReadOnly}
	defer s.db.Close()
	if c.Report, err = s.Check(ctx); err != nil {
		return err
	}
	c.Report.Path = c.Path
	c.movements, err = s.lastMovement(ctx)
	return err
}

func (s *Store) lastMovement(ctx context.Context) (n int64, err error) {
	return n, s.db.GetContext(ctx, &n, "SELECT coalesce(max(id), 0) FROM movement")
}
