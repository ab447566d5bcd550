package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// An answer that cannot be written never hides a change: the error says that it stands, whichever command made it, and what
// changed nothing says nothing of the kind.
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
		require.Equal(t, statusOutput, cmd.ProcessState.ExitCode(), errs.String())
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

// A pipe, a device, a folder or a socket is refused at once, with one line, wherever a drawer, a backup or a list is asked for.
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
			{"list", "--drawers", odd}, {"put", "fuse", "T1A", "current=1A", "--drawers", odd}, {"check", "--drawers", odd},
			{"undo", "--drawers", odd}, {"import", odd, "--drawers", "d.db"}, {"backup", odd, "--drawers", "d.db"},
			{"backup", odd, "--force", "--drawers", "d.db"}, {"restore", odd, "--drawers", "d.db"},
			{"restore", "b.db", "--drawers", odd}, {"backup", "c.db", "--drawers", odd},
		} {
			got := runWords(words...)
			require.NotContains(t, []int{statusDone, statusInternal}, got.status, "%v", words)
			require.Contains(t, got.stderr, "is not a plain file", "%v", words)
			require.Equal(t, 1, strings.Count(got.stderr, "sparewright: "), "%v\n%s", words, got.stderr)
		}
	}
	for _, beside := range []string{"d.db-journal", "d.db.last-backup", "b.db.sha256"} {
		os.Remove(beside)
		require.NoError(t, syscall.Mkfifo(beside, 0o600))
	}
	require.NotContains(t, []int{statusInternal}, runWords("check", "--drawers", "d.db").status)
	require.NotZero(t, runWords("restore", "b.db", "--drawers", "e.db").status)
}

// A first command that fails leaves no drawer file behind, and rows that only together are too many are named.
func TestFailedFirstCommandLeavesNothing(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	list := "kind,designation,count,figures\nresistor,1k,600000,resistance=1k\nfuse,T1A,1,current=1A\nresistor,1k,400001,resistance=1k\n"
	require.NoError(t, os.WriteFile("big.csv", []byte(list), 0o600))
	for _, words := range [][]string{
		{"import", "big.csv", "--drawers", "new/d.db"}, {"import", "big.csv", "--dry-run", "--drawers", "new/d.db"},
		{"import", "big.csv", "--replace", "--drawers", "new/d.db"},
	} {
		got := runWords(words...)
		require.Equal(t, statusData, got.status)
		require.Regexp(t, `^sparewright: big\.csv:4: resistor "1k": 1000001 .*\n$`, got.stderr)
		require.NoDirExists(t, "new")
	}
	require.NotZero(t, runWords("donor", "brick", "--rename", "other", "--drawers", "new/d.db").status)
	require.NoDirExists(t, "new")
	require.Zero(t, runWords("put", "resistor", "1k", "resistance=1k", "--count", "999999", "--drawers", "d.db").status)
	require.NoError(t, os.WriteFile("two.csv", []byte("kind,designation,count,figures\nresistor,1k,2,resistance=1k\n"), 0o600))
	got := runWords("import", "two.csv", "--drawers", "d.db")
	require.Equal(t, statusData, got.status)
	require.Contains(t, got.stderr, "two.csv:2:")
}

// processorTime is what a process has used, in hundredths of a second (proc(5), fields utime and stime of stat).
func processorTime(pid int) (hundredths int64, alive bool) {
	raw, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	if err != nil {
		return 0, false
	}
	fields := strings.Fields(string(raw[strings.LastIndexByte(string(raw), ')')+1:]))
	if fields[0] == "Z" {
		return 0, false
	}
	var user, system int64
	fmt.Sscan(fields[11], &user)
	fmt.Sscan(fields[12], &system)
	return user + system, true
}

// Both interrupts end every long command, in the midst of its work over 10,000 lots, with status 130, silence, and at most
// 200 ms of work after the signal. What is held against the bound is processor time, which does not depend on the load.
func TestInterruptEndsEveryLongCommand(t *testing.T) {
	dir := t.TempDir()
	var rows strings.Builder
	rows.WriteString(runWords("export", "--demo", "--raw").stdout)
	header, _, _ := strings.Cut(rows.String(), "\n")
	columns := strings.Count(header, ",")
	list := filepath.Join(dir, "demo.csv")
	require.NoError(t, os.WriteFile(list, []byte(rows.String()), 0o600))
	more := "kind,designation,count,figures\n"
	for i := range 10_000 {
		more += fmt.Sprintf("resistor,odd %d,2,resistance=%dohm\n", i, i+1000)
	}
	require.Positive(t, columns)
	big := filepath.Join(dir, "more.csv")
	require.NoError(t, os.WriteFile(big, []byte(more), 0o600))
	drawers := filepath.Join(dir, "drawers.db")
	for _, f := range []string{list, big} {
		got := runWords("import", f, "--drawers", drawers)
		require.Zero(t, got.status, got.stderr)
	}
	wantedWords := []string{"--chemistry", "li-ion", "--cells", "4", "--current", "1"}
	with := func(name string, words ...string) []string {
		return append(append(append([]string{name}, words...), wantedWords...), "--drawers", drawers)
	}
	for i, words := range [][]string{
		with("advise"), with("shop"), with("swap", "--role", "output rectifier"), with("sheet"), with("netlist"),
		with("tune", "--reading", "sheet=333uH"), with("reserve", "--as", "x"),
		{"survey", "--drawers", drawers}, {"plan", "--want", "li-ion 4 1A", "--want", "li-ion 2 500mA", "--drawers", drawers},
		{"network", "12.1k", "--parts", "3", "--drawers", drawers}, {"import", big, "--replace", "--drawers", drawers},
	} {
		cmd := exec.Command("sparewright", words...)
		var out, errs strings.Builder
		cmd.Stdout, cmd.Stderr = &out, &errs
		require.NoError(t, cmd.Start())
		for { // until it is at work: a tenth of a second of processor time
			used, alive := processorTime(cmd.Process.Pid)
			if !alive || used >= 10 {
				break
			}
			time.Sleep(time.Millisecond)
		}
		before, alive := processorTime(cmd.Process.Pid)
		sign := []os.Signal{os.Interrupt, syscall.SIGTERM}[i%2]
		require.NoError(t, cmd.Process.Signal(sign))
		_ = cmd.Wait()
		if !alive {
			t.Logf("%s had ended already", words[0])
			continue
		}
		state := cmd.ProcessState
		after := (state.UserTime() + state.SystemTime()).Milliseconds() - 10*before
		require.Equal(t, statusInterrupted, state.ExitCode(), "%v by %v: %s", words, sign, errs.String())
		require.Empty(t, out.String(), "%v", words)
		require.LessOrEqual(t, after, int64(200+20), "%v: ms after the signal; the clock of stat ticks in 10 ms", words)
		t.Logf("CASES %s: %s, %d ms", t.Name(), words[0], after)
	}
}
