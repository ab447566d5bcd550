package sqlite

import (
	"context"
	"maps"
	"slices"

	"github.com/jmoiron/sqlx"

	"sparewright/inventory"
)

// lotImage is what the journal keeps of a lot; its count is in the ledger.
type lotImage struct {
	ID        int64  `db:"id"`
	Part      int64  `db:"part"`
	Bin       string `db:"bin"`
	Donor     int64  `db:"donor"` // 0 for none
	Condition string `db:"condition"`
	Note      string `db:"note"`
}

// readingKey names a reading: a lot has at most one of a figure.
type readingKey struct {
	Lot   int64
	Field string
}

type readingImage struct {
	readingRow
	At string `db:"at"`
}

type donorImage struct {
	ID int64 `db:"id"`
	donorRow
}

// sides are a row before and after a change; nil where there was none.
type sides[T any] struct{ before, after *T }

func (s sides[T]) at(w side) *T {
	if w == before {
		return s.before
	}
	return s.after
}

// either is the row on a side where it is, that after the change before that before it.
func (s sides[T]) either() T {
	if s.after != nil {
		return *s.after
	}
	return *s.before
}

// images is all that a change altered besides counts.
type images struct {
	lots     imageTable[int64, lotImage]
	readings imageTable[readingKey, readingImage]
	donors   imageTable[int64, donorImage]
	asides   imageTable[int64, setAsideRow]
}

// imageTable has the rows of one table in the order of their keys.
type imageTable[K comparable, T any] struct {
	keys []K
	rows map[K]sides[T]
}

// imaged is a row of an image table.
type imaged[T any] struct {
	Entry int64  `db:"entry"`
	Side  string `db:"side"`
	Row   T      `db:"row"`
}

// loadImages reads what one entry altered.
func loadImages(ctx context.Context, tx *sqlx.Tx, entry int64) (images, error) {
	all, err := loadImagesOf(ctx, tx, entry, entry)
	return all[entry], err
}

// loadImagesOf reads what the entries from the first to the last altered. The number of queries
// does not depend on theirs.
func loadImagesOf(ctx context.Context, tx *sqlx.Tx, first, last int64) (map[int64]images, error) {
	lots, err := loadSides(ctx, tx, first, last, `SELECT entry, side, id AS "row.id", part AS "row.part", bin AS "row.bin",
    coalesce(donor, 0) AS "row.donor", condition AS "row.condition", note AS "row.note"
FROM lot_image WHERE entry BETWEEN ? AND ? ORDER BY entry, id`, func(l lotImage) int64 { return l.ID })
	if err != nil {
		return nil, err
	}
	readings, err := loadSides(ctx, tx, first, last, `SELECT entry, side, lot AS "row.lot", field AS "row.field",
    value AS "row.value", error AS "row.error", text AS "row.text", at AS "row.at"
FROM reading_image WHERE entry BETWEEN ? AND ? ORDER BY entry, lot, field`,
		func(r readingImage) readingKey { return readingKey{r.Lot, r.Field} })
	if err != nil {
		return nil, err
	}
	donors, err := loadSides(ctx, tx, first, last, `SELECT entry, side, id AS "row.id", name AS "row.name", was AS "row.was",
    plate AS "row.plate", state AS "row.state", note AS "row.note"
FROM donor_image WHERE entry BETWEEN ? AND ? ORDER BY entry, id`, func(d donorImage) int64 { return d.ID })
	if err != nil {
		return nil, err
	}
	asides, err := loadSides(ctx, tx, first, last, `SELECT entry, side, id AS "row.id", lot AS "row.lot",
    count AS "row.count", purpose AS "row.purpose", at AS "row.at"
FROM set_aside_image WHERE entry BETWEEN ? AND ? ORDER BY entry, id`, func(a setAsideRow) int64 { return a.ID })
	if err != nil {
		return nil, err
	}
	all := map[int64]images{}
	for _, entries := range [][]int64{keysOf(lots), keysOf(readings), keysOf(donors),
		keysOf(asides)} {
		for _, e := range entries {
			all[e] = images{lots[e], readings[e], donors[e], asides[e]}
		}
	}
	return all, nil
}

func keysOf[V any](m map[int64]V) []int64 { return slices.Collect(maps.Keys(m)) }

func loadSides[K comparable, T any](ctx context.Context, tx *sqlx.Tx, first,
	last int64, query string,
	key func(T) K) (map[int64]imageTable[K, T], error) {
	var rows []imaged[T]
	if err := tx.SelectContext(ctx, &rows, query, first, last); err != nil {
		return nil, err
	}
	out := map[int64]imageTable[K, T]{}
	for i := range rows {
		t, k := out[rows[i].Entry], key(rows[i].Row)
		if t.rows == nil {
			t.rows = map[K]sides[T]{}
		}
		pair, seen := t.rows[k]
		if !seen {
			t.keys = append(t.keys, k)
		}
		if side(rows[i].Side) == before {
			pair.before = &rows[i].Row
		} else {
			pair.after = &rows[i].Row
		}
		t.rows[k] = pair
		out[rows[i].Entry] = t
	}
	return out, nil
}

// created reports whether the change made the lot.
func (im images) created(lot int64) bool {
	pair, altered := im.lots.rows[lot]
	return altered && pair.before == nil
}

// lotsOf names every lot the images speak of.
func (im images) lotsOf() []int64 {
	ids := append([]int64{}, im.lots.keys...)
	for _, k := range im.readings.keys {
		ids = append(ids, k.Lot)
	}
	for _, k := range im.asides.keys {
		pair := im.asides.rows[k]
		for _, a := range []*setAsideRow{pair.before, pair.after} {
			if a != nil {
				ids = append(ids, a.Lot)
			}
		}
	}
	return ids
}

// turning brings everything a change altered to one side of it.
type turning struct {
	s  *Store
	b  batch
	im images
	to side
}

// carryOut brings rows and counts to the side. What is to be set aside is written behind the counts
// and what is not before them, so that the counts bear it at every step.
func (t turning) carryOut(ctx context.Context, u *Undone) error {
	for _, step := range []func(context.Context) error{
		t.bringDonors, t.bringLots, t.bringReadings, t.liftAsides,
	} {
		if err := step(ctx); err != nil {
			return err
		}
	}
	if err := t.count(ctx, u.Moves); err != nil {
		return err
	}
	if err := t.holdAsides(ctx); err != nil {
		return err
	}
	if err := t.dropDonors(ctx); err != nil {
		return err
	}
	lots, err := t.s.loadLots(ctx, t.b.tx, t.involved(u.Moves))
	if err != nil {
		return err
	}
	u.Lots = lots
	return t.held(lots)
}

// involved names every lot of the change.
func (t turning) involved(moves []inventory.Movement) []int64 {
	ids := t.im.lotsOf()
	for _, m := range moves {
		ids = append(ids, m.Lot)
	}
	return ids
}

// held looks that no lot holds less than is set aside of it.
func (t turning) held(lots map[int64]inventory.Lot) error {
	for _, k := range t.im.asides.keys {
		want := t.im.asides.rows[k].at(t.to)
		if want == nil {
			continue
		}
		if l := lots[want.Lot]; l.SetAside > l.Count {
			return inventory.Overdraw{Lot: l.ID, Asked: want.Count, Unit: l.Unit(),
				Available: max(0, inventory.RoundCount(l.Count-l.SetAside+want.Count)),
				SetAside:  inventory.RoundCount(l.SetAside - want.Count)}
		}
	}
	return nil
}

// count writes the movements of the change again, or their contraries.
func (t turning) count(ctx context.Context, moves []inventory.Movement) error {
	var ids []int64
	for _, m := range moves {
		ids = append(ids, m.Lot)
	}
	lots, err := t.s.loadLots(ctx, t.b.tx, ids)
	if err != nil {
		return err
	}
	for _, m := range moves {
		l, ok := lots[m.Lot]
		if !ok {
			return inventory.NoLot{Lot: m.Lot}
		}
		delta := m.Delta
		if t.to == before {
			delta = -delta
		}
		if l.Count, err = countAfter(l, delta); err != nil {
			return err
		}
		if err := t.b.move(ctx, l.ID, delta, l.Count); err != nil {
			return err
		}
		lots[m.Lot] = l
	}
	return nil
}
