package sqlite

import (
	"context"
	"errors"
	"fmt"
	"os"
	"time"

	"sparewright/inventory/sqlite/disk"
	"sparewright/inventory/sqlite/drawerfile"
)

// LastBackup is what is known of the last backup of a drawer.
type LastBackup struct {
	File  string
	When  time.Time
	State string // BackupThere, BackupGone or BackupChanged
	Since int64  // movements since then, -1 when that cannot be told
}

// What may have become of a backup.
const (
	BackupThere   = "there"
	BackupGone    = "gone"    // moved, deleted, or on a disk that is not attached
	BackupChanged = "changed" // not the bytes that were written
)

// noteBackup notes beside the drawer that c was made of it.
func noteBackup(drawers string, c Copy, when time.Time) error {
	return drawerfile.Note{File: c.Path, When: when, Sum: c.Sum,
		Movements: c.movements}.Write(drawers)
}

// lastBackup looks up the note and the backup it speaks of. A backup with other bytes than were
// written is a finding.
func (s *Store) lastBackup(ctx context.Context) *LastBackup {
	n, known := drawerfile.ReadNote(s.file.Path)
	if !known {
		return nil
	}
	last := &LastBackup{File: n.File, When: n.When, State: BackupThere, Since: -1}
	sum, err := disk.SumOf(n.File)
	switch {
	case errors.Is(err, os.ErrNotExist):
		last.State = BackupGone
	case err != nil || sum != n.Sum:
		last.State = BackupChanged
	}
	if now, err := s.lastMovement(ctx); err == nil && now >= n.Movements {
		last.Since = now - n.Movements
	}
	return last
}

func (l *LastBackup) problem() string {
	if l == nil || l.State != BackupChanged {
		return ""
	}
	return fmt.Sprintf("the last backup %q was changed or damaged after it was written", l.File)
}
