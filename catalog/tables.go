package catalog

import (
	"embed"
	"fmt"
	"slices"
	"strings"
	"sync"

	"sparewright/catalog/si"
)

// The published tables, one file a kind. See the package comment for how a row is added.
//
//go:embed data/*.tsv
var dataFiles embed.FS

// cells is one row of a table file with its column names. Every table file is part of the program:
// a fault in one is a programming error and panics with file, line and column.
type cells struct {
	file   string
	line   int
	header []string
	values []string
}

func (c cells) text(column string) string {
	if i := slices.Index(c.header, column); i >= 0 {
		return c.values[i]
	}
	return ""
}

func (c cells) broken(column string, why any) {
	panic(fmt.Sprintf("catalog: data/%s line %d, column %s: %v", c.file, c.line, column, why))
}

// source is where the row comes from.
func (c cells) source() Source { return Source{c.text("source"), c.text("where")} }

// datum reads one figure of a table that is no kind of part.
func datum[Q si.Quantity](c cells, column string) Datum[Q] {
	text := c.text(column)
	if text == "" {
		return Datum[Q]{}
	}
	basis, body := splitMark(text)
	q, err := si.Parse[Q](body)
	if err != nil {
		c.broken(column, err)
	}
	return Datum[Q]{q, basis}
}

// readTable reads an embedded file: tab separated, first line that is no comment is the header.
func readTable(file string) []cells {
	raw, err := dataFiles.ReadFile("data/" + file)
	if err != nil {
		panic("catalog: " + err.Error())
	}
	var header []string
	var rows []cells
	for i, line := range strings.Split(strings.TrimSuffix(string(raw), "\n"), "\n") {
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		values := strings.Split(line, "\t")
		if header == nil {
			header = values
			continue
		}
		c := cells{file, i + 1, header, values}
		if len(values) != len(header) {
			c.broken("all", fmt.Sprintf("%d cells under %d column names", len(values), len(header)))
		}
		rows = append(rows, c)
	}
	return rows
}

// row is one entry of a parts table.
type row struct {
	part   Part
	maker  string
	bare   string   // squeezed designation without brackets
	also   []string // other names of the same thing
	note   string
	source Source
}

// metaColumns stand beside the figures of a kind in a table.
var metaColumns = []string{"designation", "maker", "also", "source", "where", "note",
	"overall_grade1"}

// partRow reads one row as a part of kind k. The amplifier's figure "source" stands under
// output_source, as source is the document of the row.
func partRow(k Kind, c cells) row {
	var entries []Entry
	for i, column := range c.header {
		field := column
		if column == "output_source" {
			field = "source"
		} else if slices.Contains(metaColumns, column) {
			continue
		}
		if c.values[i] != "" {
			entries = append(entries, Entry{field, c.values[i]})
		}
	}
	name := c.text("designation")
	if k == KindCore {
		entries = append(entries, Entry{"shape", name})
	}
	p, err := parseAlone(k, name, entries)
	if err != nil {
		c.broken("figures", err)
	}
	r := row{part: p, bare: bareKey(k, name), maker: c.text("maker"), note: c.text("note"),
		source: c.source()}
	if also := c.text("also"); also != "" {
		r.also = strings.Split(also, "|")
	}
	return r
}

// table is the rows of one kind with an index of squeezed names and, for the search by stem, the
// names without brackets.
type table struct {
	rows  []row
	named map[string]int
	stems []stem
}

// stem is a name of a row that a typed name may begin with.
type stem struct {
	key string
	row int
}

// tables holds a loader for each kind that has published tables; each runs once, when first asked
// for.
var tables = sync.OnceValue(func() map[Kind]func() *table {
	loaders := map[Kind]func() *table{}
	for k, files := range map[Kind][]string{
		KindCore: {"shapes.tsv"}, KindWire: {"wires.tsv", "tiw.tsv"}, KindFilm: {"films.tsv"},
		KindSwitcher: {"switchers.tsv"}, KindRectifier: {"rectifiers.tsv"},
		KindBridge: {"bridges.tsv"}, KindOptocoupler: {"optocouplers.tsv"},
		KindAmplifier: {"amplifiers.tsv"}, KindReference: {"references.tsv"},
		KindCapacitor: {"capacitors.tsv"}, KindController: {"controllers.tsv"},
		KindTransistor: {"transistors.tsv"},
	} {
		loaders[k] = sync.OnceValue(func() *table { return loadTable(k, files) })
	}
	loaders[KindClamp] = sync.OnceValue(loadSuppressors)
	return loaders
})

func loadTable(k Kind, files []string) *table {
	t := &table{named: map[string]int{}}
	for _, file := range files {
		for _, c := range readTable(file) {
			r := partRow(k, c)
			if _, taken := t.named[rowKey(k, r.part.Designation())]; taken {
				c.broken("designation", "the name stands in the table already")
			}
			t.add(k, r)
		}
	}
	for i, r := range t.rows {
		for _, name := range r.also {
			t.alias(k, name, i)
		}
	}
	return t
}

// add appends a row and its name.
func (t *table) add(k Kind, r row) {
	t.named[rowKey(k, r.part.Designation())] = len(t.rows)
	t.stems = append(t.stems, stem{r.bare, len(t.rows)})
	t.rows = append(t.rows, r)
}

// alias gives a row another name, unless a row has it already.
func (t *table) alias(k Kind, name string, row int) {
	key := rowKey(k, name)
	if _, taken := t.named[key]; !taken {
		t.named[key] = row
		t.stems = append(t.stems, stem{key, row})
	}
}

// rowsOf returns the table of a kind; an empty one for kinds without.
func rowsOf(k Kind) *table {
	if load, ok := tables()[k]; ok {
		return load()
	}
	return &table{}
}

// partsOf returns the parts of a table as their own type.
func partsOf[P Part](k Kind) []P {
	rows := rowsOf(k).rows
	out := make([]P, len(rows))
	for i, r := range rows {
		out[i] = r.part.(P)
	}
	return out
}

// Designations returns the names in the table of a kind, in its order; none for a kind without a
// table.
func Designations(k Kind) []string {
	var out []string
	for _, r := range rowsOf(k).rows {
		out = append(out, r.part.Designation())
	}
	return out
}

// Shapes returns the core shapes of the table. Ferrite and AL of a row say what the printed
// inductance factor of the ungapped pair belongs to; they are no property of the shape.
func Shapes() []Core { return partsOf[Core](KindCore) }

// Wires returns the enamelled and triple-insulated wires of the table.
func Wires() []Wire { return partsOf[Wire](KindWire) }

// Films returns the tapes, films and papers of the table.
func Films() []Film { return partsOf[Film](KindFilm) }
