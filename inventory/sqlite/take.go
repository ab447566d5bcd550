package sqlite

import (
	"context"
	"fmt"
	"time"

	"github.com/jmoiron/sqlx"

	"sparewright/catalog"
	"sparewright/inventory"
)

// Take removes n pieces or metres from a lot and returns the lot as it is then. What is set aside
// cannot be taken: asking for more than is available is an Overdraw and changes nothing. An emptied
// lot stays, with its history.
func (s *Store) Take(ctx context.Context, lot int64, n float64, reason string,
	now time.Time) (inventory.Lot, error) {
	var left inventory.Lot
	err := s.recorded(ctx, kindTake, reason, now, func(tx *sqlx.Tx, b batch) error {
		l, err := s.loadLot(ctx, tx, lot)
		if err != nil {
			return err
		}
		if err := covers(l, n); err != nil {
			return err
		}
		l.Count = inventory.RoundCount(l.Count - n)
		left = l
		return b.move(ctx, l.ID, -inventory.RoundCount(n), l.Count)
	})
	if err != nil {
		return inventory.Lot{}, err
	}
	return left, nil
}

// covers tells whether n can be taken or set aside from what is available of a lot.
func covers(l inventory.Lot, n float64) error {
	if err := inventory.CheckCount(n, l.Unit()); err != nil {
		return err
	}
	available := inventory.RoundCount(l.Available())
	if inventory.RoundCount(n) > available {
		return inventory.Overdraw{Lot: l.ID, Asked: n, Available: available, SetAside: l.SetAside,
			Unit: l.Unit()}
	}
	return nil
}

// Change is what Edit may alter; nil leaves a thing as it is.
type Change struct {
	Bin       *string
	Note      *string
	Condition *inventory.Condition
	Part      catalog.Part // of the same kind and designation
}

// Edit moves a lot to another bin, rewrites its note, its condition or what is noted of its part,
// and returns the lot as it is then. Other lots of the same part stay as they are.
func (s *Store) Edit(ctx context.Context, lot int64, c Change,
	now time.Time) (inventory.Lot, error) {
	var edited inventory.Lot
	err := s.recorded(ctx, kindChange, "change", now, func(tx *sqlx.Tx, _ batch) error {
		l, err := s.loadLot(ctx, tx, lot)
		if err != nil {
			return err
		}
		if c.Bin != nil {
			l.Bin = *c.Bin
		}
		if c.Note != nil {
			l.Note = *c.Note
		}
		if c.Condition != nil {
			l.Condition = *c.Condition
		}
		if err := l.ValidateWords(); err != nil {
			return err
		}
		if c.Part != nil {
			if c.Part.Kind() != l.Part.Kind() {
				return fmt.Errorf("lot %d holds %s; it cannot become %s", l.ID,
					l.Part.Kind().WithArticle(), c.Part.Kind().WithArticle())
			}
			if l, err = s.becomes(ctx, tx, l, c.Part); err != nil {
				return err
			}
		}
		edited = l
		_, err = tx.ExecContext(ctx, "UPDATE lot SET bin = ?, note = ?, condition = ? WHERE id = ?",
			l.Bin, l.Note, string(l.Condition), l.ID)
		return err
	})
	if err != nil {
		return inventory.Lot{}, err
	}
	return edited, nil
}

// becomes gives a lot another part, which must bear the readings of the lot.
func (s *Store) becomes(ctx context.Context, tx *sqlx.Tx, l inventory.Lot,
	p catalog.Part) (inventory.Lot, error) {
	l.Part = p
	for _, m := range l.Measured {
		if err := inventory.CheckReading(p, m); err != nil {
			return l, err
		}
	}
	sh, err := s.loadShelf(ctx, tx, named(p))
	if err != nil {
		return l, err
	}
	part, err := sh.partOf(ctx, tx, p)
	if err != nil {
		return l, err
	}
	_, err = tx.ExecContext(ctx, "UPDATE lot SET part = ? WHERE id = ?", part, l.ID)
	return l, err
}

// Measure notes a reading for a lot, in place of an earlier one of the same figure, and returns the
// lot as it is then.
func (s *Store) Measure(ctx context.Context, lot int64, m inventory.Measurement,
	now time.Time) (inventory.Lot, error) {
	var measured inventory.Lot
	err := s.recorded(ctx, kindChange, "change", now, func(tx *sqlx.Tx, _ batch) error {
		l, err := s.loadLot(ctx, tx, lot)
		if err != nil {
			return err
		}
		if err := inventory.CheckReading(l.Part, m); err != nil {
			return err
		}
		if err := writeReading(ctx, tx, l.ID, m, writeTime(now)); err != nil {
			return err
		}
		measured, err = s.loadLot(ctx, tx, lot)
		return err
	})
	if err != nil {
		return inventory.Lot{}, err
	}
	return measured, nil
}
