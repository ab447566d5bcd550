//go:build unix

package main

import (
	"bytes"
	"os"
	"os/exec"
	"testing"

	"github.com/stretchr/testify/require"
)

// An interrupt while the program waits for its input ends it with status 130, quietly, and nothing has been made.
func TestInterruptedProcess(t *testing.T) {
	drawers := t.TempDir() + "/drawers.db"
	cmd := exec.Command("sparewright", "import", "-", "--drawers", drawers)
	var noise bytes.Buffer
	cmd.Stdout, cmd.Stderr = &noise, &noise
	input, err := cmd.StdinPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	// More than a pipe holds (64 KiB on Linux; from memory), so that Write returns only when the program is reading.
	_, err = input.Write(append([]byte("kind,designation,count\n"), bytes.Repeat([]byte{'\n'}, 1<<20)...))
	require.NoError(t, err)
	require.NoError(t, cmd.Process.Signal(os.Interrupt))
	_ = cmd.Wait()
	require.Equal(t, statusInterrupted, cmd.ProcessState.ExitCode())
	require.Empty(t, noise.String())
	require.NoFileExists(t, drawers)
}
