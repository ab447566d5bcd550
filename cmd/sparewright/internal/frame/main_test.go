package frame

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

func TestStatusOfEveryError(t *testing.T) {
	for _, row := range []struct {
		err  error
		want int
	}{
		{nil, 0},
		{NothingFeasible("no core is large enough"), 1},
		{WrongCall("--bin", "x", "why"), 2},
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
		{&FaultList{Status: StatusUsage, Faults: []string{"a"}}, 2},
		{BadData("parts.csv", "", "why"), 3},
		{inventory.DataError{File: "parts.csv", Line: 17, Column: 4, Msg: "why"}, 3},
		{&FaultList{Status: StatusData, Faults: []string{"a"}}, 3},
		{inventory.OpenError{Path: "/x/y.db", Msg: "is damaged"}, 4},
		{NotWritten("standard output", "", syscall.ENOSPC), 5},
		{internalError("boom", nil), 70},
		{errors.New("nobody classed this"), 70},
		{context.Canceled, 130},
		{fmt.Errorf("reading: %w", context.Canceled), 130},
	} {
		require.Equal(t, row.want, StatusOf(row.err), "%v", row.err)
		require.Equal(t, row.want, StatusOf(wrapped(row.err)), "%v wrapped", row.err)
	}
}

func wrapped(err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("outer: %w", err)
}

func TestComplaint(t *testing.T) {
	require.Equal(t, []string{`sparewright: --bin "a\x1b[2J\"b": why`,
		"hint: sparewright help list"},
		Complaint(WrongCall("--bin", "a\x1b[2J\"b", "why").Try("sparewright help list")))
	require.Equal(t, []string{`sparewright: drawer file "/x": is damaged`, "hint: restore it"},
		Complaint(inventory.OpenError{Path: "/x", Msg: "is damaged", Hint: "restore it"}))
	require.Empty(t, Complaint(nil))
	require.Empty(t, Complaint(context.Canceled))
	long := WrongCall("unknown command", strings.Repeat("x", 5000), "why").Error()
	require.Less(t, len(long), 200)
}

func TestFaultListShowsTwenty(t *testing.T) {
	f := &FaultList{Status: StatusData}
	for i := range 25 {
		f.Faults = append(f.Faults, fmt.Sprintf("parts.csv:%d:1: why", i+2))
	}
	lines := Complaint(f)
	require.Len(t, lines, 21)
	require.Equal(t, "sparewright: parts.csv:21:1: why", lines[19])
	require.Equal(t, "sparewright: and 5 more", lines[20])
}

func TestPanicBecomesInternalError(t *testing.T) {
	var out, errs bytes.Buffer
	env := New(context.Background(), strings.NewReader(""), &out, &errs, Index{})
	status := env.Conclude(env.supervise(func() error {
		env.Out.WriteString("half a result")
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
	env := New(ctx, pipe, &out, &errs, Index{})
	status := env.Conclude(env.supervise(func() error {
		cancel()
		_, err := io.ReadAll(env.Stdin)
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
	env := New(ctx, strings.NewReader(""), &out, io.Discard, Index{})
	require.Equal(t, 0, env.Conclude(env.supervise(func() error {
		env.Stands("the change", "")
		cancel()
		env.Out.WriteString("done\n")
		return nil
	})))
	require.Equal(t, "done\n", out.String())
}

// The answer "nothing feasible" keeps its result, every real error drops what was printed before.
func TestNothingFeasibleKeepsResult(t *testing.T) {
	var out, errs bytes.Buffer
	env := New(context.Background(), strings.NewReader(""), &out, &errs, Index{})
	env.Out.WriteString("refused: ...\n")
	require.Equal(t, 1, env.Conclude(NothingFeasible("no build passes every check")))
	require.Equal(t, "refused: ...\n", out.String())
	require.Equal(t, "sparewright: no build passes every check\n", errs.String())
}
