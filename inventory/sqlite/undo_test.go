package sqlite

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/inventory"
	"sparewright/inventory/sqlite/drawerfile"
)

func held(t *testing.T, s *Store, ids ...int64) []float64 {
	t.Helper()
	var out []float64
	for _, id := range ids {
		l, err := s.Lot(ctx, id)
		require.NoError(t, err)
		out = append(out, l.Count)
	}
	return out
}

// Undo takes back the last batch, undo again the one before; the ledger keeps all of it and adds
// up.
func TestUndoGoesFurtherBack(t *testing.T) {
	s := fresh(t)
	ids := put(t, s, lot(resistor(10), 5), lot(wire(), 12.5)) // one batch, two lots
	put(t, s, lot(resistor(10), 3))
	_, err := s.Take(ctx, ids[1], 2.5, "wound", noon)
	require.NoError(t, err)
	require.Equal(t, []float64{8, 10}, held(t, s, ids...))
	for _, step := range []struct {
		batch  int64
		reason string
		want   []float64
	}{{3, "wound", []float64{8, 12.5}}, {2, "found", []float64{5, 12.5}}, {1, "found",
		[]float64{0, 0}}} {
		done, err := s.Undo(ctx, 1, noon)
		require.NoError(t, err)
		require.Len(t, done, 1)
		require.Equal(t, step.batch, done[0].Batch)
		require.Equal(t, step.reason, done[0].Reason)
		require.Equal(t, step.want, held(t, s, ids...))
	}
	_, err = s.Undo(ctx, 1, noon)
	require.ErrorIs(t, err, inventory.ErrNothingToUndo)
	moves, err := s.Movements(ctx, ids[0])
	require.NoError(t, err)
	require.Len(t, moves, 4)
	require.Equal(t, []int64{0, 0, 2, 1},
		[]int64{moves[0].Undoes, moves[1].Undoes, moves[2].Undoes, moves[3].Undoes})
	require.Equal(t, []bool{true, true, false, false},
		[]bool{moves[0].Undone, moves[1].Undone, moves[2].Undone, moves[3].Undone})
	require.Equal(t, "undo found", moves[2].Reason)
	put(t, s, lot(resistor(10), 2)) // what is done after an undo is undone before older things
	done, err := s.Undo(ctx, 1, noon)
	require.NoError(t, err)
	require.Equal(t, int64(7), done[0].Batch)
	sound(t, s)
}

// What was set aside since is given back first, being the later change; and fewer changes than
// asked are taken back whole or not at all.
func TestUndoIsRefusedWhole(t *testing.T) {
	s := fresh(t)
	first, number, err := s.PutBatch(ctx, []inventory.Lot{lot(resistor(10), 5)}, "found", noon)
	require.NoError(t, err)
	second := put(t, s, lot(resistor(22), 5))[0]
	require.NoError(t, s.Reserve(ctx, []inventory.Draw{{Lot: first[0], Count: 1}}, "charger", noon))
	var over inventory.Overdraw
	_, err = s.UndoBatches(ctx, []int64{number}, noon)
	require.ErrorAs(t, err, &over)
	require.Equal(t, inventory.Overdraw{Lot: first[0], Asked: 5, Available: 4, SetAside: 1,
		Unit: inventory.Pieces}, over)
	var none inventory.NothingToUndo
	_, err = s.Undo(ctx, 4, noon)
	require.ErrorAs(t, err, &none)
	require.Equal(t, inventory.NothingToUndo{Asked: 4, Left: 3}, none)
	require.Equal(t, []float64{5, 5}, held(t, s, first[0], second))
	_, err = s.Undo(ctx, 0, noon)
	require.ErrorIs(t, err, inventory.ErrNothingToUndo)
	_, err = s.Undo(ctx, 2, noon)
	require.NoError(t, err)
	require.Equal(t, []float64{5, 0}, held(t, s, first[0], second))
	aside, err := s.SetAsides(ctx, "")
	require.NoError(t, err)
	require.Empty(t, aside)
	sound(t, s)
}

// A build that was used comes back into the drawer; an import is one batch and is taken back whole.
func TestUndoOfConsumeAndImport(t *testing.T) {
	s := fresh(t)
	id := put(t, s, lot(resistor(10), 5))[0]
	require.NoError(t, s.Reserve(ctx, []inventory.Draw{{Lot: id, Count: 2}}, "charger", noon))
	_, err := s.Consume(ctx, "charger", noon)
	require.NoError(t, err)
	done, err := s.Undo(ctx, 1, noon)
	require.NoError(t, err)
	require.Equal(t, "charger", done[0].Reason)
	require.Equal(t, []float64{5}, held(t, s, id))
	aside, err := s.SetAsides(ctx, "charger")
	require.NoError(t, err)
	require.Equal(t, []inventory.SetAside{
		{ID: 1, Lot: id, Count: 2, Purpose: "charger", When: noon.UTC()}}, aside)
	_, err = s.Undo(ctx, 1, noon)
	require.NoError(t, err)
	_, err = s.Import(ctx, []inventory.Lot{lot(resistor(10), 1), lot(resistor(47), 9)}, true, noon)
	require.NoError(t, err)
	require.Equal(t, []float64{1, 9}, held(t, s, id, id+1))
	_, err = s.Undo(ctx, 1, noon)
	require.NoError(t, err)
	require.Equal(t, []float64{5, 0}, held(t, s, id, id+1))
	sound(t, s)
}

// A session takes back its own batches, whatever others did meanwhile, and no batch twice.
func TestUndoOfGivenBatches(t *testing.T) {
	s := fresh(t)
	_, number, err := s.PutBatch(ctx, []inventory.Lot{lot(resistor(10), 5)},
		strings.Repeat("r", 64), noon)
	require.NoError(t, err)
	put(t, s, lot(resistor(22), 1))
	done, err := s.UndoBatches(ctx, []int64{number}, noon)
	require.NoError(t, err)
	require.Equal(t, []float64{0, 1}, held(t, s, 1, 2))
	require.Equal(t, 0.0, done[0].Lots[1].Count)
	for _, n := range []int64{number, number + 2, 99} { // taken back, one that takes back, none
		_, err = s.UndoBatches(ctx, []int64{n}, noon)
		require.ErrorIs(t, err, inventory.ErrNothingToUndo)
	}
	sound(t, s)
}

func TestHistory(t *testing.T) {
	s := fresh(t)
	ids := put(t, s, lot(resistor(10), 5), lot(wire(), 2))
	_, err := s.Take(ctx, ids[0], 5, "used", noon)
	require.NoError(t, err)
	past, lots, err := s.History(ctx, 1)
	require.NoError(t, err)
	require.Len(t, past, 1)
	require.Equal(t, "used", past[0].Reason)
	require.Contains(t, lots, ids[0], "an emptied lot is told too")
	bin := "B5"
	_, err = s.Edit(ctx, ids[1], Change{Bin: &bin}, noon)
	require.NoError(t, err)
	past, lots, err = s.History(ctx, 10)
	require.NoError(t, err)
	require.Len(t, past, 3)
	require.Len(t, past[0].Moves, 2)
	require.Empty(t, past[0].Edits)
	require.Equal(t, []Edit{{Lot: ids[1], What: "bin", Before: "B4", After: "B5"}}, past[2].Edits)
	require.Len(t, lots, 2)
}

const writeEntry = "INSERT INTO entry (id, kind, reason, at, undoes) VALUES "

// The database itself refuses an entry that takes back a later one, or itself.
func TestUndoesPointsBack(t *testing.T) {
	s := fresh(t)
	put(t, s, lot(resistor(10), 5))
	for _, undoes := range []int{2, 3, 0, -1} {
		_, err := s.file.DB.Exec(writeEntry+"(2, 'undo', '', '2026-03-14T11:00:00.250Z', ?)",
			undoes)
		require.ErrorContains(t, err, "CHECK constraint failed", "%d", undoes)
	}
	for _, query := range []string{"UPDATE entry SET kind = 'take'", "UPDATE entry SET at = at",
		"DELETE FROM entry"} {
		_, err := s.file.DB.Exec(query)
		require.ErrorContains(t, err, "the journal is never rewritten")
	}
}

// Check finds what no program of ours writes.
func TestCheckFindsAstrayUndo(t *testing.T) {
	for says, rows := range map[string][]string{
		"batch 2 is taken back, but is not in the journal":    {"3, 'undo', 2", "4, 'put', NULL"},
		"batch 1 is taken back 2 times":                       {"2, 'undo', 1", "3, 'undo', 1"},
		"batch 2 takes back another and is taken back itself": {"2, 'undo', 1", "3, 'undo', 2"},
		"batch 1 takes back another and is taken back itself": {"2, 'redo', 1"},
		"batch 2 has movements, but is not in the journal":    nil,
	} {
		s := fresh(t)
		put(t, s, lot(resistor(10), 5))
		for _, r := range rows {
			cells := strings.SplitN(r, ", ", 3)
			_, err := s.file.DB.Exec(writeEntry + "(" + cells[0] + ", " + cells[1] +
				", '', '2026-03-14T11:00:00.250Z', " + cells[2] + ")")
			require.NoError(t, err)
		}
		if rows == nil {
			_, err := s.file.DB.Exec("INSERT INTO movement (lot, delta, reason, at, batch) " +
				"VALUES (1, " +
				"2, '', '2026-03-14T11:00:00.250Z', 2)")
			require.NoError(t, err)
			_, err = s.file.DB.Exec("UPDATE lot SET count = 7")
			require.NoError(t, err)
		}
		r, err := s.Check(ctx)
		require.NoError(t, err)
		require.Equal(t, []string{says}, r.Problems)
	}
}

// Whatever was put, taken and undone in between, undo brings back the counts that were there
// before: held against a builder who writes the counts down before every change.
func TestUndoBringsBackWhatWas(t *testing.T) {
	dir := t.TempDir()
	run := 0
	rapid.Check(t, func(t *rapid.T) {
		run++
		path := filepath.Join(dir, fmt.Sprintf("%d.db", run))
		s, err := Create(ctx, path)
		require.NoError(t, err)
		defer os.Remove(path)
		defer s.Close()
		_, err = s.file.DB.Exec("PRAGMA synchronous = OFF")
		require.NoError(t, err)
		parts := []inventory.Lot{lot(resistor(10), 1), lot(resistor(22), 1), lot(wire(), 1)}
		now := map[int64]float64{}
		var before []map[int64]float64
		change := func(lots map[int64]float64) {
			before = append(before, maps.Clone(now))
			maps.Copy(now, lots)
		}
		for range rapid.IntRange(1, 25).Draw(t, "steps") {
			switch rapid.SampledFrom([]string{"put", "take", "undo"}).Draw(t, "what") {
			case "put":
				some := parts[:rapid.IntRange(1, 3).Draw(t, "lots")]
				ids, err := s.Put(ctx, some, "found", noon)
				require.NoError(t, err)
				after := map[int64]float64{}
				for _, id := range ids {
					after[id] = now[id] + 1
				}
				change(after)
			case "take":
				id := int64(rapid.IntRange(1, 3).Draw(t, "lot"))
				if _, err := s.Take(ctx, id, 1, "used", noon); err == nil {
					require.Positive(t, now[id])
					change(map[int64]float64{id: now[id] - 1})
				} else {
					require.Zero(t, now[id])
				}
			case "undo":
				n := rapid.IntRange(1, 3).Draw(t, "n")
				_, err := s.Undo(ctx, n, noon)
				if n > len(before) {
					require.ErrorIs(t, err, inventory.ErrNothingToUndo)
					continue
				}
				require.NoError(t, err)
				now = before[len(before)-n]
				before = before[:len(before)-n]
			}
			for id, want := range now {
				l, err := s.Lot(ctx, id)
				require.NoError(t, err)
				require.Equal(t, want, l.Count)
			}
		}
		r, err := s.Check(ctx)
		require.NoError(t, err)
		require.Empty(t, r.Problems)
	})
}

func text(s string) *string { return &s }

// What is not mentioned stays as it was; lots keep their donor under a new name.
func TestEditDonor(t *testing.T) {
	s := fresh(t)
	d, known, err := s.EditDonor(ctx, "router brick",
		DonorChange{Plate: text("12 V 1 A"), Was: text("wall adapter")}, noon)
	require.NoError(t, err)
	require.False(t, known)
	require.Equal(t, inventory.Donor{Name: "router brick", Was: "wall adapter", Plate: "12 V 1 A"},
		d)
	l := lot(resistor(10), 5)
	l.Donor = "router brick"
	id := put(t, s, l)[0]
	d, known, err = s.EditDonor(ctx, "router brick",
		DonorChange{State: text("dead"), Name: text("brick 1")}, noon)
	require.NoError(t, err)
	require.True(t, known)
	want := inventory.Donor{Name: "brick 1", Was: "wall adapter", Plate: "12 V 1 A", State: "dead"}
	require.Equal(t, want, d)
	_, err = s.Take(ctx, id, 5, "used", noon)
	require.NoError(t, err)
	lots, err := s.LotsFrom(ctx, "brick 1")
	require.NoError(t, err)
	require.Len(t, lots, 1, "emptied lots count as well")
	require.Equal(t, "brick 1", lots[0].Donor)
	require.NoError(t, s.DescribeDonor(ctx, inventory.Donor{Name: "other"}, noon))
	var data inventory.DataError
	_, _, err = s.EditDonor(ctx, "other", DonorChange{Name: text("brick 1")}, noon)
	require.ErrorAs(t, err, &data)
	_, _, err = s.EditDonor(ctx, "unheard of", DonorChange{Name: text("free")}, noon)
	require.ErrorAs(t, err, &data)
	_, _, err = s.EditDonor(ctx, "other", DonorChange{Note: text("\x00")}, noon)
	require.ErrorAs(t, err, &data)
	all, err := s.Donors(ctx)
	require.NoError(t, err)
	require.Equal(t, []inventory.Donor{want, {Name: "other"}}, all)
	lots, err = s.LotsFrom(ctx, "nobody")
	require.NoError(t, err)
	require.Empty(t, lots)
}

// A drawer of the first form keeps everything when it is brought to the present one.
func TestFirstFormIsBroughtUp(t *testing.T) {
	path := filepath.Join(t.TempDir(), "old.db")
	require.NoError(t, drawerfile.MakeEmpty(path))
	steps, err := drawerfile.Migrations(drawerfile.SchemaFiles)
	require.NoError(t, err)
	old := drawerfile.Connect(path, drawerfile.Creating)
	tx, err := old.BeginTxx(ctx, nil)
	require.NoError(t, err)
	require.NoError(t, drawerfile.Apply(ctx, tx, steps[:1]))
	for _, row := range []string{
		"INSERT INTO donor (id, name, plate, state, note) VALUES (1, 'router brick', '12 V 1 " +
			"A', 'dead', '')",
		"INSERT INTO part (id, kind, designation) VALUES (1, 'resistor', '10k')",
		"INSERT INTO figure (part, field, value, text, basis) VALUES (1, 'resistance', 10000.0, " +
			"'10k', 'published')",
		"INSERT INTO lot (id, part, bin, donor, condition, note, count) VALUES (1, 1, 'B4', 1, " +
			"'tested', '', 5.0)",
		"INSERT INTO movement (lot, delta, reason, at, batch) VALUES (1, 5.0, 'put', " +
			"'2026-03-14T11:00:00.250Z', 1)",
	} {
		_, err := tx.Exec(row)
		require.NoError(t, err, row)
	}
	require.NoError(t, tx.Commit())
	require.NoError(t, old.Close())

	s, err := Open(ctx, path, ReadWrite)
	require.NoError(t, err)
	defer s.Close()
	donors, err := s.Donors(ctx)
	require.NoError(t, err)
	require.Equal(t, []inventory.Donor{{Name: "router brick", Plate: "12 V 1 A", State: "dead"}},
		donors)
	require.Equal(t, []float64{5}, held(t, s, 1))
	_, err = s.Undo(ctx, 1, noon)
	require.NoError(t, err)
	require.Equal(t, []float64{0}, held(t, s, 1))
	sound(t, s)
}
