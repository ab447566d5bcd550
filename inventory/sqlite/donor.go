package sqlite

import (
	"context"

	"github.com/jmoiron/sqlx"

	"sparewright/inventory"
)

type donorRow struct {
	Name  string `db:"name"`
	Plate string `db:"plate"`
	State string `db:"state"`
	Note  string `db:"note"`
}

// Donors lists the equipment parts came out of, by name.
func (s *Store) Donors(ctx context.Context) ([]inventory.Donor, error) {
	var rows []donorRow
	err := s.within(ctx, func(tx *sqlx.Tx) error {
		return tx.SelectContext(ctx, &rows, "SELECT name, plate, state, note FROM donor ORDER BY name")
	})
	out := make([]inventory.Donor, len(rows))
	for i, r := range rows {
		out[i] = inventory.Donor(r)
	}
	return out, err
}

// DescribeDonor notes what is known of a donor, new or already named by a lot.
func (s *Store) DescribeDonor(ctx context.Context, d inventory.Donor) error {
	if err := d.Validate(); err != nil {
		return err
	}
	return s.within(ctx, func(tx *sqlx.Tx) error {
		_, err := tx.ExecContext(ctx, `
INSERT INTO donor (name, plate, state, note) VALUES (?, ?, ?, ?)
ON CONFLICT (name) DO UPDATE SET plate = excluded.plate, state = excluded.state, note = excluded.note`,
			d.Name, d.Plate, d.State, d.Note)
		return err
	})
}
