package sqlite

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sparewright/inventory"
	"sparewright/inventory/sqlite/disk"
	"sparewright/inventory/sqlite/drawerfile"
)

// What would overwrite the drawer, or what SQLite keeps beside it, is refused even with force.
func TestBackupNames(t *testing.T) {
	s, copied := backedUp(t)
	before, good := printOf(t, s.file.Path), printOf(t, copied)
	dir := filepath.Dir(s.file.Path)
	require.NoError(t, os.Link(s.file.Path, filepath.Join(dir, "linked.db")))
	require.NoError(t, os.Symlink(s.file.Path, filepath.Join(dir, "symbolic.db")))
	require.NoError(t, os.Link(s.file.Path, filepath.Join(dir, "sum.db.sha256")))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "played.db-journal"),
		[]byte("\xd9\xd5\x05\xf9\x20\xa1\x63\xd7"), 0o600))
	for _, c := range []struct {
		name  string
		force bool
		says  string
	}{
		{filepath.Join(dir, "played.db"), true, "the journal of another drawer file"},
		{"", true, "names no file"},
		{s.file.Path, true, "is the drawer file itself"},
		{filepath.Join(dir, "linked.db"), true, "is the drawer file itself"},
		{filepath.Join(dir, "symbolic.db"), true, "is the drawer file itself"},
		{filepath.Join(dir, "sum.db"), true, "is the drawer file itself"},
		{s.file.Path + "-journal", true, "needs for itself"},
		{s.file.Path + drawerfile.NoteSuffix + "", false, "the file exists"},
		{dir, true, "is not a plain file"},
		{copied, false, "the file exists"},
		{filepath.Join(dir, "no", "folder.db"), true, "no such file or directory"},
	} {
		_, err := s.Backup(ctx, c.name, c.force, noon)
		var uncopied drawerfile.CopyError
		require.ErrorAs(t, err, &uncopied, c.name)
		require.Contains(t, uncopied.Error(), c.says)
		require.NotEmpty(t, uncopied.Hint)
		require.Equal(t, before, printOf(t, s.file.Path), c.name)
		require.Equal(t, good, printOf(t, copied), c.name)
	}
	require.Empty(t, globFor(t, dir+"/.sparewright-*"), "no draft is left behind")

	// A name taken while the copy was made is not overwritten either.
	draft, err := disk.NewDraft(dir, disk.DraftCopy)
	require.NoError(t, err)
	defer draft.Discard()
	require.ErrorContains(t, drawerfile.NotCopied(ctx, copied, draft.Place(copied, "")),
		"the file exists")
	require.Equal(t, good, printOf(t, copied))
}

// Forced, a backup takes the place of an older one, with its checksum, also through a link.
func TestBackupOverAnOlderOne(t *testing.T) {
	s, copied := backedUp(t)
	link := filepath.Join(t.TempDir(), "link.db")
	require.NoError(t, os.Symlink(copied, link))
	for _, name := range []string{copied, link} {
		put(t, s, lot(resistor(47), 1))
		made, err := s.Backup(ctx, name, true, noon)
		require.NoError(t, err)
		require.Equal(t, copied, made.Path)
		sum, err := disk.SumOf(copied)
		require.NoError(t, err)
		require.Equal(t, sum, made.Sum)
		told, err := disk.ReadSum(copied)
		require.NoError(t, err)
		require.Equal(t, sum, told)
		info, err := os.Stat(copied)
		require.NoError(t, err)
		require.Equal(t, made.Bytes, info.Size())
		require.Equal(t, os.FileMode(0o600), info.Mode().Perm(),
			"a backup is as private as the drawer")
	}
}

// Check tells what became of the last backup and how much came after it.
func TestLastBackup(t *testing.T) {
	s, copied := backedUp(t)
	examined := func() Report {
		r, err := Examine(ctx, s.file.Path)
		require.NoError(t, err)
		return r
	}
	r := examined()
	require.True(t, r.OK())
	require.Equal(t, &LastBackup{File: copied, When: noon.UTC().Truncate(time.Second),
		State: BackupThere, Since: 1}, r.Backup)
	require.Positive(t, r.Bytes)

	b, err := os.ReadFile(copied)
	require.NoError(t, err)
	b[len(b)-1] ^= 1
	require.NoError(t, os.WriteFile(copied, b, 0o600))
	r = examined()
	require.Equal(t, BackupChanged, r.Backup.State)
	require.True(t, r.BackupOnly())
	require.Contains(t, r.Problems[0], "was changed or damaged after it was written")

	require.NoError(t, os.Remove(copied))
	r = examined()
	require.Equal(t, BackupGone, r.Backup.State)
	require.True(t, r.OK())
	require.False(t, r.BackupOnly())

	require.NoError(t, noteBackup(s.file.Path, Copy{Path: copied, movements: 99}, noon))
	require.EqualValues(t, -1, examined().Backup.Since, "the note is of another time")
	require.NoError(t, os.WriteFile(s.file.Path+drawerfile.NoteSuffix, []byte("{"), 0o600))
	require.Nil(t, examined().Backup)
}

// A file too damaged to be opened is a finding, what is no drawer is an error.
func TestExamineWhatCannotBeOpened(t *testing.T) {
	path := filled(t)
	require.NoError(t, os.Truncate(path, 3000))
	r, err := Examine(ctx, path)
	require.NoError(t, err)
	require.Len(t, r.Problems, 1)
	require.EqualValues(t, 3000, r.Bytes)
	_, err = Open(ctx, path, ReadOnly)
	require.Contains(t, refused(t, err, "is damaged").Hint, "`sparewright restore FILE`")
	require.NoError(t, noteBackup(path, Copy{Path: "/safe/copy.db"}, noon))
	_, err = Open(ctx, path, ReadWrite)
	require.Contains(t, refused(t, err, "is damaged").Hint,
		"`sparewright restore \"/safe/copy.db\"`")
	_, err = Examine(ctx, textFile(t, "no drawer"))
	refused(t, err, "is not a drawer file")
}

// Restoring beside a drawer of another program, or under a folder that is a file, is refused.
func TestRestoreTargets(t *testing.T) {
	_, copied := backedUp(t)
	foreign := rawFile(t, "CREATE TABLE theirs (x); PRAGMA application_id = 77")
	before := printOf(t, foreign)
	_, err := Restore(ctx, copied, foreign, noon)
	refused(t, err, "belongs to another program")
	require.Equal(t, before, printOf(t, foreign))
	_, err = Restore(ctx, copied, t.TempDir(), noon)
	refused(t, err, "not a plain file")

	fresh := filepath.Join(t.TempDir(), "a", "b", "drawers.db")
	done, err := Restore(ctx, copied, fresh, noon)
	require.NoError(t, err)
	require.Empty(t, done.Kept)
	link := filepath.Join(t.TempDir(), "link.db")
	require.NoError(t, os.Symlink(fresh, link))
	done, err = Restore(ctx, copied, link, noon)
	require.NoError(t, err)
	require.Equal(t, fresh+".before-restore-20260314", done.Kept,
		"the drawer is replaced, not the link to it")
	done, err = Restore(ctx, copied, fresh, noon)
	require.NoError(t, err)
	require.Equal(t, fresh+".before-restore-20260314-2", done.Kept)
	s, err := Open(ctx, link, ReadWrite)
	require.NoError(t, err)
	_, err = s.Put(ctx, []inventory.Lot{lot(resistor(10), 1)}, "", noon)
	require.NoError(t, err)
	require.NoError(t, s.Close())
}

// A checksum that is no checksum is not passed over.
func TestRestoreWithBrokenChecksum(t *testing.T) {
	s, copied := backedUp(t)
	require.NoError(t, os.WriteFile(copied+disk.SumSuffix, []byte("what?"), 0o600))
	dir := t.TempDir()
	for _, path := range []string{s.file.Path, filepath.Join(dir, "a", "b", "drawers.db")} {
		_, err := Restore(ctx, copied, path, noon)
		require.NotEmpty(t, refused(t, err, "cannot be read as a checksum").Hint)
	}
	require.Empty(t, globFor(t, dir+"/*"), "no folder was made for nothing")
	require.NoError(t, os.Remove(copied+disk.SumSuffix))
	for _, damage := range []func([]byte) []byte{
		func(b []byte) []byte { return b[:5000] },
		func(b []byte) []byte { clear(b[8192:12288]); return b },
	} {
		b, err := os.ReadFile(copied)
		require.NoError(t, err)
		bad := filepath.Join(t.TempDir(), "bad.db")
		require.NoError(t, os.WriteFile(bad, damage(b), 0o600))
		_, err = Restore(ctx, bad, s.file.Path, noon)
		require.Equal(t, drawerfile.HintOther, refused(t, err, "is damaged").Hint)
	}
	require.Equal(t, 2, len(counts(t, s)))
}
