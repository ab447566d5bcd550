package sqlite

import (
	"crypto/sha256"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/inventory/sqlite/drawerfile"
)

// update writes the fixture and the checksum of a form that has none yet; those there are stay as
// they are.
var update = flag.Bool("update", false, "write the fixture of the newest form of the drawer file")

const schemaSums = "testdata/schema.sha256"

// A schema file that was released is never changed: drawers made with it are out there.
func TestReleasedSchemaFilesStay(t *testing.T) {
	steps, err := drawerfile.Migrations(drawerfile.SchemaFiles)
	require.NoError(t, err)
	raw, err := os.ReadFile(schemaSums)
	require.NoError(t, err)
	known := strings.Split(strings.TrimSuffix(string(raw), "\n"), "\n")
	for i, m := range steps {
		line := fmt.Sprintf("%x  %s", sha256.Sum256([]byte(m.SQL)), m.Name)
		if i == len(known) && *update {
			known = append(known, line)
			require.NoError(t, os.WriteFile(schemaSums,
				[]byte(strings.Join(known, "\n")+"\n"), 0o644))
		}
		require.Greater(t, len(known), i,
			"%s is new: go test ./inventory/sqlite -run 'Released|Fixture' -update", m.Name)
		require.Equal(t, known[i], line,
			"%s was released with another content; add a new file instead", m.Name)
	}
	require.Len(t, known, len(steps), "a released schema file is gone")
}

// fixtureLots fill a fixture: every kind of text a drawer may hold.
func fixtureLots() []inventory.Lot {
	l := lot(resistor(4700), 12)
	l.Donor, l.Note = "router brick", "=1+1, \"quoted\",\nµΩ"
	l.Measured = []inventory.Measurement{
		{Field: "resistance", Value: 4683, Error: 0.002, Text: "4.683k+-0.2%"}}
	return append(exchange.Demo().Lots[:40:40], l, lot(wire(), 12.345))
}

// A drawer file of every released form opens, is brought to the present form with every row, and
// has then the very schema of a new one. The fixtures were made by the program that released the
// form; their content lies beside them as CSV, as that program exported it: import reads it as the
// very same lots.
func TestFixtureOfEveryForm(t *testing.T) {
	steps, err := drawerfile.Migrations(drawerfile.SchemaFiles)
	require.NoError(t, err)
	newest := fmt.Sprintf("testdata/form-%d", len(steps))
	if _, err := os.Stat(newest + ".drawer"); os.IsNotExist(err) && *update {
		makeFixture(t, newest)
	}
	want := schemaOf(t, fresh(t))
	for form := 1; form <= len(steps); form++ {
		name := fmt.Sprintf("testdata/form-%d", form)
		b, err := os.ReadFile(name + ".drawer")
		require.NoError(t, err, "go test ./inventory/sqlite -run 'Released|Fixture' -update")
		path := filepath.Join(t.TempDir(), "old.db")
		require.NoError(t, os.WriteFile(path, b, 0o600))
		h, err := drawerfile.ReadHeader(path)
		require.NoError(t, err)
		require.Equal(t, form, h.Version)
		s, err := Open(ctx, path, ReadWrite)
		require.NoError(t, err)
		sound(t, s)
		require.Equal(t, want, schemaOf(t, s), "form %d", form)
		held, err := os.Open(name + ".csv")
		require.NoError(t, err)
		then, faults := exchange.Read(held, name)
		require.NoError(t, held.Close())
		require.Empty(t, faults)
		require.Empty(t, then.Notes)
		now, faults := exchange.Read(strings.NewReader(exported(t, s)), name)
		require.Empty(t, faults)
		require.Equal(t, then, now)
		moves, err := s.Movements(ctx, 1)
		require.NoError(t, err)
		require.NotEmpty(t, moves)
		aside, err := s.SetAsides(ctx, "")
		require.NoError(t, err)
		require.Len(t, aside, 1)
		require.NoError(t, s.Close())
	}
}

func makeFixture(t *testing.T, name string) {
	t.Helper()
	s := fresh(t)
	ids := put(t, s, fixtureLots()...)
	_, err := s.Take(ctx, ids[0], 1, "used", noon)
	require.NoError(t, err)
	require.NoError(t, s.Reserve(ctx, []inventory.Draw{{Lot: ids[0], Count: 1}}, "charger", noon))
	require.NoError(t, os.WriteFile(name+".csv", []byte(exported(t, s)), 0o644))
	require.NoError(t, s.Close())
	b, err := os.ReadFile(s.file.Path)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(name+".drawer", b, 0o644))
}

// schemaOf is what the file says of its own tables, indexes and triggers.
func schemaOf(t *testing.T, s *Store) []string {
	t.Helper()
	var text []string
	require.NoError(t, s.file.DB.Select(&text,
		"SELECT type || ' ' || name || ': ' || coalesce(sql, '') FROM sqlite_schema ORDER "+
			"BY type, name"))
	return text
}

// A drawer of the next form is refused by this program and left as it is.
func TestNextFormIsRefused(t *testing.T) {
	steps, err := drawerfile.Migrations(drawerfile.SchemaFiles)
	require.NoError(t, err)
	s := fresh(t)
	_, err = s.file.DB.Exec(fmt.Sprintf("PRAGMA user_version = %d", len(steps)+1))
	require.NoError(t, err)
	require.NoError(t, s.Close())
	before := printOf(t, s.file.Path)
	for _, open := range []func() error{
		func() error { _, err := Open(ctx, s.file.Path, ReadOnly); return err },
		func() error { _, err := Open(ctx, s.file.Path, ReadWrite); return err },
		func() error { _, err := Create(ctx, s.file.Path); return err },
		func() error { _, err := Examine(ctx, s.file.Path); return err },
	} {
		refused(t, open(), "newer sparewright")
	}
	require.Equal(t, before, printOf(t, s.file.Path))
	require.Len(t, globFor(t, filepath.Dir(s.file.Path)+"/*"), 1)
}
