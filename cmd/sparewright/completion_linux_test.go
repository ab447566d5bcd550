package main

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sparewright/cmd/sparewright/internal/guide"
	"sparewright/testdata/outside"
)

// A shell under test finds a program called sparewright that writes down its words, one a line,
// when it is not asked to complete; then it is the real one. So a completed line that is entered
// shows what it has become.
const recorder = `#!/bin/sh
if [ "$1" = complete ] || [ "$1" = completion ]; then exec "$REAL" "$@"; fi
printf '%s\n' "$@" >"$RECORD"
`

// shellFolder is a folder with that program, a drawer with odd names and files to complete.
func shellFolder(t *testing.T, shell string) (dir string, vars []string) {
	t.Helper()
	outside.Need(t, shell)
	dir = t.TempDir()
	real, err := exec.LookPath("sparewright")
	require.NoError(t, err)
	bin := filepath.Join(dir, "bin")
	require.NoError(t, os.Mkdir(bin, 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(bin, "sparewright"), []byte(recorder), 0o755))
	drawer := filepath.Join(dir, "d.db")
	for _, words := range [][]string{
		{"resistor", "odd $(touch owned) one", "resistance=1k", "--bin", "Bay 7"},
		{"resistor", "it's `touch owned`; \"x\"", "resistance=2k", "--bin", "Q$HOME"},
	} {
		got := runWords(append(append([]string{"put"}, words...), "--drawers", drawer)...)
		require.Equal(t, 0, got.status, got.stderr)
	}
	require.NoError(t, os.WriteFile(filepath.Join(dir, "parts list.csv"), nil, 0o644))
	return dir, append(os.Environ(), "PATH="+bin+":"+os.Getenv("PATH"), "REAL="+real,
		"RECORD="+filepath.Join(dir, "words"),
		"SPAREWRIGHT_DRAWERS="+drawer, "HOME="+dir, "TERM=dumb", "ENV=", "ZDOTDIR="+
			dir, "INPUTRC=/dev/null")
}

// completions are keys typed, a tab where \t stands, and the words the program then gets.
var completions = []struct {
	keys  string
	words []string
}{
	{"sur\t", []string{"survey"}},
	{"advise --chem\tlead-acid-g\t", []string{"advise", "--chemistry", "lead-acid-gel"}},
	{"advise --case=ve\t", []string{"advise", "--case=vented"}},
	{"list --bin Ba\t", []string{"list", "--bin", "Bay 7"}},
	{"list --bin \"Ba\t", []string{"list", "--bin", "Bay 7"}},
	{"list --bin Q\t", []string{"list", "--bin", "Q$HOME"}},
	{"list therm\t --header", []string{"list", "thermistor", "--header"}},
	{"put resistor odd\t", []string{"put", "resistor", "odd $(touch owned) one"}},
	{"put resistor it\t", []string{"put", "resistor", "it's `touch owned`; \"x\""}},
	{"put capacitor x dielec\telectrol\t", []string{"put", "capacitor", "x",
		"dielectric=electrolytic"}},
	{"import par\t", []string{"import", "parts list.csv"}},
	{"help exit\t", []string{"help", "exit-codes"}},
	{"identify satu\t", []string{"identify", "saturation"}},
	{"completion fi\t", nil}, // answered by the real program
	{"list --drawers $(touch owned) \t", nil},
	{"list --bin $(touch owned)\t", nil},
}

// typeInto types keys into a shell on a terminal once its prompt is there, and waits until it has
// ended.
func typeInto(t *testing.T, cmd *exec.Cmd, start, keys string) string {
	t.Helper()
	master, slave := openTerminal(t, 200)
	defer master.Close()
	cmd.Stdin, cmd.Stdout, cmd.Stderr = slave, slave, slave
	require.NoError(t, cmd.Start())
	require.NoError(t, slave.Close())
	var seen bytes.Buffer
	wait := func(what string) {
		buffer := make([]byte, 4096)
		for !strings.Contains(seen.String(), what) {
			n, err := master.Read(buffer)
			seen.Write(buffer[:n])
			require.NoError(t, err, "before %q:\n%s", what, seen.String())
		}
		seen.Reset()
	}
	_, err := master.WriteString(start + "\nPS1='REA''DY>'\n")
	require.NoError(t, err)
	wait("READY>")
	_, err = master.WriteString(keys)
	require.NoError(t, err)
	buffer := make([]byte, 4096)
	for {
		n, err := master.Read(buffer)
		seen.Write(buffer[:n])
		if err != nil {
			break
		}
	}
	_ = cmd.Wait() // the status is that of the last line typed
	return seen.String()
}

// The scripts work in a real bash and a real zsh: the keys of a person turn into the words of a
// call, whatever characters are in the names, and nothing that stands in the line or in a name is
// run.
func TestCompletionInShells(t *testing.T) {
	for shell, start := range map[string][]string{
		"bash": {"--norc", "--noprofile", "-i"},
		"zsh":  {"-f", "-i"},
	} {
		t.Run(shell, func(t *testing.T) {
			dir, vars := shellFolder(t, shell)
			load := "source <(sparewright completion " + shell + ")"
			if shell == "zsh" {
				// Tab expands $(...) by itself in a bare zsh; here only completion is tried. What
				// zsh finds out at its first start serves the others.
				load = "autoload -Uz compinit; compinit -C -d $PWD/.found; bindkey '^I' " +
					"complete-word; " + load
			}
			for _, row := range completions {
				if err := os.Remove(filepath.Join(dir, "words")); err != nil {
					require.True(t, os.IsNotExist(err))
				}
				ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
				cmd := exec.CommandContext(ctx, shell, start...)
				cmd.Dir, cmd.Env = dir, vars
				line := "\n"
				if row.words == nil {
					line = "\x15\n" // the line is wiped instead of run
				}
				seen := typeInto(t, cmd, load, "sparewright "+row.keys+line+"exit\n")
				cancel()
				got, err := os.ReadFile(filepath.Join(dir, "words"))
				if row.words != nil {
					require.NoError(t, err, "%q\n%s", row.keys, seen)
					require.Equal(t, strings.Join(row.words, "\n")+"\n", string(got), "%q\n%s",
						row.keys, seen)
				}
				require.NoFileExists(t, filepath.Join(dir, "owned"), row.keys)
			}
		})
	}
}

// fish says what it would complete by itself.
func TestCompletionInFish(t *testing.T) {
	dir, vars := shellFolder(t, "fish")
	for _, row := range []struct {
		line string
		want []string
	}{
		{"sparewright sur", []string{"survey"}},
		{"sparewright advise --chem", []string{"--chemistry"}},
		{"sparewright advise --chemistry lead-acid-g", []string{"lead-acid-gel"}},
		{"sparewright advise --case=ve", []string{"--case=vented"}},
		{"sparewright list --bin Ba", []string{"Bay 7"}},
		{"sparewright list --bin \"Ba", []string{"Bay 7"}},
		{"sparewright put resistor odd", []string{"odd $(touch owned) one"}},
		{"sparewright put resistor odd\\ ", []string{"odd $(touch owned) one"}},
		{"sparewright put capacitor x dielectric=electrol", []string{"dielectric=electrolytic"}},
		{"sparewright import par", []string{"parts list.csv"}},
		{"sparewright show 2", []string{"2"}},
		{"sparewright show (touch owned) ", nil},
		{"sparewright nosuch ", nil},
		{"sparewright completion ", []string{"bash", "fish", "zsh"}},
	} {
		ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
		const ask = "sparewright completion fish | source; complete -C \"$argv[1]\""
		cmd := exec.CommandContext(ctx, "fish", "--no-config", "-c", ask, row.line)
		cmd.Dir, cmd.Env = dir, vars
		out, err := cmd.Output()
		cancel()
		require.NoError(t, err, "%s\n%s", row.line, out)
		var words []string
		for line := range strings.Lines(string(out)) {
			word, _, _ := strings.Cut(strings.TrimSuffix(line, "\n"), "\t")
			words = append(words, word)
		}
		require.ElementsMatch(t, row.want, words, row.line)
		require.NoFileExists(t, filepath.Join(dir, "owned"), row.line)
	}
}

// None of the scripts runs text that was typed.
func TestCompletionScriptsDoNotEvaluate(t *testing.T) {
	for _, shell := range guide.ShellWords {
		script := runWords("completion", shell).stdout
		for line := range strings.Lines(script) {
			if !strings.HasPrefix(line, "#") {
				require.NotContains(t, line, "eval", shell)
			}
		}
		outside.Need(t, shell)
		check := exec.Command(shell, "-n", "/dev/stdin")
		check.Stdin = strings.NewReader(script)
		out, err := check.CombinedOutput()
		require.NoError(t, err, "%s: %s", shell, out)
	}
}
