package bench

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/catalog"
	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/keep"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute/report"
)

// Rows of a table that somebody else wrote are lots whose columns a person has named. What is
// printed on a part is read as on a line of bench.

// takenAs are the words a column may be taken as, beside the figures of the kinds.
var takenAs = []string{"designation", "kind", "count", "bin", "donor", "condition", "note"}

// columnTaken is one column of --map.
type columnTaken struct{ column, as string }

// mapping says what the columns of a table are taken as.
type mapping struct {
	given []columnTaken
	kind  string // of rows that name none

	table exchange.Table // once read
	as    []string       // what each column is taken as, "" for left out
}

// mappingOf reads --map and --kind; nil without.
func mappingOf(c *cli.Context) (*mapping, error) {
	texts := *c.Generic("map").(*frame.Texts)
	if len(texts) == 0 {
		if c.IsSet("kind") {
			return nil, frame.WrongCall("--kind", c.String("kind"), "needs --map").Try(
				"sparewright help import")
		}
		return nil, nil
	}
	m := &mapping{kind: c.String("kind")}
	if _, known := benchForms()[strings.ToLower(m.kind)]; c.IsSet("kind") && !known {
		if _, err := drawer.ParseKind(m.kind); err != nil {
			return nil, err
		}
	}
	for _, text := range texts {
		for _, piece := range mapPieces(text) {
			at := strings.LastIndex(piece, "=")
			if at < 1 {
				return nil, frame.WrongCall("--map", piece,
					"write a column, = and what it is taken as, such as Qty=count")
			}
			t := columnTaken{strings.TrimSpace(piece[:at]),
				strings.ToLower(strings.TrimSpace(piece[at+1:]))}
			if err := m.add(t); err != nil {
				return nil, err
			}
		}
	}
	if !slices.ContainsFunc(m.given, func(t columnTaken) bool { return t.as == "designation" }) {
		return nil, frame.WrongCall("--map", strings.Join(texts, ","),
			"takes no column as the designation, which is what is printed on a part; add one")
	}
	return m, nil
}

// mapPieces cuts --map at its commas. A comma inside the name of a column does no harm: the piece
// before it has no equals sign.
func mapPieces(text string) []string {
	var out []string
	open := ""
	for _, piece := range strings.Split(text, ",") {
		if open += piece; strings.Contains(piece, "=") {
			out, open = append(out, open), ""
			continue
		}
		open += ","
	}
	if rest := strings.Trim(open, ", "); rest != "" {
		out = append(out, rest)
	}
	return out
}

func (m *mapping) add(t columnTaken) error {
	t.as = catalog.PresentFigure(t.as)
	if !slices.Contains(takenAs, t.as) && !someFigure(t.as) {
		return frame.WrongCall("--map", t.column+"="+t.as, "nothing is taken as "+
			frame.Quoted(t.as)+"; write "+strings.Join(takenAs, ", ")+" or a figure such as volts")
	}
	for _, o := range m.given {
		if strings.EqualFold(o.column, t.column) || o.as == t.as && t.as != "designation" {
			return frame.WrongCall("--map", t.column+"="+t.as,
				"named before as "+o.column+"="+o.as+"; name it once")
		}
	}
	m.given = append(m.given, t)
	return nil
}

// someFigure tells whether any kind has a figure of that name.
func someFigure(name string) bool {
	return slices.ContainsFunc(catalog.Kinds(), func(k catalog.Kind) bool {
		_, ok := catalog.FieldNamed(k, name)
		return ok
	})
}

// read makes lots of the rows of a table. Everything wrong is in the error, a line each.
func (m *mapping) read(in io.Reader, name string) (exchange.Drawer, error) {
	var d exchange.Drawer
	var missing []string
	var faults []exchange.Fault
	m.table, faults = exchange.ReadTable(in, name, func(columns []string) []bool {
		m.as, missing = m.places(columns)
		numbers := make([]bool, len(columns))
		for i, as := range m.as {
			numbers[i] = as != "" && !slices.Contains([]string{"kind", "bin", "donor", "condition",
				"note"}, as)
		}
		return numbers
	})
	if len(missing) > 0 {
		return d, frame.WrongCall("--map", strings.Join(missing, ", "),
			"no such column; the table has "+strings.Join(quotedAll(m.table.Columns), ", "))
	}
	for _, row := range m.table.Rows {
		a, err := m.lot(row)
		if err != nil {
			for _, text := range frame.FaultsOf(err) {
				faults = append(faults, exchange.Fault{File: name, Line: row.Line, Msg: text})
			}
			continue
		}
		d.Lots, d.Lines = append(d.Lots, a.Lot), append(d.Lines, row.Line)
		for _, text := range a.remarks {
			d.Notes = append(d.Notes, exchange.Fault{File: name, Line: row.Line, Msg: text})
		}
	}
	if m.table.Separator != "commas" || m.table.Decimal {
		d.Notes = slices.Insert(d.Notes, 0, exchange.Fault{File: name, Line: 1, Msg: m.separated()})
	}
	slices.SortStableFunc(faults, func(a, b exchange.Fault) int {
		return cmp.Compare(a.Line, b.Line)
	})
	err := keep.FaultsInFile(faults)
	var list *frame.FaultList
	if errors.As(err, &list) {
		list.Hint = "correct these lines, take out what is no part of a charger, or name the " +
			"kind " +
			"by a column or --kind"
	}
	return d, err
}

func (m *mapping) separated() string {
	text := "separated by " + m.table.Separator
	if m.table.Decimal {
		text += ", decimal commas read as points"
	}
	return text
}

// places finds the columns of --map in a header, whatever their case, and names those that are not
// there.
func (m *mapping) places(columns []string) (as, missing []string) {
	as = make([]string, len(columns))
	for _, t := range m.given {
		at := slices.Index(columns, t.column)
		if at < 0 {
			at = slices.IndexFunc(columns, func(c string) bool {
				return strings.EqualFold(c, t.column)
			})
		}
		if at < 0 {
			missing = append(missing, t.column)
			continue
		}
		as[at] = t.as
	}
	return as, missing
}

func quotedAll(words []string) []string {
	var out []string
	for _, w := range words {
		out = append(out, frame.Quoted(w))
	}
	return out
}

// lot reads one row. The kind stands in a column of its own, in --kind, or before what is printed.
func (m *mapping) lot(row exchange.Row) (Action, error) {
	kind, printed := m.kind, []string(nil)
	var figures []string
	var set Setting
	var note string
	counted := false
	for i, text := range row.Cells {
		switch as := m.as[i]; {
		case as == "count":
			set.count, counted = text, true
		case text == "" || as == "":
		case as == "designation":
			printed = append(printed, text)
		case as == "kind":
			kind = text
		case as == "bin":
			set.bin = text
		case as == "donor":
			set.donor = text
		case as == "note":
			note = text
		case as == "condition":
			condition, err := inventory.ParseCondition(text)
			if err != nil {
				return Action{}, err
			}
			set.condition = condition
		default:
			figures = append(figures, as+"="+text)
		}
	}
	if counted && set.count == "" {
		return Action{}, frame.WrongCall("count", "", "missing; write how many there are")
	}
	a, err := readRow(kind, strings.Join(printed, " "), figures, set)
	if err != nil {
		return a, err
	}
	a.Lot.Note = frame.Or(a.Lot.Note, note)
	return a, a.Lot.Validate()
}

// readRow reads what is printed on the part of a row, with its figures.
func readRow(kind, printed string, figures []string, set Setting) (Action, error) {
	if printed == "" {
		return Action{}, frame.WrongCall("designation", "",
			"empty; write what is printed on the part, or take the line out")
	}
	word, err := kindWord(kind)
	if err != nil {
		return Action{}, err
	}
	if word == "" {
		words, err := splitBenchLine(printed)
		if err != nil {
			return Action{}, err
		}
		for _, f := range figures {
			words = append(words, benchWord{f, true})
		}
		if len(words) == 0 || settingWord(words[0].text) {
			return Action{}, frame.WrongCall("designation", printed,
				"names no part; correct it, or take the line out")
		}
		return parseWords(words, set)
	}
	return readPut(append([]string{word, printed}, figures...), set, false)
}

// settingWord tells whether a word opens a line that is about no part.
func settingWord(word string) bool {
	return slices.Contains([]string{"bin", "donor", "condition", "undo", "help", "?"},
		strings.ToLower(word))
}

// kindWord is the kind a cell names, whole or by the first word of a line, one or many:
// "Resistors".
func kindWord(text string) (string, error) {
	word := strings.ToLower(strings.TrimSpace(text))
	for _, w := range []string{word, strings.TrimSuffix(word, "s"),
		strings.TrimSuffix(word, "es")} {
		if form, ok := benchForms()[w]; ok && w != "put" {
			return frame.Or(string(form.kind), w), nil
		}
	}
	if word == "" {
		return "", nil
	}
	_, err := catalog.ParseKind(word)
	return word, err
}

// show lays out what every column and every row is taken as.
func (m *mapping) show(env *frame.Environment, c *cli.Context, read exchange.Drawer) error {
	columns := report.Block{Word: "column", Title: "columns", Table: report.Table{
		Columns: []report.Column{{Title: "COLUMN", Shrink: 20}, {Title: "TAKEN AS"}}}}
	for i, name := range m.table.Columns {
		columns.Table.Rows = append(columns.Table.Rows,
			[]string{name, frame.Or(m.as[i], "left out")})
	}
	if !slices.Contains(m.as, "count") {
		columns.Table.Rows = append(columns.Table.Rows, []string{"(none)", "count: 1 a row"})
	}
	rows := report.Block{Word: "row", Title: "rows", Table: report.Table{
		Columns: []report.Column{{Title: "LINE", Number: true}, {Title: "COUNT", Number: true},
			{Title: "TAKEN AS", Shrink: 20}}}}
	for i, l := range read.Lots {
		text := partText(l)
		if l.Bin != "" {
			text += "; bin " + frame.Quoted(l.Bin)
		}
		rows.Table.Rows = append(rows.Table.Rows, []string{strconv.Itoa(read.Lines[i]),
			drawer.Counted(l.Count, l.Unit()), text})
	}
	if err := env.Blocks([]report.Block{columns, rows}, env.Screen(c), false); err != nil {
		return err
	}
	fmt.Fprintln(&env.Out)
	return nil
}
