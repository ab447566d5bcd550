package disk

import (
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strings"
)

// Drafts are what a backup, a restore or a note is before it has its name. Whoever writes one holds
// a lock on it, which ends with the process: what is not locked was left behind by a program that
// was killed.
const (
	DraftCopy = ".sparewright-copy-"
	DraftNote = ".sparewright-note-"
)

// Draft is a draft that is being written.
type Draft struct{ *os.File }

// NewDraft makes an empty draft in the folder and locks it. Between the two another program may
// have taken it for one left behind and cleared it away; then there is another name.
func NewDraft(folder, prefix string) (*Draft, error) {
	for {
		name := filepath.Join(folder, fmt.Sprintf("%s%010d", prefix, rand.Uint32()))
		f, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o600)
		if os.IsExist(err) {
			continue
		}
		if err != nil {
			return nil, err
		}
		lockDraft(f)
		if ours(f) {
			return &Draft{f}, nil
		}
		f.Close()
	}
}

// ours reports whether the name of an open file still stands for it.
func ours(f *os.File) bool {
	open, err := f.Stat()
	if err != nil {
		return false
	}
	named, err := os.Lstat(f.Name())
	return err == nil && os.SameFile(open, named)
}

// Rename gives the draft its name in the place of an older file. Windows does not rename what is
// open.
func (d *Draft) Rename(name string) error {
	if runtime.GOOS == "windows" {
		d.Close()
	}
	return os.Rename(d.Name(), name)
}

// Discard closes the draft and removes its first name.
func (d *Draft) Discard() {
	if runtime.GOOS == "windows" {
		d.Close()
	}
	if ours(d.File) || runtime.GOOS == "windows" {
		os.Remove(d.Name())
	}
	d.Close()
}

// ClearDrafts removes the drafts that killed programs left behind in a folder. Whatever hinders it
// is no fault: the next one tries again. A file that only has such a name stays: a draft is empty,
// or begins as a database, a note or a checksum does.
func ClearDrafts(folder string) {
	names, err := os.ReadDir(folder)
	if err != nil {
		return
	}
	for _, n := range names {
		if strings.HasPrefix(n.Name(), ".sparewright-") && isDraftName(n.Name()) &&
			n.Type().IsRegular() {
			clearDraft(filepath.Join(folder, n.Name()))
		}
	}
}

// isDraftName knows the names that NewDraft gives; earlier versions gave up to ten digits without
// leading noughts.
func isDraftName(name string) bool {
	for _, prefix := range []string{DraftCopy, DraftNote} {
		if digits, ok := strings.CutPrefix(name, prefix); ok && len(digits) <= 10 && digits != "" &&
			strings.Trim(digits, "0123456789") == "" {
			return true
		}
	}
	return false
}

func clearDraft(path string) {
	f, err := OpenPlain(path)
	if err != nil {
		return
	}
	defer f.Close()
	if !lockDraft(f) || !ours(f) || !looksLikeDraft(f) {
		return
	}
	os.Remove(path)
	os.Remove(path + "-journal")
}

// looksLikeDraft looks at the first bytes.
func looksLikeDraft(f *os.File) bool {
	head := make([]byte, 16)
	n, err := io.ReadFull(f, head)
	head = head[:n]
	switch {
	case err == io.EOF:
		return true
	case strings.HasPrefix(filepath.Base(f.Name()), DraftNote):
		return bytes.HasPrefix(head, []byte("{\"file\":")) ||
			len(bytes.Trim(head, "0123456789abcdef")) == 0
	}
	return string(head) == "SQLite format 3\x00" || bytes.Equal(head, make([]byte, n))
}
