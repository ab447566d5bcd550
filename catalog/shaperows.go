package catalog

import (
	"slices"
	"strings"
)

// ShapesNamed returns every row of the table of core shapes that a name may mean, the row that
// ShapeNamed finds first: the rows of that name, those whose name goes on behind a stroke (EE19 is
// also EE19/16), and the same shapes as other makers print them. Nil when there is none.
func ShapesNamed(name string) []Core {
	t := rowsOf(KindCore)
	asked := strings.ToLower(strings.Join(strings.Fields(name), ""))
	if asked == "" {
		return nil
	}
	best, _, known := t.find(KindCore, name)
	shapes := map[string]bool{}
	for i, r := range t.rows {
		if known && i == best || r.answersTo(asked) {
			shapes[shapeAlone(r.part.Designation())] = true
		}
	}
	var out []Core
	for i, r := range t.rows {
		switch {
		case known && i == best:
			out = slices.Insert(out, 0, r.part.(Core))
		case shapes[shapeAlone(r.part.Designation())]:
			out = append(out, r.part.(Core))
		}
	}
	return out
}

// answersTo reports whether one of the names of a row, its maker left off, is the asked one or goes
// on behind a stroke.
func (r row) answersTo(asked string) bool {
	for _, name := range append([]string{r.part.Designation()}, r.also...) {
		shape := strings.ToLower(shapeAlone(name))
		if shape == asked || strings.HasPrefix(shape, asked+"/") {
			return true
		}
	}
	return false
}
