package sqlite

import (
	"context"
	"errors"
	"time"

	"github.com/jmoiron/sqlx"

	"sparewright/catalog"
	"sparewright/inventory"
)

// shelf knows the lots and parts that new lots may fall together with.
type shelf struct {
	all    []inventory.Lot
	lots   map[inventory.Identity]inventory.Lot
	parts  map[catalog.Part]int64
	donors map[string]int64
}

// equals is where lots to be put may find their equals: among those of the same name for one,
// anywhere for many.
func equals(incoming []inventory.Lot) scope {
	if len(incoming) == 1 {
		return named(incoming[0].Part)
	}
	return everything()
}

func (s *Store) loadShelf(ctx context.Context, tx *sqlx.Tx, which scope) (shelf, error) {
	d, err := s.load(ctx, tx, which)
	if err != nil {
		return shelf{}, err
	}
	sh := shelf{d.lots, map[inventory.Identity]inventory.Lot{}, map[catalog.Part]int64{},
		map[string]int64{}}
	for _, l := range d.lots {
		if _, taken := sh.lots[l.Identity()]; !taken { // of equal lots the oldest grows
			sh.lots[l.Identity()] = l
		}
	}
	for id, p := range d.parts {
		if known, taken := sh.parts[p]; !taken || id < known {
			sh.parts[p] = id
		}
	}
	err = sh.loadDonors(ctx, tx)
	return sh, err
}

func (sh *shelf) loadDonors(ctx context.Context, tx *sqlx.Tx) error {
	var rows []struct {
		ID   int64  `db:"id"`
		Name string `db:"name"`
	}
	if err := tx.SelectContext(ctx, &rows, "SELECT id, name FROM donor"); err != nil {
		return err
	}
	for _, r := range rows {
		sh.donors[r.Name] = r.ID
	}
	return nil
}

// Put adds lots to the drawer in one transaction and returns their numbers in the order given. A
// lot whose part, bin, donor, condition, note and readings equal those of one in the drawer makes
// that one grow; IDs and set-asides handed in do not count. The whole call fails with a DataError
// when any lot is not valid.
func (s *Store) Put(ctx context.Context, lots []inventory.Lot, reason string,
	now time.Time) ([]int64, error) {
	ids, _, err := s.PutBatch(ctx, lots, reason, now)
	return ids, err
}

// PutBatch is Put that also tells the number of the batch, by which UndoBatches takes it back; 0
// when there was nothing to put.
func (s *Store) PutBatch(ctx context.Context, lots []inventory.Lot, reason string,
	now time.Time) ([]int64, int64, error) {
	if err := validAll(lots); err != nil || len(lots) == 0 {
		return nil, 0, err
	}
	var ids []int64
	var number int64
	err := s.recorded(ctx, kindPut, reason, now, func(tx *sqlx.Tx, b batch) error {
		sh, err := s.loadShelf(ctx, tx, equals(lots))
		if err != nil {
			return err
		}
		for _, l := range lots {
			stored, err := sh.put(ctx, b, l)
			if err != nil {
				return err
			}
			ids = append(ids, stored.ID)
		}
		number = b.number
		return nil
	})
	if err != nil {
		return nil, 0, err
	}
	return ids, number, nil
}

func validAll(lots []inventory.Lot) error {
	var faults []error
	for _, l := range lots {
		if err := l.Validate(); err != nil {
			faults = append(faults, err)
		}
	}
	return errors.Join(faults...)
}

// put adds to an equal lot or makes a new one.
func (sh *shelf) put(ctx context.Context, b batch, l inventory.Lot) (inventory.Lot, error) {
	stored, found := sh.lots[l.Identity()]
	if !found {
		var err error
		if stored, err = sh.newLot(ctx, b, l); err != nil {
			return stored, err
		}
	}
	delta := inventory.RoundCount(l.Count)
	stored.Count = inventory.RoundCount(stored.Count + delta)
	if err := inventory.CheckCount(stored.Count, stored.Unit()); err != nil {
		return stored, err
	}
	if err := b.move(ctx, stored.ID, delta, stored.Count); err != nil {
		return stored, err
	}
	sh.lots[l.Identity()] = stored
	return stored, nil
}

// newLot writes an empty lot with its part, donor and readings as far as these are new.
func (sh *shelf) newLot(ctx context.Context, b batch, l inventory.Lot) (inventory.Lot, error) {
	part, err := sh.partOf(ctx, b.tx, l.Part)
	if err != nil {
		return l, err
	}
	donor, err := sh.donorOf(ctx, b.tx, l.Donor)
	if err != nil {
		return l, err
	}
	l.ID, err = insert(ctx, b.tx, "INSERT INTO lot (part, bin, donor, condition, note, count) "+
		"VALUES (?, ?, ?, ?, ?, 0)",
		part, l.Bin, donor, string(l.Condition), l.Note)
	if err != nil {
		return l, err
	}
	l.Count, l.SetAside = 0, 0
	for _, m := range l.Measured {
		if err := writeReading(ctx, b.tx, l.ID, m, b.at); err != nil {
			return l, err
		}
	}
	return l, nil
}

func insert(ctx context.Context, tx *sqlx.Tx, query string, args ...any) (int64, error) {
	r, err := tx.ExecContext(ctx, query, args...)
	if err != nil {
		return 0, err
	}
	return r.LastInsertId()
}

func (sh *shelf) partOf(ctx context.Context, tx *sqlx.Tx, p catalog.Part) (int64, error) {
	if id, ok := sh.parts[p]; ok {
		return id, nil
	}
	r := catalog.Describe(p)
	id, err := insert(ctx, tx, "INSERT INTO part (kind, designation) VALUES (?, ?)",
		string(r.Kind), r.Designation)
	if err != nil {
		return 0, err
	}
	for _, v := range r.Values {
		var number any // NULL for words
		if v.Numeric {
			number = v.Number
		}
		_, err := tx.ExecContext(ctx, "INSERT INTO figure (part, field, value, text, basis) "+
			"VALUES (?, ?, ?, ?, ?)",
			id, v.Field, number, v.Text, v.Basis.String())
		if err != nil {
			return 0, err
		}
	}
	sh.parts[p] = id
	return id, nil
}

// donorOf returns the number of the donor as an argument of a query: NULL when the lot has none.
func (sh *shelf) donorOf(ctx context.Context, tx *sqlx.Tx, name string) (any, error) {
	if name == "" {
		return nil, nil
	}
	if id, ok := sh.donors[name]; ok {
		return id, nil
	}
	id, err := insert(ctx, tx, "INSERT INTO donor (name, plate, state, note) VALUES "+
		"(?, '', '', '')", name)
	if err != nil {
		return nil, err
	}
	sh.donors[name] = id
	return id, nil
}

func writeReading(ctx context.Context, tx *sqlx.Tx, lot int64, m inventory.Measurement,
	at string) error {
	_, err := tx.ExecContext(ctx, `
INSERT INTO reading (lot, field, value, error, text, at) VALUES (?, ?, ?, ?, ?, ?)
ON CONFLICT (lot, field) DO UPDATE SET value = excluded.value, error = excluded.error, text = excluded.text, at = excluded.at`,
		lot, m.Field, m.Value, m.Error, m.Text, at)
	return err
}
