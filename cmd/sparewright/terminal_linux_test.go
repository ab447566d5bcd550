package main

import (
	"database/sql"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"unsafe"

	"github.com/stretchr/testify/require"

	"sparewright/cmd/sparewright/internal/ui"
)

// openTerminal makes a pseudo-terminal of the given width: the side of the person and the side of
// the program.
func openTerminal(t *testing.T, columns int) (master, slave *os.File) {
	t.Helper()
	master, err := os.OpenFile("/dev/ptmx", os.O_RDWR|syscall.O_NOCTTY, 0)
	require.NoError(t, err)
	var number, unlock int32
	onDescriptor(t, master, syscall.TIOCSPTLCK, unsafe.Pointer(&unlock))
	onDescriptor(t, master, syscall.TIOCGPTN, unsafe.Pointer(&number))
	size := [4]uint16{24, uint16(columns)}
	onDescriptor(t, master, syscall.TIOCSWINSZ, unsafe.Pointer(&size))
	slave, err = os.OpenFile(fmt.Sprintf("/dev/pts/%d", number), os.O_RDWR|syscall.O_NOCTTY, 0)
	require.NoError(t, err)
	return master, slave
}

// onTerminal runs the program on a pseudo-terminal of the given width and returns what a person
// would see.
func onTerminal(t *testing.T, columns int, vars []string, words ...string) string {
	t.Helper()
	master, slave := openTerminal(t, columns)
	defer master.Close()
	cmd := exec.Command("sparewright", words...)
	cmd.Stdout = slave
	cmd.Env = append(append(os.Environ(), "COLUMNS=", "NO_COLOR=", "CLICOLOR_FORCE=", "TERM=xterm"),
		vars...)
	require.NoError(t, cmd.Start())
	require.NoError(t, slave.Close())
	seen, _ := io.ReadAll(master) // ends with an error when the last user of the terminal is gone
	_ = cmd.Wait()                // status 1 is an answer too
	require.Contains(t, []int{statusDone, statusNothing}, cmd.ProcessState.ExitCode())
	return strings.ReplaceAll(string(seen), "\r\n", "\n")
}

func onDescriptor(t *testing.T, f *os.File, request uintptr, argument unsafe.Pointer) {
	t.Helper()
	_, _, errno := syscall.Syscall(syscall.SYS_IOCTL, f.Fd(), request, uintptr(argument))
	require.Zero(t, errno)
}

func TestTableOnTerminal(t *testing.T) {
	wide := onTerminal(t, 200, nil, "list", "resistor", "--demo")
	require.True(t, strings.HasPrefix(wide, "\x1b[1mLOT"), "the heading is bold")
	for _, width := range []int{80, 72} {
		narrow := onTerminal(t, width, []string{"NO_COLOR=1"}, "list", "resistor", "--demo")
		require.NotContains(t, narrow, "\x1b")
		lines := strings.Split(strings.TrimSuffix(narrow, "\n"), "\n")
		require.Len(t, lines, strings.Count(wide, "\n"))
		for _, line := range lines {
			require.LessOrEqual(t, ui.Cells(line), width, line)
		}
	}
}

func TestColourOnTerminal(t *testing.T) {
	for _, row := range []struct {
		name   string
		vars   []string
		words  []string
		colour bool
	}{
		{"plain", nil, nil, true},
		{"NO_COLOR", []string{"NO_COLOR=1"}, nil, false},
		{"dumb", []string{"TERM=dumb"}, nil, false},
		{"never", nil, []string{"--color", "never"}, false},
		{"always over NO_COLOR", []string{"NO_COLOR=1"}, []string{"--color", "always"}, true},
	} {
		t.Run(row.name, func(t *testing.T) {
			seen := onTerminal(t, 80, row.vars,
				append([]string{"list", "fuse", "--demo"}, row.words...)...)
			require.Equal(t, row.colour, strings.Contains(seen, "\x1b["))
		})
	}
}

// COLUMNS wins over what the terminal reports.
func TestColumnsVariable(t *testing.T) {
	want := onTerminal(t, 70, nil, "list", "core", "--demo")
	require.Equal(t, want, onTerminal(t, 150, []string{"COLUMNS=70"}, "list", "core", "--demo"))
}

func TestShowOnTerminal(t *testing.T) {
	seen := onTerminal(t, 80, []string{"NO_COLOR=1"}, "show", "1", "--demo")
	require.Regexp(t, `^lot 1: core ".*"\n\nLOT +VALUE\n`, seen)
	require.Contains(t, seen, "\n\nFIGURE ")
}

// A defect told in a long sentence is broken on a terminal and one line in a pipe.
func TestDefectsOnTerminal(t *testing.T) {
	drawers := filepath.Join(t.TempDir(), "d.db")
	require.Zero(t, runWords("put", "resistor", "a resistor with a rather long name",
		"resistance=10k", "--drawers", drawers).status)
	db, err := sql.Open("sqlite3", drawers)
	require.NoError(t, err)
	_, err = db.Exec("UPDATE figure SET value = 1e11")
	require.NoError(t, err)
	require.NoError(t, db.Close())
	piped := runWords("check", "--drawers", drawers)
	require.Equal(t, statusNothing, piped.status)
	require.Regexp(t, "\n1 defect found:\n  is damaged: part 1, .{60,}\n$", piped.stdout)
	seen := onTerminal(t, 80, nil, "check", "--drawers", drawers)
	for _, line := range strings.Split(seen, "\n")[1:] { // the first names the file
		require.LessOrEqual(t, ui.Cells(line), 80, line)
	}
	require.Equal(t, strings.Fields(piped.stdout), strings.Fields(seen))
}
