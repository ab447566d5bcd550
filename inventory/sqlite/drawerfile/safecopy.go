package drawerfile

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"

	"sparewright/inventory"
	"sparewright/inventory/sqlite/disk"
)

// SafeCopy leaves a checked copy beside the file before it is changed, under name or name-2, name-3
// ... when that is taken, and returns the path.
func (f *File) SafeCopy(ctx context.Context, name string) (string, error) {
	draft, err := f.Draft(ctx, filepath.Dir(name))
	if err != nil {
		return "", f.noCopy(name, err)
	}
	defer draft.Discard()
	sum, err := disk.SumOf(draft.Name())
	if err != nil {
		return "", f.noCopy(name, err)
	}
	final, err := disk.FirstFree(draft.Name(), name)
	if err == nil {
		err = disk.FlushFolder(filepath.Dir(final))
	}
	if err == nil {
		err = disk.WriteSum(final, sum)
	}
	if err != nil {
		return "", f.noCopy(name, err)
	}
	return final, nil
}

func (f *File) noCopy(name string, err error) error {
	return inventory.OpenError{Path: f.Path,
		Msg:  fmt.Sprintf("cannot be copied to %q; nothing was changed", name),
		Hint: "make room beside the file, or move it to a folder you may write to", Err: err}
}

// Draft writes a copy under a temporary name into the folder, checks it and brings it to the disk.
// A plain copy of a file in use could be torn (SQLite's howtocorrupt.html, section 1.2), VACUUM
// INTO copies one moment.
func (f *File) Draft(ctx context.Context, folder string) (_ *disk.Draft, err error) {
	d, err := disk.NewDraft(folder, disk.DraftCopy)
	if err != nil {
		return nil, err
	}
	defer func() {
		if err != nil {
			d.Discard()
		}
	}()
	before, err := f.tallies(ctx)
	if err != nil {
		return nil, err
	}
	if _, err := f.DB.ExecContext(ctx, "VACUUM INTO ?", d.Name()); err != nil {
		return nil, err
	}
	if err := disk.Flush(d.Name()); err != nil {
		return nil, err
	}
	return d, f.compare(ctx, d.Name(), before)
}

// tallies counts what is only ever added to: tables and indexes, lots, movements.
func (f *File) tallies(ctx context.Context) (t [3]int64, err error) {
	for i, query := range []string{"SELECT count(*) FROM sqlite_schema", "SELECT count(*) FROM lot",
		"SELECT count(*) FROM movement"} {
		if err := f.DB.GetContext(ctx, &t[i], query); err != nil {
			return t, err
		}
	}
	return t, nil
}

// compare checks the copy by itself and counts it against the original, which may have grown
// meanwhile.
func (f *File) compare(ctx context.Context, copied string, before [3]int64) error {
	c := At(copied, Reading)
	defer c.DB.Close()
	if err := c.Integrity(ctx); err != nil {
		return err
	}
	there, err := c.tallies(ctx)
	if err != nil {
		return err
	}
	after, err := f.tallies(ctx)
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
