package sqlite

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/jmoiron/sqlx"

	"sparewright/inventory"
	"sparewright/inventory/sqlite/drawerfile"
)

// Undone is one change that was taken back or made again: what it had been, and the lots as they
// are then.
type Undone struct {
	Batch int64
	// put, take, import, change, donor, reserve, release, consume, restore; count where only that
	// is known
	Kind   string
	Reason string // of the change
	When   time.Time
	Moves  []inventory.Movement // of the change, in their order
	Edits  []Edit               // what else it altered
	Lots   map[int64]inventory.Lot
	File   string // of a restore: the name of the drawer file that takes, or took, its place
}

// Undo takes back the last changes of every kind, the last one first; the journal keeps both.
// Changes that were taken back are passed over, so that Undo after Undo goes further back. All are
// taken back or none: fewer left than asked is a NothingToUndo, what the file no longer bears an
// Overdraw or a NotAsLeft. A restore is taken back by UndoRestore: it is a RestoreFirst.
func (s *Store) Undo(ctx context.Context, steps int, now time.Time) ([]Undone, error) {
	return s.swingAll(ctx, now, before, func(tx *sqlx.Tx) ([]entryRow, error) {
		return s.lastInForce(ctx, tx, steps)
	})
}

// Redo makes again what Undo took back last, the last one taken back first, as long as nothing else
// was changed since; else there is a NothingToUndo. Otherwise it is as Undo.
func (s *Store) Redo(ctx context.Context, steps int, now time.Time) ([]Undone, error) {
	return s.swingAll(ctx, now, after, func(tx *sqlx.Tx) ([]entryRow, error) {
		return s.lastTakenBack(ctx, tx, steps)
	})
}

// LastInForce tells what Undo would take back, without doing it; a store opened ReadOnly can.
func (s *Store) LastInForce(ctx context.Context, steps int) ([]Undone, error) {
	return s.foretold(ctx, before, func(tx *sqlx.Tx) ([]entryRow, error) {
		return s.lastInForce(ctx, tx, steps)
	})
}

// LastTakenBack tells what Redo would make again, without doing it; a store opened ReadOnly can.
func (s *Store) LastTakenBack(ctx context.Context, steps int) ([]Undone, error) {
	return s.foretold(ctx, after, func(tx *sqlx.Tx) ([]entryRow, error) {
		return s.lastTakenBack(ctx, tx, steps)
	})
}

// UndoBatches takes back the changes of the given numbers in the order given, as Undo does. One
// that was taken back already or that is not there is a NothingToUndo.
func (s *Store) UndoBatches(ctx context.Context, numbers []int64, now time.Time) ([]Undone, error) {
	return s.swingAll(ctx, now, before, func(tx *sqlx.Tx) ([]entryRow, error) {
		var entries []entryRow
		for _, n := range numbers {
			e, found, err := entryNumbered(ctx, tx, n)
			if err != nil {
				return nil, err
			}
			if !found || e.Undone || e.Kind == kindUndo || e.Kind == kindRedo {
				return nil, inventory.NothingToUndo{Asked: 1}
			}
			entries = append(entries, e)
		}
		return entries, nil
	})
}

// lastInForce is what Undo takes back.
func (s *Store) lastInForce(ctx context.Context, tx *sqlx.Tx, steps int) ([]entryRow, error) {
	entries, err := inForce(ctx, tx, steps)
	if err == nil && (len(entries) < steps || steps < 1) {
		err = inventory.NothingToUndo{Asked: steps, Left: len(entries)}
	}
	return entries, err
}

// lastTakenBack is what Redo makes again: the undos themselves.
func (s *Store) lastTakenBack(ctx context.Context, tx *sqlx.Tx, steps int) ([]entryRow, error) {
	undos, err := takenBack(ctx, tx, steps)
	if err == nil && (len(undos) < steps || steps < 1) {
		err = inventory.NothingToUndo{Asked: steps, Left: len(undos), Again: true}
	}
	return undos, err
}

// side of a change: how things were before it, or after.
type side string

const (
	before side = "before"
	after  side = "after"
)

func (w side) other() side {
	if w == before {
		return after
	}
	return before
}

// foretold describes changes that are about to be taken back or made again.
func (s *Store) foretold(ctx context.Context, to side,
	which func(*sqlx.Tx) ([]entryRow, error)) ([]Undone, error) {
	var out []Undone
	err := s.within(ctx, func(tx *sqlx.Tx) error {
		entries, err := which(tx)
		if err != nil {
			return err
		}
		for _, e := range entries {
			original, err := s.originalOf(ctx, tx, e, to)
			if err != nil {
				return err
			}
			u, err := s.describeEntry(ctx, tx, original)
			if err != nil {
				return err
			}
			out = append(out, u)
		}
		return nil
	})
	return out, err
}

// originalOf finds the change that an undo took back; going back, that is the entry itself. An undo
// of a restore stands for itself: the restore is in the other file.
func (s *Store) originalOf(ctx context.Context, tx *sqlx.Tx, e entryRow,
	to side) (entryRow, error) {
	if to == before || e.Undoes == 0 {
		return e, nil
	}
	original, found, err := entryNumbered(ctx, tx, e.Undoes)
	if err == nil && !found {
		err = inventory.OpenError{Path: s.file.Path, Hint: drawerfile.DamagedHint(s.file.Path),
			Msg: fmt.Sprintf("is damaged: batch %d takes back %d, which is not in the journal",
				e.ID, e.Undoes)}
	}
	return original, err
}

func (s *Store) swingAll(ctx context.Context, now time.Time, to side,
	which func(*sqlx.Tx) ([]entryRow, error)) ([]Undone, error) {
	var done []Undone
	var last int64
	err := s.within(ctx, func(tx *sqlx.Tx) error {
		entries, err := which(tx)
		if err != nil {
			return err
		}
		for _, e := range entries {
			if e.Kind == kindRestore || e.File != "" {
				return inventory.RestoreFirst{Batch: e.ID, Steps: len(done), Again: to == after}
			}
			u, number, err := s.swing(ctx, tx, e, to, now)
			if err != nil {
				return err
			}
			done, last = append(done, u), number
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	s.booked = last
	return done, nil
}

// swing brings everything a change altered to one side of it, as an entry of its own.
func (s *Store) swing(ctx context.Context, tx *sqlx.Tx, e entryRow, to side, now time.Time) (Undone,
	int64, error) {
	original, err := s.originalOf(ctx, tx, e, to)
	if err != nil {
		return Undone{}, 0, err
	}
	u, err := s.describeEntry(ctx, tx, original)
	if err != nil {
		return Undone{}, 0, err
	}
	kind := kindUndo
	if to == after {
		kind = kindRedo
	}
	b, err := openEntry(ctx, tx, entryRow{Kind: kind, Reason: undoReason(kind, u.Reason),
		At: writeTime(now), Undoes: e.ID})
	if err != nil {
		return Undone{}, 0, err
	}
	im, err := loadImages(ctx, tx, original.ID)
	if err != nil {
		return Undone{}, 0, err
	}
	turn := turning{s: s, b: b, im: im, to: to}
	if err := turn.carryOut(ctx, &u); err != nil {
		return Undone{}, 0, err
	}
	_, err = b.finish(ctx)
	return u, b.number, err
}

// countAfter is what a lot holds when delta is added to it.
func countAfter(l inventory.Lot, delta float64) (float64, error) {
	if delta < 0 {
		if err := covers(l, -delta); err != nil {
			return 0, err
		}
		return inventory.RoundCount(l.Count + delta), nil
	}
	count := inventory.RoundCount(l.Count + delta)
	return count, inventory.CheckCount(count, l.Unit())
}

// undoReason is the reason in the ledger, shortened to what fits, on one line, and fit to be stored
// even when the old reason was not: undo must work on a ledger that another program has written to.
func undoReason(word, reason string) string {
	return inOneName(word + " " + strings.NewReplacer("\n", " ", "\t",
		" ").Replace(inventory.Mended(reason)))
}

// inOneName shortens a text to what a name may be long.
func inOneName(text string) string {
	runes := []rune(text)
	return strings.TrimRight(string(runes[:min(len(runes), inventory.MaxNameLength)]), " ")
}
