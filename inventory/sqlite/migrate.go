package sqlite

import (
	"context"
	"embed"
	"fmt"
	"io/fs"
	"strconv"
	"strings"

	"github.com/jmoiron/sqlx"

	"sparewright/inventory"
)

//go:embed schema/*.sql
var schemaFiles embed.FS

// migration is one step from form version-1 of the file to form version.
type migration struct {
	version int
	name    string
	sql     string
}

// migrations reads schema/NNNN_name.sql in order. The numbers run from 1 without a hole; a file
// once released is never edited, a change of the schema is a new file.
func migrations(fsys fs.FS) ([]migration, error) {
	names, err := fs.Glob(fsys, "schema/*.sql")
	if err != nil {
		return nil, err
	}
	steps := make([]migration, 0, len(names))
	for i, name := range names { // Glob sorts
		number, _, _ := strings.Cut(strings.TrimPrefix(name, "schema/"), "_")
		version, err := strconv.Atoi(number)
		if err != nil || version != i+1 {
			return nil, fmt.Errorf("schema file %q: should carry the number %04d", name, i+1)
		}
		text, err := fs.ReadFile(fsys, name)
		if err != nil {
			return nil, err
		}
		steps = append(steps, migration{version, name, string(text)})
	}
	return steps, nil
}

// makeSchema turns an empty file into a drawer file. Another process may have done so a moment ago:
// it decides under the write lock, and reports whether it was this call that made the drawer.
func (s *Store) makeSchema(ctx context.Context) (made bool, err error) {
	steps, err := migrations(schemaFiles)
	if err != nil {
		return false, err
	}
	err = s.within(ctx, func(tx *sqlx.Tx) error {
		application, version, err := formOf(ctx, tx)
		if err != nil {
			return err
		}
		if application == applicationID {
			return header{1, true, version, applicationID}.accept(s.path, len(steps))
		}
		var tables int
		if err := tx.GetContext(ctx, &tables, "SELECT count(*) FROM sqlite_schema"); err != nil {
			return err
		}
		if application != 0 || tables > 0 {
			return header{1, true, version, uint32(application)}.accept(s.path, len(steps))
		}
		made = true
		return apply(ctx, tx, steps)
	})
	return made, err
}

// formOf reads the two marks of the file: whose it is and which form it has.
func formOf(ctx context.Context, tx *sqlx.Tx) (application int64, version int, err error) {
	if err := tx.GetContext(ctx, &application, "PRAGMA application_id"); err != nil {
		return 0, 0, err
	}
	err = tx.GetContext(ctx, &version, "PRAGMA user_version")
	return application, version, err
}

// apply runs the steps inside the transaction of the caller and sets the marks. user_version and
// tables roll back together.
func apply(ctx context.Context, tx *sqlx.Tx, steps []migration) error {
	for _, m := range steps {
		if _, err := tx.ExecContext(ctx, m.sql); err != nil {
			return fmt.Errorf("%s: %w", m.name, err)
		}
	}
	if len(steps) == 0 {
		return nil
	}
	marks := fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = %d", applicationID,
		steps[len(steps)-1].version)
	_, err := tx.ExecContext(ctx, marks)
	return err
}

// migrate brings an older file to the newest form. A copy of the old form is left beside it first.
// Foreign keys are off while tables are rebuilt and are checked before the change is kept.
func (s *Store) migrate(ctx context.Context, steps []migration) error {
	var version int
	if err := s.db.GetContext(ctx, &version, "PRAGMA user_version"); err != nil {
		return err
	}
	if version >= len(steps) {
		return nil
	}
	if _, err := s.backUp(ctx, fmt.Sprintf("%s.form-%d", s.path, version)); err != nil {
		return err
	}
	changer := &Store{db: connect(s.path, migrating), path: s.path, mode: ReadWrite}
	defer changer.db.Close()
	return changer.within(ctx, func(tx *sqlx.Tx) error {
		_, version, err := formOf(ctx, tx) // again, under the lock
		if err != nil || version >= len(steps) {
			return err
		}
		if err := apply(ctx, tx, steps[version:]); err != nil {
			return err
		}
		orphans, err := orphans(ctx, tx)
		if err != nil {
			return err
		}
		if len(orphans) > 0 {
			return inventory.OpenError{Path: s.path, Msg: "cannot be updated: " + orphans[0],
				Hint: damagedHint(s.path)}
		}
		return nil
	})
}
