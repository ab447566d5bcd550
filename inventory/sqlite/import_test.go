package sqlite

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/inventory"
	"sparewright/inventory/exchange"
)

func imported(t *testing.T, s *Store, replace bool, lots ...inventory.Lot) Imported {
	t.Helper()
	would, err := s.Preview(ctx, lots, replace)
	require.NoError(t, err)
	done, err := s.Import(ctx, lots, replace, noon)
	require.NoError(t, err)
	require.Equal(t, would, done, "the preview tells what happens")
	sound(t, s)
	return done
}

func counts(t *testing.T, s *Store) map[int64]float64 {
	t.Helper()
	snapshot, err := s.Snapshot(ctx)
	require.NoError(t, err)
	out := map[int64]float64{}
	for _, l := range snapshot.Lots {
		out[l.ID] = l.Count
	}
	return out
}

func TestImportAddsOrReplaces(t *testing.T) {
	s := fresh(t)
	require.Equal(t, Imported{Added: 2},
		imported(t, s, false, lot(resistor(10), 5), lot(resistor(22), 1), lot(resistor(10), 1)))
	require.Equal(t, map[int64]float64{1: 6, 2: 1}, counts(t, s))
	require.Equal(t, Imported{Added: 1, Changed: 1},
		imported(t, s, false, lot(resistor(10), 4), lot(wire(), 2.5)))
	require.Equal(t, map[int64]float64{1: 10, 2: 1, 3: 2.5}, counts(t, s))

	list := []inventory.Lot{lot(resistor(10), 3), lot(wire(), 2.5), lot(resistor(47), 8)}
	require.Equal(t, Imported{Added: 1, Changed: 1, Unchanged: 1, Emptied: 1},
		imported(t, s, true, list...))
	require.Equal(t, map[int64]float64{1: 3, 3: 2.5, 4: 8}, counts(t, s))
	require.Equal(t, Imported{Unchanged: 3}, imported(t, s, true, list...), "twice is once")
	require.Equal(t, Imported{Emptied: 3}, imported(t, s, true))
	require.Equal(t, Imported{Changed: 3}, imported(t, s, true, list...))
	require.Equal(t, map[int64]float64{1: 3, 3: 2.5, 4: 8}, counts(t, s), "lots keep their numbers")
}

func TestImportIsAllOrNothing(t *testing.T) {
	s := fresh(t)
	id := put(t, s, lot(resistor(10), 5))[0]
	require.NoError(t, s.Reserve(ctx, []inventory.Draw{{Lot: id, Count: 4}}, "p", noon))
	before := printOf(t, s.file.Path)

	bad := lot(resistor(47), 1)
	bad.Condition = "shiny"
	for _, try := range []struct {
		replace bool
		lots    []inventory.Lot
	}{
		{false, []inventory.Lot{lot(resistor(22), 1), bad}},
		{true, []inventory.Lot{lot(resistor(22), 1), bad}},
		{true, []inventory.Lot{lot(resistor(22), 1), lot(resistor(10), 3)}}, // 4 are set aside
		{true, []inventory.Lot{lot(resistor(22), 1)}},
		{false, []inventory.Lot{lot(resistor(22), 1), lot(resistor(10), inventory.MaxCount)}},
	} {
		_, err := s.Import(ctx, try.lots, try.replace, noon)
		require.Error(t, err)
		require.Equal(t, map[int64]float64{id: 5}, counts(t, s))
	}
	_, err := s.Preview(ctx, []inventory.Lot{bad}, false)
	require.Error(t, err)
	_, err = s.Preview(ctx, nil, true)
	var over inventory.Overdraw
	require.ErrorAs(t, err, &over)
	require.Equal(t, inventory.Overdraw{Lot: id, Asked: 5, Available: 1, SetAside: 4,
		Unit: inventory.Pieces}, over)
	require.Equal(t, before.sum, printOf(t, s.file.Path).sum)
}

func TestPreviewNeedsNoWriting(t *testing.T) {
	s := fresh(t)
	require.NoError(t, s.Close())
	ro, err := Open(ctx, s.file.Path, ReadOnly)
	require.NoError(t, err)
	defer ro.Close()
	would, err := ro.Preview(ctx, []inventory.Lot{lot(resistor(10), 1)}, false)
	require.NoError(t, err)
	require.Equal(t, Imported{Added: 1}, would)
	_, err = ro.Import(ctx, []inventory.Lot{lot(resistor(10), 1)}, false, noon)
	refused(t, err, "write-protected")
}

// Out of one drawer, into an empty one and out again: the same bytes, with every kind of part and
// texts of all sorts.
func TestExportImportExport(t *testing.T) {
	lots := exchange.Demo().Lots
	hostile := lot(resistor(10), 3)
	hostile.Bin, hostile.Donor, hostile.Note = "=1+1", "'@x", "-a\n\"b\";\t\u00e9"
	hostile.Measured = []inventory.Measurement{
		{Field: "resistance", Value: 10.1, Error: 0.0123456789}}
	lots = append(lots, hostile)
	s := fresh(t)
	imported(t, s, false, lots...)
	first := exported(t, s)
	whole, faults := exchange.Read(strings.NewReader(first), "first.csv")
	read := whole.Lots
	require.Empty(t, faults)
	other := fresh(t)
	imported(t, other, true, read...)
	require.Equal(t, first, exported(t, other))
	require.Equal(t, Imported{Unchanged: len(counts(t, s))}, imported(t, s, true, read...))
}
