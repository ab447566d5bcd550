package main

import (
	"bytes"
	"context"
	"io"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sparewright/cmd/sparewright/internal/frame"
)

// Undo happens whole or not at all: when another process has taken parts meanwhile, no step of it
// is done.
func TestBenchUndoIsWhole(t *testing.T) {
	file := t.TempDir() + "/d.db"
	in, feed := io.Pipe()
	var out, errs bytes.Buffer
	done := make(chan int)
	go func() {
		done <- run(context.Background(), in, &out, &errs,
			[]string{"bench", "--drawers", file})
	}()
	_, err := io.WriteString(feed, "r 1k x5\nr 2k x5\n# both are stored when this line has been "+
		"read\n# and this\n")
	require.NoError(t, err)
	require.Eventually(t, func() bool {
		return runWords("show", "2", "--drawers", file).status ==
			frame.StatusDone
	}, 5*time.Second,
		10*time.Millisecond)
	require.Equal(t, frame.StatusDone, runWords("take", "1", "1", "--drawers", file).status)
	_, err = io.WriteString(feed, "undo 2\nundo\n")
	require.NoError(t, err)
	require.NoError(t, feed.Close())
	require.Equal(t, frame.StatusData, <-done)
	require.Contains(t, errs.String(), `line 5: lot "1": 5 asked, 4 available`)
	require.Contains(t, out.String(), "6: took back line 2: 5 of lot 2, 0 now")
	require.Contains(t, runWords("show", "1", "--drawers", file).stdout, "lot\tcount\t4\n")
}
