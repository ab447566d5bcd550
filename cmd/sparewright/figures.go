package main

import (
	"fmt"
	"slices"

	"sparewright/catalog"
	"sparewright/catalog/si"
)

// figureText writes one value of a part for people: four digits with a unit, small ratios in per
// cent, words as they are.
func figureText(k catalog.Kind, v catalog.Value) string {
	if !v.Numeric {
		return v.Text
	}
	f, ok := catalog.FieldNamed(k, v.Field)
	if !ok {
		return v.Text
	}
	return numberText(f, v.Number)
}

// numberText writes a number of a figure. Tolerances, duties and current transfer ratios the trade
// writes in per cent.
func numberText(f catalog.Field, v float64) string {
	if f.Dimension() == si.DimensionOf[si.Ratio]() &&
		(f.High <= 1 || slices.Contains(f.Usual, "%")) {
		return si.Percent(si.Ratio(v), 4)
	}
	return f.Dimension().Format(v, 4)
}

// figureNamed returns the value of one figure of a part.
func figureNamed(p catalog.Part, name string) (catalog.Value, bool) {
	for _, v := range catalog.Describe(p).Values {
		if v.Field == name {
			return v, true
		}
	}
	return catalog.Value{}, false
}

// within writes what a reading is good for.
func within(relative float64) string {
	return fmt.Sprintf("within %s", si.Percent(si.Ratio(relative), 3))
}
