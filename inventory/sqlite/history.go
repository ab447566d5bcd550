package sqlite

import (
	"context"
	"fmt"
	"time"

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
SELECT m.id, m.lot, m.delta, m.reason, m.at, m.batch, coalesce(e.undoes, 0) AS undoes, coalesce(e.undone, 0) AS undone
FROM movement m LEFT JOIN (` + selectEntries + `) e ON e.id = m.batch
WHERE %s
ORDER BY m.id`

// loadMovements reads lines of the ledger, oldest first.
func (s *Store) loadMovements(ctx context.Context, tx *sqlx.Tx, where string,
	args ...any) ([]inventory.Movement, error) {
	var rows []movementRow
	if err := tx.SelectContext(ctx, &rows, fmt.Sprintf(selectMovements, where),
		args...); err != nil {
		return nil, err
	}
	out := make([]inventory.Movement, len(rows))
	for i, r := range rows {
		when, err := s.readTime(r.At)
		if err != nil {
			return nil, err
		}
		out[i] = inventory.Movement{ID: r.ID, Lot: r.Lot, Delta: r.Delta, Reason: r.Reason,
			When: when, Batch: r.Batch,
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

// Entry is one change as the journal has it, with all that it moved and altered.
type Entry struct {
	Batch  int64
	Kind   string // as in Undone, undo or redo besides
	Reason string
	When   time.Time
	Undoes int64 // the change an undo took back, or the undo a redo took back; 0 for none
	Undone bool
	File   string // of a restore: the name of the file beside that holds the drawer from before it
	Moves  []inventory.Movement
	Edits  []Edit
}

// History reads the last changes of the whole drawer, oldest first, and the lots they are about,
// emptied ones included.
func (s *Store) History(ctx context.Context, most int) ([]Entry, map[int64]inventory.Lot, error) {
	var out []Entry
	var lots map[int64]inventory.Lot
	err := s.within(ctx, func(tx *sqlx.Tx) (err error) {
		if out, err = s.lastEntries(ctx, tx, most); err != nil || len(out) == 0 {
			return err
		}
		ids, err := s.fillEntries(ctx, tx, out)
		if err == nil {
			lots, err = s.loadLots(ctx, tx, ids)
		}
		return err
	})
	return out, lots, err
}

func (s *Store) lastEntries(ctx context.Context, tx *sqlx.Tx, most int) ([]Entry, error) {
	var rows []entryRow
	err := tx.SelectContext(ctx, &rows, "SELECT * FROM ("+selectEntries+
		"ORDER BY e.id DESC LIMIT ?) ORDER BY id", most)
	if err != nil {
		return nil, err
	}
	out := make([]Entry, len(rows))
	for i, r := range rows {
		when, err := s.readTime(r.At)
		if err != nil {
			return nil, err
		}
		out[i] = Entry{Batch: r.ID, Kind: r.Kind, Reason: r.Reason, When: when, Undoes: r.Undoes,
			Undone: r.Undone, File: r.File}
	}
	return out, nil
}

// fillEntries reads what the entries moved and altered and names the lots.
func (s *Store) fillEntries(ctx context.Context, tx *sqlx.Tx,
	entries []Entry) (ids []int64, err error) {
	at := make(map[int64]int, len(entries))
	for i, e := range entries {
		at[e.Batch] = i
	}
	moves, err := s.loadMovements(ctx, tx, "m.batch >= ?", entries[0].Batch)
	if err != nil {
		return nil, err
	}
	for _, m := range moves {
		if i, ok := at[m.Batch]; ok {
			entries[i].Moves = append(entries[i].Moves, m)
		}
		ids = append(ids, m.Lot)
	}
	all, err := loadImagesOf(ctx, tx, entries[0].Batch, entries[len(entries)-1].Batch)
	if err != nil {
		return nil, err
	}
	for i := range entries {
		im := all[entries[i].Batch]
		parts, err := s.exchangedParts(ctx, tx, im)
		if err != nil {
			return nil, err
		}
		entries[i].Edits = im.edits(parts)
		for _, e := range entries[i].Edits {
			if e.Lot > 0 {
				ids = append(ids, e.Lot)
			}
		}
	}
	return ids, nil
}
