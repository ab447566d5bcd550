package identify

import (
	"fmt"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/complete"
	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/inventory"
	"sparewright/inventory/sqlite"
)

// storeReadings keeps figures as measured. All are checked before the first is written.
func storeReadings(env *frame.Environment, s *sqlite.Store, l inventory.Lot,
	readings []inventory.Measurement) (string, error) {
	var names []string
	for _, m := range readings {
		if err := inventory.CheckReading(l.Part, m); err != nil {
			return "", err
		}
		names = append(names, m.Field)
	}
	for _, m := range readings {
		if _, err := s.Measure(env.Ctx, l.ID, m, env.Now()); err != nil {
			return "", err
		}
	}
	return fmt.Sprintf("stored %s in lot %d as measured", strings.Join(names, ", "), l.ID), nil
}

// storeWords gives a lot the shape or family that was found. A lot that already has a listed shape
// keeps it; what differs is said.
func storeWords(env *frame.Environment, s *sqlite.Store, l inventory.Lot,
	words []catalog.Entry) (string, error) {
	said, part := "", l.Part
	core := l.Part.(catalog.Core)
	listed, known := catalog.ShapeNamed(frame.Or(core.Shape, core.Name))
	for _, w := range words {
		if w.Field == "shape" && known {
			if listed.Shape != w.Text {
				said += fmt.Sprintf("; the lot stays %s, though the readings fit %s: sparewright "+
					"change %d --set shape=%s corrects it",
					listed.Shape, w.Text, l.ID, frame.ShellWord(w.Text))
			}
			continue
		}
		if known {
			continue
		}
		set, err := catalog.WithWord(part, w.Field, w.Text)
		if err != nil {
			return "", frame.WrongCall("--store", fmt.Sprint(l.ID), frame.WithoutEcho(err.Error()))
		}
		part, said = set, said+fmt.Sprintf("; its %s is %s now", w.Field, w.Text)
	}
	if part == l.Part {
		return said, nil
	}
	said += cameAlong(part, l.ID)
	_, err := s.Edit(env.Ctx, l.ID, sqlite.Change{Part: part}, env.Now())
	return said, err
}

// cameAlong tells what a listed shape brings with it, and asks for the former, which no caliper on
// the ferrite reads.
func cameAlong(p catalog.Part, lot int64) string {
	core := p.(catalog.Core)
	if core.Shape == "" {
		return ""
	}
	var figures []string
	for _, name := range []string{"area", "path", "volume", "former_width", "former_height"} {
		if v, ok := drawer.FigureNamed(complete.Part(core), name); ok {
			figures = append(figures, strings.ReplaceAll(name, "_", " ")+" "+
				drawer.FigureText(core.Kind(), v))
		}
	}
	text := ", with its " + strings.Join(figures, ", ")
	if core.Former == "" {
		text += fmt.Sprintf("; the former is taken as plain: sparewright change %d --set "+
			"former=none, or split, corrects it", lot)
	}
	return text
}

// storeMetres brings the count of a spool to what was found, by one movement.
func storeMetres(env *frame.Environment, s *sqlite.Store, l inventory.Lot,
	metres float64) (string, error) {
	metres = inventory.RoundCount(metres)
	delta := inventory.RoundCount(metres - l.Count)
	const reason = "identify spool"
	switch {
	case delta < 0:
		if _, err := s.Take(env.Ctx, l.ID, -delta, reason, env.Now()); err != nil {
			return "", err
		}
	case delta > 0:
		more := l
		more.Count = delta
		if _, err := s.Put(env.Ctx, []inventory.Lot{more}, reason, env.Now()); err != nil {
			return "", err
		}
	}
	return fmt.Sprintf("lot %d holds %s m now (%s before)", l.ID, inventory.FormatCount(metres),
		inventory.FormatCount(l.Count)), nil
}
