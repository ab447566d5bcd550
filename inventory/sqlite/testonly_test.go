package sqlite

import (
	"context"
	"os"
	"time"

	"github.com/jmoiron/sqlx"

	"sparewright/inventory"
)

// What only tests ask for.

// DescribeDonor notes what is known of a donor, new or already named by a lot, in place of what was
// noted before.
func (s *Store) DescribeDonor(ctx context.Context, d inventory.Donor, now time.Time) error {
	if err := d.Validate(); err != nil {
		return err
	}
	return s.recorded(ctx, kindDonor, "donor", now, func(tx *sqlx.Tx, _ batch) error {
		return writeDonor(ctx, tx, d.Tidy())
	})
}

// Import brings a whole list of lots into the drawer in one transaction. Without replace the lots
// are added as by Put. With replace the drawer holds afterwards exactly the list: equal lots keep
// their number and get the new count, lots not listed are emptied, and importing the same list
// again changes nothing. A lot of which more is set aside than the list leaves is an Overdraw; then
// nothing is changed.
func (s *Store) Import(ctx context.Context, lots []inventory.Lot, replace bool,
	now time.Time) (Imported, error) {
	return s.ImportWithDonors(ctx, lots, nil, replace, now)
}

// Preview tells what Import would do, without doing it; a store opened ReadOnly can.
func (s *Store) Preview(ctx context.Context, lots []inventory.Lot, replace bool) (Imported, error) {
	return s.PreviewWithDonors(ctx, lots, nil, replace)
}

// Reserve sets parts aside for a purpose, all or none. Lengths are rounded up to the millimetre.
// More than a lot has available is an Overdraw. A purpose already in use gets the parts in
// addition.
func (s *Store) Reserve(ctx context.Context, draws []inventory.Draw, purpose string,
	now time.Time) error {
	if err := checkPurpose(purpose); err != nil {
		return err
	}
	return s.recorded(ctx, kindReserve, purpose, now, func(tx *sqlx.Tx, _ batch) error {
		return s.setAside(ctx, tx, draws, purpose, now)
	})
}

// long reports whether the long forms of the slow tests are asked for: DEVELOPERS.md says when.
func long() bool { return os.Getenv("SPAREWRIGHT_LONG") == "1" }
