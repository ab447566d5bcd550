package drawerfile

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
var SchemaFiles embed.FS

// Migration is one step from form version-1 of the file to form version.
type Migration struct {
	Version int
	Name    string
	SQL     string
}

// Migrations reads schema/NNNN_name.sql in order. The numbers run from 1 without a hole; a file
// once released is never edited, a change of the schema is a new file.
func Migrations(fsys fs.FS) ([]Migration, error) {
	names, err := fs.Glob(fsys, "schema/*.sql")
	if err != nil {
		return nil, err
	}
	steps := make([]Migration, 0, len(names))
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
		steps = append(steps, Migration{version, name, string(text)})
	}
	return steps, nil
}

// MakeSchema turns an empty file into a drawer file. Another process may have done so a moment ago:
// it decides under the write lock, and reports whether it was this call that made the drawer.
func (f *File) MakeSchema(ctx context.Context) (made bool, err error) {
	steps, err := Migrations(SchemaFiles)
	if err != nil {
		return false, err
	}
	err = f.Within(ctx, func(tx *sqlx.Tx) error {
		application, version, err := FormOf(ctx, tx)
		if err != nil {
			return err
		}
		if application == ApplicationID {
			return Header{1, true, version, ApplicationID}.Accept(f.Path, len(steps))
		}
		var tables int
		if err := tx.GetContext(ctx, &tables, "SELECT count(*) FROM sqlite_schema"); err != nil {
			return err
		}
		if application != 0 || tables > 0 {
			return Header{1, true, version, uint32(application)}.Accept(f.Path, len(steps))
		}
		made = true
		return Apply(ctx, tx, steps)
	})
	return made, err
}

// FormOf reads the two marks of the file: whose it is and which form it has.
func FormOf(ctx context.Context, tx *sqlx.Tx) (application int64, version int, err error) {
	if err := tx.GetContext(ctx, &application, "PRAGMA application_id"); err != nil {
		return 0, 0, err
	}
	err = tx.GetContext(ctx, &version, "PRAGMA user_version")
	return application, version, err
}

// Apply runs the steps inside the transaction of the caller and sets the marks. user_version and
// tables roll back together.
func Apply(ctx context.Context, tx *sqlx.Tx, steps []Migration) error {
	for _, m := range steps {
		if _, err := tx.ExecContext(ctx, m.SQL); err != nil {
			return fmt.Errorf("%s: %w", m.Name, err)
		}
	}
	if len(steps) == 0 {
		return nil
	}
	marks := fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = %d", ApplicationID,
		steps[len(steps)-1].Version)
	_, err := tx.ExecContext(ctx, marks)
	return err
}

// Migrate brings an older file to the newest form. A copy of the old form is left beside it first.
// Foreign keys are off while tables are rebuilt and are checked before the change is kept.
func (f *File) Migrate(ctx context.Context, steps []Migration) error {
	var version int
	if err := f.DB.GetContext(ctx, &version, "PRAGMA user_version"); err != nil {
		return err
	}
	if version >= len(steps) {
		return nil
	}
	if _, err := f.SafeCopy(ctx, fmt.Sprintf("%s.form-%d", f.Path, version)); err != nil {
		return err
	}
	changer := At(f.Path, Migrating)
	defer changer.DB.Close()
	return changer.Within(ctx, func(tx *sqlx.Tx) error {
		_, version, err := FormOf(ctx, tx) // again, under the lock
		if err != nil || version >= len(steps) {
			return err
		}
		if err := Apply(ctx, tx, steps[version:]); err != nil {
			return err
		}
		lost, err := Orphans(ctx, tx)
		if err != nil {
			return err
		}
		if len(lost) > 0 {
			return inventory.OpenError{Path: f.Path, Msg: "cannot be updated: " + lost[0],
				Hint: DamagedHint(f.Path)}
		}
		return nil
	})
}
