package main

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory/exchange"
)

var updateSchemas = flag.Bool("update-schemas", false,
	"write part.json, README.md and form.txt of testdata/schema anew")

// described is one row of the page: one field of one document or piece.
type described struct {
	path     string // dotted, [] for every element of a list; * for all fields of a piece
	kind     string
	unit     string
	optional bool
	words    []string
	meaning  string
}

// table is what a schema file, or a piece of it that is used in several places, describes.
type table struct {
	name string
	rows []described
}

// tables are the table of a file and those of its pieces.
func (set schemaSet) tables(name string) []table {
	root := set[name]
	main := table{name: name}
	set.rows(&main, "", root)
	out := []table{main}
	for _, def := range slices.Sorted(maps.Keys(root.Defs)) {
		if name == "lot" { // its fields stand apart only so that others can be made of them
			set.rows(&out[0], "", root.Defs[def])
			continue
		}
		piece := table{name: name + " " + def}
		set.rows(&piece, "", root.Defs[def])
		out = append(out, piece)
	}
	return out
}

// rows adds the fields of an object below a path.
func (set schemaSet) rows(t *table, path string, n *schemaNode) {
	for _, p := range append([]*schemaNode{n}, n.AllOf...) {
		if p.Ref != "" && !(t.name == "lot" && p == n) {
			t.rows = append(t.rows, described{path: path + "*", kind: set.pieceName(p),
				meaning: "all its fields"})
		}
	}
	for _, name := range n.Properties.names {
		f := n.Properties.of[name]
		if f.never {
			continue
		}
		row := described{path: path + name, unit: f.Unit,
			optional: !slices.Contains(n.Required, name), meaning: f.Description}
		row.kind = set.kindName(f)
		row.words = set.wordsOf(f)
		if row.unit == "" && f.Additional != nil {
			row.unit = f.Additional.Unit
		}
		t.rows = append(t.rows, row)
		inner, below := f, path+name+"."
		for inner.Items != nil {
			inner, below = inner.Items, strings.TrimSuffix(below, ".")+"[]."
		}
		for _, p := range append([]*schemaNode{inner}, inner.AnyOf...) {
			if len(p.Properties.names) > 0 {
				set.rows(t, below, p)
			}
		}
	}
}

// pieceName is how the page calls what a node refers to.
func (set schemaSet) pieceName(n *schemaNode) string {
	file, place, _ := strings.Cut(n.Ref, "#")
	name := frame.Or(strings.TrimSuffix(file, ".json"), n.file)
	if def, is := strings.CutPrefix(place, "/$defs/"); is && name != "lot" {
		return name + " " + def
	}
	return name
}

// kindName is the type of a place as the page writes it.
func (set schemaSet) kindName(n *schemaNode) string {
	switch {
	case n.Items != nil:
		return "list of " + set.kindName(n.Items)
	case strings.Contains(n.Ref, "#/properties/"):
		return set.kindName(set.target(n))
	case n.Ref != "":
		return set.pieceName(n)
	case len(n.AllOf) > 0 && n.AllOf[0].Ref != "" && len(n.Properties.names) == 0:
		return set.pieceName(n.AllOf[0])
	case n.Additional != nil && !n.Additional.never:
		return "map to " + set.kindName(n.Additional)
	case len(n.AnyOf) > 2:
		return "a kind of part"
	case len(n.AnyOf) > 0:
		names := make([]string, len(n.AnyOf))
		for i, p := range n.AnyOf {
			names[i] = set.kindName(p)
		}
		slices.SortFunc(names, func(a, b string) int {
			return strings.Compare(strings.TrimPrefix(a, "null"), b)
		})
		return strings.Join(withoutFirstNull(names), " or ")
	}
	kinds := set.kindsOf(n)
	return strings.Join(withoutFirstNull(kinds), " or ")
}

// withoutFirstNull puts null behind the rest.
func withoutFirstNull(names []string) []string {
	out := slices.DeleteFunc(slices.Clone(names), func(n string) bool { return n == "null" })
	if len(out) < len(names) {
		out = append(out, "null")
	}
	return out
}

// wordsOf are the words a place or the elements of its list may hold; none where any text will do.
func (set schemaSet) wordsOf(n *schemaNode) (words []string) {
	for n.Items != nil || strings.Contains(n.Ref, "#/properties/") {
		if n.Items != nil {
			n = n.Items
		} else {
			n = set.target(n)
		}
	}
	if n.Additional != nil && !n.Additional.never {
		n = n.Additional
	}
	for _, v := range append(slices.Clone(n.Enum), n.Const) {
		if s, is := v.(string); is {
			words = append(words, s)
		}
	}
	return words
}

// every table of the page, those of commands first.
func (set schemaSet) everyTable() (out []table) {
	for _, command := range []bool{true, false} {
		for _, name := range set.names() {
			if _, is := documentTypes[name]; is == command {
				out = append(out, set.tables(name)...)
			}
		}
	}
	return out
}

// page writes all tables as Markdown that also reads well as it stands.
func (set schemaSet) page() string {
	var b strings.Builder
	b.WriteString(pageTop)
	for _, t := range set.everyTable() {
		fmt.Fprintf(&b, "\n## %s\n\n", t.name)
		if n := set[t.name]; n != nil {
			fmt.Fprintf(&b, "%s.\n\n", strings.ToUpper(n.Title[:1])+n.Title[1:])
		}
		cells := [][4]string{{"field", "type", "unit", "meaning"}, {}}
		for _, r := range t.rows {
			kind := r.kind
			if r.optional {
				kind += "?"
			}
			meaning := r.meaning
			if len(r.words) > 0 {
				meaning += ": " + strings.Join(r.words, ", ")
			}
			cells = append(cells, [4]string{r.path, kind, r.unit,
				strings.ReplaceAll(meaning, "|", `\|`)})
		}
		writeCells(&b, cells)
	}
	return b.String()
}

const pageTop = `# The documents of --json

Written by ` + "`go test ./cmd/sparewright -run Schema -update-schemas`" + ` from the schemas beside it, which a test holds against the
program. Paths are dotted, [] stands for every element of a list. A type with a question mark may be absent; all else is
always there. Unit 1 is a plain number, and "see unit" means that a field beside it names the unit. A type that is no JSON
type is a table of this page; * stands for all its fields. Documents of commands come first, pieces after them; swapoutside
is swap with --kind, reserved is also the document of reserve, release and consume.
`

// pageWidth is the longest line of the page.
const pageWidth = 125

// writeCells writes rows as a table whose columns stand under each other, long meanings on several
// rows.
func writeCells(b *strings.Builder, cells [][4]string) {
	var width [4]int
	for _, row := range cells {
		for i, c := range row[:3] {
			width[i] = max(width[i], utf8.RuneCountInString(c))
		}
	}
	width[3] = pageWidth - width[0] - width[1] - width[2] - len("| | |  |")
	for i, row := range cells {
		if i == 1 {
			fmt.Fprintf(b, "|%s|%s|%s|---|\n", strings.Repeat("-", width[0]),
				strings.Repeat("-", width[1]), strings.Repeat("-", max(width[2], 3)))
			continue
		}
		lines := strings.Split(strings.TrimRight(ui.Wrap(row[3], width[3], 0), "\n"), "\n")
		for j, line := range lines {
			if j > 0 {
				row = [4]string{}
			}
			fmt.Fprintf(b, "|%s|%s|%s|%s|\n", filled(row[0], width[0]), filled(row[1], width[1]),
				filled(row[2], max(width[2], 3)), line)
		}
	}
}

func filled(text string, width int) string {
	return text + strings.Repeat(" ", width-utf8.RuneCountInString(text))
}

// requireFile holds a file of testdata/schema against what it has to be, or writes it.
func requireFile(t *testing.T, name, want string) {
	t.Helper()
	if *updateSchemas {
		require.NoError(t, os.WriteFile(schemaFile(name), []byte(want), 0o644))
	}
	got, err := os.ReadFile(schemaFile(name))
	require.NoError(t, err)
	require.True(t, want == string(got),
		"%s is not as the schemas say: go test ./cmd/sparewright -run Schema -update-schemas", name)
}

func TestSchemaPage(t *testing.T) {
	page := allSchemas(t).page()
	for line := range strings.Lines(page) {
		require.LessOrEqual(t, utf8.RuneCountInString(strings.TrimSuffix(line, "\n")),
			pageWidth, line)
	}
	requireFile(t, "README.md", page)
}

// unitOfSuffix is the unit that the end of a name tells. Source: the names of SI units; %, degrees,
// ampere-hours and bytes as the program prints them.
var unitOfSuffix = map[string][]string{
	"v": {"V"}, "a": {"A"}, "w": {"W"}, "h": {"H"}, "ohm": {"ohm"}, "m": {"m"}, "m2": {"m2"},
	"m3": {"m3"}, "f": {"F"}, "t": {"T"}, "s": {"s"}, "hz": {"Hz"}, "c": {"°C", "C"}, "k": {"1/K"},
	"deg": {"deg"}, "ah": {"Ah"}, "bytes": {"byte"},
}

// withoutSuffix are units whose fields carry no suffix: plain numbers, those named in a field
// beside, and prices.
var withoutSuffix = []string{"1", "see unit", "see figure", "see field", "price", "%", "turns"}

// unitsOf are the units a field may have by its name, or by that of the object of losses it is in;
// nil where the name says none.
func unitsOf(path string) []string {
	name := path[strings.LastIndex(path, ".")+1:]
	switch {
	case name == "ohm":
		return []string{"ohm"}
	case name == "seconds":
		return []string{"s"}
	case strings.HasPrefix(path, "losses_w."):
		return []string{"W"}
	case !strings.Contains(name, "_"):
		return nil
	}
	return unitOfSuffix[name[strings.LastIndex(name, "_")+1:]]
}

// Every place says what it means; every number says its unit, which agrees with the end of its name
// or of the object it is in.
func TestSchemasNameUnits(t *testing.T) {
	set := allSchemas(t)
	fields := 0
	for _, tab := range set.everyTable() {
		for _, r := range tab.rows {
			fields++
			at := tab.name + ": " + r.path
			require.NotEmpty(t, r.meaning, at)
			require.NotContains(t, r.meaning, "\n", at)
			// made from the catalog, with the names of the program
			if strings.HasPrefix(tab.name, "part ") {
				continue
			}
			units := unitsOf(r.path)
			switch {
			case r.kind != "number" && r.kind != "integer" && r.kind != "map to number":
				require.Empty(t, r.unit, "%s is no number", at)
			case units != nil:
				require.Contains(t, units, r.unit, at)
			case r.kind == "number":
				require.Contains(t, withoutSuffix, r.unit,
					"%s: a number says its unit in its name", at)
			}
		}
	}
	t.Logf("%d files, %d tables, %d fields", len(set), len(set.everyTable()), fields)
}

// valuePlaces are the schemas of a file at which a document has a value; what only narrows another
// is left out.
func valuePlaces(n *schemaNode) []*schemaNode {
	out := []*schemaNode{n}
	below := slices.Concat(n.AnyOf, []*schemaNode{n.Items, n.Additional},
		slices.Collect(maps.Values(n.Defs)),
		slices.Collect(maps.Values(n.Properties.of)))
	for _, b := range below {
		if b != nil {
			out = append(out, valuePlaces(b)...)
		}
	}
	return out
}

func (n *schemaNode) closed() bool {
	return n.Additional != nil && n.Additional.never || n.Unevaluated != nil && n.Unevaluated.never
}

// Every object is closed, so that a field nobody described fails, or is a map that says what its
// values are. Pieces that other schemas are composed of stay open and are closed where they are
// used.
func TestSchemasAreClosed(t *testing.T) {
	set := allSchemas(t)
	open, composed := map[*schemaNode]bool{}, map[*schemaNode]bool{}
	shut, dictionaries := 0, 0
	for _, name := range set.names() {
		for _, n := range valuePlaces(set[name]) {
			switch isObject := slices.Contains(n.Type, "object") || len(n.Properties.names) > 0; {
			case isObject && n.closed():
				shut++
			case isObject && n.Additional != nil:
				require.NotEmpty(t, n.Description, "%s: a map says what it holds", name)
				require.NotEmpty(t, set.kindsOf(n.Additional), "%s: a map says what it holds", name)
				dictionaries++
			case isObject:
				open[n] = true
			}
		}
	}
	for _, name := range set.names() {
		for _, n := range valuePlaces(set[name]) {
			for _, p := range append([]*schemaNode{n}, n.AllOf...) {
				if piece := set.target(p); p.Ref != "" && open[piece] {
					require.True(t, n.closed() || open[n],
						"%s is made of %s, which is open, and does not close it", name, p.Ref)
					composed[piece] = true
				}
			}
		}
	}
	for n := range open {
		require.True(t, composed[n], "%s.json has an object that is neither closed nor a "+
			"map (fields %v)", n.file, n.Properties.names)
	}
	t.Logf("%d closed objects, %d maps, %d open pieces closed where they are used", shut,
		dictionaries, len(open))
}

// partSchema is part.json: kinds and figures as the catalog has them. Source of names and meanings:
// the tags of catalog/kinds.go.
func partSchema() string {
	const draft = "https://json-schema.org/draft/2020-12/schema"
	type object = map[string]any
	kinds := catalog.Kinds()
	var each, ties []object
	defs := object{}
	for _, k := range kinds {
		ref := object{"$ref": "#/$defs/" + string(k)}
		each = append(each, ref)
		ties = append(ties, object{"if": object{"properties": object{"kind": object{"const": k}}},
			"then": object{"properties": object{"part": ref}}})
		defs[string(k)] = partOfKind(k)
	}
	out, err := json.Marshal(object{"$schema": draft, "title": "kind and figures of a part",
		"type":     "object",
		"required": []string{"kind", "part"}, "allOf": ties, "$defs": defs, "properties": object{
			"kind": object{"enum": kinds, "description": "kind of the part"},
			"part": object{"anyOf": each,
				"description": "figures of the part in SI, those of its kind"}}})
	if err != nil {
		panic(err)
	}
	var text bytes.Buffer
	_ = json.Indent(&text, out, "", "  ") // what Marshal made is well formed
	return text.String() + "\n"
}

// partOfKind is the schema of the figures of one kind.
func partOfKind(k catalog.Kind) map[string]any {
	type object = map[string]any
	fields, required := object{}, []string{}
	for _, f := range catalog.Schema(k) {
		name, field := exchange.FigureName(f), object{"type": "string", "description": f.Doc}
		switch {
		case f.Numeric:
			field["type"], field["unit"] = "number", frame.Or(f.Unit, "1")
			field["minimum"], field["maximum"] = f.Low, f.High
		case len(f.Words) > 0:
			field = object{"enum": f.Words, "description": f.Doc}
		}
		if fields[name] = field; f.Required {
			required = append(required, name)
		}
	}
	var bases []string
	for _, b := range []catalog.Basis{catalog.Assumed, catalog.Estimated, catalog.Published,
		catalog.Measured} {
		bases = append(bases, b.String())
	}
	fields["basis"] = object{"type": "object", "additionalProperties": object{"enum": bases},
		"description": "how each figure is known, by its name"}
	return object{"type": "object", "required": required, "properties": fields,
		"additionalProperties": false}
}

func TestPartSchemaFollowsTheCatalog(t *testing.T) { requireFile(t, "part.json", partSchema()) }
