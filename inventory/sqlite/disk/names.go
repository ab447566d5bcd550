package disk

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
)

// SumSuffix names the file beside a copy that holds its SHA-256, in the form "sum name" that
// sha256sum -c reads.
const SumSuffix = ".sha256"

// Place gives a finished draft its name, which must be free, and writes the checksum.
func (d *Draft) Place(name, sum string) error {
	if err := LinkOrRename(d.Name(), name); err != nil {
		return err
	}
	if err := FlushFolder(filepath.Dir(name)); err != nil {
		return err
	}
	return WriteSum(name, sum)
}

// Replace puts a finished draft in the place of an older copy. The old checksum goes first: at
// no moment may a good copy lie beside a checksum of another.
func (d *Draft) Replace(name, sum string) error {
	if err := os.Remove(name + SumSuffix); err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	if err := FlushFolder(filepath.Dir(name)); err != nil {
		return err
	}
	if err := d.Rename(name); err != nil {
		return err
	}
	if err := FlushFolder(filepath.Dir(name)); err != nil {
		return err
	}
	return WriteSum(name, sum)
}

// FirstFree gives the draft the name, or name-2, name-3 ... when that is taken, and returns it.
func FirstFree(draft, name string) (string, error) {
	final := name
	for i := 2; ; i++ {
		err := LinkOrRename(draft, final)
		if err == nil {
			return final, nil
		}
		if !errors.Is(err, os.ErrExist) {
			return "", err
		}
		final = fmt.Sprintf("%s-%d", name, i)
	}
}

// LinkOrRename gives the draft its name unless that is taken. A second link fails when the name
// exists, a plain rename would overwrite; where the file system knows no links, looking first has
// to do.
func LinkOrRename(draft, final string) error {
	err := os.Link(draft, final)
	if err == nil || errors.Is(err, os.ErrExist) {
		return err
	}
	if _, err := os.Lstat(final); !errors.Is(err, os.ErrNotExist) {
		return os.ErrExist
	}
	return os.Rename(draft, final)
}

// FlushFolder asks the system to bring the names in a folder to the disk. Windows does not open
// folders; there names get to the disk in their own time.
func FlushFolder(path string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	return Flush(path)
}

// Flush asks the system to bring a file to the disk.
func Flush(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	return f.Sync()
}

// WriteBeside writes a small file whole or not at all, in the place of an older one.
func WriteBeside(path string, content []byte) error {
	f, err := NewDraft(filepath.Dir(path), DraftNote)
	if err != nil {
		return err
	}
	defer f.Discard() // gone already when it has its name
	_, err = f.Write(content)
	if err == nil {
		err = f.Sync()
	}
	if err == nil {
		err = f.Rename(path)
	}
	if err != nil {
		return err
	}
	return FlushFolder(filepath.Dir(path))
}

// WriteSum writes the checksum of a copy beside it.
func WriteSum(path, sum string) error {
	return WriteBeside(path+SumSuffix, []byte(sum+"  "+filepath.Base(path)+"\n"))
}

// ReadSum returns the checksum that lies beside a copy, empty when there is none.
func ReadSum(path string) (string, error) {
	raw, err := ReadSmall(path + SumSuffix)
	if errors.Is(err, os.ErrNotExist) {
		return "", nil
	}
	if err != nil {
		return "", err
	}
	sum, _, _ := strings.Cut(strings.ToLower(strings.TrimSpace(string(raw))), " ")
	if b, err := hex.DecodeString(sum); err != nil || len(b) != sha256.Size {
		return "", errors.New("no checksum in it")
	}
	return sum, nil
}

// ReadSmall reads at most 64 KiB of a file; more than that is none of ours.
func ReadSmall(path string) ([]byte, error) {
	f, err := OpenPlain(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, 64<<10))
}

// SumOf is the SHA-256 of a file in hexadecimal.
func SumOf(path string) (string, error) {
	f, err := OpenPlain(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}
