package main

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/cmd/sparewright/internal/frame"
)

// Whatever somebody else wrote into the drawer file comes out harmless on the page too: no control
// or invisible character, no markup but the page's own, one script.
func TestHostileDrawerOnThePage(t *testing.T) {
	for _, damaged := range []bool{false, true} {
		trialFolder(t, trials["list"])
		hostileDrawer(t, damaged, true)
		got := runWords("list", "--html", "-o", "out")
		requireHarmless(t, got.stderr)
		require.Less(t, got.status, frame.StatusInternal, got.stderr)
		written, err := os.ReadFile("out")
		if !damaged {
			require.Equal(t, frame.StatusDone, got.status, got.stderr)
			require.NoError(t, err)
		}
		requireHarmless(t, string(written))
		require.NotContains(t, string(written), "<i>")
		require.LessOrEqual(t, strings.Count(string(written), "<script"), 1)
	}
}
