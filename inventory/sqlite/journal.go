package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"github.com/jmoiron/sqlx"

	"sparewright/inventory"
)

// The kinds of entries of the journal.
const (
	kindPut     = "put"
	kindTake    = "take"
	kindImport  = "import"
	kindChange  = "change"
	kindDonor   = "donor"
	kindReserve = "reserve"
	kindRelease = "release"
	kindConsume = "consume"
	kindRestore = "restore"
	kindCount   = "count" // from before there was a journal: only what moved is known
	kindUndo    = "undo"
	kindRedo    = "redo"
)

// batch is the open entry of the journal: the movements of one change have its number, its time and
// its reason.
type batch struct {
	tx     *sqlx.Tx
	number int64
	reason string
	at     string
}

// entryRow is a line of the journal.
type entryRow struct {
	ID     int64  `db:"id"`
	Kind   string `db:"kind"`
	Reason string `db:"reason"`
	At     string `db:"at"`
	Undoes int64  `db:"undoes"`
	File   string `db:"file"`
	Undone bool   `db:"undone"`
}

// What an undo took back is in force again when a redo took the undo back.
const selectEntries = `
SELECT e.id, e.kind, e.reason, e.at, coalesce(e.undoes, 0) AS undoes, e.file,
       EXISTS (SELECT 1 FROM entry u WHERE u.undoes = e.id
               AND NOT EXISTS (SELECT 1 FROM entry r WHERE r.undoes = u.id)) AS undone
FROM entry e `

// recorded runs a change in one transaction as one entry of the journal. An entry in which nothing
// was altered is not kept.
func (s *Store) recorded(ctx context.Context, kind, reason string, now time.Time,
	change func(*sqlx.Tx, batch) error) error {
	if s.joined != nil {
		b := *s.joined
		return change(b.tx, b)
	}
	var b batch
	var kept bool
	err := s.within(ctx, func(tx *sqlx.Tx) (err error) {
		if b, err = openEntry(ctx, tx, entryRow{Kind: kind, Reason: reason,
			At: writeTime(now)}); err != nil {
			return err
		}
		if err = change(tx, b); err != nil {
			return err
		}
		kept, err = b.finish(ctx)
		return err
	})
	if err == nil && kept {
		s.booked = b.number
	}
	return err
}

// Together runs several changes of the store as one: all of them are kept or none, and one undo
// takes them back. The changes go through the store handed to fn. The kind is a word of help undo,
// the reason goes into the history.
func (s *Store) Together(ctx context.Context, kind, reason string, now time.Time,
	fn func(*Store) error) error {
	return s.recorded(ctx, kind, reason, now, func(_ *sqlx.Tx, b batch) error {
		return fn(&Store{file: s.file, mode: s.mode, created: s.created, joined: &b})
	})
}

// Booked is the number of the last change this store has kept, 0 when it changed nothing.
func (s *Store) Booked() int64 { return s.booked }

// openEntry begins an entry; e.ID is not looked at.
func openEntry(ctx context.Context, tx *sqlx.Tx, e entryRow) (batch, error) {
	if err := inventory.CheckName("reason", e.Reason); err != nil {
		return batch{}, err
	}
	var undoes any
	if e.Undoes > 0 {
		undoes = e.Undoes
	}
	number, err := insert(ctx, tx, "INSERT INTO entry (kind, reason, at, undoes, file, open) "+
		"VALUES (?, ?, ?, ?, ?, 1)",
		e.Kind, e.Reason, e.At, undoes, e.File)
	return batch{tx: tx, number: number, reason: e.Reason, at: e.At}, err
}

const nothingIn = `
SELECT NOT EXISTS (SELECT 1 FROM movement WHERE batch = ?1) AND NOT EXISTS (SELECT 1 FROM lot_image WHERE entry = ?1)
   AND NOT EXISTS (SELECT 1 FROM reading_image WHERE entry = ?1)
   AND NOT EXISTS (SELECT 1 FROM donor_image WHERE entry = ?1)
   AND NOT EXISTS (SELECT 1 FROM set_aside_image WHERE entry = ?1)
   AND EXISTS (SELECT 1 FROM entry WHERE id = ?1 AND undoes IS NULL AND file = '' AND kind <> 'restore')`

// finish closes the entry, or takes it away when nothing was altered, and reports whether it stays.
func (b batch) finish(ctx context.Context) (kept bool, err error) {
	var empty bool
	if err := b.tx.GetContext(ctx, &empty, nothingIn, b.number); err != nil {
		return false, err
	}
	query := "UPDATE entry SET open = NULL WHERE id = ?"
	if empty {
		query = "DELETE FROM entry WHERE id = ?"
	}
	_, err = b.tx.ExecContext(ctx, query, b.number)
	return !empty, err
}

// move writes one movement and brings the count of the lot to what it comes to.
func (b batch) move(ctx context.Context, lot int64, delta, count float64) error {
	_, err := b.tx.ExecContext(ctx, "INSERT INTO movement (lot, delta, reason, at, batch) VALUES "+
		"(?, ?, ?, ?, ?)",
		lot, delta, b.reason, b.at, b.number)
	if err != nil {
		return err
	}
	_, err = b.tx.ExecContext(ctx, "UPDATE lot SET count = ? WHERE id = ?", count, lot)
	return err
}

// entryNumbered reads one line of the journal; false when there is none of that number.
func entryNumbered(ctx context.Context, tx *sqlx.Tx, number int64) (e entryRow,
	found bool, err error) {
	err = tx.GetContext(ctx, &e, selectEntries+"WHERE e.id = ?", number)
	if errors.Is(err, sql.ErrNoRows) {
		return e, false, nil
	}
	return e, err == nil, err
}

// inForce lists the last changes that were not taken back, the latest first.
func inForce(ctx context.Context, tx *sqlx.Tx, most int) ([]entryRow, error) {
	var rows []entryRow
	err := tx.SelectContext(ctx, &rows, "SELECT * FROM ("+selectEntries+
		"WHERE e.kind NOT IN ('undo', 'redo')) WHERE NOT undone ORDER BY id DESC LIMIT ?", most)
	return rows, err
}

// takenBack lists the undos that a redo may take back, the latest first: those after which nothing
// else was changed.
func takenBack(ctx context.Context, tx *sqlx.Tx, most int) ([]entryRow, error) {
	var rows []entryRow
	err := tx.SelectContext(ctx, &rows, "SELECT * FROM ("+selectEntries+`
WHERE e.kind = 'undo' AND e.id > (SELECT coalesce(max(id), 0) FROM entry WHERE kind NOT IN ('undo', 'redo'))
  AND NOT EXISTS (SELECT 1 FROM entry r WHERE r.undoes = e.id)) ORDER BY id DESC LIMIT ?`, most)
	return rows, err
}
