package sqlite

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"time"
)

// noteSuffix names the file beside the drawer that says when and where its last backup was made.
const noteSuffix = ".last-backup"

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

// backupNote is the content of the note beside the drawer.
type backupNote struct {
	File      string    `json:"file"`
	When      time.Time `json:"when"`
	Sum       string    `json:"sha256"`
	Movements int64     `json:"movements"` // number of the last movement in the copy
}

func noteBackup(drawers string, c Copy, when time.Time) error {
	raw, err := json.Marshal(backupNote{c.Path, when.UTC().Truncate(time.Second),
		c.Sum, c.movements})
	if err != nil {
		return err
	}
	return writeBeside(drawers+noteSuffix, append(raw, '\n'))
}

// readNote returns the note beside the drawer; false when there is none that can be read.
func readNote(drawers string) (n backupNote, ok bool) {
	raw, err := readSmall(drawers + noteSuffix)
	if err != nil || json.Unmarshal(raw, &n) != nil {
		return backupNote{}, false
	}
	return n, n.File != ""
}

// lastBackup looks up the note and the backup it speaks of. A backup with other bytes than were
// written is a finding.
func (s *Store) lastBackup(ctx context.Context) *LastBackup {
	n, known := readNote(s.path)
	if !known {
		return nil
	}
	last := &LastBackup{File: n.File, When: n.When, State: BackupThere, Since: -1}
	sum, err := sumOf(n.File)
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
