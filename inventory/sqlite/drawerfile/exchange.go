package drawerfile

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"runtime"

	"sparewright/inventory/sqlite/disk"
)

// Exchange keeps the old file under the name aside, or the first free one after it, and gives
// the other file its place, under the lock of a writer. Between the two mark may write into the
// file to come, given the base name of the old one then; it is empty when there was none.
func Exchange(ctx context.Context, other, path, aside string,
	mark func(string) error) (kept string, err error) {
	if _, err := os.Lstat(path); errors.Is(err, os.ErrNotExist) {
		if err := putJournalAway(path, aside); err != nil {
			return "", CannotCreate(path, err)
		}
		if err := mark(""); err != nil {
			return "", err
		}
		if err := disk.LinkOrRename(other, path); err != nil {
			return "", CannotCreate(path, err)
		}
		return "", settled(path)
	}
	release, err := holdOff(ctx, path)
	if err != nil {
		return "", err
	}
	defer release()
	if kept, err = disk.FirstFree(path, aside); err != nil {
		return "", CannotCreate(path, err)
	}
	if err := errors.Join(putJournalAway(path, kept),
		disk.FlushFolder(filepath.Dir(path))); err != nil {
		return "", CannotCreate(path, err)
	}
	if err := mark(filepath.Base(kept)); err != nil {
		// a second name of the file, which has its first one still
		return "", errors.Join(err, os.Remove(kept))
	}
	if runtime.GOOS == "windows" {
		release() // an open file cannot be replaced there
	}
	if err := os.Rename(other, path); err != nil {
		return "", CannotCreate(path, err)
	}
	return kept, settled(path)
}

// putJournalAway moves a journal away that outlived its drawer file, because that is gone or cannot
// be rolled back. SQLite would play it into whatever lies under the drawer's name next, and ruin
// that.
func putJournalAway(path, aside string) error {
	journal := path + "-journal"
	if _, err := os.Lstat(journal); errors.Is(err, os.ErrNotExist) {
		return disk.FlushFolder(filepath.Dir(path))
	}
	if _, err := disk.FirstFree(journal, aside+"-journal"); err != nil {
		return err
	}
	if err := os.Remove(journal); err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	return disk.FlushFolder(filepath.Dir(path))
}

func settled(path string) error {
	if err := disk.FlushFolder(filepath.Dir(path)); err != nil {
		return CannotCreate(path, err)
	}
	return nil
}

// holdOff takes the exclusive lock of the file, so that nobody is in the middle of reading or
// writing it, and undoes an unfinished change. A program that keeps the file open finds at its next
// change that the file has moved, and is refused. Nobody can be writing to a file that is damaged
// beyond opening.
func holdOff(ctx context.Context, path string) (release func(), err error) {
	f := At(path, Writing)
	release = func() { f.DB.Close() } // ends the transaction too
	_, err = f.DB.ExecContext(ctx, "BEGIN EXCLUSIVE")
	if _, damaged := Damage(err); err != nil && !damaged {
		release()
		return nil, f.Explain(err)
	}
	return release, nil
}
