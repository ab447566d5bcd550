package sqlite

import (
	"context"
	"fmt"

	"github.com/jmoiron/sqlx"

	"sparewright/inventory"
)

type movementRow struct {
	ID     int64   `db:"id"`
	Lot    int64   `db:"lot"`
	Delta  float64 `db:"delta"`
	Reason string  `db:"reason"`
	At     string  `db:"at"`
	Batch  int64   `db:"batch"`
	Undoes int64   `db:"undoes"`
	Undone bool    `db:"undone"`
}

const selectMovements = `
SELECT m.id, m.lot, m.delta, m.reason, m.at, m.batch, coalesce(m.undoes, 0) AS undoes,
       EXISTS (SELECT 1 FROM movement u WHERE u.undoes = m.batch) AS undone
FROM movement m
WHERE %s
ORDER BY m.id`

// loadMovements reads lines of the ledger, oldest first.
func (s *Store) loadMovements(ctx context.Context, tx *sqlx.Tx, where string, args ...any) ([]inventory.Movement, error) {
	var rows []movementRow
	if err := tx.SelectContext(ctx, &rows, fmt.Sprintf(selectMovements, where), args...); err != nil {
		return nil, err
	}
	out := make([]inventory.Movement, len(rows))
	for i, r := range rows {
		when, err := s.readTime(r.At)
		if err != nil {
			return nil, err
		}
		out[i] = inventory.Movement{ID: r.ID, Lot: r.Lot, Delta: r.Delta, Reason: r.Reason, When: when, Batch: r.Batch,
			Undoes: r.Undoes, Undone: r.Undone}
	}
	return out, nil
}

// Movements reads the ledger of one lot, oldest first.
func (s *Store) Movements(ctx context.Context, lot int64) ([]inventory.Movement, error) {
	var out []inventory.Movement
	err := s.within(ctx, func(tx *sqlx.Tx) error {
		if _, err := s.loadLot(ctx, tx, lot); err != nil {
			return err
		}
		var err error
		out, err = s.loadMovements(ctx, tx, "m.lot = ?", lot)
		return err
	})
	return out, err
}

// History reads the movements of the last batches of the whole drawer, oldest first, and the lots they are about, emptied
// ones included.
func (s *Store) History(ctx context.Context, batches int) ([]inventory.Movement, map[int64]inventory.Lot, error) {
	var moves []inventory.Movement
	lots := map[int64]inventory.Lot{}
	err := s.within(ctx, func(tx *sqlx.Tx) error {
		var err error
		moves, err = s.loadMovements(ctx, tx,
			"m.batch IN (SELECT DISTINCT batch FROM movement ORDER BY batch DESC LIMIT ?)", batches)
		if err != nil {
			return err
		}
		for _, m := range moves {
			if _, read := lots[m.Lot]; read {
				continue
			}
			if lots[m.Lot], err = s.loadLot(ctx, tx, m.Lot); err != nil {
				return err
			}
		}
		return nil
	})
	return moves, lots, err
}
