package catalog

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"sparewright/catalog/si"
)

// maxName is the longest designation in runes.
const maxName = 64

// missing is the reason given for a required figure that is not there.
const missing = "missing"

// maxWord is the longest free text in runes.
const maxWord = 64

// Validate reports every fault of the part as Faults, nil when there is none. It checks the name,
// that required figures are there, that each figure lies in the possible range, and the
// contradictions listed at the check of each kind.
func (p Core) Validate() error        { return check(p).asError() }
func (p Wire) Validate() error        { return check(p).asError() }
func (p Film) Validate() error        { return check(p).asError() }
func (p Switcher) Validate() error    { return check(p).asError() }
func (p Rectifier) Validate() error   { return check(p).asError() }
func (p Bridge) Validate() error      { return check(p).asError() }
func (p Clamp) Validate() error       { return check(p).asError() }
func (p Optocoupler) Validate() error { return check(p).asError() }
func (p Amplifier) Validate() error   { return check(p).asError() }
func (p Reference) Validate() error   { return check(p).asError() }
func (p Resistor) Validate() error    { return check(p).asError() }
func (p Trimmer) Validate() error     { return check(p).asError() }
func (p Capacitor) Validate() error   { return check(p).asError() }
func (p Choke) Validate() error       { return check(p).asError() }
func (p LED) Validate() error         { return check(p).asError() }
func (p Fuse) Validate() error        { return check(p).asError() }
func (p Thermistor) Validate() error  { return check(p).asError() }
func (p Zener) Validate() error       { return check(p).asError() }
func (p Transformer) Validate() error { return check(p).asError() }
func (p Adapter) Validate() error     { return check(p).asError() }
func (p Controller) Validate() error  { return check(p).asError() }
func (p Transistor) Validate() error  { return check(p).asError() }

// check finds every fault of a part. Contradictions are looked for only when the single figures are
// possible.
func check(p Part) Faults {
	faults := checkName(p.Designation())
	v := reflect.ValueOf(p)
	for _, f := range Schema(p.Kind()) {
		if fault := checkField(v, f); fault != nil {
			faults = append(faults, *fault)
		}
	}
	if len(faults) > 0 {
		return faults
	}
	switch p := p.(type) {
	case Core:
		return p.contradictions()
	case Wire:
		return p.contradictions()
	case Film:
		return p.contradictions()
	case Switcher:
		return p.contradictions()
	case Rectifier:
		return p.contradictions()
	case Clamp:
		return p.contradictions()
	case Optocoupler:
		return p.contradictions()
	case Amplifier:
		return p.contradictions()
	case Reference:
		return p.contradictions()
	case Resistor:
		return p.contradictions()
	case Trimmer:
		return p.contradictions()
	case Capacitor:
		return p.contradictions()
	case Zener:
		return p.contradictions()
	case Transformer:
		return p.contradictions()
	case Adapter:
		return p.contradictions()
	case Controller:
		return p.contradictions()
	case Transistor:
		return p.contradictions()
	}
	return nil
}

// checkName applies the rules for designations: 1 to 64 runes of valid UTF-8 without control or
// text-direction characters.
func checkName(name string) Faults {
	why, cure := badText(name, maxName)
	if strings.TrimSpace(name) == "" && why == "" {
		why, cure = "the part has no name", "give its designation"
	}
	if why == "" && name != strings.TrimSpace(name) {
		why, cure = "blanks at the ends", "leave them out"
	}
	if why == "" {
		return nil
	}
	return Faults{{Field: "designation", Input: strings.ToValidUTF8(name, "\ufffd"),
		Why: why, Cure: cure}}
}

// badText names what may stand in no text that is stored and printed.
func badText(text string, limit int) (why, cure string) {
	if !utf8.ValidString(text) {
		return "not valid UTF-8", "type it again"
	}
	if utf8.RuneCountInString(text) > limit {
		return fmt.Sprintf("longer than %d characters", limit), "shorten it"
	}
	for _, r := range text {
		switch {
		case unicode.IsControl(r), r == '\u2028', r == '\u2029':
			return "a control character", "leave it out"
		case unicode.Is(unicode.Bidi_Control, r):
			return "a character that changes the writing direction", "leave it out"
		case r == '\ufeff', r == '\u200b', r == '\u200d', r == '\u200c', r == '\u2060':
			return "an invisible character", "leave it out"
		}
	}
	return "", ""
}

// checkField checks one figure or word by itself.
func checkField(v reflect.Value, f Field) *Fault {
	if !f.Numeric {
		return checkWord(v.Field(f.index).String(), f)
	}
	number, basis := figure(v, &f)
	switch {
	case basis == Unknown && f.Required:
		return &Fault{Field: f.Name, Why: missing,
			Cure: fmt.Sprintf("give the %s (%s)", f.Doc, f.Range())}
	case basis == Unknown:
		return nil
	case basis > Measured:
		return &Fault{Field: f.Name, Why: "it is not said how the figure is known",
			Cure: "give it again"}
	case !f.Within(number): // NaN is never within
		fault := outside(f, number)
		return &fault
	}
	return nil
}

func checkWord(word string, f Field) *Fault {
	if word == "" {
		if f.Required {
			return &Fault{Field: f.Name, Why: missing,
				Cure: "use one of " + strings.Join(f.Words, ", ")}
		}
		return nil
	}
	if len(f.Words) > 0 && !slices.Contains(f.Words, word) {
		return &Fault{f.Name, strings.ToValidUTF8(word, "\ufffd"), "no such word",
			suggestion(word, f.Words)}
	}
	if why, cure := badText(word, maxWord); why != "" {
		return &Fault{f.Name, strings.ToValidUTF8(word, "\ufffd"), why, cure}
	}
	return nil
}

func outside(f Field, v float64) Fault {
	return Fault{Field: f.Name, Why: fmt.Sprintf("%s is outside the possible range",
		f.dim.Format(v, 4)),
		Cure: "it must be " + f.Range()}
}

// rising checks that the known ones of a row of figures do not fall.
func rising[Q si.Quantity](names []string, data ...Datum[Q]) Faults {
	var faults Faults
	last := -1
	for i, d := range data {
		if !d.Known() {
			continue
		}
		if last >= 0 && data[last].Value > d.Value {
			faults = append(faults, Fault{Field: names[i],
				Why: fmt.Sprintf("%s is below the %s of %s",
					si.Text(d.Value), names[last], si.Text(data[last].Value)),
				Cure: "correct one of the two"})
		}
		last = i
	}
	return faults
}

// printed keeps only what is published; a measured or estimated figure may contradict the sheet.
func printed[Q si.Quantity](data ...Datum[Q]) []Datum[Q] {
	out := make([]Datum[Q], len(data))
	for i, d := range data {
		if d.Basis != Measured {
			out[i] = d
		}
	}
	return out
}
