package sqlite

import (
	"context"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"github.com/jmoiron/sqlx"

	"sparewright/catalog"
	"sparewright/inventory"
	"sparewright/inventory/sqlite/drawerfile"
)

// scope says which lots are meant: a condition on the lot l and its part p, and one on the part
// alone, each with the same arguments.
type scope struct {
	lots, parts string
	args        []any
}

func everything() scope { return scope{"1", "1", nil} }

func notEmpty() scope { return scope{"l.count > 0", "1", nil} }

func oneLot(id int64) scope {
	return scope{"l.id = ?", "p.id = (SELECT part FROM lot WHERE id = ?)", []any{id}}
}

func theseLots(ids []int64) scope {
	list := "(" + strings.TrimSuffix(strings.Repeat("?, ", len(ids)), ", ") + ")"
	args := make([]any, len(ids))
	for i, id := range ids {
		args[i] = id
	}
	return scope{"l.id IN " + list, "p.id IN (SELECT part FROM lot WHERE id IN " + list + ")", args}
}

func named(p catalog.Part) scope {
	const same = "p.kind = ? AND p.designation = ?"
	return scope{same, same, []any{string(p.Kind()), p.Designation()}}
}

func pulledFrom(donor string) scope {
	const same = "(SELECT id FROM donor WHERE name = ?)"
	return scope{"l.donor = " + same, "p.id IN (SELECT part FROM lot WHERE donor = " + same + ")",
		[]any{donor}}
}

type lotRow struct {
	ID        int64   `db:"id"`
	Part      int64   `db:"part"`
	Bin       string  `db:"bin"`
	Donor     string  `db:"donor"`
	Condition string  `db:"condition"`
	Note      string  `db:"note"`
	Count     float64 `db:"count"`
	SetAside  float64 `db:"set_aside"`
}

const selectLots = `
SELECT l.id, l.part, l.bin, coalesce(d.name, '') AS donor, l.condition, l.note, l.count,
       coalesce(s.total, 0) AS set_aside
FROM lot l
JOIN part p ON p.id = l.part
LEFT JOIN donor d ON d.id = l.donor
LEFT JOIN (SELECT lot, sum(count) AS total FROM set_aside GROUP BY lot) s ON s.lot = l.id
WHERE %s
ORDER BY l.id`

// drawer is a part of the file in memory: lots in ascending ID with their parts, readings and what
// is set aside.
type drawer struct {
	lots  []inventory.Lot
	parts map[int64]catalog.Part // by number, also those of no lot
}

// load reads lots, empty ones included. The number of queries does not depend on the number of
// lots.
func (s *Store) load(ctx context.Context, tx *sqlx.Tx, which scope) (drawer, error) {
	var rows []lotRow
	if err := tx.SelectContext(ctx, &rows, fmt.Sprintf(selectLots, which.lots),
		which.args...); err != nil {
		return drawer{}, err
	}
	parts, err := s.loadParts(ctx, tx, which)
	if err != nil {
		return drawer{}, err
	}
	readings, err := loadReadings(ctx, tx, which)
	if err != nil {
		return drawer{}, err
	}
	lots := make([]inventory.Lot, len(rows))
	for i, r := range rows {
		lots[i] = inventory.Lot{ID: r.ID, Part: parts[r.Part], Count: r.Count,
			SetAside: inventory.RoundCount(r.SetAside),
			Bin:      r.Bin, Donor: r.Donor, Condition: inventory.Condition(r.Condition),
			Measured: readings[r.ID], Note: r.Note}
	}
	return drawer{lots, parts}, nil
}

// selectParts packs the figures of a part into one text, because one row a figure takes twice as
// long: figures are parted by RS, their name, basis and value by US, which no text in the drawer
// may hold. quote() writes a number as a literal that stands for exactly this number (SQLite's
// lang_corefunc.html#quote); a word stands behind an equals sign.
const selectParts = `
SELECT p.id, p.kind, p.designation, coalesce((
    SELECT group_concat(f.field || char(31) || f.basis || char(31) ||
                        CASE WHEN f.value IS NULL THEN '=' || f.text ELSE quote(f.value) END, char(30))
    FROM figure f WHERE f.part = p.id), '') AS figures
FROM part p
WHERE %s`

type partRow struct {
	ID          int64  `db:"id"`
	Kind        string `db:"kind"`
	Designation string `db:"designation"`
	Figures     string `db:"figures"`
}

// loadParts reads the parts that the lots in question may refer to.
func (s *Store) loadParts(ctx context.Context, tx *sqlx.Tx,
	which scope) (map[int64]catalog.Part, error) {
	var rows []partRow
	if err := tx.SelectContext(ctx, &rows, fmt.Sprintf(selectParts, which.parts),
		which.args...); err != nil {
		return nil, err
	}
	parts := make(map[int64]catalog.Part, len(rows))
	for _, r := range rows {
		record := catalog.Record{Kind: catalog.Kind(r.Kind), Designation: r.Designation,
			Values: unpack(r.Figures)}
		p, err := catalog.Build(record)
		if err != nil {
			return nil, s.unfit(r.ID, record, err)
		}
		parts[r.ID] = p
	}
	return parts, nil
}

// unpack takes apart what selectParts packed. What does not read as a number becomes one that no
// figure can have.
func unpack(figures string) []catalog.Value {
	if figures == "" {
		return nil
	}
	values := make([]catalog.Value, 0, 8)
	for figure := range strings.SplitSeq(figures, "\x1e") {
		field, rest, _ := strings.Cut(figure, "\x1f")
		basis, text, _ := strings.Cut(rest, "\x1f")
		v := catalog.Value{Field: field, Basis: basisNamed(basis)}
		if word, ok := strings.CutPrefix(text, "="); ok {
			v.Text = word
		} else {
			v.Numeric = true
			number, err := strconv.ParseFloat(text, 64)
			if err != nil {
				number = math.NaN()
			}
			v.Number = number
		}
		values = append(values, v)
	}
	return values
}

var bases = []catalog.Basis{catalog.Published, catalog.Measured, catalog.Estimated, catalog.Assumed}

// basisNamed is the inverse of Basis.String; words the schema does not allow read as Unknown.
func basisNamed(word string) catalog.Basis {
	for _, b := range bases {
		if b.String() == word {
			return b
		}
	}
	return catalog.Unknown
}

// unfit says that the file holds a part the catalog cannot accept; only a damaged or foreign-made
// file does.
func (s *Store) unfit(part int64, r catalog.Record, err error) error {
	return inventory.OpenError{Path: s.file.Path, Hint: drawerfile.DamagedHint(s.file.Path),
		Err: err,
		Msg: fmt.Sprintf("is damaged: part %d, %s %q: %s", part, r.Kind,
			r.Designation, drawerfile.OneLine(err))}
}

const selectReadings = `
SELECT r.lot, r.field, r.value, r.error, r.text
FROM reading r JOIN lot l ON l.id = r.lot JOIN part p ON p.id = l.part
WHERE %s
ORDER BY r.lot, r.field`

type readingRow struct {
	Lot   int64   `db:"lot"`
	Field string  `db:"field"`
	Value float64 `db:"value"`
	Error float64 `db:"error"`
	Text  string  `db:"text"`
}

func loadReadings(ctx context.Context, tx *sqlx.Tx,
	which scope) (map[int64][]inventory.Measurement, error) {
	var rows []readingRow
	if err := tx.SelectContext(ctx, &rows, fmt.Sprintf(selectReadings, which.lots),
		which.args...); err != nil {
		return nil, err
	}
	out := make(map[int64][]inventory.Measurement)
	for _, r := range rows {
		m := inventory.Measurement{Field: r.Field, Value: r.Value, Error: r.Error, Text: r.Text}
		out[r.Lot] = append(out[r.Lot], m)
	}
	return out, nil
}

// Snapshot reads the whole drawer at one moment: every lot that is not empty, in ascending ID.
func (s *Store) Snapshot(ctx context.Context) (inventory.Snapshot, error) {
	var d drawer
	err := s.within(ctx, func(tx *sqlx.Tx) (err error) {
		d, err = s.load(ctx, tx, notEmpty())
		return err
	})
	return inventory.Snapshot{Lots: d.lots}, err
}

// Lot reads one lot, also an empty one whose history is still kept.
func (s *Store) Lot(ctx context.Context, id int64) (inventory.Lot, error) {
	var lot inventory.Lot
	err := s.within(ctx, func(tx *sqlx.Tx) (err error) {
		lot, err = s.loadLot(ctx, tx, id)
		return err
	})
	return lot, err
}

func (s *Store) loadLot(ctx context.Context, tx *sqlx.Tx, id int64) (inventory.Lot, error) {
	d, err := s.load(ctx, tx, oneLot(id))
	if err != nil {
		return inventory.Lot{}, err
	}
	if len(d.lots) == 0 {
		return inventory.Lot{}, inventory.NoLot{Lot: id}
	}
	return d.lots[0], nil
}

// timeForm is ISO 8601 in universal time to the millisecond; it sorts as text.
const timeForm = "2006-01-02T15:04:05.000Z"

// timeRead also takes what other programs write: whole seconds, or any fraction of one, which
// time.Parse reads without being told.
const timeRead = "2006-01-02T15:04:05Z"

func writeTime(t time.Time) string { return t.UTC().Format(timeForm) }

func (s *Store) readTime(text string) (time.Time, error) {
	t, err := time.Parse(timeRead, text)
	if err != nil {
		return time.Time{},
			inventory.OpenError{Path: s.file.Path, Hint: drawerfile.DamagedHint(s.file.Path),
				Err: err,
				Msg: fmt.Sprintf("is damaged: %q is no time", text)}
	}
	return t, nil
}
