package exchange

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"sparewright/catalog"
	"sparewright/catalog/typed"
	"sparewright/inventory"
)

// columns in the order they are written. The first three must be there.
var columns = []string{"kind", "designation", "count", "unit", "bin", "donor", "condition", "note",
	"figures", "measured"}

const required = 3

// Read reads lots and donors from CSV text (RFC 4180; separated by commas, semicolons or tabs;
// UTF-8 with or without byte order mark; LF or CRLF). Name is the file's name in faults. Everything
// wrong is collected, up to 1000 faults, each with line and column, in their order; with any fault
// what was read is not to be used. At most 16 MiB, 100,000 rows, 64 fields a row and 4 KiB a field
// are read.
func Read(r io.Reader, name string) (Drawer, []Fault) {
	src, fault := readText(r, name)
	if fault != nil {
		return Drawer{}, []Fault{*fault}
	}
	t := table{scanner: newScanner(name, src), known: columns, needed: required}
	var d Drawer
	if t.header() && !t.tooLong() {
		t.eachRow(func(cells []cell) {
			if t.isDonor(cells) {
				d.Donors = append(d.Donors, t.donor(cells, d.Donors))
				return
			}
			line, _ := t.place(cells[0].at)
			d.Lots, d.Lines = append(d.Lots, t.lot(cells)), append(d.Lines, line)
		})
	}
	slices.SortStableFunc(t.faults, func(a, b Fault) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	t.saySeparated()
	d.Notes = t.notes
	return d, t.faults
}

// readText takes the whole file in and checks that it is text.
func readText(r io.Reader, name string) (string, *Fault) {
	at := func(line, column int, msg string) *Fault {
		return &Fault{File: name, Line: line, Column: column, Msg: msg}
	}
	raw, err := readWithin(r, maxBytes)
	switch {
	case errors.Is(err, errTooLarge):
		return "", at(1, 1, fmt.Sprintf("file %q: larger than 16 MiB; split it", name))
	case err != nil:
		return "", at(1, 1, fmt.Sprintf("file %q: cannot be read: %v; try again", name, err))
	}
	src := strings.TrimPrefix(raw, "\ufeff")
	if strings.HasPrefix(src, "\xff\xfe") || strings.HasPrefix(src, "\xfe\xff") {
		return "", at(1, 1, fmt.Sprintf("file %q: is UTF-16; save it as UTF-8", name))
	}
	if i := badByte(src); i >= 0 {
		line, column := newScanner(name, src).place(i)
		return "", at(line, column, fmt.Sprintf("byte %q: not UTF-8 text; save the file as UTF-8",
			fmt.Sprintf("%#02x", src[i])))
	}
	return src, nil
}

// errTooLarge is what readWithin says of a file beyond the bound.
var errTooLarge = errors.New("too large")

// readWithin reads a text of at most most bytes, in pieces that are joined once: a buffer that
// grows as it is filled would take several times the text.
func readWithin(r io.Reader, most int) (string, error) {
	const piece = 256 << 10
	var pieces [][]byte
	total := 0
	for {
		p := make([]byte, piece)
		n, err := io.ReadFull(r, p)
		pieces, total = append(pieces, p[:n]), total+n
		switch {
		case total > most:
			return "", errTooLarge
		case errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF):
			var text strings.Builder
			text.Grow(total)
			for _, p := range pieces {
				text.Write(p)
			}
			return text.String(), nil
		case err != nil:
			return "", err
		}
	}
}

// badByte is the offset of the first NUL or byte that is not UTF-8, -1 for none.
func badByte(src string) int {
	for i, r := range src {
		if r == 0 {
			return i
		}
		if r == utf8.RuneError {
			if _, size := utf8.DecodeRuneInString(src[i:]); size == 1 {
				return i
			}
		}
	}
	return -1
}

// table is a CSV text with its header understood.
type table struct {
	*scanner
	known  []string       // columns it may have
	needed int            // how many of them, from the first, it must have
	column map[string]int // place of each known column in a row
	width  int
	notes  []Fault // how figures were read that do not say it themselves

	decimal bool // decimal commas were read as points
	written bool // the header is the one that export writes
}

// mostNotes bounds what is said of one file.
const mostNotes = 1000

// note says how a figure was read, at its place.
func (t *table) note(at int, text string) {
	if len(t.notes) < mostNotes {
		line, column := t.place(at)
		t.notes = append(t.notes, Fault{File: t.name, Line: line, Column: column, Msg: text})
	}
}

// header reads the first row; false when the rows below cannot be understood.
func (t *table) header() bool {
	cells, whole, more := t.row()
	switch {
	case !more:
		t.fault(0, "file %q: empty; the first line names the columns", t.name)
		return false
	case !whole:
		return false
	}
	t.column, t.width, t.written = map[string]int{}, len(cells), t.wholeHeader(cells)
	for i, c := range cells {
		t.nameColumn(i, c)
	}
	return t.hasRequired()
}

func (t *table) nameColumn(i int, c cell) {
	name := strings.ToLower(strings.TrimSpace(c.text))
	_, twice := t.column[name]
	switch {
	case !slices.Contains(t.known, name):
		t.fault(c.at, "column %q: unknown; %s", cut(c.text), nearestCure(name, t.known))
	case twice:
		t.fault(c.at, "column %q: named twice; keep one", name)
	default:
		t.column[name] = i
	}
}

func (t *table) hasRequired() bool {
	all := true
	for _, name := range t.known[:t.needed] {
		if _, ok := t.column[name]; !ok {
			t.fault(0, "column %q: missing; name it in the first line", name)
			all = false
		}
	}
	return all
}

// tooLong counts the rows of a long file before any lot is made of them: too many would take much
// memory for nothing.
func (t *table) tooLong() bool {
	if strings.Count(t.src[t.pos:], "\n") < maxRows {
		return false
	}
	probe := scanner{name: t.name, src: t.src, sep: t.sep, pos: t.pos, lines: t.lines}
	for n := 1; !probe.full(); n++ {
		start := probe.pos
		if _, _, more := probe.row(); !more {
			return false
		}
		if n > maxRows {
			t.fault(start, "file %q: more than %d rows; split it", t.name, maxRows)
			return true
		}
	}
	return false
}

// eachRow hands every whole row to work.
func (t *table) eachRow(work func(cells []cell)) {
	for !t.full() {
		cells, whole, more := t.row()
		if !more {
			break
		}
		if !whole {
			continue
		}
		if len(cells) != t.width {
			t.fault(cells[0].at, "row: %d fields, the header has %d; check quotes and %s",
				len(cells), t.width, separatorName(t.sep))
			continue
		}
		work(cells)
	}
	if t.full() {
		t.fault(t.pos, "file %q: too much is wrong; the rest was not read", t.name)
	}
}

// field returns the text of a column, its formula guard taken off; a column that is not there is an
// empty cell at the start of the row.
func (t *table) field(cells []cell, name string) cell {
	i, ok := t.column[name]
	if !ok {
		return cell{at: cells[0].at}
	}
	c := cells[i]
	c.text = plain(c.text)
	return t.pointed(c, name)
}

// lot makes a lot of a row and notes everything wrong with it.
func (t *table) lot(cells []cell) inventory.Lot {
	l := inventory.Lot{Bin: t.field(cells, "bin").text, Donor: t.field(cells, "donor").text,
		Note: t.field(cells, "note").text}
	t.check(t.field(cells, "bin"), inventory.CheckName("bin", l.Bin))
	t.check(t.field(cells, "donor"), inventory.CheckName("donor", l.Donor))
	t.check(t.field(cells, "note"), inventory.CheckNote("note", l.Note))
	condition, err := inventory.ParseCondition(t.field(cells, "condition").text)
	t.check(t.field(cells, "condition"), err)
	l.Condition = condition

	kind, err := catalog.ParseKind(t.field(cells, "kind").text)
	if t.check(t.field(cells, "kind"), err) {
		return l // without the kind nothing else can be judged
	}
	part, read := t.part(kind, t.field(cells, "designation"), t.field(cells, "figures"))
	l.Part = part
	t.count(&l, t.field(cells, "count"), t.field(cells, "unit"))
	l.Measured = t.readings(l.Part, read, t.field(cells, "measured"))
	return l
}

// check notes an error at a cell and reports whether there was one.
func (t *table) check(c cell, err error) bool {
	if err != nil {
		t.fault(c.at, "%s", err.Error())
	}
	return err != nil
}

// rowState tells how the part of a row was read.
type rowState int

const (
	faulty   rowState = iota
	typedIn           // by the reader of what people type
	exported          // as export wrote it
)

// part reads designation and figures.
func (t *table) part(kind catalog.Kind, designation, figures cell) (p catalog.Part, how rowState) {
	pairs := splitPairs(figures.text)
	var entries []catalog.Entry
	for _, f := range pairs {
		if f.broken {
			t.fault(t.offset(figures, f.at),
				"figure %q: has no value; write it as name=value", cut(f.field))
			continue
		}
		entries = append(entries, catalog.Entry{Field: f.field, Text: f.value})
	}
	if p, ok := t.exportedPart(kind, designation.text, figures.text, entries); ok {
		return p, exported
	}
	p, said, err := typed.Part(kind, designation.text, entries)
	for _, text := range said {
		t.note(figures.at, text)
	}
	for _, f := range faultsOf(err) {
		t.fault(t.where(f, pairs, designation, figures), "%s", f.Error())
	}
	if err != nil {
		return p, faulty
	}
	return p, typedIn
}

// where finds the place a fault of the catalog is about: the pair of that name, the last one when
// it is given twice.
func (t *table) where(f catalog.Fault, pairs []pair, designation, figures cell) int {
	if f.Field == "designation" {
		return designation.at
	}
	for i := len(pairs) - 1; i >= 0; i-- {
		if strings.EqualFold(pairs[i].field, f.Field) {
			return t.offset(figures, pairs[i].at)
		}
	}
	return figures.at
}

func (t *table) count(l *inventory.Lot, count, unit cell) {
	n, err := inventory.ParseCount(count.text, l.Unit())
	t.check(count, err)
	l.Count = n
	word := strings.ToLower(strings.TrimSpace(unit.text))
	if word != "" && word != string(l.Unit()) && word != string(l.Unit())+"s" {
		t.fault(unit.at, "unit %q: this is counted in %ss; write %s", cut(unit.text),
			l.Unit(), l.Unit())
	}
}

func (t *table) readings(p catalog.Part, how rowState, measured cell) []inventory.Measurement {
	var out []inventory.Measurement
	for _, r := range splitPairs(measured.text) {
		at := t.offset(measured, r.at)
		if r.broken {
			t.fault(at, "measured %q: no figure named; write it as resistance=4.683k+-0.2%%",
				cut(r.field))
			continue
		}
		m, known := inventory.Measurement{}, false
		if how == exported {
			m, known = exportedReading(p.Kind(), r.field, r.value)
		}
		var err error
		if !known {
			var said string
			if m, said, err = parseReading(p.Kind(), r.field, r.value); said != "" {
				t.note(at, "measured "+said)
			}
		}
		if err == nil && how != faulty {
			err = inventory.CheckReading(p, m)
		}
		if err == nil && slices.ContainsFunc(out,
			func(o inventory.Measurement) bool { return o.Field == m.Field }) {
			err = Fault{Msg: fmt.Sprintf("measured %q: read twice; keep one reading", m.Field)}
		}
		if err != nil {
			t.fault(at, "%s", err.Error())
			continue
		}
		out = append(out, m)
	}
	return out
}

// cut keeps what is echoed in a message short.
func cut(text string) string {
	const most = 40
	if utf8.RuneCountInString(text) <= most {
		return text
	}
	return string([]rune(text)[:most]) + "..."
}
