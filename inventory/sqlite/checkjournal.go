package sqlite

import (
	"context"
	"errors"
	"fmt"

	"github.com/jmoiron/sqlx"

	"sparewright/inventory"
)

// journalFaults lists movements without an entry and entries that were never closed.
func journalFaults(ctx context.Context, tx *sqlx.Tx) ([]string, error) {
	var out []string
	err := tx.SelectContext(ctx, &out, `
SELECT 'batch ' || batch || ' has movements, but is not in the journal' FROM movement
WHERE batch NOT IN (SELECT id FROM entry) GROUP BY batch
UNION ALL
SELECT 'batch ' || id || ' was never closed' FROM entry WHERE open IS NOT NULL`)
	return out, err
}

// undoFaults lists entries that take back one that is not there, is taken back twice, or is of
// another kind than they can take back: an undo takes back a change, a redo an undo.
func undoFaults(ctx context.Context, tx *sqlx.Tx) ([]string, error) {
	var rows []struct {
		Undoes int64  `db:"undoes"`
		Kind   string `db:"kind"`
		Of     string `db:"of"`
		Times  int    `db:"times"`
	}
	err := tx.SelectContext(ctx, &rows, `
SELECT u.undoes, u.kind, coalesce(e.kind, '') AS of, count(*) AS times
FROM entry u LEFT JOIN entry e ON e.id = u.undoes
WHERE u.undoes IS NOT NULL AND NOT EXISTS (SELECT 1 FROM entry r WHERE r.undoes = u.id AND r.kind = 'redo')
GROUP BY u.undoes ORDER BY u.undoes`)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, r := range rows {
		switch {
		case r.Of == "":
			out = append(out, fmt.Sprintf("batch %d is taken back, but is not in the journal",
				r.Undoes))
		case (r.Kind == kindRedo) != (r.Of == kindUndo) || r.Of == kindRedo:
			out = append(out, fmt.Sprintf("batch %d takes back another and is taken back itself",
				r.Undoes))
		case r.Times > 1:
			out = append(out, fmt.Sprintf("batch %d is taken back %d times", r.Undoes, r.Times))
		}
	}
	return out, nil
}

// timeFaults lists times that nothing could show: the schema only knows their outline. A command
// that meets one calls it damage, by the same readTime.
func (s *Store) timeFaults(ctx context.Context, tx *sqlx.Tx) ([]string, error) {
	var out []string
	for _, table := range []string{"movement", "reading", "set_aside", "entry"} {
		var times []string
		if err := tx.SelectContext(ctx, &times,
			"SELECT DISTINCT at FROM "+table+" ORDER BY at"); err != nil {
			return nil, err
		}
		for _, text := range times {
			var open inventory.OpenError
			if _, err := s.readTime(text); errors.As(err, &open) {
				out = append(out, fmt.Sprintf("%s: %q is no time", table, text))
			}
		}
	}
	return out, nil
}
