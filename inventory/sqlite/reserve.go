package sqlite

import (
	"context"
	"time"

	"github.com/jmoiron/sqlx"

	"sparewright/inventory"
)

// setAside writes draws down one by one, so that two on one lot count together.
func (s *Store) setAside(ctx context.Context, tx *sqlx.Tx, draws []inventory.Draw, purpose string,
	now time.Time) error {
	for _, d := range draws {
		l, err := s.loadLot(ctx, tx, d.Lot)
		if err != nil {
			return err
		}
		n := inventory.RoundUpCount(d.Count, l.Unit())
		if err := covers(l, n); err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, "INSERT INTO set_aside (lot, count, purpose, at) VALUES "+
			"(?, ?, ?, ?)",
			l.ID, n, purpose, writeTime(now))
		if err != nil {
			return err
		}
	}
	return nil
}

func checkPurpose(purpose string) error {
	if purpose == "" {
		return inventory.DataError{Msg: "purpose \"\": missing; name what the parts are for"}
	}
	return inventory.CheckName("purpose", purpose)
}

type setAsideRow struct {
	ID      int64   `db:"id"`
	Lot     int64   `db:"lot"`
	Count   float64 `db:"count"`
	Purpose string  `db:"purpose"`
	At      string  `db:"at"`
}

// SetAsides lists what is set aside, by purpose and then in the order it was done. An empty purpose
// means all of them.
func (s *Store) SetAsides(ctx context.Context, purpose string) ([]inventory.SetAside, error) {
	var out []inventory.SetAside
	err := s.within(ctx, func(tx *sqlx.Tx) (err error) {
		out, err = s.loadSetAsides(ctx, tx, purpose)
		return err
	})
	return out, err
}

func (s *Store) loadSetAsides(ctx context.Context, tx *sqlx.Tx,
	purpose string) ([]inventory.SetAside, error) {
	var rows []setAsideRow
	err := tx.SelectContext(ctx, &rows,
		"SELECT id, lot, count, purpose, at FROM set_aside WHERE ? = '' OR purpose = ? ORDER "+
			"BY purpose, id", purpose, purpose)
	if err != nil {
		return nil, err
	}
	out := make([]inventory.SetAside, len(rows))
	for i, r := range rows {
		when, err := s.readTime(r.At)
		if err != nil {
			return nil, err
		}
		out[i] = inventory.SetAside{ID: r.ID, Lot: r.Lot, Count: r.Count,
			Purpose: r.Purpose, When: when}
	}
	return out, nil
}

// Release gives back what is set aside for a purpose and returns it. Nothing set aside under that
// name is a NoPurpose.
func (s *Store) Release(ctx context.Context, purpose string,
	now time.Time) ([]inventory.SetAside, error) {
	var freed []inventory.SetAside
	if err := checkPurpose(purpose); err != nil {
		return nil, err
	}
	err := s.recorded(ctx, kindRelease, purpose, now, func(tx *sqlx.Tx, _ batch) (err error) {
		freed, err = s.lift(ctx, tx, purpose)
		return err
	})
	if err != nil {
		return nil, err
	}
	return freed, nil
}

// lift removes the set-asides of a purpose inside a transaction.
func (s *Store) lift(ctx context.Context, tx *sqlx.Tx,
	purpose string) ([]inventory.SetAside, error) {
	held, err := s.loadSetAsides(ctx, tx, purpose)
	if err != nil {
		return nil, err
	}
	if len(held) == 0 {
		return nil, inventory.NoPurpose{Purpose: purpose}
	}
	_, err = tx.ExecContext(ctx, "DELETE FROM set_aside WHERE purpose = ?", purpose)
	return held, err
}

// Consume takes what is set aside for a purpose out of the drawer: the build was made. It returns
// what was taken; the ledger gives the purpose as the reason.
func (s *Store) Consume(ctx context.Context, purpose string,
	now time.Time) ([]inventory.SetAside, error) {
	var used []inventory.SetAside
	if err := checkPurpose(purpose); err != nil {
		return nil, err
	}
	err := s.recorded(ctx, kindConsume, purpose, now, func(tx *sqlx.Tx, b batch) (err error) {
		if used, err = s.lift(ctx, tx, purpose); err != nil {
			return err
		}
		for _, u := range used {
			l, err := s.loadLot(ctx, tx, u.Lot)
			if err != nil {
				return err
			}
			// only a damaged file holds less than is set aside
			if err := covers(l, u.Count); err != nil {
				return err
			}
			if err := b.move(ctx, l.ID, -u.Count,
				inventory.RoundCount(l.Count-u.Count)); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return used, nil
}
