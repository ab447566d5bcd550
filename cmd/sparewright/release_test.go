package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The command by which DEVELOPERS makes the binary to hand out makes one that says the commit it was made of, names no
// folder of the machine it was made on, and answers as the program under test does.
func TestReleaseBuild(t *testing.T) {
	root := projectFolder(t)
	guide, err := os.ReadFile(filepath.Join(root, "DEVELOPERS.md"))
	require.NoError(t, err)
	words := strings.Fields(string(regexp.MustCompile(`(?m)^    go build -trimpath .*$`).Find(guide)))
	out := slices.Index(words, "-o")
	require.Positive(t, out, "DEVELOPERS.md has no line that begins with go build -trimpath and names a file with -o")
	binary := filepath.Join(t.TempDir(), words[out+1])
	words[out+1] = binary
	commit, err := exec.Command("git", "-C", root, "rev-parse", "HEAD").Output()
	if err != nil { // an unpacked archive has no commits
		words[slices.Index(words, "-buildvcs=true")] = "-buildvcs=auto"
	}
	build := exec.Command(words[0], words[1:]...)
	build.Dir = root
	said, err := build.CombinedOutput()
	require.NoError(t, err, string(said))

	version, err := exec.Command(binary, "--version").Output()
	require.NoError(t, err)
	require.Regexp(t, `^sparewright \S+( \(\S+\))?, go1\.\S+\n$`, string(version))
	require.Contains(t, string(version), strings.TrimSpace(string(commit))[:min(12, len(commit))])
	content, err := os.ReadFile(binary)
	require.NoError(t, err)
	require.NotContains(t, string(content), root)

	survey := exec.Command(binary, "survey", "--demo", "--json")
	survey.Env = append(os.Environ(), "SPAREWRIGHT_DRAWERS="+filepath.Join(t.TempDir(), "none.db"))
	answer, err := survey.Output()
	require.NoError(t, err)
	require.Equal(t, surveyed().stdout, string(answer))
}
