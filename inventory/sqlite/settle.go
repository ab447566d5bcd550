package sqlite

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

// sumSuffix names the file beside a copy that holds its SHA-256, in the form "sum name" that
// sha256sum -c reads.
const sumSuffix = ".sha256"

// placeCopy gives a finished draft its name, which must be free, and writes the checksum.
func placeCopy(draft *draftFile, c Copy) error {
	if err := rename(draft.Name(), c.Path); err != nil {
		return err
	}
	if err := flushFolder(filepath.Dir(c.Path)); err != nil {
		return err
	}
	return writeSum(c.Path, c.Sum)
}

// replaceCopy puts a finished draft in the place of an older copy. The old checksum goes first: at
// no moment may a good copy lie beside a checksum of another.
func replaceCopy(draft *draftFile, c Copy) error {
	if err := os.Remove(c.Path + sumSuffix); err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	if err := flushFolder(filepath.Dir(c.Path)); err != nil {
		return err
	}
	if err := draft.rename(c.Path); err != nil {
		return err
	}
	if err := flushFolder(filepath.Dir(c.Path)); err != nil {
		return err
	}
	return writeSum(c.Path, c.Sum)
}

// firstFree gives the draft the name, or name-2, name-3 ... when that is taken, and returns it.
func firstFree(draft, name string) (string, error) {
	final := name
	for i := 2; ; i++ {
		err := rename(draft, final)
		if err == nil {
			return final, nil
		}
		if !errors.Is(err, os.ErrExist) {
			return "", err
		}
		final = fmt.Sprintf("%s-%d", name, i)
	}
}

// rename gives the draft its name unless that is taken. A second link fails when the name exists, a
// plain rename would overwrite; where the file system knows no links, looking first has to do.
func rename(draft, final string) error {
	err := os.Link(draft, final)
	if err == nil || errors.Is(err, os.ErrExist) {
		return err
	}
	if _, err := os.Lstat(final); !errors.Is(err, os.ErrNotExist) {
		return os.ErrExist
	}
	return os.Rename(draft, final)
}

// flushFolder asks the system to bring the names in a folder to the disk. Windows does not open
// folders; there names get to the disk in their own time.
func flushFolder(path string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	return flush(path)
}

// flush asks the system to bring a file to the disk.
func flush(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	return f.Sync()
}

// writeBeside writes a small file whole or not at all, in the place of an older one.
func writeBeside(path string, content []byte) error {
	f, err := newDraft(filepath.Dir(path), draftNote)
	if err != nil {
		return err
	}
	defer f.discard() // gone already when it has its name
	_, err = f.Write(content)
	if err == nil {
		err = f.Sync()
	}
	if err == nil {
		err = f.rename(path)
	}
	if err != nil {
		return err
	}
	return flushFolder(filepath.Dir(path))
}

func writeSum(path, sum string) error {
	return writeBeside(path+sumSuffix, []byte(sum+"  "+filepath.Base(path)+"\n"))
}

// readSum returns the checksum that lies beside a copy, empty when there is none.
func readSum(path string) (string, error) {
	raw, err := readSmall(path + sumSuffix)
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

// readSmall reads at most 64 KiB of a file; more than that is none of ours.
func readSmall(path string) ([]byte, error) {
	f, err := openPlain(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, 64<<10))
}

// sumOf is the SHA-256 of a file in hexadecimal.
func sumOf(path string) (string, error) {
	f, err := openPlain(path)
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
