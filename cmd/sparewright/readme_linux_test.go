package main

import (
	"flag"
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

// updateReadme writes what the commands print today into README; where three dots stand, as many
// lines as stood there.
var updateReadme = flag.Bool("update", false, "write the sessions of README anew")

func shorten(got, want string, open bool) string {
	if !open {
		return got
	}
	lines := strings.SplitAfter(got, "\n")
	return strings.Join(lines[:min(len(lines), strings.Count(want, "\n")+1)], "") + "...\n"
}

// TestReadmeSession runs every command of README on a terminal of 80 columns and compares what a
// person would see. A line of three dots stands for any lines; a figure in the survey may change
// with the engine, so its block shows the engine of today.
func TestReadmeSession(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	require.NoError(t, err)
	data := t.TempDir()
	ran := 0
	today := string(text)
	for _, block := range regexp.MustCompile("(?s)```console\n(.*?)```").FindAllStringSubmatch(
		string(text), -1) {
		for _, step := range strings.Split("\n"+block[1], "\n$ ")[1:] {
			command, want, _ := strings.Cut(step, "\n")
			got := onTerminal(t, 80, []string{"NO_COLOR=1", "XDG_DATA_HOME=" + data},
				words(command)[1:]...)
			if i := strings.LastIndexByte(got, '\r'); i >= 0 {
				got = got[i+1:] // the progress line was wiped
			}
			got = strings.ReplaceAll(got, data, "/home/you/.local/share")
			shown := want
			want, open := strings.CutSuffix(strings.TrimRight(want, "\n"), "\n...")
			if *updateReadme {
				fresh := shorten(got, want, open)
				if !strings.HasSuffix(shown, "\n") { // another command follows
					fresh = strings.TrimSuffix(fresh, "\n")
				}
				today = strings.Replace(today, command+"\n"+shown, command+"\n"+fresh, 1)
				continue
			}
			if open {
				require.True(t, strings.HasPrefix(got, want+"\n"), "%s\nwant\n%s\ngot\n%s",
					command, want, got)
			} else {
				require.Equal(t, want+"\n", got, command)
			}
			ran++
		}
	}
	if *updateReadme {
		require.NoError(t, os.WriteFile(filepath.Join("..", "..", "README.md"),
			[]byte(today), 0o644))
		return
	}
	require.GreaterOrEqual(t, ran, 6)
}
