package main

import (
	"fmt"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/typed"
)

// figureRange reads a range of a figure of a kind, such as 1k-10k, as put reads the figure. said
// tells how bare ends were read.
func figureRange(k catalog.Kind, f catalog.Field, text, dielectric string) (low, high float64,
	said []string, err error) {
	if !f.Numeric {
		return 0, 0, nil, fmt.Errorf("%s is a word, not a number", f.Name)
	}
	from, to, err := typed.Range(k, f, text, dielectric)
	if err != nil {
		return 0, 0, nil, err
	}
	for _, v := range []typed.Value{from, to} {
		if v.Said != "" && (len(said) == 0 || said[0] != v.Said) {
			said = append(said, v.Said)
		}
	}
	return from.Number, to.Number, said, nil
}

// commonRange reads a range for every kind that has the figure. A text that kinds read differently
// is refused.
func commonRange(kinds []catalog.Kind, about catalog.Field, text string) (low, high float64,
	said []string, err error) {
	first := catalog.Kind("")
	for _, k := range kinds {
		f, ok := catalog.FieldNamed(k, about.Name)
		if !ok || !f.Numeric || f.Dimension() != about.Dimension() {
			continue
		}
		from, to, told, err := figureRange(k, f, text, "")
		switch {
		case err != nil:
			return 0, 0, nil, err
		case first == "":
			first, low, high, said = k, from, to, told
		case from != low || to != high:
			return 0, 0, nil, fmt.Errorf("%s and %s read it differently; write it with its "+
				"unit, such as %s, or say of which KIND",
				first.WithArticle(), k.WithArticle(),
				strings.ReplaceAll(typed.Exact(f.Dimension(), to), " ", ""))
		}
	}
	if first == "" {
		return 0, 0, nil, fmt.Errorf("%s is a word, not a number", about.Name)
	}
	return low, high, said, nil
}
