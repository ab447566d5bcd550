// Package disk writes files that hold their old content or the whole new one at every moment,
// whatever is killed, full or pulled out: drafts under a temporary name, names given to them,
// checksums beside them. It knows nothing of what is in the files.
package disk

import (
	"errors"
	"os"
	"path/filepath"
)

// ErrNotPlain is the reason when a folder, a pipe, a device or a socket stands where a file should.
var ErrNotPlain = errors.New("is not a plain file")

// OpenPlain opens a file for reading. It looks before it opens, because to open a pipe that nobody
// writes to waits for ever.
func OpenPlain(path string) (*os.File, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, ErrNotPlain
	}
	return os.Open(path)
}

// Reason is the last link of an error of the file system, such as "permission denied"; empty for
// another error.
func Reason(err error) string {
	var pe *os.PathError
	if errors.As(err, &pe) {
		return pe.Err.Error()
	}
	return ""
}

// MakeFolders makes a folder and those above it, and returns the new ones, the innermost first.
func MakeFolders(folder string) (made []string, err error) {
	for at := folder; ; at = filepath.Dir(at) {
		if _, err := os.Stat(at); !errors.Is(err, os.ErrNotExist) {
			break
		}
		made = append(made, at)
	}
	return made, os.MkdirAll(folder, 0o700)
}
