//go:build unix

package sqlite

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/inventory"
)

// together runs the same job in several processes at once.
func together(t *testing.T, n int, job, folder string) []ending {
	t.Helper()
	ends := make([]ending, n)
	var wg sync.WaitGroup
	for i := range n {
		wg.Go(func() { ends[i] = run(t, jobCommand(job, folder)) })
	}
	wg.Wait()
	return ends
}

// Eight processes find no drawer file at the same moment, time and again: none fails, one makes it.
func TestFirstRunOfManyProcesses(t *testing.T) {
	t.Parallel()
	rounds := 10
	if long() {
		rounds = 50
	}
	for range rounds {
		folder := t.TempDir()
		created := 0
		for _, e := range together(t, 8, "first", folder) {
			require.Zero(t, e.status, e.complained)
			if bytes.Contains([]byte(e.said), []byte("created")) {
				created++
			}
		}
		require.Equal(t, 1, created)
		s, err := Open(ctx, drawersIn(folder), ReadWrite)
		require.NoError(t, err)
		sound(t, s)
		require.NoError(t, s.Close())
		left, err := os.ReadDir(folder)
		require.NoError(t, err)
		require.Len(t, left, 1, "one file and nothing beside it: no second making, no copy of a "+
			"half-made one")
	}
}

// Two processes take a hundred pieces each, one by one, reading before they write: all 200 succeed
// and none is lost.
func TestTwoWritingProcesses(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	s, err := Create(ctx, drawersIn(folder))
	require.NoError(t, err)
	put(t, s, lot(resistor(10), 200))
	for _, e := range together(t, 2, "count", folder) {
		require.Zero(t, e.status, e.complained)
	}
	moves, err := s.Movements(ctx, 1)
	require.NoError(t, err)
	require.Len(t, moves, 201)
	l, err := s.Lot(ctx, 1)
	require.NoError(t, err)
	require.Zero(t, l.Count)
	sound(t, s)
	require.NoError(t, s.Close())
}

// While another process writes at least a thousand transactions, ten backups are made. Each is
// sound and holds the ledger up to some moment without a gap. The writer goes on until the tenth is
// made, so that all ten fall between its transactions on a machine of any speed.
func TestBackupWhileOthersWrite(t *testing.T) {
	t.Parallel()
	const wanted = 10
	folder := t.TempDir()
	s, err := Create(ctx, drawersIn(folder))
	require.NoError(t, err)
	defer s.Close()
	put(t, s, lot(resistor(10), 1))
	cmd := jobCommand("stream", folder)
	writer := make(chan ending, 1)
	go func() { writer <- run(t, cmd) }()
	enough := func() error { return os.WriteFile(enoughIn(folder), nil, 0o644) }
	defer func() { _ = enough() }() // a failure below must not leave the writer running
	var midst [][]inventory.Movement
	made := 0
	for ; len(midst) < wanted; made++ {
		select {
		case e := <-writer:
			require.Fail(t, "the writer stopped by itself", "%+v", e)
		default:
		}
		copied := filepath.Join(folder, fmt.Sprintf("copy-%d.db", made))
		_, err := s.Backup(ctx, copied, false, noon)
		require.NoError(t, err)
		c, err := Open(ctx, copied, ReadOnly)
		require.NoError(t, err)
		sound(t, c)
		moves, err := c.Movements(ctx, 1)
		require.NoError(t, err)
		require.NoError(t, c.Close())
		require.NoError(t, os.Remove(copied))
		if len(moves) > 1 { // the writer has begun
			midst = append(midst, moves)
		}
	}
	require.NoError(t, enough())
	e := <-writer
	require.Zero(t, e.status, e.complained)
	whole, err := s.Movements(ctx, 1)
	require.NoError(t, err)
	require.Greater(t, len(whole), 1000)
	for _, moves := range midst {
		require.Equal(t, whole[:len(moves)], moves)
	}
	t.Logf("CASES %s: %d backups, %d of them in the midst of %d transactions", t.Name(), made,
		wanted, len(whole)-1)
}
