//go:build unix

package sqlite

import (
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/inventory"
)

// placeVariable hands a path to a second run of the test program, which then acts as a user who may
// only read.
const placeVariable = "SPAREWRIGHT_TEST_PLACE"

func TestMain(m *testing.M) {
	if path := os.Getenv(placeVariable); path != "" {
		actInPlace(path)
		return
	}
	if name := os.Getenv(jobVariable); name != "" {
		os.Exit(doJob(name, os.Getenv(folderVariable)))
	}
	remove := inMemory()
	status := m.Run()
	remove()
	os.Exit(status)
}

// inMemory lets the folders of the short forms lie in memory, where the system has such a place, so
// that nothing waits for a disk. A process that is killed takes nothing along that it gave to the
// kernel, wherever that keeps it; what has to be brought to the disk, and in which order, is what
// TestEverySyncIsMade sees.
func inMemory() (remove func()) {
	if long() {
		return func() {}
	}
	dir, err := os.MkdirTemp("/dev/shm", "sparewright-test-")
	if err != nil {
		return func() {}
	}
	if os.Chmod(dir, 0o755) != nil || os.Setenv("TMPDIR", dir) != nil { // another user looks in
		os.RemoveAll(dir)
		return func() {}
	}
	return func() { os.RemoveAll(dir) }
}

// actInPlace prints one line for each thing tried.
func actInPlace(path string) {
	tell := func(what string, err error) { fmt.Printf("%s: %v\n", what, err) }
	s, err := Open(ctx, path, ReadOnly)
	tell("open", err)
	if err == nil {
		snapshot, err := s.Snapshot(ctx)
		tell(fmt.Sprintf("read %d", len(snapshot.Lots)), err)
		tell("close", s.Close())
	}
	w, err := Open(ctx, path, ReadWrite)
	if err == nil {
		_, err = w.Put(ctx, []inventory.Lot{lot(resistor(10), 1)}, "", noon)
	}
	tell("write", err)
	_, err = Create(ctx, filepath.Join(filepath.Dir(path), "new.db"))
	tell("create", err)
	_, err = Create(ctx, filepath.Join(filepath.Dir(path), "new", "new.db"))
	tell("create folder", err)
	_, err = Open(ctx, filepath.Join(filepath.Dir(path), "closed.db"), ReadOnly)
	tell("closed", err)
}

// asReader runs this program again as a user who is not root, for whom permissions count.
func asReader(t *testing.T, path string) string {
	t.Helper()
	program := filepath.Join(openFolder(t), "again")
	copyProgram(t, program)
	cmd := exec.Command(program)
	cmd.Env = append(os.Environ(), placeVariable+"="+path)
	cmd.Dir = "/"
	if os.Geteuid() == 0 {
		cmd.SysProcAttr = &syscall.SysProcAttr{
			Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
	}
	out, err := cmd.Output() // on standard error a coverage run complains that it may not write
	require.NoError(t, err, "%s", out)
	return string(out)
}

// openFolder is a folder of this test that other users may walk into.
func openFolder(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.Chmod(filepath.Dir(dir), 0o755))
	require.NoError(t, os.Chmod(dir, 0o755))
	return dir
}

// copyProgram is needed because the folder in which go test builds is closed to other users.
func copyProgram(t *testing.T, to string) {
	t.Helper()
	own, err := os.Executable()
	require.NoError(t, err)
	from, err := os.Open(own)
	require.NoError(t, err)
	defer from.Close()
	f, err := os.OpenFile(to, os.O_CREATE|os.O_WRONLY, 0o755)
	require.NoError(t, err)
	_, err = io.Copy(f, from)
	require.NoError(t, err)
	require.NoError(t, f.Close())
	require.NoError(t, os.Chmod(to, 0o755))
}

func TestReadOnlyPlace(t *testing.T) {
	dir := openFolder(t)
	s, err := Create(ctx, filepath.Join(dir, "drawers.db"))
	require.NoError(t, err)
	put(t, s, lot(resistor(10), 5))
	require.NoError(t, s.Close())
	require.NoError(t, os.WriteFile(filepath.Join(dir, "closed.db"), []byte("secret"), 0o600))
	require.NoError(t, os.Chmod(filepath.Join(dir, "closed.db"), 0))
	require.NoError(t, os.Chmod(s.file.Path, 0o444))
	require.NoError(t, os.Chmod(dir, 0o555))
	t.Cleanup(func() { os.Chmod(dir, 0o755) })
	before := printOf(t, s.file.Path)
	said := asReader(t, s.file.Path)
	require.Equal(t, before, printOf(t, s.file.Path))

	where := func(name string) string {
		return fmt.Sprintf("drawer file %q: ",
			filepath.Join(dir, name))
	}
	require.Equal(t, "open: <nil>\nread 1: <nil>\nclose: <nil>\n"+
		"write: "+where("drawers.db")+"is write-protected; nothing was changed\n"+
		"create: "+where("new.db")+"cannot be created: permission denied\n"+
		"create folder: "+where("new/new.db")+"cannot be created: permission denied\n"+
		"closed: "+where("closed.db")+"may not be read by this user\n", said)
}
