package drawerfile

import (
	"encoding/json"
	"time"

	"sparewright/inventory/sqlite/disk"
)

// NoteSuffix names the file beside the drawer that says when and where its last backup was made.
const NoteSuffix = ".last-backup"

// Note is the content of the note beside the drawer.
type Note struct {
	File      string    `json:"file"`
	When      time.Time `json:"when"`
	Sum       string    `json:"sha256"`
	Movements int64     `json:"movements"` // number of the last movement in the copy
}

// Write puts the note beside the drawer file, in place of an older one.
func (n Note) Write(drawers string) error {
	n.When = n.When.UTC().Truncate(time.Second)
	raw, err := json.Marshal(n)
	if err != nil {
		return err
	}
	return disk.WriteBeside(drawers+NoteSuffix, append(raw, '\n'))
}

// ReadNote returns the note beside the drawer; false when there is none that can be read.
func ReadNote(drawers string) (n Note, ok bool) {
	raw, err := disk.ReadSmall(drawers + NoteSuffix)
	if err != nil || json.Unmarshal(raw, &n) != nil {
		return Note{}, false
	}
	return n, n.File != ""
}
