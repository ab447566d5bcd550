package si

import (
	"fmt"
	"strings"

	"sparewright/catalog/pattern"
)

var (
	dotsText   = pattern.OnFirstUse(`\.\.+|\x{2026}`)
	bareNumber = pattern.OnFirstUse(`^[+-]?\s*([0-9]+\.?[0-9]*|\.[0-9]+)$`)
	tailText   = pattern.OnFirstUse(`^[+-]?\s*(?:[0-9]+\.?[0-9]*|\.[0-9]+)\s*(\S.*)$`)
)

// ParseRange reads a range of Q: "85-265", "85..265V", "85-265 V". A unit written once counts for
// both ends. The lower end comes first; equal ends and a single number are accepted and give a
// point.
func ParseRange[Q Quantity](text string) (Interval[Q], error) {
	low, high, err := DimensionOf[Q]().ParseRange(text)
	if err != nil {
		return Interval[Q]{}, err
	}
	return Interval[Q]{Q(low), Q(high)}, nil
}

// ParseRange is the function of that name for a dimension that is known only when the program runs;
// the ends are in its base unit.
func (d *Dimension) ParseRange(text string) (low, high float64, err error) {
	single, err := d.Parse(text)
	if err == nil {
		return single, single, nil
	}
	all := d.Ends(text)
	if len(all) == 0 {
		return 0, 0, err
	}
	for _, cut := range all {
		low, errLow := d.Parse(cut[0])
		high, errHigh := d.Parse(cut[1])
		if errLow != nil || errHigh != nil {
			continue
		}
		if low > high {
			return 0, 0, fmt.Errorf("%s range %q: the first end is the larger one; write the "+
				"smaller end first, "+
				"each with its unit", d.Name, text)
		}
		return low, high, nil
	}
	return 0, 0, fmt.Errorf("%s range %q: not understood; write it like 85-265 with a unit of %s",
		d.Name, text, d.Name)
}

// Ends lists the ways of cutting text into the lower and the upper end of a range, the likeliest
// first. A lower end without a unit has that of the upper end. None for a text longer than any
// range is.
func (d *Dimension) Ends(text string) [][2]string {
	if len(text) > 2*maxText {
		return nil
	}
	var out [][2]string
	cut := func(low, high string) {
		low, high = strings.TrimSpace(low), strings.TrimSpace(high)
		if m := tailText().FindStringSubmatch(high); m != nil && bareNumber().MatchString(low) &&
			d.words()[m[1]] != (reading{}) {
			low += " " + m[1]
		}
		out = append(out, [2]string{low, high})
	}
	if at := dotsText().FindStringIndex(text); at != nil {
		cut(text[:at[0]], text[at[1]:])
	}
	for i, r := range text {
		if (r == '-' || r == '\u2013') && strings.TrimSpace(text[:i]) != "" {
			cut(text[:i], text[i+len(string(r)):])
		}
	}
	return out
}
