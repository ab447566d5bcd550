package sqlite

import (
	"context"
	"encoding/binary"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/inventory"
	"sparewright/inventory/sqlite/drawerfile"
)

func TestCreateAndOpen(t *testing.T) {
	path := filepath.Join(t.TempDir(), "new", "deeper", "drawers.db")
	s, err := Create(ctx, path)
	require.NoError(t, err)
	require.True(t, s.Created())
	require.Equal(t, path, s.Path())
	put(t, s, lot(resistor(10), 5))
	require.NoError(t, s.Close())

	info, err := os.Stat(path)
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	info, err = os.Stat(filepath.Dir(path))
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o700), info.Mode().Perm())
	names, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	require.Len(t, names, 1, "one self-contained file, no journal left")

	again, err := Create(ctx, path)
	require.NoError(t, err)
	require.False(t, again.Created())
	defer again.Close()
	got, err := again.Snapshot(ctx)
	require.NoError(t, err)
	require.Len(t, got.Lots, 1)
}

func TestOpenReadOnlyLeavesTheFileAlone(t *testing.T) {
	s := fresh(t)
	put(t, s, lot(resistor(10), 5))
	require.NoError(t, s.Close())
	before := printOf(t, s.file.Path)
	ro, err := Open(ctx, s.file.Path, ReadOnly)
	require.NoError(t, err)
	_, err = ro.Snapshot(ctx)
	require.NoError(t, err)
	sound(t, ro)
	_, err = ro.Put(ctx, []inventory.Lot{lot(resistor(10), 1)}, "", noon)
	refused(t, err, "write-protected")
	require.NoError(t, ro.Close())
	require.Equal(t, before, printOf(t, s.file.Path))
}

func TestMissingFileIsNotCreated(t *testing.T) {
	path := filepath.Join(t.TempDir(), "none.db")
	for _, mode := range []Mode{ReadOnly, ReadWrite} {
		_, err := Open(ctx, path, mode)
		open := refused(t, err, "does not exist yet")
		require.Contains(t, open.Hint, "put")
		require.Contains(t, open.Hint, "--demo")
		require.NoFileExists(t, path)
	}
	_, err := Open(ctx, "", ReadOnly)
	refused(t, err, "has no name")
}

// rawFile makes an SQLite file that is not ours.
func rawFile(t *testing.T, statements string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "raw.db")
	db := drawerfile.Connect(path, drawerfile.Creating)
	_, err := db.ExecContext(ctx, statements)
	require.NoError(t, err)
	require.NoError(t, db.Close())
	return path
}

func textFile(t *testing.T, content string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "text.db")
	require.NoError(t, os.WriteFile(path, []byte(content), 0o600))
	return path
}

func TestWhatIsNotOursIsRefusedAndUnchanged(t *testing.T) {
	newer := fresh(t)
	_, err := newer.file.DB.Exec("PRAGMA user_version = 99")
	require.NoError(t, err)
	require.NoError(t, newer.Close())
	unnumbered := fresh(t)
	_, err = unnumbered.file.DB.Exec("PRAGMA user_version = 0")
	require.NoError(t, err)
	require.NoError(t, unnumbered.Close())

	for _, c := range []struct{ path, says string }{
		{rawFile(t, "CREATE TABLE theirs (x); PRAGMA user_version = 1"), "belongs to another program"},
		{rawFile(t, "CREATE TABLE theirs (x); PRAGMA application_id = 77"), "belongs to another program"},
		{rawFile(t, "PRAGMA journal_mode = WAL; CREATE TABLE theirs (x)"), "belongs to another program"},
		{newer.file.Path, "newer sparewright (form 99, this one knows up to 5)"},
		{unnumbered.file.Path, "has no form number"},
		{textFile(t, "kind,designation\n"), "is not a drawer file"},
		{textFile(t, strings.Repeat("plain text, longer than a header. ", 20)), "is not a drawer file"},
		{textFile(t, "SQLite format 3\x00"), "is not a drawer file"},
		{textFile(t, "SQLite format 3\x00"+strings.Repeat("\x00", 200)), "belongs to another program"},
	} {
		before := printOf(t, c.path)
		for _, open := range []func() (*Store, error){
			func() (*Store, error) { return Open(ctx, c.path, ReadOnly) },
			func() (*Store, error) { return Open(ctx, c.path, ReadWrite) },
			func() (*Store, error) { return Create(ctx, c.path) },
		} {
			_, err := open()
			refused(t, err, c.says)
		}
		require.Equal(t, before, printOf(t, c.path), c.says)
	}
}

func TestEmptyFile(t *testing.T) {
	path := textFile(t, "")
	for _, mode := range []Mode{ReadOnly, ReadWrite} {
		_, err := Open(ctx, path, mode)
		refused(t, err, "is empty")
	}
	s, err := Create(ctx, path)
	require.NoError(t, err)
	require.True(t, s.Created())
	require.NoError(t, s.Close())
}

func TestFolderIsNoDrawer(t *testing.T) {
	dir := t.TempDir()
	_, err := Open(ctx, dir, ReadOnly)
	refused(t, err, "not a plain file")
	_, err = Create(ctx, dir)
	refused(t, err, "not a plain file")
	_, err = Create(ctx, filepath.Join(textFile(t, "x"), "drawers.db"))
	refused(t, err, "text.db/drawers.db")
}

// filled makes a closed drawer of many pages.
func filled(t *testing.T) string {
	t.Helper()
	s := fresh(t)
	var lots []inventory.Lot
	for i := range 200 {
		l := lot(resistor(float64(10+i)), 3)
		l.Note = strings.Repeat("n", 100)
		lots = append(lots, l)
	}
	put(t, s, lots...)
	require.NoError(t, s.Close())
	return s.file.Path
}

// What SQLite reports for damage was tried out for the project: a cut file and a garbage page give
// "malformed".
func TestDamagedFilesAreRefusedAndUnchanged(t *testing.T) {
	for name, hurt := range map[string]func([]byte) []byte{
		"cut in half":   func(b []byte) []byte { return b[:len(b)/2] },
		"cut in a page": func(b []byte) []byte { return b[:len(b)-1000] },
		"garbage page": func(b []byte) []byte {
			copy(b[4096:8192], strings.Repeat("\xa5\x5a garbage", 410))
			return b
		},
		"zeroed pages": func(b []byte) []byte {
			clear(b[8192:40960])
			return b
		},
		"header only": func(b []byte) []byte { return b[:100] },
	} {
		t.Run(name, func(t *testing.T) {
			path := filled(t)
			b, err := os.ReadFile(path)
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(path, hurt(b), 0o600))
			before := printOf(t, path)
			_, err = Open(ctx, path, ReadWrite)
			refused(t, err, "is damaged")
			ro, err := Open(ctx, path, ReadOnly)
			if err == nil { // the schema could be read; the check must see the damage
				r, err := ro.Check(ctx)
				require.NoError(t, err)
				require.False(t, r.OK())
				require.NoError(t, ro.Close())
			} else {
				refused(t, err, "is damaged")
			}
			require.Equal(t, before, printOf(t, path))
		})
	}
}

func TestOddPaths(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	for _, name := range []string{"with space.db", "q?x.db", "h#x.db", "p%20x.db", "schäfer µ.db",
		"-dash.db", "a&b=c;d.db",
		"mode=ro", "'quote\".db", strings.Repeat("n", 200), "file:x.db", ":memory:"} {
		s, err := Create(ctx, name)
		require.NoError(t, err, name)
		require.Equal(t, filepath.Join(dir, name), s.Path())
		ids := put(t, s, lot(resistor(10), 1))
		require.NoError(t, s.Close())
		require.FileExists(t, filepath.Join(dir, name))
		ro, err := Open(ctx, name, ReadOnly)
		require.NoError(t, err, name)
		_, err = ro.Lot(ctx, ids[0])
		require.NoError(t, err, name)
		require.NoError(t, ro.Close())
		require.NoError(t, os.Remove(filepath.Join(dir, name)))
	}
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Empty(t, left, "a file appeared elsewhere than asked")
}

func TestSymlinkIsFollowed(t *testing.T) {
	s := fresh(t)
	require.NoError(t, s.Close())
	link := filepath.Join(t.TempDir(), "link.db")
	require.NoError(t, os.Symlink(s.file.Path, link))
	through, err := Open(ctx, link, ReadWrite)
	require.NoError(t, err)
	put(t, through, lot(resistor(10), 1))
	require.NoError(t, through.Close())
}

// A writer that died leaves a journal; a reader has to undo its half-written pages before it reads.
func TestReaderAfterDeadWriter(t *testing.T) {
	path := filled(t)
	want := printOf(t, path)
	db := drawerfile.Connect(path, drawerfile.Writing)
	defer db.Close()
	_, err := db.Exec("PRAGMA cache_size = 1; PRAGMA cache_spill = 1")
	require.NoError(t, err)
	tx, err := db.BeginTxx(ctx, nil)
	require.NoError(t, err)
	_, err = tx.Exec("UPDATE lot SET note = 'half done', count = 0")
	require.NoError(t, err)

	dead := filepath.Join(t.TempDir(), "dead.db")
	for _, end := range []string{"", "-journal"} {
		b, err := os.ReadFile(path + end)
		require.NoError(t, err)
		require.NotEmpty(t, b)
		require.NoError(t, os.WriteFile(dead+end, b, 0o600))
	}
	require.NoError(t, tx.Rollback())
	require.NotEqual(t, want.sum, printOf(t, dead).sum, "pages were spilled into the copy")

	s, err := Open(ctx, dead, ReadOnly)
	require.NoError(t, err)
	defer s.Close()
	snapshot, err := s.Snapshot(ctx)
	require.NoError(t, err)
	require.Len(t, snapshot.Lots, 200)
	require.Equal(t, strings.Repeat("n", 100), snapshot.Lots[7].Note)
	require.Equal(t, want.sum, printOf(t, dead).sum)
}

func TestFirstRunOfManyAtOnce(t *testing.T) {
	path := filepath.Join(t.TempDir(), "drawers.db")
	var made, failed int
	var mu sync.Mutex
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			s, err := Create(ctx, path)
			mu.Lock()
			defer mu.Unlock()
			if err != nil {
				t.Log(err)
				failed++
				return
			}
			if s.Created() {
				made++
			}
			s.Close()
		})
	}
	wg.Wait()
	require.Zero(t, failed)
	require.Equal(t, 1, made)
	s, err := Open(ctx, path, ReadWrite)
	require.NoError(t, err)
	sound(t, s)
	require.NoError(t, s.Close())
}

// Offsets: SQLite's fileformat2.html, "The Database Header".
func TestHeaderCarriesOurMarks(t *testing.T) {
	s := fresh(t)
	require.NoError(t, s.Close())
	b, err := os.ReadFile(s.file.Path)
	require.NoError(t, err)
	require.Equal(t, "SpWr", string(b[68:72]))
	require.Equal(t, uint32(present(t)), binary.BigEndian.Uint32(b[60:]))
}

func TestCancelledContext(t *testing.T) {
	s := fresh(t)
	put(t, s, lot(resistor(10), 5))
	gone, cancel := context.WithCancel(ctx)
	cancel()
	_, err := s.Snapshot(gone)
	require.ErrorIs(t, err, context.Canceled)
	_, err = s.Put(gone, []inventory.Lot{lot(resistor(10), 5)}, "", noon)
	require.ErrorIs(t, err, context.Canceled)
	_, err = s.Check(gone)
	require.ErrorIs(t, err, context.Canceled)
	_, err = Create(gone, filepath.Join(t.TempDir(), "x.db"))
	require.ErrorIs(t, err, context.Canceled)
	got, err := s.Lot(ctx, 1)
	require.NoError(t, err)
	require.Equal(t, 5.0, got.Count)
}

func TestFullDisk(t *testing.T) {
	s := fresh(t)
	put(t, s, lot(resistor(1), 1))
	var pages int
	require.NoError(t, s.file.DB.Get(&pages, "PRAGMA page_count"))
	var limit int
	require.NoError(t, s.file.DB.Get(&limit, "PRAGMA max_page_count = 24"))
	require.GreaterOrEqual(t, limit, pages)
	var lots []inventory.Lot
	for i := range 2000 {
		lots = append(lots, lot(resistor(float64(10+i)), 3))
	}
	_, err := s.Put(ctx, lots, "", noon)
	open := refused(t, err, "disk is full")
	require.NotEmpty(t, open.Hint)
	snapshot, err := s.Snapshot(ctx)
	require.NoError(t, err)
	require.Len(t, snapshot.Lots, 1)
	sound(t, s)
}
