// Package outside tells tests whether a program they need is installed. Only tests use it.
package outside

import (
	"os"
	"os/exec"
	"testing"
)

// Need skips a test whose outside program is not installed, and says what is left out. Where
// SPAREWRIGHT_NEEDS_TOOLS is 1, as in continuous integration, a missing program is a failure.
func Need(t *testing.T, name string) {
	t.Helper()
	if _, err := exec.LookPath(name); err == nil {
		return
	}
	if os.Getenv("SPAREWRIGHT_NEEDS_TOOLS") == "1" {
		t.Fatalf("%s is not installed and SPAREWRIGHT_NEEDS_TOOLS=1", name)
	}
	t.Skipf("LEFT OUT: %s is not installed, so nothing of %s is checked", name, t.Name())
}
