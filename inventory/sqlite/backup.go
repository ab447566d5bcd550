package sqlite

import (
	"context"
	"os"
	"path/filepath"
	"time"

	"sparewright/inventory/sqlite/disk"
	"sparewright/inventory/sqlite/drawerfile"
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

// Backup writes a checked copy of the whole file to name, which must be free unless force is set,
// and its SHA-256 beside it in name.sha256. The name holds the old content or the whole copy at
// every moment; other processes may write meanwhile, the copy then holds what was there at one
// moment. When it was made is noted beside the drawer for Check.
func (s *Store) Backup(ctx context.Context, name string, force bool, now time.Time) (Copy, error) {
	name, err := s.file.BackupName(name, force)
	if err != nil {
		return Copy{}, err
	}
	source := &Store{file: drawerfile.At(s.file.Path, drawerfile.Copying), mode: ReadOnly}
	defer source.file.DB.Close()
	// a copy of a damaged file must not take the place of a good one
	if err := source.file.Integrity(ctx); err != nil {
		return Copy{}, s.file.Explain(err)
	}
	disk.ClearDrafts(filepath.Dir(name))
	draft, err := source.file.Draft(ctx, filepath.Dir(name))
	if err != nil {
		return Copy{}, drawerfile.NotCopied(ctx, name, err)
	}
	defer draft.Discard() // gone already when the copy succeeded
	made := Copy{Path: name}
	if err := made.describe(ctx, draft.Name()); err != nil {
		return Copy{}, drawerfile.NotCopied(ctx, name, err)
	}
	if force {
		err = draft.Replace(name, made.Sum)
	} else {
		err = draft.Place(name, made.Sum)
	}
	if err != nil {
		return Copy{}, drawerfile.NotCopied(ctx, name, err)
	}
	if err := noteBackup(s.file.Path, made, now); err != nil {
		made.Unnoted = drawerfile.Plainly(err)
	}
	return made, nil
}

// describe notes size, checksum and what Check says of the finished draft.
func (c *Copy) describe(ctx context.Context, draft string) (err error) {
	if c.Sum, err = disk.SumOf(draft); err != nil {
		return err
	}
	info, err := os.Stat(draft)
	if err != nil {
		return err
	}
	c.Bytes = info.Size()
	s := &Store{file: drawerfile.At(draft, drawerfile.Reading), mode: ReadOnly}
	defer s.file.DB.Close()
	if c.Report, err = s.Check(ctx); err != nil {
		return err
	}
	c.Report.Path = c.Path
	c.movements, err = s.lastMovement(ctx)
	return err
}

func (s *Store) lastMovement(ctx context.Context) (n int64, err error) {
	return n, s.file.DB.GetContext(ctx, &n, "SELECT coalesce(max(id), 0) FROM movement")
}
