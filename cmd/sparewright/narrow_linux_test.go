package main

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"unsafe"

	"github.com/stretchr/testify/require"

	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/guide"
	"sparewright/cmd/sparewright/internal/ui"
)

// seenOn runs a trial on a terminal of the given width, in this process, and returns what a person
// would see.
func (tr trial) seenOn(t *testing.T, columns int, words ...string) string {
	t.Helper()
	master, slave := openTerminal(t, columns)
	defer master.Close()
	seen := make(chan string)
	go func() {
		// ends with an error when the last user of the terminal is gone
		text, _ := io.ReadAll(master)
		seen <- string(text)
	}()
	status := run(context.Background(), strings.NewReader(tr.stdin), slave, io.Discard, words)
	require.NoError(t, slave.Close())
	require.Less(t, status, frame.StatusUsage, "%q", words)
	return strings.ReplaceAll(<-seen, "\r\n", "\n")
}

// forMachines are the commands whose text on a terminal is data all the same.
var forMachines = []string{"export", "labels", "sheet", "netlist", "completion", "complete"}

// On terminals of 80 and of 40 columns no line of any command is longer than the terminal, unless
// it is a single word, and nothing is lost against the wide one. Without colour no escape code is
// sent.
func TestNarrowTerminalOfEveryCommand(t *testing.T) {
	everyTrial(t, func(t *testing.T, name string, tr trial) {
		calls := [][]string{tr.toScreen(name), {"help", name}}
		switch name {
		case "sheet":
			calls = [][]string{append(trial{options: withoutOutput(tr.options)}.words(name),
				"--text"), {"help", name}}
		case "donor":
			calls = append(calls, []string{name})
		case "shop": // what -o writes is for machines
			calls = [][]string{trial{options: withoutOutput(tr.options)}.words(name),
				{"help", name}}
		case "list", "advise":
			calls = append(calls, append(tr.toScreen(name), "--demo"),
				append(trial{}.words("list"), "--demo"))
		case "help":
			for _, topic := range guide.TopicNames() {
				calls = append(calls, []string{name, topic})
			}
			calls = append(calls, []string{name})
		}
		for _, words := range calls {
			if words[0] != "help" && words[len(words)-1] != "--text" &&
				slices.Contains(forMachines, name) {
				continue
			}
			for _, columns := range []int{80, 40} {
				trialFolder(t, tr)
				t.Setenv("NO_COLOR", "1")
				for line := range strings.Lines(tr.seenOn(t, columns, words...)) {
					require.NotContains(t, line, "\x1b")
					if line = strings.TrimSuffix(line, "\n"); len(strings.Fields(line)) > 1 {
						require.LessOrEqual(t, ui.Cells(line), columns, "%d columns, %q\n%s",
							columns, words, line)
					}
				}
			}
		}
	})
}

// Documents, scripts and data are the same on a narrow terminal as in a pipe.
func TestDataIsNeverFolded(t *testing.T) {
	everyTrial(t, func(t *testing.T, name string, tr trial) {
		words := tr.toScreen(name)
		switch {
		case tr.schema != "" && tr.keeps:
			words = tr.document(name)
		case !slices.Contains(forMachines, name):
			return
		}
		trialFolder(t, tr)
		require.Equal(t, tr.call(words...).stdout, withoutFolder(tr.seenOn(t, 40, words...)))
	})
}

// Colour is a matter of the terminal, NO_COLOR, TERM and CLICOLOR_FORCE for every command alike,
// and changes nothing else.
func TestColourOfEveryCommand(t *testing.T) {
	everyTrial(t, func(t *testing.T, name string, tr trial) {
		words := tr.toScreen(name)
		trialFolder(t, tr)
		t.Setenv("NO_COLOR", "")
		t.Setenv("CLICOLOR_FORCE", "")
		t.Setenv("TERM", "xterm")
		inPipe := tr.call(words...)
		require.NotContains(t, inPipe.stdout, "\x1b", "a pipe gets no colour")
		if slices.Contains(words, "--color") || !tr.keeps {
			return
		}
		coloured := tr.seenOn(t, 80, words...)
		for _, name := range []string{"NO_COLOR=1", "TERM=dumb"} {
			variable, value, _ := strings.Cut(name, "=")
			before := os.Getenv(variable)
			t.Setenv(variable, value)
			plain := tr.seenOn(t, 80, words...)
			t.Setenv(variable, before)
			require.NotContains(t, plain, "\x1b", name)
			require.Equal(t, plain, withoutColour(coloured), name)
		}
	})
}

func withoutColour(text string) string {
	return strings.NewReplacer("\x1b[0m", "", "\x1b[1m", "", "\x1b[31m", "", "\x1b[32m", "",
		"\x1b[33m", "").Replace(text)
}

// Help and version look at no drawer: the folder it lies in is watched (inotify(7)), and nothing in
// it is opened. The same watch sees list open the drawer, so it is awake.
func TestHelpAndVersionOpenNothing(t *testing.T) {
	dir := trialFolder(t, trial{})
	watch, err := syscall.InotifyInit1(syscall.IN_NONBLOCK)
	require.NoError(t, err)
	defer syscall.Close(watch)
	_, err = syscall.InotifyAddWatch(watch, filepath.Join(dir, "drawers.db"), syscall.IN_ALL_EVENTS)
	require.NoError(t, err)
	_, err = syscall.InotifyAddWatch(watch, dir,
		syscall.IN_CREATE|syscall.IN_DELETE|syscall.IN_OPEN&^syscall.IN_ISDIR)
	require.NoError(t, err)
	events := func() int {
		buffer := make([]byte, 4096)
		n, err := syscall.Read(watch, buffer)
		if err != nil {
			return 0
		}
		return n / int(unsafe.Sizeof(syscall.InotifyEvent{}))
	}
	calls := [][]string{{}, {"--help"}, {"-h"}, {"--version"}}
	for _, c := range theCommands() {
		calls = append(calls, []string{"help", c.Name}, []string{c.Name, "--help"})
	}
	for _, topic := range guide.TopicNames() {
		calls = append(calls, []string{"help", topic})
	}
	for _, shell := range guide.ShellWords {
		calls = append(calls, []string{"completion", shell})
	}
	events()
	for _, words := range calls {
		require.Equal(t, frame.StatusDone, runWords(words...).status, "%q", words)
		require.Zero(t, events(), "%q looked at the drawer", words)
	}
	require.Equal(t, frame.StatusDone, runWords("list").status)
	require.Positive(t, events())
}
