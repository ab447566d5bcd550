package catalog

import (
	"errors"
	"math"
	"reflect"
	"slices"
	"strings"
)

// Record is a part in neutral form, as kept in files and in the drawer file. Build and Describe are
// inverses.
type Record struct {
	Kind        Kind
	Designation string
	Values      []Value // in the order of the schema; unknown figures are left out
}

// Value is one known figure or word of a record.
type Value struct {
	Field   string
	Text    string  // as typed and stored, with the mark of its basis
	Number  float64 // in the base unit; 0 for words
	Numeric bool
	Basis   Basis // Published for words
}

// Entry is a field name with the text written for it.
type Entry struct {
	Field, Text string
}

// marks are written before a figure to say how it is known; a published figure carries none.
var marks = []struct {
	mark  string
	basis Basis
}{{"~", Estimated}, {"?", Assumed}, {"!", Measured}}

// markOf returns the mark written before a figure of the given basis.
func markOf(b Basis) string {
	for _, m := range marks {
		if m.basis == b {
			return m.mark
		}
	}
	return ""
}

// splitMark takes the mark off a text.
func splitMark(text string) (Basis, string) {
	text = strings.TrimSpace(text)
	for _, m := range marks {
		if rest, ok := strings.CutPrefix(text, m.mark); ok {
			return m.basis, strings.TrimSpace(rest)
		}
	}
	return Published, text
}

// Describe returns the record of a part: what is known, in schema order, figures with as many
// digits as they hold.
func Describe(p Part) Record {
	v := reflect.ValueOf(p)
	r := Record{Kind: p.Kind(), Designation: p.Designation()}
	for _, f := range Schema(p.Kind()) {
		if !f.Numeric {
			if word := v.Field(f.index).String(); word != "" {
				r.Values = append(r.Values, Value{Field: f.Name, Text: word, Basis: Published})
			}
			continue
		}
		if number, basis := figure(v, &f); basis != Unknown {
			text := markOf(basis) + f.dim.FormatExact(number)
			r.Values = append(r.Values, Value{f.Name, text, number, true, basis})
		}
	}
	return r
}

// Build makes the part of a record and validates it. Number and Basis count for figures, Text for
// words; every fault is collected in the error, a Faults.
func Build(r Record) (Part, error) {
	s, ok := schemaOf(r.Kind)
	if !ok {
		return nil, Faults{unknownKind(r.Kind)}
	}
	v := reflect.New(s.typ).Elem()
	v.Field(0).Set(reflect.ValueOf(Named{r.Designation}))
	var faults Faults
	seen := map[string]bool{}
	for _, value := range r.Values {
		f, ok := FieldNamed(r.Kind, value.Field)
		switch {
		case !ok:
			faults = append(faults, unknownField(r.Kind, value.Field, value.Text))
		case seen[value.Field]:
			faults = append(faults, Fault{value.Field, value.Text, "given twice", "keep one"})
		case !f.Numeric:
			v.Field(f.index).SetString(value.Text)
		case value.Basis == Unknown || value.Basis > Measured:
			faults = append(faults, Fault{value.Field, value.Text,
				"it is not said how the figure is known", "give it again"})
		default:
			setFigure(v, &f, value.Number+0, value.Basis)
		}
		seen[value.Field] = true
	}
	p := v.Interface().(Part)
	return p, append(faults, check(p)...).asError()
}

// unknownKind words the fault of a kind that is none. Records name kinds exactly: a damaged file
// may hold one that people may type, such as "rEsistor".
func unknownKind(k Kind) Fault {
	var fault Fault
	if meant, err := ParseKind(string(k)); !errors.As(err, &fault) {
		return Fault{"kind", string(k), "no such kind", "the kind is called " + string(meant)}
	}
	return fault
}

// ParseFields makes a part from what was typed, in any order. Every fault is collected in the
// error, a Faults; the part is returned along with it as far as it was understood. A leading ~
// marks a figure as estimated, ? as assumed, ! as measured.
//
// Required figures that were not typed are taken from the table row of the designation when there
// is one, so that the bare name of a listed part is enough. Complete fills in the others when the
// part is used.
func ParseFields(k Kind, designation string, entries []Entry) (Part, error) {
	p, err := parseAlone(k, designation, entries)
	if clamp, ok := p.(Clamp); ok && err == nil {
		return p, standoffTyped(clamp, entries)
	}
	if p == nil || err == nil {
		return p, err
	}
	listed, _, ok := Lookup(k, designation)
	if !ok {
		return p, withCandidates(p, designation, err)
	}
	more := slices.Clone(entries)
	for _, value := range Describe(listed).Values {
		f, _ := FieldNamed(k, value.Field)
		typed := slices.ContainsFunc(entries, func(e Entry) bool {
			return strings.EqualFold(strings.TrimSpace(e.Field), value.Field)
		})
		if f.Required && !typed {
			more = append(more, Entry{value.Field, value.Text})
		}
	}
	return parseAlone(k, designation, more)
}

// withCandidates points out the table names a designation may have meant when required figures are
// missing.
func withCandidates(p Part, designation string, err error) error {
	k := p.Kind()
	faults, ok := err.(Faults)
	candidates := notUpward(p, Suggest(k, designation))
	if !ok || len(candidates) == 0 || !slices.ContainsFunc(faults,
		func(f Fault) bool { return f.Why == missing }) {
		return err
	}
	return append(faults, Fault{Field: "designation", Input: designation, Why: "not a listed part",
		Cure: "did you mean " + strings.Join(candidates, " or ") + "?"})
}

// notUpward leaves out names that would promise a better insulation than was typed: a
// triple-insulated wire in place of one of which only the diameter is known. Who takes such a name
// by mistake builds a barrier that is none.
func notUpward(p Part, names []string) []string {
	w, ok := p.(Wire)
	if !ok || w.Insulation == "triple-insulated" {
		return names
	}
	return slices.DeleteFunc(slices.Clone(names), func(name string) bool {
		listed, _, found := Lookup(KindWire, name)
		return found && listed.(Wire).Insulation == "triple-insulated"
	})
}

// parseAlone is ParseFields without the tables; the tables themselves are read with it.
func parseAlone(k Kind, designation string, entries []Entry) (Part, error) {
	s, ok := schemaOf(k)
	if !ok {
		return nil, Faults{unknownKind(k)}
	}
	v := reflect.New(s.typ).Elem()
	v.Field(0).Set(reflect.ValueOf(Named{strings.TrimSpace(designation)}))
	var faults Faults
	typed := map[string]string{}
	for _, e := range entries {
		name := PresentFigure(strings.ToLower(strings.TrimSpace(e.Field)))
		f, ok := FieldNamed(k, name)
		if !ok {
			faults = append(faults, unknownField(k, e.Field, e.Text))
			continue
		}
		if _, twice := typed[name]; twice {
			faults = append(faults, Fault{name, e.Text, "given twice", "keep one"})
			continue
		}
		typed[name] = e.Text
		if fault := enter(v, f, e.Text); fault != nil {
			faults = append(faults, *fault)
		}
	}
	p := v.Interface().(Part)
	for _, fault := range check(p) {
		if !faults.names(fault.Field) { // a figure that was not understood is not also missing
			faults = append(faults, withInput(p, fault, typed))
		}
	}
	return p, faults.asError()
}

func unknownField(k Kind, name, text string) Fault {
	known := []string{}
	for _, f := range Schema(k) {
		known = append(known, f.Name)
	}
	return Fault{name, text, k.WithArticle() + " has no such figure", suggestion(name, known)}
}

// enter reads one text into a field.
func enter(v reflect.Value, f Field, text string) *Fault {
	if !f.Numeric {
		word, fault := enterWord(f, text)
		v.Field(f.index).SetString(word)
		return fault
	}
	basis, body := splitMark(text)
	number, err := f.dim.Parse(body)
	if err != nil {
		_, rest, _ := strings.Cut(err.Error(), `": `)
		why, cure, _ := strings.Cut(rest, "; ")
		return &Fault{f.Name, text, why, cure}
	}
	setFigure(v, &f, number, basis)
	return nil
}

// enterWord matches a word of a closed list in any case; free text is kept as it is.
func enterWord(f Field, text string) (string, *Fault) {
	text = strings.TrimSpace(text)
	for _, w := range f.Words {
		if strings.EqualFold(w, text) {
			return w, nil
		}
	}
	return text, nil // a wrong word is found by check
}

// withInput adds what was typed to a fault of check, and asks whether m and M were mixed up if that
// would cure it.
func withInput(p Part, fault Fault, typed map[string]string) Fault {
	text, ok := typed[fault.Field]
	if !ok {
		return fault
	}
	fault.Input = text
	f, _ := FieldNamed(p.Kind(), fault.Field)
	if !f.Numeric {
		return fault
	}
	swapped := swapMega(text)
	_, body := splitMark(swapped)
	number, err := f.dim.Parse(body)
	if swapped == text || err != nil {
		return fault
	}
	v := reflect.New(reflect.TypeOf(p)).Elem()
	v.Set(reflect.ValueOf(p))
	setFigure(v, &f, number, Published)
	if !check(v.Interface().(Part)).names(fault.Field) {
		meant := "M is mega"
		if strings.Contains(text, "m") {
			meant = "m is milli"
		}
		fault.Why += ", " + meant
		fault.Cure = "did you mean " + swapped + "?"
	}
	return fault
}

// swapMega writes m for M and M for m.
func swapMega(text string) string {
	return strings.Map(func(r rune) rune {
		switch r {
		case 'm':
			return 'M'
		case 'M':
			return 'm'
		}
		return r
	}, text)
}

// WithMeasured returns p with one figure replaced by what was read on the bench, in the base unit.
// The printed limits beside it stay as they are. An unknown figure, a word, or a value outside the
// possible range is an error, a Fault.
func WithMeasured(p Part, field string, value float64) (Part, error) {
	f, ok := FieldNamed(p.Kind(), field)
	if !ok {
		return p, unknownField(p.Kind(), field, "")
	}
	if !f.Numeric {
		return p, Fault{Field: field, Why: "a word cannot be measured", Cure: "measure a figure"}
	}
	if math.IsNaN(value) || !f.Within(value) {
		return p, outside(f, value)
	}
	v := reflect.New(reflect.TypeOf(p)).Elem()
	v.Set(reflect.ValueOf(p))
	setFigure(v, &f, value+0, Measured) // never -0
	return v.Interface().(Part), nil
}

// WithWord returns the part with one of its words set, read as ParseFields reads it; an empty word
// takes it away. Errors: no such word, a figure, which is measured instead, or a part that
// contradicts itself with it.
func WithWord(p Part, field, word string) (Part, error) {
	f, ok := FieldNamed(p.Kind(), field)
	if !ok {
		return p, unknownField(p.Kind(), field, word)
	}
	if f.Numeric {
		return p, Fault{field, word, "is a figure, not a word", "give it as measured"}
	}
	var entries []Entry
	for _, v := range Describe(p).Values {
		if v.Field != f.Name {
			entries = append(entries, Entry{v.Field, v.Text})
		}
	}
	if word != "" {
		entries = append(entries, Entry{f.Name, word})
	}
	return ParseFields(p.Kind(), p.Designation(), entries)
}
