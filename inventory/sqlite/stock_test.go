package sqlite

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
)

func TestPutMergesEquals(t *testing.T) {
	s := fresh(t)
	ids := put(t, s, lot(resistor(10), 5), lot(resistor(22), 1), lot(resistor(10), 2))
	require.Equal(t, ids[0], ids[2])
	require.NotEqual(t, ids[0], ids[1])
	require.Equal(t, ids[:1], put(t, s, lot(resistor(10), 3)))
	got, err := s.Lot(ctx, ids[0])
	require.NoError(t, err)
	require.Equal(t, 10.0, got.Count)

	read := lot(resistor(10), 1)
	read.Measured = []inventory.Measurement{
		{Field: "resistance", Value: 10.1, Error: 0.002, Text: "10.1 +-0.2%"}}
	other := lot(resistor(10), 1)
	other.Donor = "router"
	require.NotContains(t, put(t, s, read), ids[0])
	require.NotContains(t, put(t, s, other), ids[0])
	require.Equal(t, put(t, s, read), put(t, s, read))
	require.Equal(t, put(t, s, other), put(t, s, other))

	var parts int
	require.NoError(t, s.file.DB.Get(&parts, "SELECT count(*) FROM part"))
	require.Equal(t, 2, parts, "equal parts are kept once")
	sound(t, s)
}

func TestEverythingComesBack(t *testing.T) {
	s := fresh(t)
	full := lot(resistor(4700), 7)
	full.Donor, full.Note, full.Condition = "router brick, no. 7",
		"two\nlines; \"quoted\" \u00b5\u03a9", inventory.New
	full.Measured = []inventory.Measurement{
		{Field: "power", Value: 0.25, Error: 0.1, Text: "about 1/4"},
		{Field: "resistance", Value: 4683, Error: 0.002, Text: "4.683k +-0.2%"}}
	spool := lot(wire(), 12.5)
	spool.Bin = ""
	ids := put(t, s, full, spool)
	full.ID, spool.ID = ids[0], ids[1]
	got, err := s.Snapshot(ctx)
	require.NoError(t, err)
	require.Equal(t, []inventory.Lot{full, spool}, got.Lots)
	one, err := s.Lot(ctx, ids[0])
	require.NoError(t, err)
	require.Equal(t, full, one)

	moves, err := s.Movements(ctx, ids[1])
	require.NoError(t, err)
	require.Equal(t, []inventory.Movement{
		{ID: 2, Lot: ids[1], Delta: 12.5, Reason: "found", When: noon.UTC(), Batch: 1}}, moves)
}

func TestPutRefusesTheWhole(t *testing.T) {
	s := fresh(t)
	bad := lot(resistor(22), 1)
	bad.Bin = "a\x1b"
	_, err := s.Put(ctx, []inventory.Lot{lot(resistor(10), 1), bad}, "", noon)
	var data inventory.DataError
	require.ErrorAs(t, err, &data)
	_, err = s.Put(ctx, []inventory.Lot{lot(resistor(10), 1)}, "why\x00", noon)
	require.ErrorAs(t, err, &data)
	_, err = s.Put(ctx, []inventory.Lot{lot(resistor(10), inventory.MaxCount),
		lot(resistor(10), 1)}, "", noon)
	require.ErrorAs(t, err, &data)
	snapshot, err := s.Snapshot(ctx)
	require.NoError(t, err)
	require.Empty(t, snapshot.Lots)
	ids, err := s.Put(ctx, nil, "", noon)
	require.NoError(t, err)
	require.Empty(t, ids)
}

func TestTake(t *testing.T) {
	s := fresh(t)
	id := put(t, s, lot(resistor(10), 5))[0]
	got, err := s.Take(ctx, id, 2, "used", noon)
	require.NoError(t, err)
	require.Equal(t, 3.0, got.Count)

	_, err = s.Take(ctx, id, 4, "", noon)
	require.Equal(t, inventory.Overdraw{Lot: id, Asked: 4, Available: 3, Unit: inventory.Pieces},
		err)
	_, err = s.Take(ctx, 99, 1, "", noon)
	require.ErrorIs(t, err, inventory.ErrNoLot)
	for _, n := range []float64{0, -1, 0.5, math.NaN(), math.Inf(1)} {
		_, err = s.Take(ctx, id, n, "", noon)
		var data inventory.DataError
		require.ErrorAs(t, err, &data)
	}
	_, err = s.Take(ctx, id, 1, "a\nb", noon)
	require.Error(t, err)

	_, err = s.Take(ctx, id, 3, "", noon)
	require.NoError(t, err)
	snapshot, err := s.Snapshot(ctx)
	require.NoError(t, err)
	require.Empty(t, snapshot.Lots, "an emptied lot is out of the snapshot")
	got, err = s.Lot(ctx, id)
	require.NoError(t, err)
	require.Zero(t, got.Count)
	moves, err := s.Movements(ctx, id)
	require.NoError(t, err)
	require.Len(t, moves, 3)
	require.Equal(t, []int64{id}, put(t, s, lot(resistor(10), 1)),
		"and grows again when the same is put")
	_, err = s.Movements(ctx, 99)
	require.ErrorIs(t, err, inventory.ErrNoLot)
	sound(t, s)
}

// Ten tenths of a metre are the metre: the spool is empty and not 1e-16 long.
func TestSpoolRunsOutExactly(t *testing.T) {
	s := fresh(t)
	id := put(t, s, lot(wire(), 1))[0]
	for range 10 {
		_, err := s.Take(ctx, id, 0.1, "", noon)
		require.NoError(t, err)
	}
	got, err := s.Lot(ctx, id)
	require.NoError(t, err)
	require.Zero(t, got.Count)
	sound(t, s)
}

func TestReserveReleaseConsume(t *testing.T) {
	s := fresh(t)
	ids := put(t, s, lot(resistor(10), 5), lot(wire(), 12.5))
	draws := []inventory.Draw{{Lot: ids[0], Count: 2}, {Lot: ids[0], Count: 1},
		{Lot: ids[1], Count: 3.27184}}
	require.NoError(t, s.Reserve(ctx, draws, "garden charger", noon))
	got, err := s.Lot(ctx, ids[0])
	require.NoError(t, err)
	require.Equal(t, 3.0, got.SetAside)
	require.Equal(t, 2.0, got.Available())
	held, err := s.SetAsides(ctx, "")
	require.NoError(t, err)
	require.Len(t, held, 3)
	require.Equal(t, inventory.SetAside{ID: 3, Lot: ids[1], Count: 3.272, Purpose: "garden charger",
		When: noon.UTC()}, held[2])

	_, err = s.Take(ctx, ids[0], 3, "", noon)
	require.Equal(t, inventory.Overdraw{Lot: ids[0], Asked: 3, Available: 2, SetAside: 3,
		Unit: inventory.Pieces}, err)
	var over inventory.Overdraw
	require.ErrorAs(t, s.Reserve(ctx, []inventory.Draw{{Lot: ids[1], Count: 1},
		{Lot: ids[0], Count: 3}}, "other", noon), &over)
	require.ErrorIs(t, s.Reserve(ctx, []inventory.Draw{{Lot: 99, Count: 1}}, "other", noon),
		inventory.ErrNoLot)
	held, err = s.SetAsides(ctx, "other")
	require.NoError(t, err)
	require.Empty(t, held, "all or none")

	require.NoError(t, s.Reserve(ctx, []inventory.Draw{{Lot: ids[0], Count: 1}}, "bench", noon))
	freed, err := s.Release(ctx, "bench", noon)
	require.NoError(t, err)
	require.Len(t, freed, 1)
	_, err = s.Release(ctx, "bench", noon)
	require.ErrorIs(t, err, inventory.ErrNoPurpose)

	used, err := s.Consume(ctx, "garden charger", noon.Add(time.Hour))
	require.NoError(t, err)
	require.Len(t, used, 3)
	spool, err := s.Lot(ctx, ids[1])
	require.NoError(t, err)
	require.Equal(t, 9.228, spool.Count)
	require.Zero(t, spool.SetAside)
	moves, err := s.Movements(ctx, ids[0])
	require.NoError(t, err)
	require.Equal(t, "garden charger", moves[1].Reason)
	require.Equal(t, moves[1].Batch, moves[2].Batch)
	_, err = s.Consume(ctx, "garden charger", noon)
	require.ErrorIs(t, err, inventory.ErrNoPurpose)

	var data inventory.DataError
	require.ErrorAs(t, s.Reserve(ctx, draws, "", noon), &data)
	_, err = s.Release(ctx, "a\x07", noon)
	require.ErrorAs(t, err, &data)
	sound(t, s)
}

func TestMeasureAndEdit(t *testing.T) {
	s := fresh(t)
	id := put(t, s, lot(resistor(4700), 5))[0]
	m := inventory.Measurement{Field: "resistance", Value: 4690, Error: 0.01, Text: "4.69k"}
	_, err := s.Measure(ctx, id, m, noon)
	require.NoError(t, err)
	m.Value, m.Error, m.Text = 4683, 0.002, "4.683k +-0.2%"
	got, err := s.Measure(ctx, id, m, noon)
	require.NoError(t, err)
	require.Equal(t, []inventory.Measurement{m}, got.Measured, "the newer reading takes the place")
	_, err = s.Measure(ctx, id, inventory.Measurement{Field: "colour", Value: 1, Error: 0.1}, noon)
	require.ErrorContains(t, err, "no such figure")
	_, err = s.Measure(ctx, 99, m, noon)
	require.ErrorIs(t, err, inventory.ErrNoLot)

	bin, note, state := "C1", "moved", inventory.Damaged
	got, err = s.Edit(ctx, id, Change{Bin: &bin, Note: &note, Condition: &state}, noon)
	require.NoError(t, err)
	again, err := s.Lot(ctx, id)
	require.NoError(t, err)
	require.Equal(t, again, got)
	require.Equal(t, "C1", again.Bin)
	require.Equal(t, "moved", again.Note)
	require.Equal(t, inventory.Damaged, again.Condition)
	got, err = s.Edit(ctx, id, Change{}, noon)
	require.NoError(t, err)
	require.Equal(t, again, got)
	bin = "\u202e"
	_, err = s.Edit(ctx, id, Change{Bin: &bin}, noon)
	require.ErrorContains(t, err, "U+202E")
	_, err = s.Edit(ctx, 99, Change{}, noon)
	require.ErrorIs(t, err, inventory.ErrNoLot)
	sound(t, s)
}

func TestDonors(t *testing.T) {
	s := fresh(t)
	l := lot(resistor(10), 1)
	l.Donor = "router"
	put(t, s, l)
	require.NoError(t, s.DescribeDonor(ctx,
		inventory.Donor{Name: "router", Plate: "12 V 1 A", State: "bulged capacitor",
			Note: "n"}, noon))
	require.NoError(t, s.DescribeDonor(ctx, inventory.Donor{Name: "lamp"}, noon))
	require.Error(t, s.DescribeDonor(ctx, inventory.Donor{}, noon))
	got, err := s.Donors(ctx)
	require.NoError(t, err)
	require.Equal(t, []inventory.Donor{{Name: "lamp"},
		{Name: "router", Plate: "12 V 1 A", State: "bulged capacitor", Note: "n"}}, got)
	sound(t, s)
}

// Numbers pass through the file without losing a bit, also those that need 17 digits or lie at the
// ends of a range.
func TestFiguresKeepEveryBit(t *testing.T) {
	s := fresh(t)
	rapid.Check(t, func(t *rapid.T) {
		ohm := rapid.OneOf(rapid.Float64Range(1e-4, 1e9),
			rapid.SampledFrom([]float64{1e-4, 1e9, 0.1, 1.0 / 3, 4.35})).Draw(t, "ohm")
		basis := rapid.SampledFrom(bases).Draw(t, "basis")
		r := resistor(1)
		r.Resistance = catalog.Datum[si.Resistance]{Value: si.Resistance(ohm), Basis: basis}
		ids, err := s.Put(ctx, []inventory.Lot{lot(r, 1)}, "", noon)
		require.NoError(t, err)
		got, err := s.Lot(ctx, ids[0])
		require.NoError(t, err)
		require.Equal(t, r, got.Part)
	})
}
