package catalog

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"

	"sparewright/catalog/si"
)

// Field is one figure or word of a kind, read from the struct tags.
type Field struct {
	Name     string
	Doc      string
	Required bool
	Numeric  bool
	Low      float64       // lowest possible value in the base unit; numeric fields only
	High     float64       // highest possible value
	Usual    []string      // units the trade prints the figure in, where they are not the base unit
	Likely   [2]float64    // narrower than Low and High; the same where nothing is said
	Words    []string      // the words allowed; empty for free text
	Quantity string        // what is measured, such as "resistance"; empty for text
	Unit     string        // base unit as printed; empty for text and plain numbers
	dim      *si.Dimension // nil for text
	index    int           // place in the struct
	// fields of a lowest, typical, highest row that must not exceed this one, as places in the
	// schema
	below []int
	above []int // and those that this one must not exceed
}

// Dimension is how the figure is read and written; nil for a text field.
func (f Field) Dimension() *si.Dimension { return f.dim }

// Within reports whether v lies in the possible range. A denormal number does not, also where
// nought is possible: it carries fewer digits than it was typed with, and what is typed may not be
// one.
func (f Field) Within(v float64) bool {
	return v >= f.Low && v <= f.High && (v == 0 || math.Abs(v) >= smallestNormal)
}

// smallestNormal is the smallest double with all its digits (IEEE 754).
const smallestNormal = 0x1p-1022

// Range writes the possible range with units, "100 µΩ to 1 GΩ".
func (f Field) Range() string {
	if f.dim == nil {
		return strings.Join(f.Words, ", ")
	}
	return f.dim.Format(f.Low, 4) + " to " + f.dim.Format(f.High, 4)
}

// prototypes lists one zero value a kind, in the order the kinds are always listed in.
var prototypes = []Part{
	Core{}, Wire{}, Film{}, Switcher{}, Rectifier{}, Bridge{}, Clamp{}, Optocoupler{},
	Amplifier{}, Reference{},
	Resistor{}, Trimmer{}, Capacitor{}, Choke{}, LED{}, Fuse{}, Thermistor{}, Zener{},
	Transformer{}, Adapter{},
	Controller{}, Transistor{},
}

// kindSchema is the schema of one kind with an index by field name.
type kindSchema struct {
	typ    reflect.Type
	fields []Field
	byName map[string]int
}

// schemas holds what reads the schema of each kind from its struct; each does so once, when first
// asked for.
var schemas = sync.OnceValue(func() map[Kind]func() kindSchema {
	m := make(map[Kind]func() kindSchema, len(prototypes))
	for _, p := range prototypes {
		m[p.Kind()] = sync.OnceValue(func() kindSchema { return readTags(reflect.TypeOf(p)) })
	}
	return m
})

// schemaOf returns the schema of a kind; false when there is no such kind.
func schemaOf(k Kind) (kindSchema, bool) {
	read, ok := schemas()[k]
	if !ok {
		return kindSchema{}, false
	}
	return read(), true
}

// Kinds returns every kind in a fixed order. The slice is the caller's own.
func Kinds() []Kind {
	out := make([]Kind, len(prototypes))
	for i, p := range prototypes {
		out[i] = p.Kind()
	}
	return out
}

// ParseKind reads the word for a kind, in any case. The error suggests the nearest word.
func ParseKind(word string) (Kind, error) {
	k := Kind(strings.ToLower(strings.TrimSpace(word)))
	if slices.Contains(Kinds(), k) {
		return k, nil
	}
	if now, ok := EarlierKinds[string(k)]; ok {
		return now, nil
	}
	words := make([]string, 0, len(prototypes))
	for _, known := range Kinds() {
		words = append(words, string(known))
	}
	return "", Fault{Field: "kind", Input: word, Why: "no such kind", Cure: suggestion(word, words)}
}

// Schema returns the figures of a kind in the order of its struct; nil for an unknown kind. The
// slice must not be changed.
func Schema(k Kind) []Field {
	s, _ := schemaOf(k)
	return s.fields
}

// FieldNamed returns one figure of a kind.
func FieldNamed(k Kind, name string) (Field, bool) {
	s, _ := schemaOf(k)
	i, ok := s.byName[name]
	if !ok {
		return Field{}, false
	}
	return s.fields[i], true
}

// readTags builds the schema of one struct. A malformed tag is a programming error and panics.
func readTags(t reflect.Type) kindSchema {
	s := kindSchema{typ: t, byName: map[string]int{}}
	for i := range t.NumField() {
		sf := t.Field(i)
		tag, ok := sf.Tag.Lookup("field")
		if !ok {
			continue
		}
		name, options, _ := strings.Cut(tag, ",")
		f := Field{Name: name, Doc: sf.Tag.Get("doc"), Required: options == "required", index: i}
		if sf.Type.Kind() == reflect.String {
			if one := sf.Tag.Get("one"); one != "" {
				f.Words = strings.Split(one, "|")
			}
		} else {
			f.Numeric = true
			f.dim, ok = si.DimensionFor(sf.Type.Field(0).Type)
			if !ok {
				panic(fmt.Sprintf("catalog: %s.%s is no figure", t, sf.Name))
			}
			f.Quantity, f.Unit = f.dim.Name, f.dim.Symbol
			f.Low, f.High = readRange(t, sf, "range")
			f.Likely = [2]float64{f.Low, f.High}
			if usual := sf.Tag.Get("usual"); usual != "" {
				f.Usual = strings.Split(usual, "|")
			}
			if sf.Tag.Get("likely") != "" {
				f.Likely[0], f.Likely[1] = readRange(t, sf, "likely")
			}
		}
		s.byName[name] = len(s.fields)
		s.fields = append(s.fields, f)
	}
	s.pairUp()
	return s
}

// pairUp notes which figures form a row of lowest, typical and highest, by their names: limit_min,
// limit, limit_max.
func (s *kindSchema) pairUp() {
	for i := range s.fields {
		name := s.fields[i].Name
		stem, rank := strings.TrimSuffix(name, "_min"), 0
		if stem == name {
			stem, rank = strings.TrimSuffix(name, "_max"), 2
			if stem == name {
				rank = 1
			}
		}
		for other, suffix := range []string{"_min", "", "_max"} {
			j, ok := s.byName[stem+suffix]
			switch {
			case !ok || !s.fields[j].Numeric || other == rank:
			case other < rank:
				s.fields[i].below = append(s.fields[i].below, j)
			default:
				s.fields[i].above = append(s.fields[i].above, j)
			}
		}
	}
}

func readRange(t reflect.Type, sf reflect.StructField, tag string) (low, high float64) {
	a, b, _ := strings.Cut(sf.Tag.Get(tag), ",")
	low, err1 := strconv.ParseFloat(a, 64)
	high, err2 := strconv.ParseFloat(b, 64)
	if err1 != nil || err2 != nil || !(low < high) || math.IsInf(low, 0) || math.IsInf(high, 0) {
		panic(fmt.Sprintf("catalog: %s.%s has no %s", t, sf.Name, tag))
	}
	return low, high
}

// figure reads a numeric field of a part.
func figure(v reflect.Value, f *Field) (float64, Basis) {
	d := v.Field(f.index)
	return d.Field(0).Float(), Basis(d.Field(1).Uint())
}

// setFigure writes a numeric field of an addressable part.
func setFigure(v reflect.Value, f *Field, value float64, b Basis) {
	d := v.Field(f.index)
	d.Field(0).SetFloat(value)
	d.Field(1).SetUint(uint64(b))
}
