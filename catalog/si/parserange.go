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

// ParseRange reads a range of Q: "85-265", "85..265V", "85-265 V". A unit written once counts for both ends. The lower end
// comes first; equal ends and a single number are accepted and give a point.
func ParseRange[Q Quantity](text string) (Interval[Q], error) {
	low, high, err := DimensionOf[Q]().ParseRange(text)
	if err != nil {
		return Interval[Q]{}, err
	}
	return Interval[Q]{Q(low), Q(high)}, nil
}

// ParseRange is the function of that name for a dimension that is known only when the program runs; the ends are in its base unit.
func (d *Dimension) ParseRange(text string) (low, high float64, err error) {
	single, err := d.Parse(text)
	if err == nil {
		return single, single, nil
	}
	all := cuts(text)
	if len(text) > 2*maxText || len(all) == 0 {
		return 0, 0, err
	}
	for _, cut := range all {
		low, high, ok := ends(d, cut[0], cut[1])
		if !ok {
			continue
		}
		if low > high {
			return 0, 0, fmt.Errorf("%s range %q: the first end is the larger one; write the smaller end first, "+
				"each with its unit", d.Name, text)
		}
		return low, high, nil
	}
	return 0, 0, fmt.Errorf("%s range %q: not understood; write it like 85-265 with a unit of %s", d.Name, text, d.Name)
}

// cuts lists the ways of cutting text into two ends, the likeliest first.
func cuts(text string) [][2]string {
	var out [][2]string
	if at := dotsText().FindStringIndex(text); at != nil {
		out = append(out, [2]string{text[:at[0]], text[at[1]:]})
	}
	for i, r := range text {
		if (r == '-' || r == '\u2013') && strings.TrimSpace(text[:i]) != "" {
			out = append(out, [2]string{text[:i], text[i+len(string(r)):]})
		}
	}
	return out
}

// ends reads both ends; an end without a unit takes that of the upper end.
func ends(d *Dimension, lowText, highText string) (low, high float64, ok bool) {
	lowText, highText = strings.TrimSpace(lowText), strings.TrimSpace(highText)
	high, err := d.Parse(highText)
	if err != nil {
		return 0, 0, false
	}
	if bareNumber().MatchString(lowText) {
		if m := tailText().FindStringSubmatch(highText); m != nil && d.words()[m[1]] != (reading{}) {
			lowText += " " + m[1]
		}
	}
	low, err = d.Parse(lowText)
	return low, high, err == nil
}
