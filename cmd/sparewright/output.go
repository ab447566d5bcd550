package main

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
)

// writeWhole writes an output file so that after a failure or a crash the name holds the old
// content or the new one, never half. Without force an existing file is left alone. Devices and
// pipes are written to as they are. Every failure has exit status 5. The commands that write files
// share it.
func writeWhole(name string, content []byte, force bool) error {
	info, err := os.Stat(name)
	switch {
	case err == nil && info.IsDir():
		return notWritten("output", name, errors.New("is a directory"))
	case err == nil && !info.Mode().IsRegular():
		return writeThrough(name, content)
	case err == nil && !force:
		return notWritten("output", name,
			errExists).try("give another name, or --force to replace the file")
	}
	if err == nil && isDrawerFile(name) {
		return notWritten("output", name, errDrawer).try("give another name")
	}
	target := name
	if real, err := filepath.EvalSymlinks(name); err == nil {
		target = real // the file is replaced, not the link to it
	}
	if err := replaceFile(target, content, force); err != nil {
		return notWritten("output", name, err)
	}
	return nil
}

// writeWhole is writeWhole that an interrupt lets come to its end.
func (env *environment) writeWhole(name string, content []byte, force bool) error {
	defer env.holdOn()()
	return writeWhole(name, content, force)
}

// openPlain opens a file of data for reading. It looks before it opens, because to open a pipe that
// nobody writes to waits for ever; what comes through a pipe is read from standard input.
func openPlain(name string) (*os.File, error) {
	info, err := os.Stat(name)
	if err == nil && !info.Mode().IsRegular() {
		return nil, errNotPlain
	}
	if err != nil {
		return nil, err
	}
	return os.Open(name)
}

// errNotPlain is the reason when a folder, a pipe, a device or a socket stands where a file should.
var errNotPlain = errors.New("is not a plain file")

// isDrawerFile reports a file that begins as SQLite files do, so that no slip of -o with --force
// costs a drawer, be it the one of this call, another, or a backup. Source:
// sqlite.org/fileformat2.html, section 1.3.
func isDrawerFile(name string) bool {
	f, err := os.Open(name)
	if err != nil {
		return false
	}
	defer f.Close()
	const magic = "SQLite format 3\x00"
	head := make([]byte, len(magic))
	_, err = io.ReadFull(f, head)
	return err == nil && string(head) == magic
}

// writeThrough writes to something that is no file.
func writeThrough(name string, content []byte) error {
	f, err := os.OpenFile(name, os.O_WRONLY, 0)
	if err == nil {
		_, err = f.Write(content)
		err = errors.Join(err, f.Close())
	}
	if err != nil {
		return notWritten("output", name, err)
	}
	return nil
}

// replaceFile writes a temporary file beside the target and gives it the name at last.
func replaceFile(target string, content []byte, force bool) error {
	temp, err := os.CreateTemp(filepath.Dir(target), ".sparewright-*")
	if err != nil {
		return err
	}
	defer os.Remove(temp.Name())
	_, err = temp.Write(content)
	if err == nil {
		err = temp.Sync()
	}
	if closeErr := temp.Close(); err == nil {
		err = closeErr
	}
	if err == nil {
		err = os.Chmod(temp.Name(), 0o644)
	}
	if err != nil {
		return err
	}
	if err := place(temp.Name(), target, force); err != nil {
		return err
	}
	return syncFolder(filepath.Dir(target))
}

// syncFolder brings the new name to the disk. Windows does not open folders; there a name gets to
// the disk in its own time.
func syncFolder(name string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	folder, err := os.Open(name)
	if err != nil {
		return err
	}
	defer folder.Close()
	return folder.Sync()
}

// errDrawer is the reason when a drawer file is there, even with --force.
var errDrawer = errors.New("is a drawer file, which no page or list replaces")

// errExists is the reason when a file is there already.
var errExists = errors.New("the file exists")

// place gives the finished file its name. A link never replaces another file, so a file made in the
// meantime is not lost; where links are not to be had the name is checked once more.
func place(temp, name string, force bool) error {
	if force {
		return os.Rename(temp, name)
	}
	err := os.Link(temp, name)
	switch {
	case err == nil:
		return nil
	case errors.Is(err, fs.ErrExist):
		return errExists
	}
	if _, err := os.Lstat(name); err == nil {
		return errExists
	}
	return os.Rename(temp, name)
}
