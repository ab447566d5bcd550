package exchange

import (
	"io"
	"slices"
	"strings"

	"sparewright/catalog/pattern"
)

// Separators are what may stand between the fields of a table. A spreadsheet of a country with
// decimal commas writes semicolons.
var separators = []struct {
	char byte
	name string
}{{',', "commas"}, {';', "semicolons"}, {'\t', "tabs"}}

// separatorOf is the separator that stands most often in the first line that is not blank, quoted
// text left out; a comma where they are equal.
func separatorOf(src string) byte {
	line := ""
	for l := range strings.Lines(src) {
		if line = strings.TrimSpace(l); line != "" {
			break
		}
	}
	best, most := byte(','), 0
	for _, s := range separators {
		n := 0
		for i, piece := range strings.Split(line, `"`) {
			if i%2 == 0 {
				n += strings.Count(piece, string(s.char))
			}
		}
		if n > most {
			best, most = s.char, n
		}
	}
	return best
}

func separatorName(sep byte) string {
	for _, s := range separators {
		if s.char == sep {
			return s.name
		}
	}
	return ""
}

// digitRun is a number as it may stand in a cell.
var digitRun = pattern.OnFirstUse(`[0-9.,]+`)

// decimalRun is a number with one comma that can be nothing but a decimal comma. 1,000 may also be
// a thousand.
var (
	decimalRun  = pattern.OnFirstUse(`^[0-9]*,[0-9]+$`)
	thousandRun = pattern.OnFirstUse(`^[1-9][0-9]{0,2},[0-9]{3}$`)
)

// withPoints writes decimal commas as points. Numbers that may have a thousands separator, and
// lists of numbers, stay as they are.
func withPoints(text string) string {
	if !strings.Contains(text, ",") {
		return text
	}
	return digitRun().ReplaceAllStringFunc(text, func(run string) string {
		if decimalRun().MatchString(run) && !thousandRun().MatchString(run) {
			return strings.Replace(run, ",", ".", 1)
		}
		return run
	})
}

// numberColumns are the columns that hold numbers.
var numberColumns = []string{"count", "figures", "measured", "price", "postage", "minimum"}

// pointed is a cell of a column of numbers with decimal points, where the table is not separated by
// commas.
func (t *table) pointed(c cell, column string) cell {
	if t.sep == ',' || !slices.Contains(numberColumns, column) {
		return c
	}
	if text := withPoints(c.text); text != c.text {
		c.text, t.decimal = text, true
	}
	return c
}

// saySeparated notes how the table was read, where that was found out.
func (t *table) saySeparated() {
	if t.sep == ',' {
		return
	}
	text := "separated by " + separatorName(t.sep)
	if t.decimal {
		text += ", decimal commas read as points"
	}
	t.notes = slices.Insert(t.notes, 0, Fault{File: t.name, Line: 1, Msg: text})
}

// Table is a table of any columns.
type Table struct {
	Separator string // commas, semicolons or tabs
	Decimal   bool   // whether decimal commas were read as points
	Columns   []string
	Rows      []Row
}

// Row is one row of a table: its line in the file, from 1, and a text for each column.
type Row struct {
	Line  int
	Cells []string
}

// ReadTable reads a table whose first line names its columns, whatever they are. Bounds and faults
// are those of Read. Decimal commas are read as points everywhere in the columns that isNumber
// picks by place; a number that may have a thousands separator stays as it is.
func ReadTable(r io.Reader, name string, isNumber func(columns []string) []bool) (Table, []Fault) {
	src, fault := readText(r, name)
	if fault != nil {
		return Table{}, []Fault{*fault}
	}
	t := table{scanner: newScanner(name, src)}
	out := Table{Separator: separatorName(t.sep)}
	head, whole, more := t.row()
	switch {
	case !more:
		t.fault(0, "file %q: empty; the first line names the columns", name)
	case !whole || t.tooLong():
	default:
		for _, c := range head {
			out.Columns = append(out.Columns, strings.TrimSpace(c.text))
		}
		t.width = len(head)
		numbers := isNumber(out.Columns)
		t.eachRow(func(cells []cell) {
			line, _ := t.place(cells[0].at)
			row := Row{Line: line}
			for i, c := range cells {
				text := strings.TrimSpace(plain(c.text))
				if numbers[i] {
					if with := withPoints(text); with != text {
						text, out.Decimal = with, true
					}
				}
				row.Cells = append(row.Cells, text)
			}
			out.Rows = append(out.Rows, row)
		})
	}
	return out, t.faults
}
