package main

import (
	"bytes"
	"context"
	"fmt"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/cmd/sparewright/internal/frame"
)

// outcome is what one call of the program left behind.
type outcome struct {
	status         int
	stdout, stderr string
}

// runWords runs the program in this process.
func runWords(words ...string) outcome {
	var out, errs bytes.Buffer
	status := run(context.Background(), strings.NewReader(""), &out, &errs, words)
	return outcome{status, out.String(), errs.String()}
}

// Every status the program can end with stands in the table that help exit-codes prints, once.
func TestExitCodeTable(t *testing.T) {
	seen := map[int]bool{}
	for _, e := range frame.ExitCodes {
		require.False(t, seen[e.Status], "%d twice", e.Status)
		seen[e.Status] = true
		require.Contains(t, runWords("help", "exit-codes").stdout, fmt.Sprintf("%3d  ", e.Status))
	}
	for _, status := range []int{0, 1, 2, 3, 4, 5, 70, 130} {
		require.True(t, seen[status], "%d missing", status)
	}
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }

func TestWritingFails(t *testing.T) {
	for _, row := range []struct {
		err    error
		status int
		stderr string
	}{
		{syscall.EPIPE, 0, ""},
		{syscall.ENOSPC, 5, "sparewright: standard output: no space left on device\n"},
	} {
		var errs bytes.Buffer
		got := run(context.Background(), strings.NewReader(""), failing{row.err}, &errs,
			[]string{"help"})
		require.Equal(t, row.status, got)
		require.Equal(t, row.stderr, errs.String())
	}
}
