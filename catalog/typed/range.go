package typed

import (
	"errors"
	"math"
	"strconv"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/si"
)

// Range reads a range of one figure of a kind of part, 1k-10k, each end as Figure reads it; a unit
// written once counts for both. A single value is both ends. Ends that would be read in different
// units are refused, as is what Figure refuses at either end. The error is a catalog.Fault.
func Range(k catalog.Kind, f catalog.Field, text, dielectric string) (low, high Value, err error) {
	return rangeBy(f.Dimension(), f.Name, text,
		func(end string) (Value, error) { return Figure(k, f, end, dielectric) })
}

// ResistanceRange is Range for resistors that are not one part, such as the legs of a divider
// together.
func ResistanceRange(text string) (span si.Interval[si.Resistance], err error) {
	low, high, err := rangeBy(si.DimensionOf[si.Resistance](), "resistance", text, Resistance)
	return si.Interval[si.Resistance]{Low: si.Resistance(low.Number),
		High: si.Resistance(high.Number)}, err
}

func rangeBy(d *si.Dimension, name, text string, read func(string) (Value, error)) (low,
	high Value, err error) {
	low, err = read(text)
	all := d.Ends(text)
	if err == nil {
		return low, low, ordered(name, text, [2]string{text, text}, low, low)
	}
	if askedBack(err) || len(all) == 0 {
		return low, low, err
	}
	for _, cut := range all {
		low, errLow := read(cut[0])
		high, errHigh := read(cut[1])
		switch {
		case askedBack(errLow) && (errHigh == nil || askedBack(errHigh)):
			return Value{}, Value{}, atEnd(errLow, text, cut[0])
		case errLow == nil && askedBack(errHigh):
			return Value{}, Value{}, atEnd(errHigh, text, cut[1])
		case errLow == nil && errHigh == nil:
			return low, high, ordered(name, text, cut, low, high)
		}
	}
	_, _, err = d.ParseRange(text)
	return Value{}, Value{}, asFault(name, text, err)
}

// askedBack tells whether a text was understood in more than one way.
func askedBack(err error) bool {
	var fault catalog.Fault
	return errors.As(err, &fault) && strings.HasPrefix(fault.Why, mayBe)
}

// atEnd says which end of a range was asked back.
func atEnd(err error, text, end string) error {
	var fault catalog.Fault
	if errors.As(err, &fault) {
		fault.Input, fault.Why = text, strconv.Quote(end)+" "+fault.Why
		return fault
	}
	return err
}

// ordered refuses ends in the wrong order, and bare numbers that were read in different units.
func ordered(name, text string, cut [2]string, low, high Value) error {
	x, errX := strconv.ParseFloat(cut[0], 64)
	y, errY := strconv.ParseFloat(cut[1], 64)
	mixed := errX == nil && errY == nil && x != 0 && y != 0 &&
		math.Abs(low.Number/x*y/high.Number-1) > 1e-9
	switch {
	case math.IsInf(low.Number, 0) || math.IsInf(high.Number, 0):
		return catalog.Fault{Field: name, Input: text, Why: "not a finite number",
			Cure: "write an end that a part may have"}
	case mixed:
		return catalog.Fault{Field: name, Input: text,
			Why:  "its ends are read in different units (" + low.Said + "; " + high.Said + ")",
			Cure: "write a unit behind each end"}
	case low.Number > high.Number:
		return catalog.Fault{Field: name, Input: text, Why: "the first end is the larger one",
			Cure: "write the smaller end first, each with its unit"}
	}
	return nil
}
