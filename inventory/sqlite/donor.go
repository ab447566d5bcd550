package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"github.com/jmoiron/sqlx"

	"sparewright/inventory"
)

type donorRow struct {
	Name  string `db:"name"`
	Was   string `db:"was"`
	Plate string `db:"plate"`
	State string `db:"state"`
	Note  string `db:"note"`
}

const selectDonors = "SELECT name, was, plate, state, note FROM donor "

// Donors lists the equipment parts came out of, by name.
func (s *Store) Donors(ctx context.Context) ([]inventory.Donor, error) {
	var out []inventory.Donor
	err := s.within(ctx, func(tx *sqlx.Tx) (err error) {
		out, err = loadDonors(ctx, tx)
		return err
	})
	return out, err
}

func loadDonors(ctx context.Context, tx *sqlx.Tx) ([]inventory.Donor, error) {
	var rows []donorRow
	if err := tx.SelectContext(ctx, &rows, selectDonors+"ORDER BY name"); err != nil {
		return nil, err
	}
	out := make([]inventory.Donor, len(rows))
	for i, r := range rows {
		out[i] = inventory.Donor(r)
	}
	return out, nil
}

// donorNamed reads one donor; known is false when there is none of that name.
func donorNamed(ctx context.Context, tx *sqlx.Tx, name string) (d inventory.Donor,
	known bool, err error) {
	var row donorRow
	err = tx.GetContext(ctx, &row, selectDonors+"WHERE name = ?", name)
	if errors.Is(err, sql.ErrNoRows) {
		return inventory.Donor{Name: name}, false, nil
	}
	return inventory.Donor(row), err == nil, err
}

// LotsFrom reads every lot that came out of a donor, emptied ones included, in ascending ID.
func (s *Store) LotsFrom(ctx context.Context, donor string) ([]inventory.Lot, error) {
	var d drawer
	err := s.within(ctx, func(tx *sqlx.Tx) (err error) {
		d, err = s.load(ctx, tx, pulledFrom(donor))
		return err
	})
	return d.lots, err
}

func writeDonor(ctx context.Context, tx *sqlx.Tx, d inventory.Donor) error {
	_, err := tx.ExecContext(ctx, `
INSERT INTO donor (name, was, plate, state, note) VALUES (?, ?, ?, ?, ?)
ON CONFLICT (name) DO UPDATE SET was = excluded.was, plate = excluded.plate, state = excluded.state, note = excluded.note`,
		d.Name, d.Was, d.Plate, d.State, d.Note)
	return err
}

// DonorChange is what EditDonor may alter; nil leaves a thing as it is.
type DonorChange struct {
	Name, Was, Plate, State, Note *string
}

// EditDonor records a donor, or alters what is known of one, and returns it as it is then. Its lots
// keep it under a new name. A new name that another donor has, or one for a donor that is not
// recorded, is a DataError.
func (s *Store) EditDonor(ctx context.Context, name string, c DonorChange,
	now time.Time) (d inventory.Donor, known bool, err error) {
	err = s.recorded(ctx, kindDonor, "donor", now, func(tx *sqlx.Tx, _ batch) error {
		if d, known, err = donorNamed(ctx, tx, name); err != nil {
			return err
		}
		if c.Name != nil && !known {
			return inventory.DataError{Msg: fmt.Sprintf("donor %q: no such donor; record it "+
				"before it gets another name", name)}
		}
		for _, change := range []struct{ to, from *string }{
			{&d.Name, c.Name}, {&d.Was, c.Was}, {&d.Plate, c.Plate}, {&d.State, c.State},
			{&d.Note, c.Note},
		} {
			if change.from != nil {
				*change.to = *change.from
			}
		}
		d = d.Tidy()
		if err := d.Validate(); err != nil {
			return err
		}
		if err := renameDonor(ctx, tx, name, d.Name); err != nil {
			return err
		}
		return writeDonor(ctx, tx, d)
	})
	return d, known, err
}

// renameDonor gives a donor another name; for a donor that is not recorded yet it does nothing.
func renameDonor(ctx context.Context, tx *sqlx.Tx, from, to string) error {
	if from == to {
		return nil
	}
	_, taken, err := donorNamed(ctx, tx, to)
	if err != nil {
		return err
	}
	if taken {
		return inventory.DataError{Msg: fmt.Sprintf(
			"donor %q: is another donor's name; choose one that is free", to)}
	}
	_, err = tx.ExecContext(ctx, "UPDATE donor SET name = ? WHERE name = ?", to, from)
	return err
}
