//go:build unix

package sqlite

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sparewright/inventory"
	"sparewright/inventory/sqlite/drawerfile"
)

// A second run of the test program, told by these variables what to do in which folder, is the
// process that is killed, starved of disk or raced against others.
const (
	jobVariable    = "SPAREWRIGHT_TEST_JOB"
	folderVariable = "SPAREWRIGHT_TEST_FOLDER"
)

// jobs acknowledge each piece of work on standard output as soon as the store has returned without
// an error.
var jobs = map[string]func(folder string) error{
	"write":   writeJob,
	"endless": endlessJob,
	"first":   firstJob,
	"count":   countJob,
	"stream":  streamJob,
	"backup":  backupJob,
	"restore": restoreJob,
	"migrate": migrateJob,
	"upgrade": upgradeJob,
}

// doJob runs a job on one thread, because strace counts the calls of each thread by itself.
func doJob(name, folder string) int {
	runtime.LockOSThread()
	if err := jobs[name](folder); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 4
	}
	fmt.Println("done")
	return 0
}

func drawersIn(folder string) string { return filepath.Join(folder, "drawers.db") }

const (
	transactions = 4
	rowsEach     = 10
)

// tenLots is transaction i of the writing job: ten lots in a bin named after it.
func tenLots(i int) []inventory.Lot {
	lots := make([]inventory.Lot, rowsEach)
	for j := range lots {
		l := lot(resistor(float64(1+rowsEach*i+j)), float64(j+1))
		l.Bin = fmt.Sprintf("T%d", i)
		lots[j] = l
	}
	return lots
}

func writeJob(folder string) error {
	s, err := Create(ctx, drawersIn(folder))
	if err != nil {
		return err
	}
	defer s.Close()
	for i := range transactions {
		if _, err := s.Put(ctx, tenLots(i), "job", noon); err != nil {
			return err
		}
		fmt.Println("kept", i)
	}
	return s.Close()
}

// endlessJob writes until it is killed.
func endlessJob(folder string) error {
	s, err := Create(ctx, drawersIn(folder))
	if err != nil {
		return err
	}
	for i := 0; ; i++ {
		if _, err := s.Put(ctx, tenLots(i), "job", noon); err != nil {
			return err
		}
		fmt.Println("kept", i)
	}
}

// firstJob is the very first run of a program that finds no drawer file.
func firstJob(folder string) error {
	s, err := Create(ctx, drawersIn(folder))
	if err != nil {
		return err
	}
	if s.Created() {
		fmt.Println("created")
	}
	return s.Close()
}

// countJob takes one piece a hundred times, each time reading first what there is.
func countJob(folder string) error {
	s, err := Open(ctx, drawersIn(folder), ReadWrite)
	if err != nil {
		return err
	}
	defer s.Close()
	for range 100 {
		if _, err := s.Take(ctx, 1, 1, "job", noon); err != nil {
			return err
		}
	}
	return nil
}

// streamJob puts one piece a transaction into the same lot, a thousand times and further until it
// is told that it is enough. It draws breath after each: on one processor a writer that never
// sleeps keeps every other out until their patience ends.
func streamJob(folder string) error {
	s, err := Open(ctx, drawersIn(folder), ReadWrite)
	if err != nil {
		return err
	}
	defer s.Close()
	for i := 0; i < 1000 || !exists(enoughIn(folder)); i++ {
		if _, err := s.Put(ctx, []inventory.Lot{lot(resistor(10), 1)}, fmt.Sprint(i),
			noon); err != nil {
			return err
		}
		time.Sleep(time.Millisecond)
	}
	return nil
}

// enoughIn is the file whose presence ends a stream.
func enoughIn(folder string) string { return filepath.Join(folder, "enough") }

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

func backupJob(folder string) error {
	s, err := Open(ctx, drawersIn(folder), ReadOnly)
	if err != nil {
		return err
	}
	defer s.Close()
	_, err = s.Backup(ctx, filepath.Join(folder, "copy.db"), true, noon)
	return err
}

func restoreJob(folder string) error {
	_, err := Restore(ctx, filepath.Join(folder, "copy.db"), drawersIn(folder), noon)
	return err
}

// migrateJob brings a drawer of the present form to one that only these tests know; a table others
// refer to is rebuilt.
func migrateJob(folder string) error {
	steps, err := drawerfile.Migrations(drawerfile.SchemaFiles)
	if err != nil {
		return err
	}
	steps = append(steps, drawerfile.Migration{Version: len(steps) + 1, Name: "next",
		SQL: rebuildsLot})
	s, err := openReadWrite(ctx, drawersIn(folder), steps)
	if err != nil {
		return err
	}
	return s.Close()
}

// upgradeJob brings an old drawer to the present form.
func upgradeJob(folder string) error {
	s, err := Open(ctx, drawersIn(folder), ReadWrite)
	if err != nil {
		return err
	}
	return s.Close()
}

// ending is how a job ended.
type ending struct {
	said, complained string
	status           int
	killed           bool
}

// kept lists the transactions acknowledged.
func (e ending) kept() map[int]bool {
	out := map[int]bool{}
	for line := range strings.Lines(e.said) {
		if n, ok := strings.CutPrefix(strings.TrimSuffix(line, "\n"), "kept "); ok {
			if i, err := strconv.Atoi(n); err == nil {
				out[i] = true
			}
		}
	}
	return out
}

func jobCommand(job, folder string, before ...string) *exec.Cmd {
	own, err := os.Executable()
	if err != nil {
		panic(err)
	}
	words := append(before, own)
	cmd := exec.Command(words[0], words[1:]...)
	cmd.Env = append(os.Environ(), jobVariable+"="+job, folderVariable+"="+folder)
	return cmd
}

func run(t testing.TB, cmd *exec.Cmd) ending {
	t.Helper()
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	err := cmd.Run()
	var failed *exec.ExitError
	if err != nil {
		require.ErrorAs(t, err, &failed)
	}
	wait := cmd.ProcessState.Sys().(syscall.WaitStatus)
	return ending{out.String(), errs.String(), wait.ExitStatus(), wait.Signaled()}
}

// survey opens what a job left behind and requires that it is sound, that every transaction is
// there whole or not at all and that none which was acknowledged is missing. It returns how many
// are there; -1 when not even the drawer was made.
func survey(t testing.TB, folder string, e ending) int {
	t.Helper()
	// the reader has to undo what was left half done
	s, err := Open(ctx, drawersIn(folder), ReadOnly)
	if err != nil && len(e.kept()) == 0 {
		open := refused(t, err, "")
		require.True(t, strings.HasSuffix(open.Msg, "does not exist yet") ||
			strings.HasPrefix(open.Msg, "is empty"), open.Msg)
		again, err := Create(ctx, drawersIn(folder))
		require.NoError(t, err, "the next run starts afresh")
		require.True(t, again.Created())
		sound(t, again)
		require.NoError(t, again.Close())
		return -1
	}
	require.NoError(t, err)
	sound(t, s)
	snapshot, err := s.Snapshot(ctx)
	require.NoError(t, err)
	require.NoError(t, s.Close())
	found := map[string]int{}
	for _, l := range snapshot.Lots {
		found[l.Bin]++
	}
	for bin, n := range found {
		require.Equal(t, rowsEach, n, "transaction %s is there in part", bin)
	}
	for i := range e.kept() {
		require.Contains(t, found, fmt.Sprintf("T%d", i), "acknowledged and lost")
	}
	w, err := Open(ctx, drawersIn(folder), ReadWrite)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	return len(found)
}
