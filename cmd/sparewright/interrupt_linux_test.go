package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// An interrupt while the program waits for its input ends it with status 130, quietly, and nothing
// has been made.
func TestInterruptedProcess(t *testing.T) {
	drawers := t.TempDir() + "/drawers.db"
	cmd := exec.Command("sparewright", "import", "-", "--drawers", drawers)
	var noise bytes.Buffer
	cmd.Stdout, cmd.Stderr = &noise, &noise
	input, err := cmd.StdinPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	// More than a pipe holds (64 KiB on Linux; from memory), so that Write returns only when the
	// program is reading.
	_, err = input.Write(append([]byte("kind,designation,count\n"),
		bytes.Repeat([]byte{'\n'}, 1<<20)...))
	require.NoError(t, err)
	require.NoError(t, cmd.Process.Signal(os.Interrupt))
	_ = cmd.Wait()
	require.Equal(t, statusInterrupted, cmd.ProcessState.ExitCode())
	require.Empty(t, noise.String())
	require.NoFileExists(t, drawers)
}

// An interrupt at twenty moments of an import of 10,000 rows leaves all of them or none, and a
// status that says which: 130 and a silent standard output when the import did not come to its end.
func TestInterruptedImport(t *testing.T) {
	dir := t.TempDir()
	var rows strings.Builder
	rows.WriteString("kind,designation,count,figures\n")
	for i := range 10_000 {
		fmt.Fprintf(&rows, "resistor,r%d,2,resistance=%dohm\n", i, i+1)
	}
	csv := filepath.Join(dir, "rows.csv")
	require.NoError(t, os.WriteFile(csv, []byte(rows.String()), 0o644))
	began := time.Now() // to spread the moments over the run, nothing is judged by it
	require.Zero(t, called(t, dir, nil, "import", csv).status)
	whole := time.Since(began)
	require.Equal(t, 10_000, lotsIn(t, dir))
	interrupted, all := 0, 0
	for i := range 20 {
		own := t.TempDir()
		cmd := exec.Command("sparewright", "import", csv, "--drawers",
			filepath.Join(own, "drawers.db"))
		var out bytes.Buffer
		cmd.Stdout = &out
		require.NoError(t, cmd.Start())
		time.Sleep(whole * time.Duration(i+1) / 20)
		_ = cmd.Process.Signal(os.Interrupt) // which may come too late
		_ = cmd.Wait()
		lots := lotsIn(t, own)
		if lots > 0 {
			all++
		}
		switch status := cmd.ProcessState.ExitCode(); status {
		case statusInterrupted:
			interrupted++
			require.Contains(t, []int{0, 10_000}, lots)
			require.Empty(t, out.String())
		case statusDone:
			require.Equal(t, 10_000, lots)
		case -1: // before the program had begun to listen
			require.Zero(t, lots)
		default:
			require.Fail(t, "unexpected", "status %d", status)
		}
	}
	require.Positive(t, interrupted)
	t.Logf("CASES %s: %d of 20 interrupted; all rows are there after %d, none after the others",
		t.Name(), interrupted, all)
}
