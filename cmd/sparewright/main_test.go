package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/inventory"
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

func TestStatusOfEveryError(t *testing.T) {
	for _, row := range []struct {
		err  error
		want int
	}{
		{nil, 0},
		{nothingFeasible("no core is large enough"), 1},
		{wrongCall("--bin", "x", "why"), 2},
		{inventory.NoLot{Lot: 7}, 2},
		{inventory.NoPurpose{Purpose: "x"}, 2},
		{inventory.NothingToUndo{Asked: 2, Left: 1}, 2},
		{inventory.Overdraw{Lot: 7, Asked: 5, Available: 3}, 2},
		{inventory.Changed{Lot: 7}, 2},
		{inventory.PurposeTaken{Purpose: "x"}, 2},
		{inventory.NotAsLeft{What: "lot 7"}, 2},
		{inventory.RestoreFirst{Batch: 7}, 2},
		{inventory.NoFormer{Path: "/x/y.db"}, 2},
		{inventory.DataError{Msg: "count: why"}, 2},
		{&faultList{status: statusUsage, faults: []string{"a"}}, 2},
		{badData("parts.csv", "", "why"), 3},
		{inventory.DataError{File: "parts.csv", Line: 17, Column: 4, Msg: "why"}, 3},
		{&faultList{status: statusData, faults: []string{"a"}}, 3},
		{inventory.OpenError{Path: "/x/y.db", Msg: "is damaged"}, 4},
		{notWritten("standard output", "", syscall.ENOSPC), 5},
		{internalError("boom", nil), 70},
		{errors.New("nobody classed this"), 70},
		{context.Canceled, 130},
		{fmt.Errorf("reading: %w", context.Canceled), 130},
	} {
		require.Equal(t, row.want, statusOf(row.err), "%v", row.err)
		require.Equal(t, row.want, statusOf(wrapped(row.err)), "%v wrapped", row.err)
	}
}

func wrapped(err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("outer: %w", err)
}

// Every status the program can end with stands in the table that help exit-codes prints, once.
func TestExitCodeTable(t *testing.T) {
	seen := map[int]bool{}
	for _, e := range exitCodes {
		require.False(t, seen[e.status], "%d twice", e.status)
		seen[e.status] = true
		require.Contains(t, runWords("help", "exit-codes").stdout, fmt.Sprintf("%3d  ", e.status))
	}
	for _, status := range []int{0, 1, 2, 3, 4, 5, 70, 130} {
		require.True(t, seen[status], "%d missing", status)
	}
}

func TestComplaint(t *testing.T) {
	require.Equal(t, []string{`sparewright: --bin "a\x1b[2J\"b": why`,
		"hint: sparewright help list"},
		complaint(wrongCall("--bin", "a\x1b[2J\"b", "why").try("sparewright help list")))
	require.Equal(t, []string{`sparewright: drawer file "/x": is damaged`, "hint: restore it"},
		complaint(inventory.OpenError{Path: "/x", Msg: "is damaged", Hint: "restore it"}))
	require.Empty(t, complaint(nil))
	require.Empty(t, complaint(context.Canceled))
	long := wrongCall("unknown command", strings.Repeat("x", 5000), "why").Error()
	require.Less(t, len(long), 200)
}

func TestFaultListShowsTwenty(t *testing.T) {
	f := &faultList{status: statusData}
	for i := range 25 {
		f.faults = append(f.faults, fmt.Sprintf("parts.csv:%d:1: why", i+2))
	}
	lines := complaint(f)
	require.Len(t, lines, 21)
	require.Equal(t, "sparewright: parts.csv:21:1: why", lines[19])
	require.Equal(t, "sparewright: and 5 more", lines[20])
}

func TestPanicBecomesInternalError(t *testing.T) {
	var out, errs bytes.Buffer
	env := newEnvironment(context.Background(), strings.NewReader(""), &out, &errs)
	status := env.conclude(env.supervise(func() error {
		env.out.WriteString("half a result")
		panic("turns below zero")
	}))
	require.Equal(t, 70, status)
	require.Empty(t, out.String())
	require.Regexp(t,
		`^sparewright: internal error: turns below zero at main_test\.go:\d+\nhint: report this line`,
		errs.String())
}

func TestInterrupt(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	pipe, feed := io.Pipe()
	defer feed.Close()
	var out, errs bytes.Buffer
	env := newEnvironment(ctx, pipe, &out, &errs)
	status := env.conclude(env.supervise(func() error {
		cancel()
		_, err := io.ReadAll(env.stdin)
		return err
	}))
	require.Equal(t, 130, status)
	require.Empty(t, out.String())
	require.Empty(t, errs.String())
}

// A command that has changed the drawer when an interrupt comes has done its work, and says so.
func TestInterruptTooLate(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	var out bytes.Buffer
	env := newEnvironment(ctx, strings.NewReader(""), &out, io.Discard)
	require.Equal(t, 0, env.conclude(env.supervise(func() error {
		env.stands("the change", "")
		cancel()
		env.out.WriteString("done\n")
		return nil
	})))
	require.Equal(t, "done\n", out.String())
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

// The answer "nothing feasible" keeps its result, every real error drops what was printed before.
func TestNothingFeasibleKeepsResult(t *testing.T) {
	var out, errs bytes.Buffer
	env := newEnvironment(context.Background(), strings.NewReader(""), &out, &errs)
	env.out.WriteString("refused: ...\n")
	require.Equal(t, 1, env.conclude(nothingFeasible("no build passes every check")))
	require.Equal(t, "refused: ...\n", out.String())
	require.Equal(t, "sparewright: no build passes every check\n", errs.String())
}
