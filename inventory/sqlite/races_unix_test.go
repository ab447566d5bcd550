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

// Eight processes find no drawer file at the same moment, 25 times over: none fails, one makes it.
func TestFirstRunOfManyProcesses(t *testing.T) {
	t.Parallel()
	for range 25 {
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
		require.Len(t, left, 1, "one file and nothing beside it: no second making, no copy of a half-made one")
	}
}

// Two processes take a hundred pieces each, one by one, reading before they write: all 200 succeed and none is lost.
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

// While another process writes a thousand transactions, one backup after another is made. Each is sound and holds the ledger
// up to some moment without a gap.
func TestBackupWhileOthersWrite(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	s, err := Create(ctx, drawersIn(folder))
	require.NoError(t, err)
	defer s.Close()
	put(t, s, lot(resistor(10), 1))
	writer := make(chan ending, 1)
	go func() { writer <- run(t, jobCommand("stream", folder)) }()
	var ledgers [][]inventory.Movement
	for i := 0; ; i++ {
		select {
		case e := <-writer:
			require.Zero(t, e.status, e.complained)
			requirePrefixes(t, s, ledgers)
			return
		default:
		}
		copied := filepath.Join(folder, fmt.Sprintf("copy-%d.db", i))
		_, err := s.Backup(ctx, copied, false, noon)
		require.NoError(t, err)
		c, err := Open(ctx, copied, ReadOnly)
		require.NoError(t, err)
		sound(t, c)
		moves, err := c.Movements(ctx, 1)
		require.NoError(t, err)
		ledgers = append(ledgers, moves)
		require.NoError(t, c.Close())
		require.NoError(t, os.Remove(copied))
	}
}

func requirePrefixes(t *testing.T, s *Store, ledgers [][]inventory.Movement) {
	t.Helper()
	whole, err := s.Movements(ctx, 1)
	require.NoError(t, err)
	require.Len(t, whole, 1001)
	between := 0
	for _, moves := range ledgers {
		require.Equal(t, whole[:len(moves)], moves)
		if len(moves) > 1 && len(moves) < len(whole) {
			between++
		}
	}
	require.Greater(t, between, 3, "the backups fell between the transactions")
	t.Logf("CASES %s: %d backups, %d of them in the midst", t.Name(), len(ledgers), between)
}
