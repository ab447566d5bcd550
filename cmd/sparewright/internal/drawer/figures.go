package drawer

import (
	"fmt"
	"slices"

	"sparewright/catalog"
	"sparewright/catalog/pattern"
	"sparewright/catalog/si"
	"sparewright/cmd/sparewright/internal/frame"
)

// FigureText writes one value of a part for people: four digits with a unit, small ratios in per
// cent, words as they are.
func FigureText(k catalog.Kind, v catalog.Value) string {
	if !v.Numeric {
		return v.Text
	}
	f, ok := catalog.FieldNamed(k, v.Field)
	if !ok {
		return v.Text
	}
	return NumberText(f, v.Number)
}

// NumberText writes a number of a figure. Tolerances, duties and current transfer ratios the trade
// writes in per cent.
func NumberText(f catalog.Field, v float64) string {
	if f.Dimension() == si.DimensionOf[si.Ratio]() &&
		(f.High <= 1 || slices.Contains(f.Usual, "%")) {
		return si.Percent(si.Ratio(v), 4)
	}
	return f.Dimension().Format(v, 4)
}

// FigureNamed returns the value of one figure of a part.
func FigureNamed(p catalog.Part, name string) (catalog.Value, bool) {
	for _, v := range catalog.Describe(p).Values {
		if v.Field == name {
			return v, true
		}
	}
	return catalog.Value{}, false
}

// Within writes what a reading is good for.
func Within(relative float64) string {
	return fmt.Sprintf("within %s", si.Percent(si.Ratio(relative), 3))
}

// BareNumber matches a number without a unit.
var BareNumber = pattern.OnFirstUse(`^[0-9]*\.?[0-9]+$`)

// ParseKind reads a kind from the call.
func ParseKind(word string) (catalog.Kind, error) {
	kind, err := catalog.ParseKind(word)
	if err != nil {
		return "", frame.WrongCall("", "", err.Error()).Try("sparewright help kinds")
	}
	return kind, nil
}
