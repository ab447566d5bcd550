package sqlite

import (
	"context"
	"slices"
	"strings"

	"github.com/jmoiron/sqlx"

	"sparewright/catalog"
	"sparewright/inventory"
)

// Edit is one thing a change altered besides counts. It is of a lot, of a donor (Lot 0), or of what
// is set aside of a lot for a purpose. Before and After are empty for nothing.
type Edit struct {
	Lot     int64
	Donor   string // the name it has where it is
	Purpose string
	// bin, condition, note, name, was, plate, state, recorded, set aside, or a figure, as noted or
	// as measured
	What          string
	Before, After string
}

// edits words the images of a change. What a new lot was made with is no edit of its own.
func (im images) edits(parts map[int64]catalog.Part) []Edit {
	var out []Edit
	for _, k := range im.lots.keys {
		if pair := im.lots.rows[k]; pair.before != nil && pair.after != nil {
			out = append(out, lotEdits(*pair.before, *pair.after, parts)...)
		}
	}
	for _, k := range im.readings.keys {
		if !im.created(k.Lot) {
			pair := im.readings.rows[k]
			out = append(out, Edit{Lot: k.Lot, What: k.Field, Before: readText(pair.before),
				After: readText(pair.after)})
		}
	}
	for _, k := range im.donors.keys {
		out = append(out, donorEdits(im.donors.rows[k])...)
	}
	for _, k := range im.asides.keys {
		pair := im.asides.rows[k]
		out = append(out, Edit{Lot: pair.either().Lot, Purpose: pair.either().Purpose,
			What:   "set aside",
			Before: asideText(pair.before), After: asideText(pair.after)})
	}
	return out
}

func lotEdits(was, is lotImage, parts map[int64]catalog.Part) []Edit {
	out := partEdits(is.ID, parts[was.Part], parts[is.Part])
	for _, f := range []struct{ what, was, is string }{
		{"bin", was.Bin, is.Bin}, {"condition", was.Condition, is.Condition},
		{"note", was.Note, is.Note},
	} {
		if f.was != f.is {
			out = append(out, Edit{Lot: is.ID, What: f.what, Before: f.was, After: f.is})
		}
	}
	return out
}

// partEdits lists the figures in which a lot's part is another one than before; nil stands for no
// such change.
func partEdits(lot int64, was, is catalog.Part) []Edit {
	if was == nil || is == nil {
		return nil
	}
	before, after := figureTexts(was), figureTexts(is)
	var out []Edit
	for _, f := range catalog.Schema(is.Kind()) {
		if before[f.Name] != after[f.Name] {
			out = append(out, Edit{Lot: lot, What: f.Name, Before: before[f.Name],
				After: after[f.Name]})
		}
	}
	return out
}

func figureTexts(p catalog.Part) map[string]string {
	texts := map[string]string{}
	for _, v := range catalog.Describe(p).Values {
		texts[v.Field] = v.Text
	}
	return texts
}

func donorEdits(pair sides[donorImage]) []Edit {
	d := pair.either()
	switch {
	case pair.before == nil:
		return []Edit{{Donor: d.Name, What: "recorded", After: d.Name}}
	case pair.after == nil:
		return []Edit{{Donor: d.Name, What: "recorded", Before: d.Name}}
	}
	var out []Edit
	was, is := pair.before, pair.after
	for _, f := range []struct{ what, was, is string }{
		{"name", was.Name, is.Name}, {"was", was.Was, is.Was}, {"plate", was.Plate, is.Plate},
		{"state", was.State, is.State}, {"note", was.Note, is.Note},
	} {
		if f.was != f.is {
			out = append(out, Edit{Donor: d.Name, What: f.what, Before: f.was, After: f.is})
		}
	}
	return out
}

func readText(r *readingImage) string {
	if r == nil {
		return ""
	}
	return r.Text
}

func asideText(a *setAsideRow) string {
	if a == nil {
		return ""
	}
	return inventory.FormatCount(a.Count)
}

// describeEntry says what a change was, with its lots as they are now.
func (s *Store) describeEntry(ctx context.Context, tx *sqlx.Tx, e entryRow) (Undone, error) {
	u := Undone{Batch: e.ID, Kind: e.Kind, Reason: e.Reason, File: e.File}
	var err error
	if u.When, err = s.readTime(e.At); err != nil {
		return u, err
	}
	if u.Moves, err = s.loadMovements(ctx, tx, "m.batch = ?", e.ID); err != nil {
		return u, err
	}
	im, err := loadImages(ctx, tx, e.ID)
	if err != nil {
		return u, err
	}
	parts, err := s.exchangedParts(ctx, tx, im)
	if err != nil {
		return u, err
	}
	u.Edits = im.edits(parts)
	u.Lots, err = s.loadLots(ctx, tx, turning{im: im}.involved(u.Moves))
	return u, err
}

// exchangedParts reads the parts between which lots were changed over.
func (s *Store) exchangedParts(ctx context.Context, tx *sqlx.Tx,
	im images) (map[int64]catalog.Part, error) {
	var args []any
	for _, k := range im.lots.keys {
		if pair := im.lots.rows[k]; pair.before != nil && pair.after != nil &&
			pair.before.Part != pair.after.Part {
			args = append(args, pair.before.Part, pair.after.Part)
		}
	}
	if len(args) == 0 {
		return nil, nil
	}
	list := strings.TrimSuffix(strings.Repeat("?, ", len(args)), ", ")
	return s.loadParts(ctx, tx, scope{"", "p.id IN (" + list + ")", args})
}

// loadLots reads several lots at once.
func (s *Store) loadLots(ctx context.Context, tx *sqlx.Tx,
	ids []int64) (map[int64]inventory.Lot, error) {
	out := make(map[int64]inventory.Lot, len(ids))
	ids = slices.Compact(slices.Sorted(slices.Values(ids)))
	const atOnce = 1000 // below what a statement may have as parameters
	for some := range slices.Chunk(ids, atOnce) {
		d, err := s.load(ctx, tx, theseLots(some))
		if err != nil {
			return nil, err
		}
		for _, l := range d.lots {
			out[l.ID] = l
		}
	}
	return out, nil
}
