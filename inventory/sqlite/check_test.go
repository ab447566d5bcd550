package sqlite

import (
	"strings"
	"testing"

	sqlite3 "github.com/mattn/go-sqlite3"
	"github.com/stretchr/testify/require"

	"sparewright/inventory"
	"sparewright/inventory/sqlite/drawerfile"
)

// tampered changes a drawer behind the program's back, with all guards off.
func tampered(t *testing.T, statements string) *Store {
	t.Helper()
	s := fresh(t)
	l := lot(resistor(10), 5)
	l.Measured = []inventory.Measurement{{Field: "resistance", Value: 10.1, Error: 0.01}}
	id := put(t, s, l)[0]
	require.NoError(t, s.Reserve(ctx, []inventory.Draw{{Lot: id, Count: 2}}, "p", noon))
	_, err := s.file.DB.Exec("PRAGMA ignore_check_constraints = 1; PRAGMA " +
		"foreign_keys = 0; " + statements +
		"; PRAGMA ignore_check_constraints = 0; PRAGMA foreign_keys = 1")
	require.NoError(t, err)
	return s
}

func TestCheckFindsTampering(t *testing.T) {
	for statements, says := range map[string]string{
		"UPDATE lot SET count = 4":                                                                 "lot 1 holds 4, its ledger says 5",
		"DROP TRIGGER movement_stays; UPDATE movement SET delta = 7":                               "lot 1 holds 5, its ledger says 7",
		"UPDATE set_aside SET count = 6":                                                           "lot 1 holds 5, but 6 are set aside",
		"UPDATE set_aside SET lot = 77":                                                            "set_aside 1 refers to a missing lot",
		"UPDATE lot SET donor = 77":                                                                "lot 1 refers to a missing donor",
		"UPDATE figure SET part = 77":                                                              "figure refers to a missing part",
		"UPDATE part SET kind = 'valve'":                                                           "no such kind",
		"UPDATE figure SET value = 1e11 WHERE field = 'resistance'":                                "outside the possible range",
		"UPDATE figure SET field = 'colour' WHERE field = 'resistance'":                            "no such figure",
		"UPDATE figure SET basis = 'guessed' WHERE field = 'resistance'":                           "CHECK constraint failed in figure",
		"UPDATE reading SET value = -5":                                                            "range",
		"UPDATE lot SET bin = char(27)":                                                            "CHECK constraint failed in lot",
		"INSERT INTO lot (part, bin, donor, condition, note, count) VALUES (1,'',NULL,'new','',3)": "its ledger says 0",
	} {
		s := tampered(t, statements)
		r, err := s.Check(ctx)
		require.NoError(t, err, statements)
		require.False(t, r.OK(), statements)
		require.Contains(t, drawerfile.OneLine(joined(r.Problems)), says, statements)
	}
}

type joined []string

func (j joined) Error() string {
	all := ""
	for _, line := range j {
		all += line + "\n"
	}
	return all
}

func TestCheckCounts(t *testing.T) {
	s := fresh(t)
	id := put(t, s, lot(resistor(10), 5), lot(resistor(22), 1))[0]
	_, err := s.Take(ctx, id, 1, "", noon)
	require.NoError(t, err)
	require.NoError(t, s.Reserve(ctx, []inventory.Draw{{Lot: id, Count: 2}}, "p", noon))
	r, err := s.Check(ctx)
	require.NoError(t, err)
	require.Equal(t, Report{Path: s.file.Path, Form: present(t), Lots: 2, Parts: 2, Movements: 3,
		SetAsides: 1}, r)
}

// A part the catalog cannot accept makes the drawer unreadable with a message that names it.
func TestUnfitPartIsNamed(t *testing.T) {
	s := tampered(t, "UPDATE figure SET value = 1e11 WHERE field = 'resistance'")
	_, err := s.Snapshot(ctx)
	refused(t, err, `is damaged: part 1, resistor "film": resistance`)
	_, err = s.Put(ctx, []inventory.Lot{lot(resistor(10), 1)}, "", noon)
	refused(t, err, "is damaged")
}

func TestBrokenTimesAreNamed(t *testing.T) {
	s := tampered(t, "DROP TRIGGER movement_stays; UPDATE movement SET at = "+
		"'2026-99-99T00:00:00.000Z'; UPDATE set_aside SET at = 'x'")
	_, err := s.Movements(ctx, 1)
	refused(t, err, `"2026-99-99T00:00:00.000Z" is no time`)
	_, err = s.SetAsides(ctx, "p")
	refused(t, err, `"x" is no time`)
	_, err = s.Consume(ctx, "p", noon)
	refused(t, err, `"x" is no time`)
}

func TestFileThatIsOpenedAsGarbage(t *testing.T) {
	s := fresh(t)
	_, err := s.file.DB.Exec("DROP TABLE set_aside")
	require.NoError(t, err)
	r, err := s.Check(ctx)
	require.NoError(t, err)
	require.Contains(t, r.Problems, "no such table: set_aside")
	_, err = s.Snapshot(ctx)
	refused(t, err, "no such table")
}

// The schema by itself refuses what the program should never write. Codes: SQLite's rescode.html.
func TestSchemaRefuses(t *testing.T) {
	s := fresh(t)
	put(t, s, lot(resistor(10), 5))
	var (
		check   = sqlite3.ErrConstraintCheck
		key     = sqlite3.ErrConstraintForeignKey
		null    = sqlite3.ErrConstraintNotNull
		unique  = sqlite3.ErrConstraintUnique
		primary = sqlite3.ErrConstraintPrimaryKey
		trigger = sqlite3.ErrConstraintTrigger
		typed   = sqlite3.ErrNoExtended(3091) // SQLITE_CONSTRAINT_DATATYPE, of STRICT tables
	)
	lotWith := func(values string) string {
		return "INSERT INTO lot (part, bin, donor, condition, note, count) VALUES (" + values + ")"
	}
	const at = "'2026-03-14T11:00:00.000Z'"
	for _, c := range []struct {
		statement string
		code      sqlite3.ErrNoExtended
	}{
		{lotWith("1, 'B', NULL, 'new', '', -1"), check},
		{lotWith("1, 'B', NULL, 'new', '', 9e999"), check},
		{lotWith("1, 'B', NULL, 'new', '', 1e7"), check},
		{lotWith("1, 'B', NULL, 'new', '', NULL"), null},
		{lotWith("1, 'B', NULL, 'new', '', 'many'"), typed},
		{lotWith("1, 'B', NULL, 'shiny', '', 1"), check},
		{lotWith("1, 'B' || char(10), NULL, 'new', '', 1"), check},
		{lotWith("9, 'B', NULL, 'new', '', 1"), key},
		{lotWith("1, 'B', 9, 'new', '', 1"), key},
		{lotWith("1, '" + strings.Repeat("b", 65) + "', NULL, 'new', '', 1"), check},
		{"INSERT INTO part (kind, designation) VALUES ('resistor', '')", check},
		{"INSERT INTO part (kind, designation) VALUES ('RESISTOR', 'x')", check},
		{"INSERT INTO part (kind, designation) VALUES ('resistor', 'x' || char(127))", check},
		{"INSERT INTO figure (part, field, value, text, basis) VALUES (1, 'power', 1e13, '1', 'published')", check},
		{"INSERT INTO figure (part, field, value, text, basis) VALUES (1, 'power', '4k7', '1', 'published')", typed},
		{"INSERT INTO figure (part, field, value, text, basis) VALUES (1, 'power', 1, '', 'published')", check},
		{"INSERT INTO figure (part, field, value, text, basis) VALUES (1, 'power', 1, '1', 'guessed')", check},
		{"INSERT INTO figure (part, field, value, text, basis) VALUES (1, 'resistance', 1, '1', 'published')", primary},
		{"INSERT INTO figure (part, field, value, text, basis) VALUES (9, 'power', 1, '1', 'published')", key},
		{"INSERT INTO reading (lot, field, value, error, text, at) VALUES (1, 'power', 1, 0, '', " + at + ")", check},
		{"INSERT INTO reading (lot, field, value, error, text, at) VALUES (1, 'power', NULL, 0.1, '', " + at + ")", null},
		{"INSERT INTO reading (lot, field, value, error, text, at) VALUES (1, 'power', 1, 0.1, '', 'noon')", check},
		{"INSERT INTO movement (lot, delta, reason, at, batch) VALUES (1, 0, '', " + at + ", 1)", check},
		{"INSERT INTO movement (lot, delta, reason, at, batch) VALUES (1, 1, '', " + at + ", 0)", check},
		{"INSERT INTO movement (lot, delta, reason, at, batch) VALUES (1, 1, '', 'noon', 1)", check},
		{"INSERT INTO movement (lot, delta, reason, at, batch) VALUES (9, 1, '', " + at + ", 1)", key},
		{"UPDATE movement SET delta = 2", trigger},
		{"DELETE FROM movement", trigger},
		{"INSERT INTO set_aside (lot, count, purpose, at) VALUES (1, 0, 'p', " + at + ")", check},
		{"INSERT INTO set_aside (lot, count, purpose, at) VALUES (1, 1, '', " + at + ")", check},
		{"INSERT INTO set_aside (lot, count, purpose, at) VALUES (9, 1, 'p', " + at + ")", key},
		{"INSERT INTO donor (name, plate, state, note) VALUES ('', '', '', '')", check},
		{"INSERT INTO donor (name, plate, state, note) VALUES ('a', '', '', ''), ('a', '', '', '')", unique},
		// ON DELETE RESTRICT is carried out as a trigger inside SQLite
		{"DELETE FROM lot", trigger},
		{"DELETE FROM part", trigger},
	} {
		_, err := s.file.DB.Exec(c.statement)
		var e sqlite3.Error
		require.ErrorAs(t, err, &e, c.statement)
		require.Equal(t, int(c.code), int(e.ExtendedCode), "%s: %v", c.statement, e)
		refused(t, s.file.Explain(err), "refused the change")
	}
	sound(t, s)
}
