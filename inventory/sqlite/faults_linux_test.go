package sqlite

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/inventory/sqlite/disk"
	"sparewright/inventory/sqlite/drawerfile"
	"sparewright/testdata/outside"
)

// With these calls the jobs change the disk; the Go library unlinks, links and renames with the
// ...at forms.
var changingCalls = []string{"pwrite64", "fsync", "fdatasync", "ftruncate", "unlink", "unlinkat",
	"linkat", "renameat", "write"}

// withFault runs a job under strace, which does the harm at the n-th call of one name.
func withFault(t testing.TB, job, folder, call, harm, when string) (e ending, hit bool) {
	t.Helper()
	log := filepath.Join(t.TempDir(), "strace.log")
	e = run(t, jobCommand(job, folder, "strace", "-f", "-qq", "-o", log, "-e", "trace="+call,
		"-e", "signal=none",
		"-e", fmt.Sprintf("inject=%s:%s:when=%s", call, harm, when)))
	if e.killed {
		return e, true
	}
	text, err := os.ReadFile(log)
	require.NoError(t, err)
	return e, bytes.Contains(text, []byte("INJECTED"))
}

// eachFault does the harm at the first, second, third ... call of each name, until a run comes
// through unharmed, which must then have done all its work. The lesson is that of SQLite's own
// tests (testing.html, sections 3.1 to 3.3). Of the many writes the short form takes every fifth.
func eachFault(t *testing.T, job, harm string, calls []string, prepare func(folder string),
	after func(string, ending)) {
	t.Helper()
	points := 0
	root := t.TempDir()
	prepared, folder := filepath.Join(root, "prepared"), filepath.Join(root, "tried")
	require.NoError(t, os.Mkdir(prepared, 0o700))
	prepare(prepared)
	for _, call := range calls {
		if call == "write" && harm != "signal=KILL" {
			continue // answers on standard output, and the runtime's own pipes
		}
		harm, from, _ := strings.Cut(harm, " ")
		step := 1
		if call == "pwrite64" && !long() {
			step = 5
		}
		for n := 1; ; n += step {
			require.NoError(t, os.RemoveAll(folder))
			require.NoError(t, os.CopyFS(folder, os.DirFS(prepared)))
			e, hit := withFault(t, job, folder, call, harm, strconv.Itoa(n)+from)
			if !hit {
				require.Zero(t, e.status, "%s %d: %s", call, n, e.complained)
				require.True(t, strings.HasSuffix(e.said, "done\n"))
				break
			}
			after(folder, e)
			points++
		}
	}
	require.Greater(t, points, 10, "so few calls: the job is not traced")
	report(t, "%d points", points)
}

// report leaves the number of cases where -v shows it.
func report(t *testing.T, format string, args ...any) {
	t.Helper()
	t.Logf("CASES %s: "+format, append([]any{t.Name()}, args...)...)
}

func nothing(string) {}

// What a power cut would need cannot be tried here, but whether the calls are made can be seen. For
// a transaction in this mode SQLite has to bring to the disk, in this order: the journal, its name,
// the journal's header, the drawer, and that the journal is gone (atomiccommit.html, sections 3.7
// to 3.11; pragma.html#pragma_synchronous, EXTRA, for the last).
func TestEverySyncIsMade(t *testing.T) {
	outside.Need(t, "strace")
	folder := t.TempDir()
	log := filepath.Join(t.TempDir(), "strace.log")
	e := run(t, jobCommand("write", folder, "strace", "-f", "-y", "-qq", "-o", log, "-e",
		"trace=fsync,fdatasync,unlink,write",
		"-e", "signal=none"))
	require.Zero(t, e.status, e.complained)
	text, err := os.ReadFile(log)
	require.NoError(t, err)
	require.Equal(t, "journal folder journal drawer gone folder "+
		strings.Repeat("journal folder journal drawer gone folder said ",
			transactions), syncs(string(text), folder))
}

// syncs tells a log of strace in words.
func syncs(log, folder string) string {
	var out strings.Builder
	for line := range strings.Lines(log) {
		switch {
		case strings.Contains(line, "write(") && strings.Contains(line, "kept"):
			out.WriteString("said ")
		case strings.Contains(line, "unlink(") && strings.Contains(line, "drawers.db-journal"):
			out.WriteString("gone ")
		case !strings.Contains(line, "sync("):
		case strings.Contains(line, "drawers.db-journal>"):
			out.WriteString("journal ")
		case strings.Contains(line, "drawers.db>"):
			out.WriteString("drawer ")
		case strings.Contains(line, folder+">"):
			out.WriteString("folder ")
		}
	}
	return out.String()
}

// Killed at every call that changes the disk, during the making of the drawer and four
// transactions.
func TestDeathAtEveryCall(t *testing.T) {
	t.Parallel()
	outside.Need(t, "strace")
	eachFault(t, "write", "signal=KILL", changingCalls, nothing, func(folder string, e ending) {
		survey(t, folder, e)
	})
}

// The disk refuses one call, or every call from then on: the job ends with an error in plain words,
// claims nothing it has not done, and "nothing was changed" is true when it says so.
func TestDiskErrorAtEveryCall(t *testing.T) {
	t.Parallel()
	outside.Need(t, "strace")
	for _, c := range []struct {
		harm, says string // a plus after the harm: from that call on
		calls      []string
	}{
		{"error=ENOSPC", "the disk is full", []string{"pwrite64"}},
		{"error=ENOSPC +", "the disk is full", []string{"pwrite64"}},
		{"error=EIO", "the disk reports an error", []string{"pwrite64", "fsync", "ftruncate",
			"unlink"}},
		{"error=EIO +", "the disk reports an error", []string{"fsync"}},
	} {
		t.Run(c.harm, func(t *testing.T) {
			eachFault(t, "write", c.harm, c.calls, nothing, func(folder string, e ending) {
				found := survey(t, folder, e)
				if e.status == 0 {
					require.Equal(t, transactions, found, "ended well, so all must be there")
					return
				}
				require.Equal(t, 4, e.status)
				require.NotContains(t, e.said, "done")
				require.Contains(t, e.complained, c.says)
				if strings.Contains(e.complained, "nothing was changed") {
					require.LessOrEqual(t, found, len(e.kept()))
				}
			})
		})
	}
}

// drawerOf makes a drawer with the first n transactions in a folder.
func drawerOf(t testing.TB, folder string, n int) {
	t.Helper()
	s, err := Create(ctx, drawersIn(folder))
	require.NoError(t, err)
	for i := range n {
		put(t, s, tenLots(i)...)
	}
	require.NoError(t, s.Close())
}

// A backup that is killed leaves under its name nothing, the older backup, or the whole new one,
// and no checksum of another.
func TestDeathDuringBackup(t *testing.T) {
	t.Parallel()
	outside.Need(t, "strace")
	for name, older := range map[string]int{"first": 0, "over an older one": 1} {
		t.Run(name, func(t *testing.T) {
			prepare := func(folder string) {
				if older > 0 {
					drawerOf(t, folder, older)
					require.NoError(t, backupJob(folder))
					s, err := Open(ctx, drawersIn(folder), ReadWrite)
					require.NoError(t, err)
					put(t, s, tenLots(older)...)
					require.NoError(t, s.Close())
					return
				}
				drawerOf(t, folder, 2)
			}
			eachFault(t, "backup", "signal=KILL", changingCalls, prepare,
				func(folder string, e ending) {
					require.Equal(t, 2, survey(t, folder, e), "the drawer is not touched")
					copied := filepath.Join(folder, "copy.db")
					if _, err := os.Stat(copied); os.IsNotExist(err) {
						require.Zero(t, older, "the older backup is lost")
						require.NoFileExists(t, copied+disk.SumSuffix)
						return
					}
					c, err := Open(ctx, copied, ReadOnly)
					require.NoError(t, err)
					sound(t, c)
					require.NoError(t, c.Close())
					told, err := disk.ReadSum(copied)
					require.NoError(t, err)
					if is, err := disk.SumOf(copied); err != nil || told != "" {
						require.Equal(t, told, is)
					}
				})
		})
	}
}

// A restore that is killed leaves the old drawer or the restored one, and the old one is never
// lost.
func TestDeathDuringRestore(t *testing.T) {
	t.Parallel()
	outside.Need(t, "strace")
	prepare := func(folder string) {
		drawerOf(t, folder, 1)
		require.NoError(t, backupJob(folder))
		s, err := Open(ctx, drawersIn(folder), ReadWrite)
		require.NoError(t, err)
		put(t, s, tenLots(1)...)
		require.NoError(t, s.Close())
	}
	eachFault(t, "restore", "signal=KILL", changingCalls, prepare, func(folder string, e ending) {
		if survey(t, folder, e) == 1 {
			kept, err := filepath.Glob(drawersIn(folder) + ".before-restore-*")
			require.NoError(t, err)
			require.Len(t, kept, 1)
			require.NoError(t, os.Rename(kept[0], drawersIn(folder)))
			require.Equal(t, 2, survey(t, folder, e))
		}
	})
}

// A migration that is killed leaves the old form or the new one, with every row, and the next run
// completes it.
func TestDeathDuringMigration(t *testing.T) {
	t.Parallel()
	outside.Need(t, "strace")
	prepare := func(folder string) { drawerOf(t, folder, 1) }
	eachFault(t, "migrate", "signal=KILL", changingCalls, prepare, func(folder string, _ ending) {
		h, err := drawerfile.ReadHeader(drawersIn(folder))
		require.NoError(t, err)
		require.Contains(t, []int{present(t), present(t) + 1}, h.Version)
		require.NoError(t, migrateJob(folder))
		db := drawerfile.Connect(drawersIn(folder), drawerfile.Reading)
		defer db.Close()
		var version, lots, moved int
		require.NoError(t, db.Get(&version, "PRAGMA user_version"))
		require.NoError(t, db.Get(&lots, "SELECT count(shelf) FROM lot"))
		require.NoError(t, db.Get(&moved, "SELECT count(*) FROM movement"))
		require.Equal(t, []int{present(t) + 1, rowsEach, rowsEach}, []int{version, lots, moved})
		for _, copied := range globFor(t, drawersIn(folder)+".form-*") {
			if !strings.HasSuffix(copied, disk.SumSuffix) {
				c, err := Open(ctx, copied, ReadOnly)
				require.NoError(t, err)
				sound(t, c)
				require.NoError(t, c.Close())
			}
		}
	})
}

// The first form that was released, killed on its way to the present one.
func TestDeathDuringUpgrade(t *testing.T) {
	t.Parallel()
	outside.Need(t, "strace")
	old, err := os.ReadFile("testdata/form-1.drawer")
	require.NoError(t, err)
	held, err := os.ReadFile("testdata/form-1.csv")
	require.NoError(t, err)
	prepare := func(folder string) {
		require.NoError(t,
			os.WriteFile(drawersIn(folder), old, 0o600))
	}
	eachFault(t, "upgrade", "signal=KILL", changingCalls, prepare, func(folder string, _ ending) {
		s, err := Open(ctx, drawersIn(folder), ReadWrite) // completes what was not done
		require.NoError(t, err)
		sound(t, s)
		now, faults := exchange.Read(strings.NewReader(exported(t, s)), "now")
		require.Empty(t, faults)
		then, faults := exchange.Read(strings.NewReader(string(held)), "now")
		require.Empty(t, faults)
		require.Equal(t, then, now) // the text of a figure may be written otherwise than then
		require.NoError(t, s.Close())
	})
}

// Torn writes: a process killed at a write leaves a pair of files; the last writes of a power cut
// may be there in part. A journal torn before anything was written to the drawer must be harmless,
// a first page torn after the journal was complete must be mended from it.
func TestTornFiles(t *testing.T) {
	t.Parallel()
	outside.Need(t, "strace")
	random := rand.New(rand.NewPCG(1, 2))
	cases := 0
	base, folder := t.TempDir(), t.TempDir()
	drawerOf(t, base, 0)
	s, err := Open(ctx, drawersIn(base), ReadWrite)
	require.NoError(t, err)
	put(t, s, tenLots(50)...)
	require.NoError(t, s.Close())
	clean, err := os.ReadFile(drawersIn(base))
	require.NoError(t, err)
	for n := 1; ; n++ {
		_ = os.Remove(drawersIn(folder) + "-journal")
		require.NoError(t, os.WriteFile(drawersIn(folder), clean, 0o600))
		e, hit := withFault(t, "write", folder, "pwrite64", "signal=KILL", strconv.Itoa(n))
		require.True(t, hit)
		if len(e.kept()) > 0 {
			break
		}
		data, err := os.ReadFile(drawersIn(folder))
		require.NoError(t, err)
		journal, err := os.ReadFile(drawersIn(folder) + "-journal")
		if err != nil {
			continue
		}
		for _, torn := range tear(random, clean, data, journal) {
			require.NoError(t, os.WriteFile(drawersIn(folder), torn.data, 0o600))
			require.NoError(t, os.WriteFile(drawersIn(folder)+"-journal", torn.journal, 0o600))
			require.Equal(t, 1, survey(t, folder, e), "killed at write %d, %s", n, torn.how)
			cases++
		}
	}
	require.Greater(t, cases, 800)
	report(t, "%d torn pairs", cases)
}

func tornStep() int {
	if long() {
		return 256
	}
	return 6000
}

type tornPair struct {
	how           string
	data, journal []byte
}

// tear makes the pairs a power cut may leave of what a kill left.
func tear(random *rand.Rand, clean, data, journal []byte) (out []tornPair) {
	if sha256.Sum256(clean) != sha256.Sum256(data) {
		for range 4 {
			half := bytes.Clone(data)
			// disks write whole sectors, the first holds the header
			from := 512 * (1 + random.IntN(6))
			for i := range half[from : from+512] {
				half[from+i] = byte(random.Uint32())
			}
			out = append(out, tornPair{fmt.Sprintf("first page garbled at %d", from),
				half, journal})
		}
		return out
	}
	for at := 0; at < len(journal); at += 1 + random.IntN(tornStep()) {
		noise := make([]byte, 4096)
		for i := range noise {
			noise[i] = byte(random.Uint32())
		}
		out = append(out, tornPair{fmt.Sprintf("journal cut at %d", at), data, journal[:at]},
			tornPair{fmt.Sprintf("journal cut at %d, noise after", at), data,
				append(bytes.Clone(journal[:at]), noise...)})
	}
	return out
}

// Killed at a moment nobody chose.
func TestRandomDeath(t *testing.T) {
	t.Parallel()
	kills := 40
	if long() {
		kills = 1000
	}
	random := rand.New(rand.NewPCG(3, 4))
	kept := 0
	root := t.TempDir()
	for i := range kills {
		folder := filepath.Join(root, strconv.Itoa(i))
		require.NoError(t, os.Mkdir(folder, 0o700))
		cmd := jobCommand("endless", folder)
		out, err := cmd.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, cmd.Start())
		said := bufio.NewReader(out)
		var heard strings.Builder
		for range random.IntN(6) {
			line, err := said.ReadString('\n')
			require.NoError(t, err)
			heard.WriteString(line)
		}
		// when to strike, not a measurement
		time.Sleep(time.Duration(random.IntN(12)) * time.Millisecond)
		require.NoError(t, cmd.Process.Kill())
		rest, err := io.ReadAll(said)
		require.NoError(t, err)
		require.Error(t, cmd.Wait())
		e := ending{said: heard.String() + string(rest)}
		survey(t, folder, e)
		kept += len(e.kept())
		require.NoError(t, os.RemoveAll(folder))
	}
	require.Positive(t, kept, "nobody was killed while writing")
	report(t, "%d kills, %d acknowledged transactions, none lost", kills, kept)
}

// A place where nothing can be made is named.
func TestPlaceThatCannotBe(t *testing.T) {
	for _, path := range []string{"/proc/nowhere/drawers.db", "/proc/drawers.db"} {
		_, err := Create(ctx, path)
		require.NotEmpty(t, refused(t, err, "cannot be created").Hint)
		s, copied := backedUp(t)
		_, err = Restore(ctx, copied, path, noon)
		refused(t, err, "cannot be created")
		_, err = s.Backup(ctx, path, false, noon)
		var uncopied drawerfile.CopyError
		require.ErrorAs(t, err, &uncopied)
		require.Contains(t, uncopied.Error(), "was not written")
		require.Error(t, errors.Unwrap(uncopied))
	}
}

// A disk of one mebibyte, where mounting is permitted.
func TestFullDiskOfOneMebibyte(t *testing.T) {
	folder := t.TempDir()
	if err := syscall.Mount("sparewright", folder, "tmpfs", 0, "size=1m"); err != nil {
		t.Logf("mounting is not permitted here (%v); TestFullDisk and the injected "+
			"errors have to do", err)
		return
	}
	defer func() { require.NoError(t, syscall.Unmount(folder, 0)) }()
	s, err := Create(ctx, drawersIn(folder))
	require.NoError(t, err)
	kept := 0
	for ; ; kept++ {
		if _, err = s.Put(ctx, tenLots(kept), "job", noon); err != nil {
			break
		}
	}
	refused(t, err, "the disk is full; nothing was changed")
	require.Greater(t, kept, 10)
	_, err = s.Backup(ctx, filepath.Join(folder, "copy.db"), false, noon)
	var uncopied drawerfile.CopyError
	require.ErrorAs(t, err, &uncopied)
	require.Contains(t, uncopied.Error(), "the disk is full")
	require.NoError(t, s.Close())
	left, err := os.ReadDir(folder)
	require.NoError(t, err)
	require.Len(t, left, 1, "no draft is left behind")
	snapshot := reopened(t, folder)
	require.Len(t, snapshot.Lots, kept*rowsEach)
}

func reopened(t *testing.T, folder string) inventory.Snapshot {
	t.Helper()
	s, err := Open(ctx, drawersIn(folder), ReadOnly)
	require.NoError(t, err)
	defer s.Close()
	sound(t, s)
	snapshot, err := s.Snapshot(ctx)
	require.NoError(t, err)
	return snapshot
}
