package main

import (
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"
	"unsafe"

	"github.com/stretchr/testify/require"

	"sparewright/cmd/sparewright/internal/ui"
)

// onTerminal runs the program on a pseudo-terminal of the given width and returns what a person would see.
func onTerminal(t *testing.T, columns int, vars []string, words ...string) string {
	t.Helper()
	master, err := os.OpenFile("/dev/ptmx", os.O_RDWR|syscall.O_NOCTTY, 0)
	require.NoError(t, err)
	defer master.Close()
	var number, unlock int32
	control(t, master, syscall.TIOCSPTLCK, unsafe.Pointer(&unlock))
	control(t, master, syscall.TIOCGPTN, unsafe.Pointer(&number))
	size := [4]uint16{24, uint16(columns)}
	control(t, master, syscall.TIOCSWINSZ, unsafe.Pointer(&size))
	slave, err := os.OpenFile(fmt.Sprintf("/dev/pts/%d", number), os.O_RDWR|syscall.O_NOCTTY, 0)
	require.NoError(t, err)
	cmd := exec.Command("sparewright", words...)
	cmd.Stdout = slave
	cmd.Env = append(append(os.Environ(), "COLUMNS=", "NO_COLOR=", "CLICOLOR_FORCE=", "TERM=xterm"), vars...)
	require.NoError(t, cmd.Start())
	require.NoError(t, slave.Close())
	seen, _ := io.ReadAll(master) // ends with an error when the last user of the terminal is gone
	require.NoError(t, cmd.Wait())
	return strings.ReplaceAll(string(seen), "\r\n", "\n")
}

func control(t *testing.T, f *os.File, request uintptr, argument unsafe.Pointer) {
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
			seen := onTerminal(t, 80, row.vars, append([]string{"list", "fuse", "--demo"}, row.words...)...)
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
