package sqlite

import (
	"context"
	"os"
	"path/filepath"
	"runtime"
	"time"

	"sparewright/inventory"
	"sparewright/inventory/sqlite/disk"
	"sparewright/inventory/sqlite/drawerfile"
)

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
	if from, path, err = drawerfile.RestorePaths(from, path); err != nil {
		return Restored{}, err
	}
	made, err := disk.MakeFolders(filepath.Dir(path))
	defer func() {
		for _, folder := range made {
			if err != nil {
				os.Remove(folder) // a refused backup leaves nothing behind; one in use by now stays
			}
		}
	}()
	if err != nil {
		return Restored{}, drawerfile.CannotCreate(path, err)
	}
	return restoreInto(ctx, from, path, now)
}

func restoreInto(ctx context.Context, from, path string, now time.Time) (Restored, error) {
	disk.ClearDrafts(filepath.Dir(path))
	draft, err := disk.NewDraft(filepath.Dir(path), disk.DraftCopy)
	if err != nil {
		return Restored{}, drawerfile.CannotCreate(path, err)
	}
	defer draft.Discard() // gone already when it has its name
	if err := drawerfile.CopySource(ctx, from, draft.File); err != nil {
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
		r.Unmarked = drawerfile.Plainly(markRestored(ctx, draft.Name(), kept, now))
		return ctx.Err()
	}
	if runtime.GOOS == "windows" {
		draft.Close() // an open file gets no other name there
	}
	aside := path + ".before-restore-" + now.Format("20060102")
	if r.Kept, err = drawerfile.Exchange(ctx, draft.Name(), path, aside, mark); err != nil {
		return Restored{}, err
	}
	if info, err := os.Stat(from); err == nil {
		_ = noteBackup(path, made, info.ModTime()) // only a reminder
	}
	return r, nil
}

// verify holds the draft against the checksum beside the backup and looks through it as Open and
// Check do.
func verify(ctx context.Context, c *Copy, draft string) (summed bool, err error) {
	told, err := disk.ReadSum(c.Path)
	if err != nil {
		return false, inventory.OpenError{Path: c.Path + disk.SumSuffix,
			Msg:  "cannot be read as a checksum: " + drawerfile.Plainly(err),
			Hint: "remove it when you trust the backup without it", Err: err}
	}
	s := &Store{file: &drawerfile.File{DB: drawerfile.Connect(draft, drawerfile.Reading),
		Path: c.Path},
		mode: ReadOnly}
	defer s.file.DB.Close()
	sum, err := disk.SumOf(draft)
	if err != nil {
		return false, drawerfile.CannotRead(c.Path, err)
	}
	if told != "" && told != sum {
		return false, inventory.OpenError{Path: c.Path, Hint: drawerfile.HintOther,
			Msg: "does not agree with the checksum beside it: one of them was changed or damaged"}
	}
	if err := s.file.Integrity(ctx); err != nil {
		return false, s.file.SourceFault(err)
	}
	if err := c.describe(ctx, draft); err != nil {
		return false, s.file.SourceFault(err)
	}
	return told != "", nil
}
