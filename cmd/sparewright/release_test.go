package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The command by which DEVELOPERS makes the binary to hand out makes one that says the commit it
// was made of, names no folder of the machine it was made on, and answers as the program under test
// does.
func TestReleaseBuild(t *testing.T) {
	root := projectFolder(t)
	guide, err := os.ReadFile(filepath.Join(root, "DEVELOPERS.md"))
	require.NoError(t, err)
	words := strings.Fields(string(regexp.MustCompile(
		`(?m)^    go build -trimpath .*$`).Find(guide)))
	out := slices.Index(words, "-o")
	require.Positive(t, out, "DEVELOPERS.md has no line that begins with go build -trimpath and "+
		"names a file with -o")
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
	requireLeanStart(t, binary)
}

// requireLeanStart holds down what all packages together allocate before main runs, as the runtime
// itself counts it. It was 734 kB in 4289 pieces with expressions compiled and tables filled at
// every start, and is 85 kB in some 580 pieces since they wait until they are needed; the bounds
// leave a margin for the next release of Go. blackfriday, which the command-line library links in
// for manual pages, is left out: it takes another 214 kB in 762 pieces, which is 0.4 ms of a start.
func requireLeanStart(t *testing.T, binary string) {
	t.Helper()
	cmd := exec.Command(binary, "--help")
	cmd.Env = append(os.Environ(), "GODEBUG=inittrace=1")
	var trace strings.Builder
	cmd.Stderr = &trace
	require.NoError(t, cmd.Run())
	packages, size, pieces := 0, 0, 0
	for _, m := range regexp.MustCompile(`(?m)^init (\S+) .* (\d+) bytes, (\d+) allocs$`).
		FindAllStringSubmatch(trace.String(), -1) {
		if m[1] == "github.com/russross/blackfriday/v2" {
			continue
		}
		bytes, _ := strconv.Atoi(m[2])
		allocs, _ := strconv.Atoi(m[3])
		packages, size, pieces = packages+1, size+bytes, pieces+allocs
	}
	require.Greater(t, packages, 20, "the trace is not understood:\n%s", trace.String())
	require.LessOrEqual(t, size, 128<<10, "bytes allocated before main:\n%s", trace.String())
	require.LessOrEqual(t, pieces, 1000, "allocations before main:\n%s", trace.String())
}
