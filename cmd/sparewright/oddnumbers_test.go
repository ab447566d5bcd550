package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/urfave/cli/v2"

	"sparewright/catalog"
	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/identify"
)

// oddNumbers are numbers a program may read without noticing: no number, the infinities, minus
// zero, the smallest denormal and a smaller one, more than a double holds (IEEE 754), and the
// hexadecimal form that Go's parser knows.
var oddNumbers = []string{"NaN", "nan", "Inf", "+Inf", "-Inf", "infinity", "-0", "5e-324", "1e-310",
	"1e999", "-1e999", "0x1p-2"}

// wordValues are what help calls the values of options that take words; NaN is as good a word as
// any. The others take numbers.
var wordValues = []string{"TEXT", "NAME", "BIN", "FILE", "WORD", "KIND", "WHEN"}

// withGoodWords is a call of the command that is right but for the option that is to be added.
func withGoodWords(command, option string) []string {
	words := []string{command}
	switch command {
	case "put":
		words = append(words, "resistor", "r", "resistance=1k")
	case "advise", "shop", "sheet", "netlist", "tune", "swap", "reserve":
		words = append(words, "--chemistry", "li-ion", "--demo")
		for _, given := range [][2]string{{"cells", "4"}, {"current", "1"}} {
			if option != given[0] && (option != "volts" || given[0] != "cells") {
				words = append(words, "--"+given[0], given[1])
			}
		}
		if command == "tune" && option != "reading" {
			words = append(words, "--reading", "sheet=385uH")
		}
		switch command {
		case "sheet":
			words = append(words, "--text")
		case "swap":
			words = append(words, "--role", "shunt")
		case "reserve":
			words = append(words, "--as", "trial", "--dry-run")
		}
	case "survey", "list":
		words = append(words, "--demo")
	case "bend":
		words = append(words, "281", "--demo")
	case "plan":
		words = append(words, "--want", "li-ion 4 1A", "--demo")
	case "network":
		words = append(words, "--demo")
		switch option {
		case "ratio":
		case "reference":
			words = append(words, "--output", "12.6")
		case "output":
			words = append(words, "--reference", "2.5")
		case "total":
			words = append(words, "--ratio", "5")
		default:
			words = append(words, "12k")
		}
	case "change":
		words = append(words, "1")
	case "import":
		words = append(words, "drawer.csv")
	case "identify":
		if option == "step" {
			return append(words, "gap", "--shape", "E25/13/7", "--turns", "40", "--film", "0.1mm")
		}
		for _, m := range identify.Methods {
			if slices.Contains(m.Options, option) {
				return append(words, m.Name)
			}
		}
		words = append(words, "wire", "--ohms", "2.44ohm", "--length", "10m")
	}
	return words
}

// asTyped puts the odd number where the option expects its number.
func asTyped(option, number string) string {
	switch option {
	case "measured":
		return "resistance=" + number
	case "reading", "step":
		return "10=" + number
	case "resonance":
		return "10nF=" + number
	}
	return number
}

// Every option of every command that takes a number refuses the odd ones and names itself. Only
// minus zero may pass, as nought, where nought is a possible value: degrees Celsius.
func TestOptionsRefuseOddNumbers(t *testing.T) {
	dir := t.TempDir()
	t.Setenv(drawer.DrawersVariable, filepath.Join(dir, "drawers.db"))
	filled := filepath.Join(t.TempDir(), "drawers.db") // with a lot to change
	require.Equal(t, frame.StatusDone,
		runWords("put", "resistor", "1k", "resistance=1k", "--drawers",
			filled).status)
	tried := 0
	for _, c := range theCommands() {
		for _, f := range c.Flags {
			doc, ok := f.(cli.DocGenerationFlag)
			name := f.Names()[0]
			if !ok || !doc.TakesValue() || choiceOf(f) {
				continue
			}
			if value, _ := frame.ValueName(doc.GetUsage()); slices.Contains(wordValues, value) {
				continue
			}
			for _, number := range oddNumbers {
				words := append(withGoodWords(c.Name, name),
					frame.Dashed(name)+"="+asTyped(name, number))
				if c.Name == "change" {
					words = append(words, "--drawers", filled)
				}
				degrees := number == "-0" && (name == "ambient" || name == "temperature")
				if degrees && c.Name != "advise" && c.Name != "identify" {
					continue // the same option, and long searches
				}
				got := runWords(words...)
				if degrees {
					require.NotEqual(t, frame.StatusInternal, got.status, "%v", words)
					require.NotContains(t, got.stdout, "-0", "%v", words)
					continue
				}
				require.Equal(t, frame.StatusUsage, got.status, "%v\n%s%s", words, got.stdout,
					got.stderr)
				require.Empty(t, got.stdout, "%v", words)
				called := name
				if name == "core" || name == "store" {
					called = "lot" // both want the number of one
				}
				require.Contains(t, got.stderr, called, "%v", words)
				tried++
			}
		}
	}
	require.Greater(t, tried, 800)
	require.NoFileExists(t, filepath.Join(dir, "drawers.db"))
	t.Logf("CASES %s: %d", t.Name(), tried)
}

func choiceOf(f cli.Flag) bool {
	g, ok := f.(*cli.GenericFlag)
	if !ok {
		return false
	}
	_, ok = g.Value.(*frame.Choice)
	return ok
}

// Every figure of every kind refuses odd numbers, typed or in a file, and is named; where nought is
// possible minus zero is nought. So do counts, on the command line, in a file and at the bench.
func TestFiguresRefuseOddNumbers(t *testing.T) {
	dir := t.TempDir()
	t.Setenv(drawer.DrawersVariable, filepath.Join(dir, "drawers.db"))
	file := filepath.Join(dir, "odd.csv")
	tried := 0
	refused := func(status int, names string, words ...string) {
		t.Helper()
		got := runWords(words...)
		require.Equal(t, status, got.status, "%v\n%s", words, got.stderr)
		require.Contains(t, got.stderr, names, "%v", words)
		tried++
	}
	for _, number := range oddNumbers {
		for _, kind := range catalog.Kinds() {
			for _, f := range catalog.Schema(kind) {
				if !f.Numeric || number == "-0" && f.Low <= 0 {
					continue
				}
				words := []string{"put", string(kind), "odd", f.Name + "=" + number}
				figures := f.Name + "=" + number
				if kind == catalog.KindCapacitor { // whose bare figures are read by the dielectric
					words, figures = append(words, "dielectric=film"), figures+"; dielectric=film"
				}
				refused(frame.StatusUsage, f.Name, words...)
				require.NoError(t, os.WriteFile(file,
					[]byte(fmt.Sprintf("kind,designation,count,figures\n%s,odd,1,%s\n", kind,
						figures)), 0o600))
				refused(frame.StatusData, f.Name, "import", file)
			}
		}
		require.NoError(t, os.WriteFile(file,
			[]byte("kind,designation,count,figures\nresistor,r,"+number+",resistance=1k\n"), 0o600))
		refused(frame.StatusData, "count", "import", file)
		require.NoError(t, os.WriteFile(file,
			[]byte("kind,designation,count,figures,measured\nresistor,r,1,resistance=1k,"+
				"resistance="+number+"\n"), 0o600))
		refused(frame.StatusData, "resistance", "import", file)
	}
	require.NoFileExists(t, filepath.Join(dir, "drawers.db"), "none reaches a drawer")
	t.Logf("CASES %s: %d", t.Name(), tried)
}

// Words that are numbers without being options: what to take, which lot, and the lines of bench.
func TestWordsRefuseOddNumbers(t *testing.T) {
	t.Setenv(drawer.DrawersVariable, filepath.Join(t.TempDir(), "drawers.db"))
	require.Zero(t, runWords("put", "resistor", "r", "resistance=1k", "--count", "9").status)
	for _, number := range oddNumbers {
		for _, words := range [][]string{{"take", "1", "--", number}, {"take", "--", number, "1"},
			{"show", "--", number},
			{"undo", "--", number}} {
			got := runWords(words...)
			require.Equal(t, frame.StatusUsage, got.status, "%v\n%s", words, got.stderr)
			require.Regexp(t, "count|lot|undo", got.stderr, "%v", words)
		}
		for _, line := range []string{"r 4k7 x" + number, "r " + number + " x2",
			"resistor 4k7 x2 power=" + number,
			"r 4k7 x2 measured " + number, "c 100n 63V x" + number, "w 0.3 " + number +
				"m", "undo " + number} {
			var out, errs strings.Builder
			env := newEnvironment(t.Context(), strings.NewReader(line+"\n"), &out, &errs)
			require.Equal(t, frame.StatusData, env.Conclude(env.Answer([]string{"bench"})),
				"%s\n%s", line, out.String())
			require.Contains(t, errs.String(), "sparewright: line 1: ", line)
			require.Empty(t, out.String(), line)
		}
	}
	require.Contains(t, runWords("list").stdout, "\t9\t9\t", "nothing else got in")
	require.Equal(t, 1, strings.Count(runWords("list").stdout, "\n"))
}
