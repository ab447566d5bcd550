// Command mutation takes one protective line after the other out of a copy of the program and shows
// that a test notices.
//
//	go run ./testdata/mutation           all of them
//	go run ./testdata/mutation fsync     those with the word in their name
//
// It must be started in the root of the repository. The exit status is 1 when a line may go without
// any test failing.
package main

import (
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"
)

// mutation replaces a text, which must stand in the file exactly once, and names the tests that
// have to fail.
type mutation struct {
	name     string
	file     string
	old, new string
	pack     string
	tests    string
}

const (
	store   = "./inventory/sqlite"
	connect = "inventory/sqlite/drawerfile/connect.go"
	program = "./cmd/sparewright"
)

var mutations = []mutation{
	{"foreign keys on every connection", connect, `q.Set("_foreign_keys", "1")`, ``, store, "TestSettings|TestSchemaRefuses"},
	{"immediate transactions", connect, `q.Set("_txlock", "immediate")`,
		`q.Set("_txlock", "deferred")`, store,
		"TestWritersQueue|TestTwoWritingProcesses"},
	{"synchronous EXTRA, seen in the syncs", connect, `q.Set("_synchronous", "EXTRA")`, ``, store, "TestEverySyncIsMade"},
	{"synchronous EXTRA, not FULL", connect, `"_synchronous", "EXTRA"`, `"_synchronous", "FULL"`, store, "TestEverySyncIsMade"},
	{"synchronous EXTRA, read back", connect, `q.Set("_synchronous", "EXTRA")`, ``, store, "TestSettings"},
	{"trusted_schema off", connect, `PRAGMA trusted_schema = 0; `, ``, store, "TestSettings"},
	{"cell_size_check on", connect, `PRAGMA cell_size_check = 1; `, ``, store, "TestSettings"},
	{"readers cannot write", connect, `q.Set("_query_only", "1")`, ``, store, "TestSettings"},
	{"path through net/url", connect,
		`(&url.URL{Scheme: "file", Path: slashed, RawQuery: q.Encode()}).String()`,
		`(&url.URL{}).String() + "file:" + slashed + "?" + q.Encode()`, store,
		"TestOddPaths|TestDataSource"},
	{"CHECK of a count", "inventory/sqlite/drawerfile/schema/0001_drawer.sql",
		` CHECK (count BETWEEN 0 AND 1e6)`, ``, store,
		"TestSchemaRefuses"},
	{"ledger is never rewritten", "inventory/sqlite/drawerfile/schema/0001_drawer.sql",
		"CREATE TRIGGER movement_is_kept BEFORE DELETE ON movement",
		"CREATE TRIGGER movement_is_kept BEFORE DELETE ON donor", store,
		"TestSchemaRefuses"},
	{"released schema stays", "inventory/sqlite/drawerfile/schema/0001_drawer.sql",
		`-- The drawer file, first form.`,
		`-- The drawer file, form one.`, store, "TestReleasedSchemaFilesStay"},
	{"half-made drawer is undone", "inventory/sqlite/drawerfile/open.go", `!HasJournal(path)`,
		`HasJournal(path) || true`, store,
		"TestDeathAtEveryCall"},
	{"backup is checked against damage", "inventory/sqlite/backup.go",
		`err := source.file.Integrity(ctx); err != nil`,
		`err := error(nil); err != nil`, store, "TestBackupOfDamage"},
	{"backup never overwrites", "inventory/sqlite/drawerfile/backupname.go",
		`case !force:`, `case false:`, store, "TestBackupNames"},
	{"old checksum goes first", "inventory/sqlite/disk/names.go",
		`if err := os.Remove(name + SumSuffix); err != nil && !errors.Is(err, os.ErrNotExist) {`,
		`if err := error(nil); err != nil {`,
		store, "TestDeathDuringBackup"},
	{"restore looks at the checksum", "inventory/sqlite/restore.go", `told != "" && told != sum`,
		`told != "" && told != sum && false`, store,
		"TestFlippedBackups"},
	{"restore holds writers off", "inventory/sqlite/drawerfile/exchange.go", `"BEGIN EXCLUSIVE"`,
		`"SELECT 1"`, store, "TestRestoreWaits"},
	{"restore puts the journal away", "inventory/sqlite/drawerfile/exchange.go",
		`journal := path + "-journal"`,
		`journal := path + "-no-journal"`, store, "TestRestorePutsTheJournal"},
	{"formulas are neutralised", "inventory/exchange/neutral.go",
		`const formulaStart = "=+-@\t\r\x00"`,
		`const formulaStart = "\x00"`, "./inventory/exchange",
		"TestNoFormulaLeaves|TestGuardOnAndOff"},
	{"terminal escapes are neutralised", "cmd/sparewright/internal/ui/safe.go",
		"func Safe(text string) string {\n\tif isPlain(text) {",
		"func Safe(text string) string {\n\tif true {", program + "/internal/ui", "TestSafe"},
	{"fsync of an output file", "cmd/sparewright/internal/frame/output.go", `err = temp.Sync()`, `err = nil`, program, "TestOutputIsSynced"},
	{"fsync of its folder", "cmd/sparewright/internal/frame/output.go", `return folder.Sync()`, `return nil`, program, "TestOutputIsSynced"},
	{"bound on a CSV file", "inventory/exchange/read.go", `case total > most:`,
		`case total > 8*most:`, program,
		"TestMonstrousFiles"},
	{"bound on the rows of a CSV file", "inventory/exchange/scan.go", `maxRows   = 100_000`,
		`maxRows   = 100_000_000`,
		"./inventory/exchange", "TestLimits"},
}

func main() {
	word := ""
	if len(os.Args) > 1 {
		word = os.Args[1]
	}
	unnoticed, err := judge(word)
	if err != nil {
		fmt.Fprintln(os.Stderr, "mutation:", err)
		os.Exit(2)
	}
	if unnoticed > 0 {
		fmt.Fprintf(os.Stderr, "mutation: %d unnoticed\n", unnoticed)
		os.Exit(1)
	}
}

// judge tries every mutation with the word in its name in a copy of the tree and counts those no
// test noticed.
func judge(word string) (unnoticed int, err error) {
	dir, err := os.MkdirTemp("", "mutation-*")
	if err != nil {
		return 0, err
	}
	defer os.RemoveAll(dir)
	if err := copyTree(".", dir); err != nil {
		return 0, err
	}
	for _, m := range mutations {
		if !strings.Contains(m.name, word) {
			continue
		}
		began := time.Now()
		verdict, err := m.try(dir)
		if err != nil {
			return unnoticed, fmt.Errorf("%s: %w", m.name, err)
		}
		if verdict == "UNNOTICED" {
			unnoticed++
		}
		fmt.Printf("%-40s %-9s %s %s (%.0f s)\n", m.name, verdict, m.pack, m.tests,
			time.Since(began).Seconds())
	}
	return unnoticed, nil
}

// copyTree copies the tree without its history.
func copyTree(from, to string) error {
	return filepath.WalkDir(from, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if d.Name() == ".git" {
				return filepath.SkipDir
			}
			return os.MkdirAll(filepath.Join(to, path), 0o755)
		}
		content, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		return os.WriteFile(filepath.Join(to, path), content, 0o644)
	})
}

// try changes one file, runs the tests and puts the file back. The tests must pass first: a test
// that fails anyhow shows nothing. A mutant that does not compile shows nothing either and is an
// error.
func (m mutation) try(dir string) (verdict string, err error) {
	path := filepath.Join(dir, m.file)
	whole, err := os.ReadFile(path)
	if err != nil {
		return "", err
	}
	if n := strings.Count(string(whole), m.old); n != 1 {
		return "", fmt.Errorf("the text stands %d times in %s", n, m.file)
	}
	if out, err := m.test(dir); err != nil {
		return "", fmt.Errorf("fails without being changed:\n%s", out)
	}
	if err := os.WriteFile(path, []byte(strings.Replace(string(whole), m.old, m.new, 1)),
		0o644); err != nil {
		return "", err
	}
	defer func() {
		if back := os.WriteFile(path, whole, 0o644); err == nil {
			err = back
		}
	}()
	out, failed := m.test(dir)
	switch {
	case failed == nil:
		return "UNNOTICED", nil
	case strings.Contains(out, "[build failed]") || !strings.Contains(out, "--- FAIL"):
		return "", fmt.Errorf("shows nothing:\n%s", out)
	}
	return "noticed", nil
}

func (m mutation) test(dir string) (string, error) {
	cmd := exec.Command("go", "test", m.pack, "-run", m.tests)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "SPAREWRIGHT_NEEDS_TOOLS=1")
	out, err := cmd.CombinedOutput()
	return string(out), err
}
