package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/cmd/sparewright/internal/frame"
)

// Every example of the help texts is typed into a shell, in a folder of its own with a copy of the
// built-in drawer, and has to work. Every command must bring examples.
func TestHelpExamplesRun(t *testing.T) {
	origin := t.TempDir()
	shell(t, origin, "sparewright export --demo -o drawer.csv && sparewright import drawer.csv")
	// what an order of a distributor may look like
	require.NoError(t, os.WriteFile(filepath.Join(origin, "order.csv"),
		[]byte("Description;Qty;Value\nUF4007;5;4k7\nPC817B;2;10k\n"), 0o600))
	enough := filepath.Join(t.TempDir(), "drawers.db")
	require.NoError(t, os.WriteFile(enough, enoughLots(), 0o600))
	for _, c := range theCommands() {
		require.NotEmpty(t, c.UsageText, c.Name)
		if testing.Short() && (c.Name == "survey" || c.Name == "advise" || c.Name == "swap") {
			continue // they search the built-in drawer
		}
		for _, line := range strings.Split(c.UsageText, "\n") {
			t.Run(c.Name, func(t *testing.T) {
				dir := t.TempDir()
				require.NoError(t, os.CopyFS(dir, os.DirFS(origin)))
				if strings.Contains(line, "-o drawer.csv") {
					require.NoError(t, os.Remove(filepath.Join(dir, "drawer.csv")))
				}
				if slices.Contains(longSearches, c.Name) {
					line = strings.ReplaceAll(line, " --demo", "") + " --drawers " + enough
				}
				shell(t, dir, line)
			})
		}
	}
}

// longSearches go through many chargers or shelves. Their examples are run on the lots that make
// one charger; what they answer about the built-in drawer is held in sessions of testdata/script.
var longSearches = []string{"plan", "shop"}

// shell types one line. Status 1 is an answer too.
func shell(t *testing.T, dir, line string) {
	t.Helper()
	cmd := exec.Command("sh", "-c", line)
	cmd.Dir = dir
	cmd.Env = append(cmd.Environ(), "SPAREWRIGHT_DRAWERS="+filepath.Join(dir, "drawers.db"))
	out, err := cmd.CombinedOutput()
	if cmd.ProcessState.ExitCode() != frame.StatusNothing {
		require.NoError(t, err, "%s\n%s", line, out)
	}
	require.NotEmpty(t, out, line)
}

// The overview names every command and fits on the narrowest usual screen.
func TestOverviewShowsEveryCommand(t *testing.T) {
	text := runWords().stdout
	for _, e := range book() {
		require.Contains(t, append(frame.Groups, ""), e.Group, e.Name)
		named := strings.Contains(text, "\n  "+e.Name+" ")
		require.Equal(t, e.Group != "", named,
			"%s: the overview names every command that people type", e.Name)
	}
	for _, line := range strings.Split(text, "\n") {
		require.LessOrEqual(t, len([]rune(line)), frame.HelpWidth, line)
	}
}
