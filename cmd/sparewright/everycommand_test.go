package main

import (
	"bytes"
	"context"
	"os"
	"slices"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// orders are the ways the words of a trial may stand, and --name=value for --name value.
func (tr trial) orders(name string) map[string][]string {
	options := slices.Concat(tr.options...)
	backwards := slices.Clone(tr.options)
	slices.Reverse(backwards)
	var attached, between []string
	for i, o := range tr.options {
		long := o[0]
		if long == "-o" {
			long = "--output"
		}
		attached = append(attached, strings.Join(append([]string{long}, o[1:]...), "="))
		if i < len(tr.operands) {
			between = append(between, tr.operands[i])
		}
		between = append(between, o...)
	}
	between = append(between, tr.operands[min(len(tr.options), len(tr.operands)):]...)
	return map[string][]string{
		"options first": slices.Concat([]string{name}, options, tr.operands),
		"options backwards": slices.Concat([]string{name},
			slices.Concat(backwards...), tr.operands),
		"options between": append([]string{name}, between...),
		"values attached": slices.Concat([]string{name}, attached, tr.operands),
		"two dashes":      slices.Concat([]string{name}, options, []string{"--"}, tr.operands),
	}
}

// after is all a call leaves behind: what it printed, the file it wrote, and the drawer.
func (tr trial) after(t *testing.T, words []string) (outcome, string, string) {
	t.Helper()
	trialFolder(t, tr)
	got := tr.call(words...)
	written, err := os.ReadFile("out")
	require.True(t, err == nil || os.IsNotExist(err))
	return got, string(written), runWords("export", "--raw").stdout
}

// Where options stand never matters: the same bytes on both streams, in the file written and in the
// drawer.
func TestOrderOfEveryCommand(t *testing.T) {
	everyTrial(t, func(t *testing.T, name string, tr trial) {
		want, file, drawer := tr.after(t, tr.words(name))
		require.Equal(t, tr.status, want.status, want.stderr)
		require.NotEmpty(t, want.stdout+file)
		for order, words := range tr.orders(name) {
			got, gotFile, gotDrawer := tr.after(t, words)
			require.Equal(t, want, got, "%s: %q", order, words)
			require.Equal(t, file, gotFile, order)
			require.Equal(t, drawer, gotDrawer, order)
		}
	})
}

// An unknown option or a stray word is an error wherever it stands: status 2, a line on standard
// error, nothing else done.
func TestStrayWordsOfEveryCommand(t *testing.T) {
	everyTrial(t, func(t *testing.T, name string, tr trial) {
		trialFolder(t, tr)
		before, err := os.ReadFile("drawers.db")
		require.NoError(t, err)
		words := tr.words(name)
		wrong := map[string][]string{
			"option first":  slices.Insert(slices.Clone(words), 1, "--nosuch"),
			"option last":   append(slices.Clone(words), "--nosuch"),
			"option value":  append(slices.Clone(words), "--nosuch=1"),
			"single letter": append(slices.Clone(words), "-q"),
			"one dash":      append(slices.Clone(words), "-header"),
			"stray words":   append(slices.Clone(words), "stray", "word", "here", "too"),
		}
		if name == "complete" { // whatever is typed is the line to go on with
			delete(wrong, "stray words")
		}
		for what, words := range wrong {
			got := tr.call(words...)
			require.Equal(t, statusUsage, got.status, "%s: %q\n%s", what, words, got.stderr)
			require.Empty(t, got.stdout, what)
			require.True(t, strings.HasPrefix(got.stderr, "sparewright: "), got.stderr)
			require.NoFileExists(t, "out", what)
		}
		now, err := os.ReadFile("drawers.db")
		require.NoError(t, err)
		require.Equal(t, before, now)
	})
}

// -h and --help mean help at every place, and nothing is done; the drawer file, which is none here,
// is not even opened.
func TestHelpOfEveryCommand(t *testing.T) {
	everyTrial(t, func(t *testing.T, name string, tr trial) {
		trialFolder(t, tr)
		require.NoError(t, os.WriteFile("drawers.db", []byte("no drawer at all"), 0o644))
		want := runWords("help", name)
		require.Equal(t, statusDone, want.status)
		require.Contains(t, want.stdout, "Examples:\n")
		words := tr.words(name)
		for i := 1; i <= len(words); i++ {
			for _, h := range []string{"-h", "--help"} {
				got := tr.call(slices.Insert(slices.Clone(words), i, h)...)
				require.Equal(t, want, got, "%s at %d of %q", h, i, words)
			}
		}
		require.NoFileExists(t, "out")
	})
}

// A reader that went away got what it wanted: the status is that of the answer, and nothing is
// said. A full disk is told.
func TestBrokenPipeOfEveryCommand(t *testing.T) {
	everyTrial(t, func(t *testing.T, name string, tr trial) {
		words := tr.toScreen(name)
		trialFolder(t, tr)
		want := tr.call(words...)
		trialFolder(t, tr)
		var errs bytes.Buffer
		got := run(context.Background(), strings.NewReader(tr.stdin),
			failing{syscall.EPIPE}, &errs, words)
		require.Equal(t, want.status, got, errs.String())
		require.Equal(t, want.stderr, withoutFolder(errs.String()))
		trialFolder(t, tr)
		errs.Reset()
		got = run(context.Background(), strings.NewReader(tr.stdin),
			failing{syscall.ENOSPC}, &errs, words)
		require.Equal(t, statusOutput, got)
		require.Contains(t, errs.String(), "sparewright: standard output: no space left on device")
	})
}
