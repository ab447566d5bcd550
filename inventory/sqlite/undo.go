package sqlite

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/jmoiron/sqlx"

	"sparewright/inventory"
)

// Undone is one batch that was taken back: what had been done, and the lots as they are then.
type Undone struct {
	Batch  int64
	Reason string // of the batch
	When   time.Time
	Moves  []inventory.Movement // of the batch, in their order
	Lots   map[int64]inventory.Lot
}

// Undo takes back the last batches of movements, the last one first, each by contrary movements; the ledger keeps both.
// Batches that were taken back, and those that took back, are passed over, so that Undo after Undo goes further back. All
// are taken back or none: fewer left than asked is a NothingToUndo, and a lot that holds less than came in, or of which
// more is set aside, is an Overdraw. Set-asides are not movements and stay as they are.
func (s *Store) Undo(ctx context.Context, steps int, now time.Time) ([]Undone, error) {
	return s.undo(ctx, now, func(tx *sqlx.Tx) ([]int64, error) {
		var numbers []int64
		err := tx.SelectContext(ctx, &numbers, `
SELECT DISTINCT m.batch FROM movement m
WHERE m.undoes IS NULL AND NOT EXISTS (SELECT 1 FROM movement u WHERE u.undoes = m.batch)
ORDER BY m.batch DESC LIMIT ?`, steps)
		if err == nil && (len(numbers) < steps || steps < 1) {
			err = inventory.NothingToUndo{Asked: steps, Left: len(numbers)}
		}
		return numbers, err
	})
}

// UndoBatches takes back the batches of the given numbers in the order given, as Undo does. One that was taken back already
// or that is not there is a NothingToUndo.
func (s *Store) UndoBatches(ctx context.Context, numbers []int64, now time.Time) ([]Undone, error) {
	return s.undo(ctx, now, func(*sqlx.Tx) ([]int64, error) { return numbers, nil })
}

func (s *Store) undo(ctx context.Context, now time.Time, which func(*sqlx.Tx) ([]int64, error)) ([]Undone, error) {
	var done []Undone
	err := s.within(ctx, func(tx *sqlx.Tx) error {
		numbers, err := which(tx)
		if err != nil {
			return err
		}
		for _, n := range numbers {
			u, err := s.takeBack(ctx, tx, n, now)
			if err != nil {
				return err
			}
			done = append(done, u)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return done, nil
}

// takeBack reverses one batch inside a transaction.
func (s *Store) takeBack(ctx context.Context, tx *sqlx.Tx, number int64, now time.Time) (Undone, error) {
	moves, err := s.loadMovements(ctx, tx, "m.batch = ?", number)
	if err != nil {
		return Undone{}, err
	}
	if len(moves) == 0 || moves[0].Undone || moves[0].Undoes > 0 {
		return Undone{}, inventory.NothingToUndo{Asked: 1}
	}
	u := Undone{Batch: number, Reason: moves[0].Reason, When: moves[0].When, Moves: moves, Lots: map[int64]inventory.Lot{}}
	b, err := s.newBatch(ctx, tx, undoReason(u.Reason), now)
	if err != nil {
		return Undone{}, err
	}
	b.undoes = number
	for _, m := range moves {
		l, err := s.loadLot(ctx, tx, m.Lot)
		if err != nil {
			return Undone{}, err
		}
		if l.Count, err = countWithout(l, m.Delta); err != nil {
			return Undone{}, err
		}
		if err := b.move(ctx, l.ID, -m.Delta, l.Count); err != nil {
			return Undone{}, err
		}
		u.Lots[l.ID] = l
	}
	return u, nil
}

// countWithout is what a lot holds when a movement of it is taken back.
func countWithout(l inventory.Lot, delta float64) (float64, error) {
	if delta > 0 {
		if err := covers(l, delta); err != nil {
			return 0, err
		}
		return inventory.RoundCount(l.Count - delta), nil
	}
	count := inventory.RoundCount(l.Count - delta)
	return count, inventory.CheckCount(count, l.Unit())
}

// undoReason is the reason in the ledger, shortened to what fits, on one line, and fit to be stored even when the old reason
// was not: undo must work on a ledger that another program has written to.
func undoReason(reason string) string {
	text := []rune("undo " + strings.NewReplacer("\n", " ", "\t", " ").Replace(inventory.Mended(reason)))
	return string(text[:min(len(text), inventory.MaxNameLength)])
}

// undoFaults lists batches that take back one that is not there, is taken back twice, or takes one back itself.
func undoFaults(ctx context.Context, tx *sqlx.Tx) ([]string, error) {
	var rows []struct {
		Undoes int64 `db:"undoes"`
		Moves  int   `db:"moves"`
		Times  int   `db:"times"`
		Takes  bool  `db:"takes"`
	}
	err := tx.SelectContext(ctx, &rows, `
SELECT u.undoes, count(DISTINCT u.batch) AS times,
       (SELECT count(*) FROM movement m WHERE m.batch = u.undoes) AS moves,
       EXISTS (SELECT 1 FROM movement m WHERE m.batch = u.undoes AND m.undoes IS NOT NULL) AS takes
FROM movement u WHERE u.undoes IS NOT NULL GROUP BY u.undoes ORDER BY u.undoes`)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, r := range rows {
		switch {
		case r.Moves == 0:
			out = append(out, fmt.Sprintf("batch %d is taken back, but is not in the ledger", r.Undoes))
		case r.Takes:
			out = append(out, fmt.Sprintf("batch %d takes back another and is taken back itself", r.Undoes))
		case r.Times > 1:
			out = append(out, fmt.Sprintf("batch %d is taken back %d times", r.Undoes, r.Times))
		}
	}
	return out, nil
}
