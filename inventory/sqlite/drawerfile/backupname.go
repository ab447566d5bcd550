package drawerfile

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"sparewright/inventory"
	"sparewright/inventory/sqlite/disk"
)

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

// BackupName refuses names that would overwrite something, first of all the drawer itself or what
// SQLite keeps beside it.
func (f *File) BackupName(name string, force bool) (string, error) {
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
	own, err := os.Stat(f.Path)
	if err != nil {
		return "", CannotRead(f.Path, err)
	}
	for _, file := range []string{path, path + disk.SumSuffix} {
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
	if HasJournal(path) {
		return refuse("has the journal of another drawer file beside it", "give another name")
	}
	for _, suffix := range []string{"-journal", "-wal", "-shm", NoteSuffix} {
		if path == f.Path+suffix {
			return refuse("is a name the drawer file needs for itself", "give another name")
		}
	}
	return path, nil
}

// NotCopied says why no copy was written under the name.
func NotCopied(ctx context.Context, name string, err error) error {
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
	return CopyError{Path: name, Msg: "was not written: " + Plainly(err),
		Hint: "make room, or name a folder you may write to",
		Err:  err}
}

// Plainly is the short plain reason of an error of the file system or of the database, empty for
// none.
func Plainly(err error) string {
	if err == nil {
		return ""
	}
	if why := disk.Reason(err); why != "" {
		return why
	}
	var open inventory.OpenError
	if errors.As((&File{}).Explain(err), &open) {
		return open.Msg
	}
	return OneLine(err)
}
