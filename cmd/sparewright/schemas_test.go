package main

import (
	"bytes"
	"encoding"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/cmd/sparewright/internal/bench"
	"sparewright/cmd/sparewright/internal/find"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/identify"
	"sparewright/cmd/sparewright/internal/keep"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/adapter"
	"sparewright/substitute/advise"
	"sparewright/substitute/control"
	"sparewright/substitute/plan"
	"sparewright/substitute/report/sheet"
	"sparewright/substitute/shop"
	"sparewright/substitute/swap"
	"sparewright/substitute/tune"
)

// schemaNode is what these tests read of a JSON Schema: one place of a document, or what narrows
// one. The word unit is ours: a validator takes it for a remark.
type schemaNode struct {
	Title       string                 `json:"title"`
	Description string                 `json:"description"`
	Unit        string                 `json:"unit"`
	Ref         string                 `json:"$ref"`
	Type        oneOrMore              `json:"type"`
	Enum        []any                  `json:"enum"`
	Const       any                    `json:"const"`
	Required    []string               `json:"required"`
	Properties  fieldsInOrder          `json:"properties"`
	Items       *schemaNode            `json:"items"`
	Additional  *schemaNode            `json:"additionalProperties"`
	Unevaluated *schemaNode            `json:"unevaluatedProperties"`
	AllOf       []*schemaNode          `json:"allOf"`
	AnyOf       []*schemaNode          `json:"anyOf"`
	OneOf       []*schemaNode          `json:"oneOf"`
	If          *schemaNode            `json:"if"`
	Then        *schemaNode            `json:"then"`
	Else        *schemaNode            `json:"else"`
	Not         *schemaNode            `json:"not"`
	Defs        map[string]*schemaNode `json:"$defs"`

	never bool   // the schema false
	file  string // without .json
}

// UnmarshalJSON reads a schema, which may also be true or false.
func (n *schemaNode) UnmarshalJSON(text []byte) error {
	if s := string(text); s == "true" || s == "false" {
		n.never = s == "false"
		return nil
	}
	type plain schemaNode
	return json.Unmarshal(text, (*plain)(n))
}

// oneOrMore is the word type of a schema: a string or a list of them.
type oneOrMore []string

func (o *oneOrMore) UnmarshalJSON(text []byte) error {
	if bytes.HasPrefix(text, []byte("[")) {
		return json.Unmarshal(text, (*[]string)(o))
	}
	*o = make(oneOrMore, 1)
	return json.Unmarshal(text, &(*o)[0])
}

// fieldsInOrder are properties in the order of the file.
type fieldsInOrder struct {
	names []string
	of    map[string]*schemaNode
}

func (f *fieldsInOrder) UnmarshalJSON(text []byte) error {
	if err := json.Unmarshal(text, &f.of); err != nil {
		return err
	}
	d := json.NewDecoder(bytes.NewReader(text))
	if _, err := d.Token(); err != nil {
		return err
	}
	for d.More() {
		name, err := d.Token()
		if err != nil {
			return err
		}
		f.names = append(f.names, name.(string))
		if err := d.Decode(new(json.RawMessage)); err != nil {
			return err
		}
	}
	return nil
}

// parts are the schemas directly below a node that describe the same place: composed or chosen
// from.
func (n *schemaNode) parts() []*schemaNode { return slices.Concat(n.AllOf, n.AnyOf, n.OneOf) }

// below are all schemas directly below a node but for those of its properties.
func (n *schemaNode) below() []*schemaNode {
	out := slices.Concat(n.parts(), []*schemaNode{n.Items, n.Additional, n.Unevaluated, n.If,
		n.Then, n.Else, n.Not})
	for _, name := range slices.Sorted(maps.Keys(n.Defs)) {
		out = append(out, n.Defs[name])
	}
	return slices.DeleteFunc(out, func(b *schemaNode) bool { return b == nil })
}

// everywhere calls f for a node and all below it.
func (n *schemaNode) everywhere(f func(*schemaNode)) {
	f(n)
	for _, b := range n.below() {
		b.everywhere(f)
	}
	for _, name := range n.Properties.names {
		n.Properties.of[name].everywhere(f)
	}
}

// schemaSet is all files of testdata/schema.
type schemaSet map[string]*schemaNode

func schemaFile(name string) string { return filepath.Join(schemaFolder, name) }

func allSchemas(t *testing.T) schemaSet {
	t.Helper()
	files, err := filepath.Glob(schemaFile("*.json"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	set := schemaSet{}
	for _, f := range files {
		text, err := os.ReadFile(f)
		require.NoError(t, err)
		var n schemaNode
		require.NoError(t, json.Unmarshal(text, &n), f)
		name := strings.TrimSuffix(filepath.Base(f), ".json")
		n.everywhere(func(b *schemaNode) { b.file = name })
		set[name] = &n
	}
	return set
}

func (set schemaSet) names() []string { return slices.Sorted(maps.Keys(set)) }

// target finds what a node refers to.
func (set schemaSet) target(n *schemaNode) *schemaNode {
	file, place, _ := strings.Cut(n.Ref, "#")
	at := set[frame.Or(strings.TrimSuffix(file, ".json"), n.file)]
	steps := strings.Split(strings.Trim(place, "/"), "/")
	switch {
	case at == nil || place == "":
		return at
	case steps[0] == "$defs":
		return at.Defs[steps[1]]
	}
	return at.Properties.of[steps[1]]
}

// whole is a node with what it refers to and is composed of: its own fields first, and which of
// them are required. What narrows a piece (an allOf without reference) names no fields of its own.
func (set schemaSet) whole(n *schemaNode) (fields fieldsInOrder, required map[string]bool) {
	fields.of, required = map[string]*schemaNode{}, map[string]bool{}
	set.gather(n, &fields, required)
	return fields, required
}

func (set schemaSet) gather(n *schemaNode, fields *fieldsInOrder, required map[string]bool) {
	for _, name := range n.Properties.names {
		fields.names, fields.of[name] = append(fields.names, name), n.Properties.of[name]
	}
	for _, name := range n.Required {
		required[name] = true
	}
	if n.Ref != "" {
		set.gather(set.target(n), fields, required)
	}
	for _, p := range slices.Concat(n.AllOf, n.AnyOf) {
		if p.Ref != "" || slices.Contains(n.AnyOf, p) && !slices.Contains(p.Type, "null") &&
			len(n.Properties.names) == 0 {
			set.gather(p, fields, required)
		}
	}
}

// documentTypes says which Go value is printed under which schema, so that neither has a field the
// other has not.
var documentTypes = map[string][]any{
	"advise": {substitute.Result{}}, "survey": {advise.Survey{}}, "shop": {shop.Purchase{}},
	"plan": {plan.Plan{}}, "bend": {adapter.Bending{}}, "network": {control.NetworkAnswer{}},
	"swap": {swap.Swap{}}, "swapoutside": {swap.Outside{}}, "tune": {tune.Tuning{}},
	"sheet": {sheet.Sheet{}}, "netlist": {find.NetlistDocument{}}, "list": {keep.ListJSON{}},
	"show": {exchange.LotJSON{}}, "change": {exchange.LotJSON{}}, "put": {keep.StoredJSON{}},
	"take": {keep.TakenJSON{}}, "bench": {bench.Document{}}, "undo": {keep.UndoDocument{}},
	"redo": {keep.RedoDocument{}}, "donor": {keep.DonorPageJSON{}, keep.DonorsDocument(nil)},
	"history": {keep.HistoryDocument(nil, nil)}, "labels": {keep.LabelsDocument("", nil)},
	"import": {bench.ImportedJSON{}}, "decode": {bench.DecodedJSON{}},
	"identify": {identify.FindingJSON{}}, "check": {keep.CheckJSON{}},
	"backup": {keep.BackupJSON{}}, "restore": {keep.RestoredJSON{}},
	"reserved": {keep.AsideDocument{}},
}

// A schema and the Go type that is printed under it have the same fields of the same kinds, and
// what the type leaves out when it is empty is what the schema does not require. So no field is
// added, dropped, renamed or made rare in one of them alone.
func TestSchemasAgreeWithTheTypes(t *testing.T) {
	set := allSchemas(t)
	pieces := map[string]bool{}
	for _, n := range set {
		n.everywhere(func(b *schemaNode) {
			if file, _, _ := strings.Cut(b.Ref, "#"); file != "" {
				pieces[strings.TrimSuffix(file, ".json")] = true
			}
		})
	}
	for _, name := range set.names() {
		values, printed := documentTypes[name]
		require.True(t, printed || pieces[name],
			"documentTypes does not say what is printed under %s.json", name)
		c := &agreement{t: t, set: set, seen: map[string]bool{}, either: len(values) > 1}
		var fields []reflect.StructField
		for _, v := range values {
			fields = append(fields, printedFields(reflect.TypeOf(v))...)
		}
		if printed {
			c.fields(name, set[name],
				append(fields, reflect.StructField{Type: reflect.TypeFor[int](),
					Tag: `json:"schema"`}))
		}
	}
}

// alwaysThere are fields that a type may leave out or make null and a document never does, with the
// reason.
var alwaysThere = map[string]string{
	"network.networks[].parts[].lot": "network answers from the drawer alone; a type " +
		"shared with builds",
	"sheet.build": "a pointer to spare a copy; there is no sheet " +
		"without a build",
}

// agreement walks a schema and a type together.
type agreement struct {
	t      *testing.T
	set    schemaSet
	seen   map[string]bool
	either bool // the document has several forms; the fields at its top are those of any
}

// printedFields are the fields of a type that encoding/json prints, those of embedded types among
// them.
func printedFields(typ reflect.Type) (out []reflect.StructField) {
	for _, f := range reflect.VisibleFields(typ) {
		if tag := f.Tag.Get("json"); tag != "" && tag != "-" {
			out = append(out, f)
		}
	}
	return out
}

func (c *agreement) fields(at string, n *schemaNode, fields []reflect.StructField) {
	either := c.either
	c.either = false
	described, required := c.set.whole(n)
	printed := map[string]bool{}
	for _, f := range fields {
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		printed[name] = true
		field := described.of[name]
		require.NotNil(c.t, field, "%s: the schema does not describe %s", at, name)
		if (!either || name == "schema") && alwaysThere[at+"."+name] == "" {
			require.Equal(c.t, options == "", required[name],
				"%s.%s: whether it is required", at, name)
		}
		if f.Type.Kind() == reflect.Pointer && options == "" && alwaysThere[at+"."+name] == "" {
			require.Contains(c.t, c.kindsOf(field), "null", "%s.%s may be null", at, name)
		}
		c.value(at+"."+name, field, f.Type)
	}
	for _, name := range described.names {
		require.True(c.t, printed[name], "%s: nothing prints the field %s of the schema", at, name)
	}
}

// value holds the schema of one place against the type printed there.
func (c *agreement) value(at string, n *schemaNode, typ reflect.Type) {
	for typ.Kind() == reflect.Pointer {
		typ = typ.Elem()
	}
	if key := fmt.Sprintf("%p %v", n, typ); c.seen[key] ||
		typ == reflect.TypeFor[exchange.PartJSON]() {
		return // the figures of a part: TestPartSchemaFollowsTheCatalog
	} else {
		c.seen[key] = true
	}
	kinds := slices.DeleteFunc(c.kindsOf(n), func(k string) bool { return k == "null" })
	require.Equal(c.t, []string{kindOfGo(typ)}, kinds, at)
	switch typ.Kind() {
	case reflect.Struct:
		c.fields(at, n, printedFields(typ))
	case reflect.Slice:
		require.NotNil(c.t, n.Items, at)
		c.value(at+"[]", n.Items, typ.Elem())
	case reflect.Map:
		require.NotNil(c.t, n.Additional, at)
		c.value(at+".*", n.Additional, typ.Elem())
	}
}

// kindsOf are the JSON types a schema allows.
func (c *agreement) kindsOf(n *schemaNode) []string { return c.set.kindsOf(n) }

func (set schemaSet) kindsOf(n *schemaNode) (kinds []string) {
	kinds = append(kinds, n.Type...)
	for _, v := range append(slices.Clone(n.Enum), n.Const) {
		if v != nil {
			kinds = append(kinds, map[string]string{"string": "string", "bool": "boolean",
				"float64": "integer"}[fmt.Sprintf("%T", v)])
		}
	}
	if n.Ref != "" {
		kinds = append(kinds, set.kindsOf(set.target(n))...)
	}
	if len(kinds) == 0 {
		for _, p := range slices.Concat(n.AllOf, n.AnyOf) {
			kinds = append(kinds, set.kindsOf(p)...)
		}
	}
	slices.Sort(kinds)
	return slices.Compact(kinds)
}

func kindOfGo(typ reflect.Type) string {
	if typ.Implements(reflect.TypeFor[encoding.TextMarshaler]()) {
		return "string"
	}
	switch typ.Kind() {
	case reflect.String:
		return "string"
	case reflect.Bool:
		return "boolean"
	case reflect.Float64:
		return "number"
	case reflect.Slice:
		return "array"
	case reflect.Struct, reflect.Map:
		return "object"
	}
	return "integer"
}
