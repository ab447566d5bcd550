package main

import (
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/cmd/sparewright/internal/frame"
)

// An answer that cannot be written never hides a change: the error says that it stands, whichever
// command made it, and what changed nothing says nothing of the kind.
func TestUnwrittenAnswerTellsOfTheChange(t *testing.T) {
	everyTrial(t, func(t *testing.T, name string, tr trial) {
		trialFolder(t, tr)
		before, err := os.ReadFile("drawers.db")
		require.NoError(t, err)
		full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
		require.NoError(t, err)
		defer full.Close()
		var errs strings.Builder
		cmd := exec.Command("sparewright", tr.toScreen(name)...)
		cmd.Stdin, cmd.Stdout, cmd.Stderr = strings.NewReader(tr.stdin), full, &errs
		_ = cmd.Run()
		require.Equal(t, frame.StatusOutput, cmd.ProcessState.ExitCode(), errs.String())
		after, err := os.ReadFile("drawers.db")
		require.NoError(t, err)
		_, copied := os.Stat("copy.db")
		if string(before) != string(after) || copied == nil {
			require.Contains(t, errs.String(), "was made and stands")
		} else {
			require.NotContains(t, errs.String(), "stands")
		}
	})
}

// A pipe, a device, a folder or a socket is refused at once, with one line, wherever a drawer, a
// backup or a list is asked for.
func TestWhatIsNoFileIsRefused(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	require.Zero(t, runWords("put", "fuse", "T1A", "current=1A", "--drawers", "d.db").status)
	require.Zero(t, runWords("backup", "b.db", "--drawers", "d.db").status)
	require.NoError(t, syscall.Mkfifo("pipe", 0o600))
	require.NoError(t, os.Mkdir("folder", 0o700))
	socket, err := syscall.Socket(syscall.AF_UNIX, syscall.SOCK_STREAM, 0)
	require.NoError(t, err)
	defer syscall.Close(socket)
	require.NoError(t, syscall.Bind(socket, &syscall.SockaddrUnix{Name: "socket"}))
	for _, odd := range []string{"pipe", "folder", "socket", "/dev/zero", "/dev/null"} {
		for _, words := range [][]string{
			{"list", "--drawers", odd}, {"put", "fuse", "T1A", "current=1A", "--drawers", odd},
			{"check", "--drawers", odd}, {"undo", "--drawers", odd},
			{"import", odd, "--drawers", "d.db"}, {"backup", odd, "--drawers", "d.db"},
			{"backup", odd, "--force", "--drawers", "d.db"}, {"restore", odd, "--drawers", "d.db"},
			{"restore", "b.db", "--drawers", odd}, {"backup", "c.db", "--drawers", odd},
		} {
			got := runWords(words...)
			require.NotContains(t, []int{frame.StatusDone, frame.StatusInternal}, got.status, "%v",
				words)
			require.Contains(t, got.stderr, "is not a plain file", "%v", words)
			require.Equal(t, 1, strings.Count(got.stderr, "sparewright: "), "%v\n%s",
				words, got.stderr)
		}
	}
	for _, beside := range []string{"d.db-journal", "d.db.last-backup", "b.db.sha256"} {
		os.Remove(beside)
		require.NoError(t, syscall.Mkfifo(beside, 0o600))
	}
	require.NotContains(t, []int{frame.StatusInternal},
		runWords("check", "--drawers", "d.db").status)
	require.NotZero(t, runWords("restore", "b.db", "--drawers", "e.db").status)
}

// A first command that fails leaves no drawer file behind, and rows that only together are too many
// are named.
func TestFailedFirstCommandLeavesNothing(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	list :=
		"kind,designation,count,figures\nresistor,1k,600000,resistance=1k\n" +
			"fuse,T1A,1,current=1A\nresistor,1k,400001,resistance=1k\n"
	require.NoError(t, os.WriteFile("big.csv", []byte(list), 0o600))
	for _, words := range [][]string{
		{"import", "big.csv", "--drawers", "new/d.db"},
		{"import", "big.csv", "--dry-run", "--drawers", "new/d.db"},
		{"import", "big.csv", "--replace", "--drawers", "new/d.db"},
	} {
		got := runWords(words...)
		require.Equal(t, frame.StatusData, got.status)
		require.Regexp(t, `^sparewright: big\.csv:4: resistor "1k": 1000001 .*\n$`, got.stderr)
		require.NoDirExists(t, "new")
	}
	require.NotZero(t, runWords("donor", "brick", "--rename", "other", "--drawers",
		"new/d.db").status)
	require.NoDirExists(t, "new")
	require.Zero(t, runWords("put", "resistor", "1k", "resistance=1k", "--count", "999999",
		"--drawers", "d.db").status)
	require.NoError(t, os.WriteFile("two.csv",
		[]byte("kind,designation,count,figures\nresistor,1k,2,resistance=1k\n"), 0o600))
	got := runWords("import", "two.csv", "--drawers", "d.db")
	require.Equal(t, frame.StatusData, got.status)
	require.Contains(t, got.stderr, "two.csv:2:")
}
