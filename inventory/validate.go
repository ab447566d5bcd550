package inventory

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"sparewright/catalog"
)

// Conditions lists the words for the state of a lot, best first.
func Conditions() []Condition { return []Condition{New, Tested, Untested, Damaged} }

// ParseCondition reads the word for a condition in any case. An empty text is Untested: nobody
// looked.
func ParseCondition(text string) (Condition, error) {
	word := Condition(strings.ToLower(strings.TrimSpace(text)))
	if word == "" {
		return Untested, nil
	}
	if slices.Contains(Conditions(), word) {
		return word, nil
	}
	return "", DataError{Msg: fmt.Sprintf("condition %q: unknown; write new, tested, "+
		"untested or damaged", shortened(text))}
}

// Validate reports everything that keeps a lot from being stored, joined into one error: its part,
// count, texts, condition and readings. The errors are DataErrors without a place.
func (l Lot) Validate() error {
	if l.Part == nil {
		return DataError{Msg: "lot \"\": has no part; name a kind and a designation"}
	}
	faults := append(dataErrors(l.Part.Validate()), CheckCount(l.Count, l.Unit()),
		l.ValidateWords())
	return errors.Join(append(faults, checkReadings(l.Part, l.Measured)...)...)
}

// ValidateWords is the part of Validate that concerns bin, donor, note and condition.
func (l Lot) ValidateWords() error {
	faults := []error{CheckName("bin", l.Bin), CheckName("donor", l.Donor),
		CheckNote("note", l.Note)}
	if !slices.Contains(Conditions(), l.Condition) {
		_, err := ParseCondition(string(l.Condition))
		if err == nil {
			err = DataError{Msg: "condition \"\": missing; write new, tested, untested or damaged"}
		}
		faults = append(faults, err)
	}
	return errors.Join(faults...)
}

// dataErrors makes one DataError of each fault of a part.
func dataErrors(err error) []error {
	var faults catalog.Faults
	switch {
	case err == nil:
		return nil
	case !errors.As(err, &faults):
		return []error{DataError{Msg: err.Error()}}
	}
	out := make([]error, len(faults))
	for i, f := range faults {
		out[i] = DataError{Msg: f.Error()}
	}
	return out
}

func checkReadings(p catalog.Part, ms []Measurement) []error {
	var faults []error
	for i, m := range ms {
		if slices.ContainsFunc(ms[:i], func(o Measurement) bool { return o.Field == m.Field }) {
			faults = append(faults, DataError{
				Msg: fmt.Sprintf("measured %q: read twice; keep one reading", m.Field)})
		}
		faults = append(faults, CheckReading(p, m))
	}
	return faults
}

// CheckReading tells whether a reading fits the part: the figure exists, the value is physically
// possible, the error of the meter lies between 1e-6 and 0.5.
func CheckReading(p catalog.Part, m Measurement) error {
	if math.IsNaN(m.Value) || math.IsInf(m.Value, 0) {
		return DataError{Msg: fmt.Sprintf("measured %q: not a number; write what the meter showed",
			m.Field)}
	}
	if !(m.Error >= MinMeterError && m.Error <= MaxMeterError) {
		return DataError{Msg: fmt.Sprintf("measured %q: meter error %g out of 1e-06..0.5; write "+
			"it as +-0.5%%", m.Field, m.Error)}
	}
	if _, err := catalog.WithMeasured(p, m.Field, m.Value); err != nil {
		return DataError{Msg: "measured " + err.Error()}
	}
	return CheckName("reading", m.Text)
}
