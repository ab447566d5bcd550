package main

import (
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"unsafe"

	"github.com/stretchr/testify/require"
)

// At the keyboard the session greets, counts the lots entered before every line, and ends by a word
// or by the end of the input; a line that was not understood is said and harms nothing.
func TestBenchAtTheKeyboard(t *testing.T) {
	drawers := filepath.Join(t.TempDir(), "d.db")
	seen := typedAtBench(t, drawers, "r 4k7 x3\nnonsense\nUF4007 x4\nundo\nhelp\nQuit\nr 1k\n")
	require.Regexp(t, `^One lot a line`, seen)
	require.Contains(t, seen, "help lists the forms, undo takes a line back, exit ends.\n")
	for _, want := range []string{"\n0 lots> ", "\n1 lot> ", "\n2 lots> ", "undo; undo 3; exit",
		`line 2: first word "nonsense"`} {
		require.Contains(t, seen, want)
	}
	require.Regexp(t, `1 lot> 1 lot entered\.\n$`, seen, "nothing is read behind quit")
	require.Regexp(t, `0 lots> \n0 lots entered\.\n$`, typedAtBench(t, drawers, "\x04"))
	list := runWords("list", "--drawers", drawers)
	require.Equal(t, "1\tresistor\t4k7\t3\t3\t\tuntested\t\t\n", list.stdout)
}

// typedAtBench runs bench on a pseudo-terminal that does not echo and returns what is seen.
func typedAtBench(t *testing.T, drawers, text string) string {
	t.Helper()
	master, slave := openTerminal(t, 80)
	defer master.Close()
	silence(t, slave)
	cmd := exec.Command("sparewright", "bench", "--drawers", drawers)
	cmd.Stdin, cmd.Stdout, cmd.Stderr = slave, slave, slave
	cmd.Env = append(os.Environ(), "COLUMNS=", "NO_COLOR=1", "TERM=xterm")
	require.NoError(t, cmd.Start())
	require.NoError(t, slave.Close())
	_, err := io.WriteString(master, text)
	require.NoError(t, err)
	seen, _ := io.ReadAll(master)
	require.NoError(t, cmd.Wait(), "%s", seen)
	out := strings.ReplaceAll(string(seen), "\r\n", "\n")
	if at := strings.Index(out, "created the drawer file"); at >= 0 {
		_, after, _ := strings.Cut(out[at:], "\n")
		out = out[:at] + after
	}
	return out
}

// silence takes the echo of a terminal away.
func silence(t *testing.T, f *os.File) {
	t.Helper()
	var s syscall.Termios
	onDescriptor(t, f, syscall.TCGETS, unsafe.Pointer(&s))
	s.Lflag &^= syscall.ECHO
	onDescriptor(t, f, syscall.TCSETS, unsafe.Pointer(&s))
}
