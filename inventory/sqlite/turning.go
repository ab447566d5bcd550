package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"sparewright/inventory"
)

// asLeft looks that a row is as the other side of the change says; else something the journal does
// not know has altered it.
func asLeft[T comparable](ctx context.Context, t turning, what string, pair sides[T], query string,
	args ...any) error {
	var row T
	there := &row
	err := t.b.tx.GetContext(ctx, there, query, args...)
	if errors.Is(err, sql.ErrNoRows) {
		there, err = nil, nil
	}
	if err != nil {
		return err
	}
	left := pair.at(t.to.other())
	if (left == nil) != (there == nil) || left != nil && *left != *there {
		return inventory.NotAsLeft{What: what}
	}
	return nil
}

// bringDonors records donors as they are on the side, but removes none yet.
func (t turning) bringDonors(ctx context.Context) error {
	for _, k := range t.im.donors.keys {
		pair := t.im.donors.rows[k]
		name := pair.either().Name
		err := asLeft(ctx, t, fmt.Sprintf("donor %q", name), pair,
			"SELECT id, name, was, plate, state, note FROM donor WHERE id = ?", k)
		if err != nil && pair.at(t.to) != nil { // one to be removed may stay, see dropDonors
			return err
		}
		d := pair.at(t.to)
		if d == nil {
			continue
		}
		_, err = t.b.tx.ExecContext(ctx, `
INSERT INTO donor (id, name, was, plate, state, note) VALUES (?, ?, ?, ?, ?, ?)
ON CONFLICT (id) DO UPDATE SET name = excluded.name, was = excluded.was, plate = excluded.plate, state = excluded.state,
    note = excluded.note`, d.ID, d.Name, d.Was, d.Plate, d.State, d.Note)
		if err != nil {
			return err
		}
	}
	return nil
}

// dropDonors removes the donors that are not there on the side. One that something else refers to
// or has altered by now stays. The emptied lots of the change keep their number but no longer name
// it.
func (t turning) dropDonors(ctx context.Context) error {
	for _, k := range t.im.donors.keys {
		pair := t.im.donors.rows[k]
		if pair.at(t.to) != nil {
			continue
		}
		var free bool
		if err := t.b.tx.GetContext(ctx, &free, unneeded, k); err != nil {
			return err
		}
		var altered inventory.NotAsLeft
		err := asLeft(ctx, t, "", pair, "SELECT id, name, was, plate, state, note FROM donor "+
			"WHERE id = ?", k)
		if errors.As(err, &altered) || err == nil && !free {
			continue
		}
		if err != nil {
			return err
		}
		if _, err := t.b.tx.ExecContext(ctx, "UPDATE lot SET donor = NULL WHERE donor = ?",
			k); err != nil {
			return err
		}
		if _, err := t.b.tx.ExecContext(ctx, "DELETE FROM donor WHERE id = ?", k); err != nil {
			return err
		}
	}
	return nil
}

// unneeded looks that nothing came out of a donor but lots that are gone with the changes that made
// them: emptied, and made by a change that was taken back.
const unneeded = `
SELECT NOT EXISTS (
    SELECT 1 FROM lot l WHERE l.donor = ? AND (l.count > 0 OR NOT EXISTS (
        SELECT 1 FROM lot_image i JOIN (` + selectEntries + `) e ON e.id = i.entry
        WHERE i.id = l.id AND i.side = 'after' AND e.undone AND NOT EXISTS (
            SELECT 1 FROM lot_image o WHERE o.entry = i.entry AND o.id = i.id AND o.side = 'before'))))`

const selectLotImage = "SELECT id, part, bin, coalesce(donor, 0) AS donor, condition, note FROM " +
	"lot WHERE id = ?"

// bringLots brings place, donor, condition, note and part of lots to the side. A lot that the
// change made stays as an empty one; it cannot have been altered by then except for the donor that
// went with it.
func (t turning) bringLots(ctx context.Context) error {
	for _, k := range t.im.lots.keys {
		pair := t.im.lots.rows[k]
		want := pair.at(t.to)
		if want == nil {
			continue
		}
		if pair.before == nil {
			left := *want
			if err := t.b.tx.GetContext(ctx, &left.Donor,
				"SELECT coalesce(donor, 0) FROM lot WHERE id = ?", k); err != nil {
				return err
			}
			pair.before = &left
		}
		if err := asLeft(ctx, t, fmt.Sprintf("lot %d", k), pair, selectLotImage, k); err != nil {
			return err
		}
		var donor any
		if want.Donor != 0 {
			donor = want.Donor
		}
		_, err := t.b.tx.ExecContext(ctx,
			"UPDATE lot SET part = ?, bin = ?, donor = ?, condition = ?, note = ? WHERE id = ?",
			want.Part, want.Bin, donor, want.Condition, want.Note, k)
		if err != nil {
			return err
		}
	}
	return nil
}

// bringReadings brings readings to the side, except those a lot was made with, which stay with it.
func (t turning) bringReadings(ctx context.Context) error {
	for _, k := range t.im.readings.keys {
		if t.im.created(k.Lot) {
			continue
		}
		pair := t.im.readings.rows[k]
		err := asLeft(ctx, t, fmt.Sprintf("%s of lot %d", k.Field, k.Lot), pair,
			"SELECT lot, field, value, error, text, at FROM reading WHERE lot = ? "+
				"AND field = ?", k.Lot, k.Field)
		if err != nil {
			return err
		}
		r := pair.at(t.to)
		if r == nil {
			_, err = t.b.tx.ExecContext(ctx, "DELETE FROM reading WHERE lot = ? AND field = ?",
				k.Lot, k.Field)
		} else {
			m := inventory.Measurement{Field: r.Field, Value: r.Value, Error: r.Error, Text: r.Text}
			err = writeReading(ctx, t.b.tx, r.Lot, m, r.At)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// liftAsides gives back what is not set aside on the side.
func (t turning) liftAsides(ctx context.Context) error {
	for _, k := range t.im.asides.keys {
		pair := t.im.asides.rows[k]
		purpose := pair.either().Purpose
		err := asLeft(ctx, t, fmt.Sprintf("what is set aside for %q", purpose), pair,
			"SELECT id, lot, count, purpose, at FROM set_aside WHERE id = ?", k)
		if err != nil {
			return err
		}
		if pair.at(t.to.other()) == nil {
			continue
		}
		if _, err := t.b.tx.ExecContext(ctx, "DELETE FROM set_aside WHERE id = ?", k); err != nil {
			return err
		}
	}
	return nil
}

// holdAsides sets aside what is set aside on the side.
func (t turning) holdAsides(ctx context.Context) error {
	for _, k := range t.im.asides.keys {
		a := t.im.asides.rows[k].at(t.to)
		if a == nil {
			continue
		}
		_, err := t.b.tx.ExecContext(ctx,
			"INSERT INTO set_aside (id, lot, count, purpose, at) VALUES (?, ?, ?, ?, ?)",
			a.ID, a.Lot, a.Count, a.Purpose, a.At)
		if err != nil {
			return err
		}
	}
	return nil
}
