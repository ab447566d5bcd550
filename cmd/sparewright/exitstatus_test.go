package main

import (
	"database/sql"
	"encoding/json"
	"errors"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// refusals are calls that end with status 1, by command: what help exit-codes says of it (the words
// before its brackets) and whether --json prints a document then. The page of the help is the
// source.
var refusals = []struct {
	// CHARGER is one that nothing serves, BUY one that needs parts; _ a blank inside a word
	words    string
	reason   string
	document bool
}{
	{"advise --demo CHARGER", "nothing feasible", true},
	{"survey --drawers few.db", "nothing feasible", true},
	{"shop --demo CHARGER", "nothing feasible", true},
	{"bend 281 --demo --volts 60", "nothing feasible", true},
	{"network --ratio 100k --drawers few.db", "nothing feasible", true},
	{"plan --demo --want nimh_8_1A", "nothing feasible", true},
	{"swap --demo --kind optocoupler --need isolation>=9kV", "nothing on hand that will do", true},
	{"tune --demo --chemistry li-ion --cells 2 --current 500mA --leakage 400uH", "helps", true},
	{"sheet --text --demo CHARGER", "no build to work on", false},
	{"netlist --demo CHARGER", "no build to work on", false},
	{"tune --demo CHARGER --reading sheet=300uH", "no build to work on", false},
	{"swap --demo CHARGER --role bridge", "no build to work on", false},
	{"reserve --drawers demo.db CHARGER --as x", "no build to work on", false},
	{"reserve --drawers demo.db BUY --as x", "parts of it to be bought first", false},
	{"tune --drawers demo.db BUY --reading sheet=300uH", "parts of it to be bought first", false},
	{"check --drawers damaged.db", "defects found", true},
	{"backup out.db --force --drawers damaged.db", "defects found", true},
	{"restore damaged.db --drawers new.db", "defects found", true},
}

// toldOfOne takes the sentence of status 1 apart: every "what (commands)" as command + what.
func toldOfOne(t *testing.T) []string {
	t.Helper()
	var told []string
	for _, e := range exitCodes {
		if e.status != statusNothing {
			continue
		}
		for _, m := range regexp.MustCompile(`([a-z ]+) \(([a-z, ]+)\)`).FindAllStringSubmatch(
			e.meaning, -1) {
			what := strings.TrimPrefix(strings.TrimSpace(m[1]), "or ")
			for _, command := range strings.Split(m[2], ", ") {
				told = append(told, command+": "+what)
			}
		}
	}
	return told
}

// What help exit-codes says of status 1 is what the commands do, and no more: each command and
// reason has a call, each call a sentence; a document where one is promised (DEVELOPERS.md, section
// JSON), nothing on standard output where none is.
func TestStatusOneIsAsTold(t *testing.T) {
	t.Chdir(t.TempDir())
	require.NoError(t, os.WriteFile("damaged.db", allLots(), 0o644))
	db, err := sql.Open("sqlite3", "damaged.db")
	require.NoError(t, err)
	_, err = db.Exec("UPDATE figure SET value = 1e11") // beyond every range
	require.NoError(t, errors.Join(err, db.Close()))
	require.NoError(t, os.WriteFile("demo.db", allLots(), 0o644))
	const list = "kind,designation,count,figures\nresistor,1k odd,3,resistance=1k\n"
	require.NoError(t, os.WriteFile("few.csv", []byte(list), 0o644))
	require.Zero(t, runWords("import", "few.csv", "--drawers", "few.db").status)
	short := map[string]string{"CHARGER": "--chemistry nimh --cells 4 --current 1A",
		"BUY": "--chemistry lifepo4 --cells 4 --current 2A"}
	var done []string
	for _, row := range refusals {
		call := row.words
		for name, words := range short {
			call = strings.ReplaceAll(call, name, words)
		}
		words := strings.Fields(call)
		for i := range words {
			words[i] = strings.ReplaceAll(words[i], "_", " ")
		}
		plain := runWords(words...)
		require.Equal(t, statusNothing, plain.status, "%s\n%s", call, plain.stderr)
		require.NotEmpty(t, plain.stderr, call)
		// the other form of a sheet
		words = slices.DeleteFunc(words, func(w string) bool { return w == "--text" })
		asked := runWords(append(words, "--json")...)
		require.Equal(t, statusNothing, asked.status, "%s --json\n%s", call, asked.stderr)
		require.NotEmpty(t, asked.stderr, call)
		if row.document {
			require.True(t, json.Valid([]byte(asked.stdout)), "%s: no document", call)
		} else {
			require.Empty(t, plain.stdout+asked.stdout, call)
		}
		done = append(done, words[0]+": "+row.reason)
	}
	require.ElementsMatch(t, toldOfOne(t), done)
}

// Statuses 2 and 4 of every command, and standard output is empty with them, as the help says: an
// option that is none, and a drawer file that belongs to another program for all that look into
// one.
func TestWrongCallsAndDrawersOfEveryCommand(t *testing.T) {
	t.Chdir(t.TempDir())
	foreign := "foreign.db"
	require.NoError(t, os.WriteFile(foreign,
		[]byte(strings.Repeat("no drawer at all ", 100)), 0o644))
	for _, c := range theCommands() {
		wrong := runWords(c.Name, "--no-such-option")
		require.Equal(t, []any{statusUsage, ""}, []any{wrong.status, wrong.stdout}, "%s: %s",
			c.Name, wrong.stderr)
		tr := trials[c.Name]
		if !hasFlag(c, "drawers") || slices.Contains([]string{"import", "restore", "identify"},
			c.Name) {
			// scripts try the files of two; identify opens a drawer only to keep a reading
			continue
		}
		words := append([]string{c.Name}, tr.operands...)
		for _, o := range tr.options {
			words = append(words, o...)
		}
		got := runWords(append(words, "--drawers", foreign)...)
		require.Equal(t, []any{statusDrawers, ""}, []any{got.status, got.stdout}, "%v: %s",
			words, got.stderr)
	}
}
