package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/keep"
	"sparewright/testdata/outside"
)

// called runs the real program, under other words when some come before.
func called(t *testing.T, dir string, before []string, words ...string) outcome {
	t.Helper()
	all := append(append([]string{}, before...), append([]string{"sparewright"}, words...)...)
	cmd := exec.Command(all[0], all[1:]...)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), drawer.DrawersVariable+"="+filepath.Join(dir, "drawers.db"))
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	if err := cmd.Run(); err != nil {
		var failed *exec.ExitError
		require.ErrorAs(t, err, &failed)
	}
	return outcome{cmd.ProcessState.ExitCode(), out.String(), errs.String()}
}

// strikes makes the n-th call of one name fail, as strace counts: each thread by itself.
func strikes(t *testing.T, dir, call, harm string, n int, words ...string) (out outcome, hit bool) {
	t.Helper()
	log := filepath.Join(t.TempDir(), "strace.log")
	out = called(t, dir, []string{"strace", "-f", "-qq", "-o", log, "-e", "trace=" + call,
		"-e", "signal=none",
		"-e", fmt.Sprintf("inject=%s:error=%s:when=%d", call, harm, n)}, words...)
	text, err := os.ReadFile(log)
	require.NoError(t, err)
	return out, bytes.Contains(text, []byte("INJECTED"))
}

// The disk fails at one call after the other: the program ends with its status, says why in plain
// words, claims no success on standard output, and leaves a sound drawer with the lot in it or not.
func TestCommandsOnFailingDisk(t *testing.T) {
	outside.Need(t, "strace")
	for _, c := range []struct {
		call, harm, says string
		step             int
	}{
		{"pwrite64", "ENOSPC", "the disk is full", 4},
		{"pwrite64", "EIO", "the disk reports an error", 4},
		{"fsync", "EIO", "the disk reports an error", 1},
	} {
		points := 0
		for n := 1; ; n += c.step {
			dir := t.TempDir()
			require.Zero(t, called(t, dir, nil, "put", "fuse", "T1A", "current=1A").status)
			got, hit := strikes(t, dir, c.call, c.harm, n, "put", "fuse", "T2A", "current=2A")
			listed := called(t, dir, nil, "list")
			require.Zero(t, listed.status, listed.stderr)
			there := strings.Contains(listed.stdout, "T2A")
			require.Zero(t, called(t, dir, nil, "check").status)
			if !hit {
				require.Zero(t, got.status, got.stderr)
				require.True(t, there)
				break
			}
			points++
			if got.status == 0 {
				require.True(t, there, "success was claimed")
				continue
			}
			require.Equal(t, frame.StatusDrawers, got.status)
			require.Empty(t, got.stdout)
			require.Regexp(t, `^sparewright: drawer file ".*": `+c.says+`.*\nhint: .*\n$`,
				got.stderr)
			if strings.Contains(got.stderr, "nothing was changed") {
				require.False(t, there)
			}
		}
		require.Greater(t, points, 3, c.call)
		t.Logf("CASES %s: %s %s, %d points", t.Name(), c.call, c.harm, points)
	}
}

// An output file that cannot be brought to the disk is an error of the output, and no such file
// appears.
func TestOutputOnFailingDisk(t *testing.T) {
	outside.Need(t, "strace")
	for name, words := range map[string][]string{
		"out.csv": {"export", "-o", "out.csv"}, "copy.db": {"backup", "copy.db"},
	} {
		dir := t.TempDir()
		require.Zero(t, called(t, dir, nil, "put", "fuse", "T1A", "current=1A").status)
		got, hit := strikes(t, dir, "fsync", "EIO", 1, words...)
		require.True(t, hit)
		require.Equal(t, frame.StatusOutput, got.status, got.stderr)
		require.Empty(t, got.stdout)
		require.NoFileExists(t, filepath.Join(dir, name))
		left, err := os.ReadDir(dir)
		require.NoError(t, err)
		require.Len(t, left, 1, "nothing is left behind")
	}
}

// A written file is on the disk before it has its name, and the name before success is claimed.
func TestOutputIsSynced(t *testing.T) {
	outside.Need(t, "strace")
	for _, force := range []string{"--raw", "--force"} {
		dir := t.TempDir()
		log := filepath.Join(dir, "log")
		require.Zero(t, called(t, dir, []string{"strace", "-f", "-y", "-qq", "-o", log, "-e",
			"trace=fsync,linkat,renameat", "-e",
			"signal=none"}, "export", "--demo", "-o", filepath.Join(dir, "out.csv"), force).status)
		text, err := os.ReadFile(log)
		require.NoError(t, err)
		var order []string
		for line := range strings.Lines(string(text)) {
			switch {
			case strings.Contains(line, "fsync(") && strings.Contains(line, "/.sparewright-"):
				order = append(order, "content")
			case strings.Contains(line, "fsync(") && strings.Contains(line, dir+">"):
				order = append(order, "folder")
			case strings.Contains(line, "out.csv"):
				order = append(order, "name")
			}
		}
		require.Equal(t, []string{"content", "name", "folder"}, order)
	}
}

// Untrusted files are refused with status 3 and little memory: 100 MiB at most (own rule; a bound
// of 16 MiB on the text is what keeps it).
func TestMonstrousFiles(t *testing.T) {
	const head = "kind,designation,count,figures\n"
	long := func(text string, n int) []byte { return bytes.Repeat([]byte(text), n) }
	dir := t.TempDir()
	sparse := filepath.Join(dir, "sparse.csv")
	require.NoError(t, os.WriteFile(sparse, nil, 0o644))
	require.NoError(t, os.Truncate(sparse, 4<<30))
	for _, c := range []struct {
		name    string
		content []byte
		says    string
	}{
		{"64 MiB", long(head, 64<<20/len(head)), "larger than 16 MiB"},
		{"columns", long(",", 1e6), "more than 64 fields"},
		{"columns of rows", append([]byte(head), long(",", 1e6)...), "more than 64 fields"},
		{"rows", append([]byte(head), long("fuse,a,1,c=1\n", 1e6)...), "more than 100000 rows"},
		{"faults", append([]byte(head), long("fuse,a,1,c=1\n", 9e4)...), "and 981 more"},
		{"right rows", append([]byte(head), long("fuse,a,1,current=1\n", 8e5)...),
			"more than 100000 rows"},
		{"empty lines", append(append([]byte(head), long("\n", 15<<20)...), "x\n"...),
			":15728642:1: row: 1 fields"},
		{"open quote", append([]byte(head+`fuse,"`), long("x", 15<<20)...), "never closed"},
		{"NUL", append([]byte(head), long("\x00", 1<<20)...), "not UTF-8 text"},
		{"UTF-16", append([]byte("\xff\xfe"), long("k\x00", 1<<20)...), "UTF-16"},
		{"sparse", nil, "larger than 16 MiB"},
	} {
		name := filepath.Join(dir, "monster.csv")
		if c.content == nil {
			name = sparse
		} else {
			require.NoError(t, os.WriteFile(name, c.content, 0o644))
		}
		for _, way := range []string{name, "-"} {
			cmd := exec.Command("sparewright-weighed", filepath.Join(dir, "used"), "import",
				way, "--drawers",
				filepath.Join(dir, "never.db"))
			in, err := os.Open(name)
			require.NoError(t, err)
			cmd.Stdin = in
			out, err := cmd.CombinedOutput()
			require.Error(t, err)
			require.NoError(t, in.Close())
			require.Equal(t, frame.StatusData, cmd.ProcessState.ExitCode(), "%s: %s", c.name, out)
			require.Regexp(t, c.says, string(out), c.name)
			require.LessOrEqual(t, bytes.Count(out, []byte("\n")), frame.MostFaults+1)
			text, err := os.ReadFile(filepath.Join(dir, "used"))
			require.NoError(t, err)
			used, err := strconv.Atoi(string(text))
			require.NoError(t, err)
			used >>= 10
			require.Less(t, used, 100, "%s took %d MiB", c.name, used)
			t.Logf("CASES %s: %s by %.1s: %d MiB", t.Name(), c.name, way, used)
			require.NoFileExists(t, filepath.Join(dir, "never.db"))
		}
	}
}

// Commands that read leave the bytes and the time of the drawer file alone, and work for a user who
// may write neither the file nor its folder. What writes is refused there and changes nothing.
func TestReadingForOthers(t *testing.T) {
	dir, program := publicPlace(t)
	require.Zero(t, called(t, dir, nil, "import", filepath.Join(dir, "demo.csv")).status)
	drawers := filepath.Join(dir, "drawers.db")
	require.NoError(t, os.Chmod(drawers, 0o444))
	require.NoError(t, os.Chmod(dir, 0o555))
	t.Cleanup(func() { os.Chmod(dir, 0o755) })
	before := stateOf(t, drawers)
	target := []string{"--chemistry", "li-ion", "--cells", "4", "--current", "1"}
	elsewhere := filepath.Join(filepath.Dir(program), "out")
	for _, c := range []struct {
		status int
		words  []string
	}{
		{0, ask("list")}, {0, ask("show", "1")}, {0, ask("export")}, {0, ask("check")},
		{0, ask("check", "--json")},
		{0, ask("import", filepath.Join(dir, "demo.csv"), "--dry-run")},
		{0, ask("backup", elsewhere+".db")}, {0, ask("export", "-o", elsewhere+".csv")},
		{0, ask("advise", target...)}, {0, ask("shop", target...)}, {0, ask("netlist", target...)},
		{0, ask("sheet", append(target, "--text")...)},
		{4, ask("put", "fuse", "T1A", "current=1A")}, {4, ask("take", "1", "1")},
		{4, ask("import", filepath.Join(dir, "demo.csv"))},
		{5, ask("backup", filepath.Join(dir, "copy.db"))},
		{4, ask("restore", elsewhere+".db")},
	} {
		cmd := exec.Command(program, c.words...)
		cmd.Args[0] = "sparewright"
		cmd.Env = append(os.Environ(), drawer.DrawersVariable+"="+drawers)
		cmd.Dir = "/"
		if os.Geteuid() == 0 {
			cmd.SysProcAttr = &syscall.SysProcAttr{
				Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
		}
		out, _ := cmd.CombinedOutput()
		require.Equal(t, c.status, cmd.ProcessState.ExitCode(), "%v\n%s", c.words, out)
		require.Equal(t, before, stateOf(t, drawers), "%v changed the drawer", c.words)
	}
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, left, 2, "nothing appeared beside the drawer")
}

// publicPlace is a folder with the demo drawer as CSV and, in another one where everybody may
// write, the program.
func publicPlace(t *testing.T) (dir, program string) {
	t.Helper()
	root := t.TempDir()
	require.NoError(t, os.Chmod(filepath.Dir(root), 0o755))
	dir = filepath.Join(root, "drawers")
	open := filepath.Join(root, "open")
	for name, mode := range map[string]os.FileMode{root: 0o755, dir: 0o755, open: 0o777} {
		require.NoError(t, os.MkdirAll(name, 0o755))
		require.NoError(t, os.Chmod(name, mode))
	}
	require.Zero(t, called(t, dir, nil, "export", "--demo", "-o", "demo.csv").status)
	own, err := exec.LookPath("sparewright")
	require.NoError(t, err)
	content, err := os.ReadFile(own)
	require.NoError(t, err)
	program = filepath.Join(open, "sparewright")
	require.NoError(t, os.WriteFile(program, content, 0o755))
	return dir, program
}

func stateOf(t *testing.T, path string) string {
	t.Helper()
	content, err := os.ReadFile(path)
	require.NoError(t, err)
	info, err := os.Stat(path)
	require.NoError(t, err)
	return fmt.Sprintf("%x %d", content, info.ModTime().UnixNano())
}

// lotsIn counts the lots of a drawer file, 0 when there is none.
func lotsIn(t *testing.T, dir string) int {
	t.Helper()
	got := called(t, dir, nil, "check", "--json")
	if got.status == frame.StatusDrawers {
		require.Regexp(t, "does not exist yet|is empty", got.stderr)
		return 0
	}
	require.Zero(t, got.status, got.stdout)
	var doc keep.CheckJSON
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &doc))
	return doc.Lots
}
