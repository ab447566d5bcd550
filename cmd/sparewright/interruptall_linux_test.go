package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sparewright/cmd/sparewright/internal/frame"
)

// processorTime is what a process has used, in hundredths of a second (proc(5), fields utime and
// stime of stat).
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

// longCall is a call of a command that works for more than 50 ms of processor time on 10,000 lots.
type longCall struct {
	words   []string // FOLDER stands for the folder of the files
	before  []string // a call that makes what it needs
	stdin   string
	answers bool // what was done before the interrupt has been answered already
	changes bool // changes the drawer: it is tried on a copy
	long    bool // far more than a tenth of a second
}

// longCalls has every command that loads the lots of the drawer.
func longCalls() map[string]longCall {
	wanted := func(words ...string) []string {
		return append(words, "--chemistry", "li-ion", "--cells", "4", "--current", "1")
	}
	return map[string]longCall{
		"advise": {words: wanted(), long: true}, "shop": {words: wanted(), long: true},
		"survey": {long: true}, "swap": {words: wanted("--role", "output rectifier"), long: true},
		"sheet": {words: wanted("--text"), long: true}, "netlist": {words: wanted(), long: true},
		"tune":    {words: wanted("--reading", "sheet=333uH"), long: true},
		"reserve": {words: wanted("--as", "x"), long: true, changes: true},
		"plan": {words: []string{"--want", "li-ion 4 1A", "--want", "li-ion 2 500mA"},
			long: true},
		"network": {words: []string{"12.1k", "--parts", "3"}, long: true},
		"bend":    {words: []string{"281", "--volts", "13"}},
		"list":    {words: []string{"resistor", "--between", "1k-10k"}},
		"history": {words: []string{"--all"}},
		"labels":  {words: []string{"-o", "FOLDER/labels.html"}},
		"export":  {words: []string{"-o", "FOLDER/out.csv"}}, "check": {},
		"backup": {words: []string{"FOLDER/copy.db"}}, "reserved": {}, "donor": {},
		"put":     {words: []string{"resistor", "4k7", "resistance=4k7"}, changes: true},
		"take":    {words: []string{"9", "1"}, changes: true},
		"change":  {words: []string{"9", "--bin", "Z9"}, changes: true},
		"bench":   {stdin: strings.Repeat("r 4k7 x3\n", 500), changes: true, answers: true},
		"undo":    {before: []string{"take", "9", "1"}, changes: true},
		"redo":    {before: []string{"undo"}, changes: true},
		"import":  {words: []string{"FOLDER/more.csv", "--replace"}, changes: true, long: true},
		"release": {words: []string{"aside"}, changes: true},
		"consume": {words: []string{"aside"}, changes: true},
		"restore": {words: []string{"FOLDER/saved.db"}, changes: true},
	}
}

// shortCommands are never at work long enough for an interrupt to be noticed, whatever lies in the
// drawer, with the reason.
var shortCommands = map[string]string{
	"show":       "reads the one lot it is asked about",
	"decode":     "reads a text of a few letters; looks into no drawer",
	"identify":   "works out one formula from a few readings; looks at one lot at most",
	"help":       "prints a text",
	"completion": "prints a text",
	"complete":   "answers a shell with the words of the program",
}

// A command of the program is tried for interrupts, or it is said why not.
func TestEveryCommandIsTriedForInterrupts(t *testing.T) {
	long := longCalls()
	for _, e := range book() {
		_, tried := long[e.Name]
		reason := shortCommands[e.Name]
		require.True(t, tried != (reason != ""),
			"%s: give it a call in longCalls, or a reason in shortCommands", e.Name)
		delete(long, e.Name)
	}
	require.Empty(t, long)
}

// bigDrawer makes the built-in drawer with 10,000 lots more, a build set aside as "aside", and the
// files of longCalls.
func bigDrawer(t *testing.T, dir string) (drawers string) {
	t.Helper()
	more := "kind,designation,count,figures\n"
	for i := range 10_000 {
		more += fmt.Sprintf("resistor,odd %d,2,resistance=%dohm\n", i, i+1000)
	}
	drawers = filepath.Join(dir, "drawers.db")
	for name, text := range map[string]string{
		"demo.csv": runWords("export", "--demo", "--raw").stdout, "more.csv": more} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600))
	}
	for _, words := range [][]string{{"import", dir + "/demo.csv"},
		{"reserve", "--as", "aside", "--chemistry", "li-ion", "--cells", "4", "--current", "1"},
		{"import", dir + "/more.csv"}, {"backup", dir + "/saved.db"}} {
		got := runWords(append(words, "--drawers", drawers)...)
		require.Zero(t, got.status, got.stderr)
	}
	return drawers
}

// Both interrupts end every long command, in the midst of its work over 10,000 lots, with status
// 130, silence, an unchanged drawer and at most 200 ms of work after the signal. What is held
// against the bound is processor time, which does not depend on the load. An interrupt that came
// before the program listened is tried again later.
func TestInterruptEndsEveryLongCommand(t *testing.T) {
	dir := t.TempDir()
	drawers := bigDrawer(t, dir)
	calls := longCalls()
	var names []string
	for name := range calls {
		names = append(names, name)
	}
	slices.Sort(names)
	for i, name := range names {
		sign := []os.Signal{os.Interrupt, syscall.SIGTERM}[i%2]
		at := int64(5)
		if calls[name].long {
			at = 10
		}
		end := tooLate
		for round := 0; round < 5 && end == tooLate; round++ {
			for moment := at; moment < 40; moment++ {
				if end = interruptedAt(t, dir, drawers, name, calls[name], sign,
					moment); end != tooEarly {
					break
				}
			}
		}
		require.Equal(t, inTheMidst, end, name)
	}
}

// When an interrupt came.
const (
	tooEarly   = "before the program had begun to listen"
	inTheMidst = "in the midst of the work"
	tooLate    = "when the work had come to its end"
)

// interruptedAt interrupts a call when it has used that much processor time, in hundredths of a
// second, and tells when that was.
func interruptedAt(t *testing.T, dir, drawers, name string, call longCall, sign os.Signal,
	at int64) string {
	t.Helper()
	if call.changes {
		drawers = copied(t, drawers)
	}
	if call.before != nil {
		got := runWords(append(append([]string{}, call.before...), "--drawers", drawers)...)
		require.Zero(t, got.status, got.stderr)
	}
	before := runWords("history", "--last", "3", "--json", "--drawers", drawers)
	words := []string{name}
	for _, w := range call.words {
		words = append(words, strings.Replace(w, "FOLDER", dir, 1))
	}
	cmd := exec.Command("sparewright", append(words, "--drawers", drawers)...)
	var out, errs strings.Builder
	cmd.Stdin, cmd.Stdout, cmd.Stderr = strings.NewReader(call.stdin), &out, &errs
	require.NoError(t, cmd.Start())
	used, alive := processorTime(cmd.Process.Pid)
	for alive && used < at {
		time.Sleep(time.Millisecond)
		used, alive = processorTime(cmd.Process.Pid)
	}
	require.NoError(t, cmd.Process.Signal(sign))
	_ = cmd.Wait()
	state := cmd.ProcessState
	after := (state.UserTime() + state.SystemTime()).Milliseconds() - 10*used
	switch {
	case state.ExitCode() == -1:
		return tooEarly
	case state.ExitCode() == frame.StatusDone || !alive:
		require.Contains(t, []int{frame.StatusDone, frame.StatusNothing}, state.ExitCode(),
			errs.String())
		for _, left := range []string{"labels.html", "out.csv", "copy.db", "copy.db.sha256"} {
			_ = os.Remove(filepath.Join(dir, left))
		}
		return tooLate
	}
	require.Equal(t, frame.StatusInterrupted, state.ExitCode(), "%v by %v: %s", words,
		sign, errs.String())
	require.LessOrEqual(t, after, int64(200+20),
		"%v: ms after the signal; the clock of stat ticks in 10 ms", words)
	if !call.answers {
		require.Empty(t, out.String(), "%v", words)
		require.Equal(t, before, runWords("history", "--last", "3", "--json", "--drawers", drawers),
			"%v", words)
	}
	for _, left := range []string{"labels.html", "out.csv", "copy.db"} {
		require.NoFileExists(t, filepath.Join(dir, left), "%v", words)
	}
	t.Logf("CASES %s: %s at %d ms, %d ms", t.Name(), name, 10*used, after)
	return inTheMidst
}

// copied is a copy of a drawer file in a folder of its own.
func copied(t *testing.T, drawers string) string {
	t.Helper()
	raw, err := os.ReadFile(drawers)
	require.NoError(t, err)
	own := filepath.Join(t.TempDir(), "drawers.db")
	require.NoError(t, os.WriteFile(own, raw, 0o600))
	return own
}
