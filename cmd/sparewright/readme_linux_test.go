package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// words splits a command line of README: blanks part words, double quotes hold them together.
func words(line string) []string {
	var out []string
	for _, w := range regexp.MustCompile(`"[^"]*"|\S+`).FindAllString(line, -1) {
		out = append(out, strings.Trim(w, `"`))
	}
	return out
}

// TestReadmeSession runs every command of README on a terminal of 80 columns and compares what a person would see. A line of
// three dots stands for any lines; a figure in the survey may change with the engine, so its block shows the engine of today.
func TestReadmeSession(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	require.NoError(t, err)
	data := t.TempDir()
	ran := 0
	for _, block := range regexp.MustCompile("(?s)```console\n(.*?)```").FindAllStringSubmatch(string(text), -1) {
		for _, step := range strings.Split("\n"+block[1], "\n$ ")[1:] {
			command, want, _ := strings.Cut(step, "\n")
			got := onTerminal(t, 80, []string{"NO_COLOR=1", "XDG_DATA_HOME=" + data}, words(command)[1:]...)
			if i := strings.LastIndexByte(got, '\r'); i >= 0 {
				got = got[i+1:] // the progress line was wiped
			}
			got = strings.ReplaceAll(got, data, "/home/you/.local/share")
			want, open := strings.CutSuffix(strings.TrimRight(want, "\n"), "\n...")
			if open {
				require.True(t, strings.HasPrefix(got, want+"\n"), "%s\nwant\n%s\ngot\n%s", command, want, got)
			} else {
				require.Equal(t, want+"\n", got, command)
			}
			ran++
		}
	}
	require.GreaterOrEqual(t, ran, 6)
}
