package main

import (
	"bytes"
	"context"
	"database/sql"
	"fmt"
	"os"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/frame"
)

// hostile is a text that would clear a screen, set its title, turn the direction of writing, hide,
// break lines, ring, and end a script or a netlist early. It is no valid UTF-8 (RFC 3629).
const hostile = "x\x1b[2J\x1b]0;t\x07\u009b31m\u202ey\u2066z\u200b\xff\x00\r\nINJECTED\n.include " +
	"/etc/passwd\n" +
	".control\u2028\"></script><script>alert(1)</script>\t=cmd|'/c'!A1"

// harm is the first thing in a text that breaks the rules for what may reach a terminal, "" when
// nothing does. The rules are written here a second time: UTF-8; no control characters but line
// break and tab (ECMA-48, C0 and C1); none that turns the direction of writing (Unicode UAX #9,
// section 2) or shows nothing; and no line made by the hostile text.
func harm(text string) string {
	if !utf8.ValidString(text) {
		return "is no UTF-8"
	}
	for _, r := range text {
		if r < 0x20 && r != '\n' && r != '\t' || r >= 0x7f && r <= 0x9f ||
			r >= 0x200b && r <= 0x200f || r == 0x61c ||
			r >= 0x2028 && r <= 0x202e || r >= 0x2060 && r <= 0x206f || r == 0xfeff {
			return fmt.Sprintf("has the character %U", r)
		}
	}
	for line := range strings.Lines(text) {
		line = strings.TrimLeft(line, " \t")
		for _, opening := range []string{"INJECTED", ".include"} {
			if strings.HasPrefix(line, opening) {
				return "has a line that begins with " + opening
			}
		}
	}
	return ""
}

func requireHarmless(t *testing.T, text string, about ...any) {
	t.Helper()
	require.Empty(t, harm(text), "%v\n%q", about, text)
}

// The check finds what it is there to find.
func TestHarmIsFound(t *testing.T) {
	for _, text := range []string{"\x1b[2J", "a\x7f", "\u009b", "\u202e", "\u2066", "\u200b",
		"\ufeff", "\u2028",
		"a\r\n", "\xff", "a\n .include x", "a\nINJECTED"} {
		require.NotEmpty(t, harm(text), "%q", text)
	}
	require.Empty(t, harm("Ω\tb .include\n"))
	require.NotEmpty(t, harm(hostile))
}

// hostileName is what the drawer file takes for a name, at most 64 characters in all, and would
// still end a page, a netlist or a cell of a spreadsheet.
const hostileName = ` "></script><i>'$(id)|=1\\+`

// hostileDrawer writes hostile texts into the drawer file, behind the back of the program: into
// every text, so that the file is damaged, or what its rules let through. With aside true, parts
// are set aside under such a name.
func hostileDrawer(t *testing.T, damaged, aside bool) {
	t.Helper()
	name, free := hostileName, strings.ReplaceAll(hostile, "\xff", "")
	if damaged {
		name, free = hostile, hostile
	}
	db, err := sql.Open("sqlite3", "drawers.db")
	require.NoError(t, err)
	defer db.Close()
	inName, inText := fmt.Sprintf("CAST(x'%x' AS TEXT)", name),
		fmt.Sprintf("CAST(x'%x' AS TEXT)", free)
	const now = "'2026-01-01T00:00:00Z'"
	for _, change := range []string{
		fmt.Sprintf("PRAGMA ignore_check_constraints = %t", damaged),
		"DROP TRIGGER movement_stays",
		"UPDATE lot SET note = " + inText + ", bin = bin || " + inName,
		"UPDATE donor SET name = substr(name, 1, 24) || id || " + inName + ", was = " + inName,
		"UPDATE donor SET plate = " + inText + ", state = " + inText + ", note = " + inText,
		"UPDATE movement SET reason = substr(" + inText + ", 1, 200)",
		"UPDATE figure SET text = substr(" + inText + ", 1, 200) WHERE value IS NOT NULL",
		"INSERT INTO set_aside (lot, count, purpose, at) SELECT id, 1, " + inName + ", " + now +
			fmt.Sprintf(" FROM lot WHERE count > 5 AND %t", aside),
		"INSERT OR REPLACE INTO reading SELECT l.id, f.field, f.value, 0.001, substr(" + inText +
			", 1, 64), " + now +
			" FROM lot l JOIN part p ON p.id = l.part JOIN figure f ON f.part = p.id" +
			" WHERE p.kind = 'resistor' AND f.field = 'resistance'",
		// Without their names the parts of the tables would not be known, and nothing could be
		// built.
		"UPDATE part SET designation = substr(designation, 1, 32) || " + inName +
			" WHERE kind IN ('resistor', 'capacitor', 'trimmer', 'choke', 'fuse', 'led')",
	} {
		_, err := db.Exec(change)
		require.NoError(t, err, change)
	}
}

// Whatever somebody else wrote into the drawer file comes out harmless, from every command, as text
// and as document, on both streams and in the file written. A file that breaks its own rules may be
// refused, harmlessly.
func TestHostileDrawerInEveryCommand(t *testing.T) {
	everyTrial(t, func(t *testing.T, name string, tr trial) {
		if name == "donor" {
			tr.operands = nil // the name is another now
		}
		calls := [][]string{tr.toScreen(name), tr.words(name)}
		if tr.schema != "" {
			calls = append(calls, tr.document(name))
		}
		for _, damaged := range []bool{false, true} {
			for _, words := range calls {
				trialFolder(t, tr)
				hostileDrawer(t, damaged, name != "undo" && name != "redo")
				got := tr.call(words...)
				// What a drawer may hold goes out as it is: invisible spaces, lines of a note in
				// quotes.
				if name == "export" {
					got.stdout = strings.NewReplacer("\u200b", "", "\n", " ").Replace(got.stdout)
				}
				requireHarmless(t, got.stdout, words)
				requireHarmless(t, got.stderr, words)
				require.Less(t, got.status, frame.StatusInternal, got.stderr)
				// these two tell what is wrong in it
				if !damaged && name != "check" && name != "backup" && name != "redo" {
					require.Equal(t, tr.status, got.status, got.stderr)
				}
				if written, err := os.ReadFile("out"); err == nil && name != "export" {
					requireHarmless(t, string(written), words)
					require.False(t, strings.HasPrefix(string(written), "<!") &&
						strings.Contains(string(written), "<i>"),
						"no markup of the drawer gets into a page")
				}
			}
		}
	})
}

// Whatever is typed comes back harmless: as a word, as an unknown option, as the value of every
// option, from standard input.
func TestHostileWordsInEveryCommand(t *testing.T) {
	everyTrial(t, func(t *testing.T, name string, tr trial) {
		trialFolder(t, tr)
		tried := 0
		try := func(words ...string) {
			var out, errs bytes.Buffer
			status := run(context.Background(), strings.NewReader(hostile+"\n"), &out, &errs, words)
			require.Less(t, status, frame.StatusInternal, "%q\n%s", words, errs.String())
			requireHarmless(t, out.String(), words)
			requireHarmless(t, errs.String(), words)
			tried++
		}
		try(name, hostile)
		try(name, "--"+hostile)
		try(append(tr.toScreen(name), hostile)...)
		try(append(trial{operands: tr.operands}.words(name), "--", hostile)...)
		for i := range tr.operands {
			words := trial{operands: append([]string(nil), tr.operands...), options: tr.options}
			words.operands[i] = hostile
			try(words.toScreen(name)...)
		}
		for _, c := range theCommands() {
			for _, f := range c.Flags {
				if c.Name == name && frame.TakesValue(f) && f.Names()[0] != "output" {
					try(append(trial{operands: tr.operands}.words(name),
						frame.Dashed(f.Names()[0]), hostile)...)
				}
			}
		}
		require.GreaterOrEqual(t, tried, 4)
	})
	for _, c := range []string{hostile, "-" + hostile, "--" + hostile + "=" + hostile} {
		got := runWords(c, hostile)
		require.Equal(t, frame.StatusUsage, got.status)
		requireHarmless(t, got.stderr)
	}
}

// outputs are the commands that write a file with -o. (The --output of network is a voltage.)
func outputs() []*cli.Command {
	var list []*cli.Command
	for _, c := range theCommands() {
		if hasFlag(c, "o") {
			list = append(list, c)
		}
	}
	return list
}

// No command writes over a file unasked, nor over a drawer file ever; with --force the file is
// replaced whole.
func TestOutputOfEveryCommand(t *testing.T) {
	for _, c := range outputs() {
		t.Run(c.Name, func(t *testing.T) {
			tr := trials[c.Name]
			require.True(t, hasFlag(c, "force"), "a command with --output has --force")
			trialFolder(t, tr)
			words := append(trial{operands: tr.operands,
				options: withoutOutput(tr.options)}.words(c.Name), "-o")
			drawer, err := os.ReadFile("drawers.db")
			require.NoError(t, err)
			require.NoError(t, os.WriteFile("old", []byte("old"), 0o600))
			require.NoError(t, os.Symlink("drawers.db", "other"))
			require.NoError(t, os.Link("drawers.db", "third"))
			require.NoError(t, os.Symlink("nowhere", "loose"))
			require.NoError(t, os.Mkdir("folder", 0o755))
			for _, row := range []struct {
				words  []string
				status int
			}{
				{[]string{"old"}, frame.StatusOutput}, {[]string{"drawers.db"}, frame.StatusOutput},
				{[]string{"folder"}, frame.StatusOutput},
				{[]string{"drawers.db", "--force"}, frame.StatusOutput},
				{[]string{"other", "--force"}, frame.StatusOutput},
				{[]string{"third", "--force"}, frame.StatusOutput},
				{[]string{"missing/out"}, frame.StatusOutput}, {[]string{""}, frame.StatusUsage},
				{[]string{"folder", "--force"}, frame.StatusOutput},
				{[]string{"loose"}, frame.StatusOutput},
			} {
				got := tr.call(append(words, row.words...)...)
				require.Equal(t, row.status, got.status, "%q\n%s", row.words, got.stderr)
				require.Empty(t, got.stdout)
			}
			now, err := os.ReadFile("drawers.db")
			require.NoError(t, err)
			require.Equal(t, drawer, now)
			old, err := os.ReadFile("old")
			require.NoError(t, err)
			require.Equal(t, "old", string(old))
			require.Equal(t, frame.StatusDone, tr.call(append(words, "old", "--force")...).status)
			require.Equal(t, frame.StatusDone, tr.call(append(words, "new")...).status)
			replaced, err := os.ReadFile("old")
			require.NoError(t, err)
			fresh, err := os.ReadFile("new")
			require.NoError(t, err)
			require.Equal(t, string(fresh), string(replaced))
			left, err := os.ReadDir(".")
			require.NoError(t, err)
			require.Len(t, left, 9, "no temporary file stays: %v", left)
		})
	}
	require.GreaterOrEqual(t, len(outputs()), 4)
}
