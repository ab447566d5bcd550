package main

import (
	"crypto/sha256"
	"database/sql"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	// registers the driver by which a script makes foreign and hostile files
	_ "github.com/mattn/go-sqlite3"
	"github.com/rogpeppe/go-internal/testscript"
	"github.com/stretchr/testify/require"
)

// programs are what the test binary can stand in for, by name.
var programs = map[string]func(){"sparewright": main}

// TestMain makes the test binary stand in for the program: a script that runs sparewright runs main
// of this package.
func TestMain(m *testing.M) {
	testscript.Main(m, programs)
}

// TestScripts runs the sessions of testdata/script. Beside what testscript knows, they may say:
//
//	exits N command ... run a command, whose exit status must be N; from 2 up its standard output
//	      must be empty and
//	                      its standard error consist of short lines that begin with "sparewright:"
//	      or "hint:"
//	remember FILE         note the content of a file (or that there is none)
//	unchanged FILE        the content is the same as when remembered
//	sql FILE STATEMENT    change a database file behind the back of the program
//	bytes FILE TEXT       write a file; TEXT is a quoted Go string
func TestScripts(t *testing.T) {
	all, err := filepath.Glob(filepath.Join("..", "..", "testdata", "script", "*.txtar"))
	require.NoError(t, err)
	if testing.Short() {
		all = slices.DeleteFunc(all, func(file string) bool {
			return slices.Contains(searchingSessions,
				strings.TrimSuffix(filepath.Base(file), ".txtar"))
		})
	}
	testscript.Run(t, testscript.Params{
		Files: all,
		Setup: func(env *testscript.Env) error {
			env.Setenv("HOME", filepath.Join(env.WorkDir, "home"))
			env.Setenv("XDG_DATA_HOME", filepath.Join(env.WorkDir, "data"))
			env.Setenv("SPAREWRIGHT_DRAWERS", "")
			env.Setenv("TZ", "UTC")
			testdata, err := filepath.Abs(filepath.Join("..", "..", "testdata"))
			if err != nil {
				return err
			}
			env.Setenv("TESTDATA", testdata)
			env.Values[sums{}] = map[string]string{}
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exits": scriptExits, "remember": scriptRemember, "unchanged": scriptUnchanged,
			"sql":   scriptSQL,
			"bytes": scriptBytes,
		},
		Condition: func(name string) (bool, error) {
			if name == "root" {
				return os.Geteuid() == 0, nil
			}
			return false, fmt.Errorf("unknown condition %q", name)
		},
	})
}

// searchingSessions search the built-in drawer again and again; -short leaves them out.
var searchingSessions = []string{"advise", "donors", "netlist", "plan", "reserve", "reserved_build",
	"sheet", "shop_prices", "survey_shop",
	"swap", "tune", "measured_step"}

type sums struct{}

func scriptExits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits status command ...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		failed, ok := err.(*exec.ExitError)
		if !ok {
			ts.Fatalf("%v", err)
		}
		got = failed.ExitCode()
	}
	if got != want {
		ts.Fatalf("exit status %d, want %d\n%s%s", got, want, ts.ReadFile("stdout"),
			ts.ReadFile("stderr"))
	}
	if want >= 2 {
		checkComplaint(ts, ts.ReadFile("stdout"), ts.ReadFile("stderr"))
	}
}

// checkComplaint holds what a failed call printed against the rules for every error.
func checkComplaint(ts *testscript.TestScript, stdout, stderr string) {
	if stdout != "" {
		ts.Fatalf("standard output is not empty: %q", stdout)
	}
	lines := strings.Split(strings.TrimSuffix(stderr, "\n"), "\n")
	for i, line := range lines {
		hint := strings.HasPrefix(line, "hint: ") && i > 0 && i == len(lines)-1
		if !strings.HasPrefix(line, "sparewright: ") && !hint {
			ts.Fatalf("odd line %q", line)
		}
		if len(line) > 300 || strings.HasSuffix(line, ".") {
			ts.Fatalf("line too long or ends with a full stop: %q", line)
		}
		for _, r := range line {
			if r < ' ' || r >= 0x7f && r < 0xa0 || r >= 0x202a && r <= 0x202e {
				ts.Fatalf("unsafe line %q", line)
			}
		}
	}
}

func scriptRemember(ts *testscript.TestScript, neg bool, args []string) {
	for _, name := range args {
		ts.Value(sums{}).(map[string]string)[name] = contentOf(ts, name)
	}
}

func scriptUnchanged(ts *testscript.TestScript, neg bool, args []string) {
	for _, name := range args {
		before, known := ts.Value(sums{}).(map[string]string)[name]
		if !known {
			ts.Fatalf("%s was never remembered", name)
		}
		if now := contentOf(ts, name); (now != before) != neg {
			ts.Fatalf("%s: before %s, now %s", name, before, now)
		}
	}
}

// contentOf sums up a file, with the names that lie beside it, so that a journal left behind shows.
func contentOf(ts *testscript.TestScript, name string) string {
	path := ts.MkAbs(name)
	content, err := os.ReadFile(path)
	if os.IsNotExist(err) {
		return "no such file"
	}
	ts.Check(err)
	journal := "no journal"
	if _, err := os.Stat(path + "-journal"); err == nil {
		journal = "journal"
	}
	return fmt.Sprintf("%x, %s", sha256.Sum256(content), journal)
}

func scriptSQL(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: sql file statement")
	}
	db, err := sql.Open("sqlite3", ts.MkAbs(args[0]))
	ts.Check(err)
	_, err = db.Exec(args[1])
	ts.Check(err)
	ts.Check(db.Close())
}

func scriptBytes(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: bytes file text")
	}
	text, err := strconv.Unquote(`"` + args[1] + `"`)
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(text), 0o644))
}
