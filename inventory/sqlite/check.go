package sqlite

import (
	"context"
	"errors"
	"fmt"
	"os"

	"github.com/jmoiron/sqlx"

	"sparewright/inventory"
	"sparewright/inventory/sqlite/drawerfile"
)

// Report is what Check found. Problems are plain sentences, in a fixed order; none means that all
// is well.
type Report struct {
	Path      string
	Bytes     int64
	Form      int // schema number
	Lots      int // empty ones included
	Parts     int
	Movements int
	SetAsides int
	Backup    *LastBackup // nil when no backup is known
	Problems  []string
}

// OK reports whether nothing is wrong.
func (r Report) OK() bool { return len(r.Problems) == 0 }

// BackupOnly reports whether all that is wrong is that the last backup is not what was written.
func (r Report) BackupOnly() bool {
	return len(r.Problems) == 1 &&
		r.Problems[0] == r.Backup.problem()
}

// Examine opens the drawer file for reading and looks through it as Check does. A drawer file so
// damaged that it cannot be opened is a finding too; what is no drawer file, or none this program
// knows, is an error.
func Examine(ctx context.Context, path string) (Report, error) {
	s, err := Open(ctx, path, ReadOnly)
	if err != nil {
		why, damaged := drawerfile.Damage(err)
		if !damaged {
			return Report{}, err
		}
		r := Report{Path: path, Problems: []string{why}}
		r.weigh()
		return r, nil
	}
	defer s.Close()
	r, err := s.Check(ctx)
	if err != nil {
		return r, err
	}
	r.weigh()
	r.Backup = s.lastBackup(ctx)
	if why := r.Backup.problem(); why != "" {
		r.Problems = append(r.Problems, why)
	}
	return r, nil
}

func (r *Report) weigh() {
	if info, err := os.Stat(r.Path); err == nil {
		r.Bytes = info.Size()
	}
}

// Check looks through the whole file: SQLite's own check, references, the count of each lot against
// its ledger, set-asides against what there is, and every part and reading against the catalog.
// Damage ends up in the report; an error means that the file could not be looked at.
func (s *Store) Check(ctx context.Context) (Report, error) {
	r := Report{Path: s.file.Path}
	lines, err := s.file.IntegrityLines(ctx)
	if err == nil {
		r.Problems = append(r.Problems, lines...)
		err = s.within(ctx, func(tx *sqlx.Tx) error { return s.examine(ctx, tx, &r) })
	}
	if ctx.Err() != nil {
		return r, ctx.Err()
	}
	if why, damaged := drawerfile.Damage(err); damaged {
		r.Problems = append(r.Problems, why)
		return r, nil
	}
	return r, s.file.Explain(err)
}

func (s *Store) examine(ctx context.Context, tx *sqlx.Tx, r *Report) error {
	if err := r.tally(ctx, tx); err != nil {
		return err
	}
	lost, err := drawerfile.Orphans(ctx, tx)
	if err != nil {
		return err
	}
	r.Problems = append(r.Problems, lost...)
	if steps, err := drawerfile.Migrations(drawerfile.SchemaFiles); err != nil ||
		r.Form != len(steps) {
		return err // a copy of an older form; what follows knows the present one
	}
	unbalanced, err := ledgerFaults(ctx, tx)
	if err != nil {
		return err
	}
	r.Problems = append(r.Problems, unbalanced...)
	for _, look := range []func(context.Context, *sqlx.Tx) ([]string, error){
		journalFaults, undoFaults, s.timeFaults} {
		found, err := look(ctx, tx)
		if err != nil {
			return err
		}
		r.Problems = append(r.Problems, found...)
	}
	return s.examineLots(ctx, tx, r)
}

func (r *Report) tally(ctx context.Context, tx *sqlx.Tx) error {
	for _, q := range []struct {
		into  *int
		query string
	}{
		{&r.Form, "PRAGMA user_version"},
		{&r.Lots, "SELECT count(*) FROM lot"},
		{&r.Parts, "SELECT count(*) FROM part"},
		{&r.Movements, "SELECT count(*) FROM movement"},
		{&r.SetAsides, "SELECT count(*) FROM set_aside"},
	} {
		if err := tx.GetContext(ctx, q.into, q.query); err != nil {
			return err
		}
	}
	return nil
}

// ledgerFaults holds counts against ledger and set-asides. Counts are kept to a thousandth; the
// sums may differ from them in their last bits.
func ledgerFaults(ctx context.Context, tx *sqlx.Tx) ([]string, error) {
	var rows []struct {
		ID     int64   `db:"id"`
		Count  float64 `db:"count"`
		Ledger float64 `db:"ledger"`
		Held   float64 `db:"held"`
	}
	err := tx.SelectContext(ctx, &rows, `
SELECT l.id, l.count, coalesce(m.total, 0) AS ledger, coalesce(s.total, 0) AS held
FROM lot l
LEFT JOIN (SELECT lot, sum(delta) AS total FROM movement GROUP BY lot) m ON m.lot = l.id
LEFT JOIN (SELECT lot, sum(count) AS total FROM set_aside GROUP BY lot) s ON s.lot = l.id
WHERE abs(l.count - coalesce(m.total, 0)) > 0.0005 OR coalesce(s.total, 0) > l.count + 0.0005
ORDER BY l.id`)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, r := range rows {
		count, ledger, held := inventory.RoundCount(r.Count), inventory.RoundCount(r.Ledger),
			inventory.RoundCount(r.Held)
		if count != ledger {
			out = append(out, fmt.Sprintf("lot %d holds %s, its ledger says %s", r.ID,
				inventory.FormatCount(count), inventory.FormatCount(ledger)))
		}
		if held > count {
			out = append(out, fmt.Sprintf("lot %d holds %s, but %s are set aside", r.ID,
				inventory.FormatCount(count), inventory.FormatCount(held)))
		}
	}
	return out, nil
}

// examineLots holds parts and readings against the catalog.
func (s *Store) examineLots(ctx context.Context, tx *sqlx.Tx, r *Report) error {
	d, err := s.load(ctx, tx, everything())
	var bad inventory.OpenError
	switch {
	case errors.As(err, &bad):
		r.Problems = append(r.Problems, bad.Msg)
		return nil
	case err != nil:
		return err
	}
	for _, l := range d.lots {
		if l.Count == 0 {
			l.Count = 1 // an emptied lot is in order
		}
		if err := l.Validate(); err != nil {
			r.Problems = append(r.Problems, fmt.Sprintf("lot %d: %s", l.ID,
				drawerfile.OneLine(err)))
		}
	}
	return nil
}
