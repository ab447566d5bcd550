package exchange

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"sparewright/inventory"
)

// Fault is one thing wrong in a file, with the place. Without a file it has no place. Fault is an
// error.
type Fault = inventory.DataError

// Limits of what is read. They keep a wrong or hostile file from taking the machine down; a drawer
// of 100,000 lots is beyond any bench.
const (
	maxBytes  = 16 << 20
	maxRows   = 100_000
	maxFields = 64
	maxField  = 4 << 10 // bytes
	maxFaults = 1000
)

// cell is one field of a row: its text and where it stands in the source.
type cell struct {
	text   string
	at     int  // offset of its first byte, the opening quote included
	quoted bool // stands in double quotes
}

// scanner splits a CSV text (RFC 4180, LF or CRLF; separated as its first line is) into
// cells and knows the place of each byte. The
// standard library's reader has no bound on the number of fields, of which 16 million fit into 16
// MiB.
type scanner struct {
	name   string
	src    string
	sep    byte // between fields
	pos    int
	lines  []int  // line ends before each block
	cells  []cell // of the row read last
	faults []Fault
}

// block is how often the line number is noted, in bytes. Noting every line would take eight times
// the text for one of empty lines.
const block = 4 << 10

func newScanner(name, src string) *scanner {
	s := &scanner{name: name, src: src, sep: separatorOf(src),
		lines: make([]int, 0, len(src)/block+1)}
	lines := 0
	for at := 0; at < len(src); at += block {
		s.lines = append(s.lines, lines)
		lines += strings.Count(src[at:min(at+block, len(src))], "\n")
	}
	return s
}

// place gives line and column, both from 1, columns in characters.
func (s *scanner) place(offset int) (line, column int) {
	line = 1
	if len(s.lines) > 0 {
		near := min(offset/block, len(s.lines)-1)
		line += s.lines[near] + strings.Count(s.src[near*block:offset], "\n")
	}
	start := strings.LastIndexByte(s.src[:offset], '\n') + 1
	return line, utf8.RuneCountInString(s.src[start:offset]) + 1
}

// fault notes something wrong at an offset.
func (s *scanner) fault(offset int, format string, args ...any) {
	line, column := s.place(offset)
	s.faults = append(s.faults, Fault{File: s.name, Line: line, Column: column,
		Msg: fmt.Sprintf(format, args...)})
}

// full reports whether so much is wrong that reading on helps nobody.
func (s *scanner) full() bool { return len(s.faults) >= maxFaults }

// row returns the cells of the next row that is not blank, good until the next call. Whole is false
// when a fault of the quoting or a limit spoiled the row; more is false at the end.
func (s *scanner) row() (cells []cell, whole, more bool) {
	for s.pos < len(s.src) {
		cells, whole = s.oneRow()
		if !whole || !blank(cells) {
			return cells, whole, true
		}
	}
	return nil, true, false
}

// blank is an empty line, or one of separators only, as spreadsheets leave them below a table.
func blank(cells []cell) bool {
	for _, c := range cells {
		if c.text != "" {
			return false
		}
	}
	return true
}

// oneRow hands out the same memory for every row.
func (s *scanner) oneRow() (cells []cell, whole bool) {
	cells, whole = s.cells[:0], true
	defer func() { s.cells = cells }()
	for {
		c, ok := s.cell()
		whole = whole && ok
		if len(c.text) > maxField {
			s.fault(c.at, "field: %d bytes, at most %d fit; shorten it", len(c.text), maxField)
			whole = false
		}
		if len(cells) == maxFields {
			s.fault(c.at, "row: more than %d fields; check the separators", maxFields)
			s.skipLine()
			return cells, false
		}
		cells = append(cells, c)
		if !ok || !s.between() {
			return cells, whole
		}
	}
}

// between steps over the separator; false means that the row is over, its line end included.
func (s *scanner) between() bool {
	if s.pos < len(s.src) && s.src[s.pos] == s.sep {
		s.pos++
		return true
	}
	s.pos = min(s.pos+s.lineEnd(), len(s.src))
	return false
}

// lineEnd is the length of the line end at the present position: 0 for none.
func (s *scanner) lineEnd() int {
	rest := s.src[s.pos:]
	switch {
	case strings.HasPrefix(rest, "\r\n"):
		return 2
	case strings.HasPrefix(rest, "\n"):
		return 1
	}
	return 0
}

func (s *scanner) skipLine() {
	if i := strings.IndexByte(s.src[s.pos:], '\n'); i >= 0 {
		s.pos += i + 1
		return
	}
	s.pos = len(s.src)
}

// cell reads one field up to, not including, what ends it. After a fault the rest of the line is
// skipped.
func (s *scanner) cell() (cell, bool) {
	if strings.HasPrefix(s.src[s.pos:], `"`) {
		return s.quotedCell()
	}
	c := cell{at: s.pos}
	for s.pos < len(s.src) && s.src[s.pos] != s.sep && s.lineEnd() == 0 {
		if b := s.src[s.pos]; b == '"' || b == '\r' {
			if b == '"' {
				s.fault(s.pos, "quote inside a bare field; put the field in quotes and write "+
					"each quote twice")
			} else {
				s.fault(s.pos, "lone carriage return; save the file with LF or CRLF line ends")
			}
			s.skipLine()
			return c, false
		}
		s.pos++
	}
	c.text = s.src[c.at:s.pos]
	return c, true
}

func (s *scanner) quotedCell() (cell, bool) {
	c := cell{at: s.pos, quoted: true}
	var text strings.Builder
	s.pos++
	for s.pos < len(s.src) {
		decoded, n := s.inQuotes()
		if n == 0 {
			s.pos++ // the closing quote
			c.text = text.String()
			return c, s.afterQuotes()
		}
		text.WriteString(decoded)
		s.pos += n
	}
	s.fault(c.at, "quote is never closed; close it, or write a quote inside the field twice")
	return c, false
}

// inQuotes decodes what stands at the present position inside quotes: a doubled quote is one quote,
// CRLF is LF. Length 0 is the closing quote.
func (s *scanner) inQuotes() (text string, n int) {
	rest := s.src[s.pos:]
	switch {
	case strings.HasPrefix(rest, `""`):
		return `"`, 2
	case rest[0] == '"':
		return "", 0
	case strings.HasPrefix(rest, "\r\n"):
		return "\n", 2
	}
	if i := strings.IndexAny(rest, "\"\r"); i > 0 {
		return rest[:i], i
	} else if i < 0 {
		return rest, len(rest)
	}
	return rest[:1], 1 // a lone carriage return; the rules for texts refuse it
}

func (s *scanner) afterQuotes() bool {
	if s.pos == len(s.src) || s.src[s.pos] == s.sep || s.lineEnd() > 0 {
		return true
	}
	s.fault(s.pos, "text after a closing quote; write a quote inside the field twice")
	s.skipLine()
	return false
}

// offset is the place in the source of byte i of the cell's text.
func (s *scanner) offset(c cell, i int) int {
	if !c.quoted {
		return c.at + i
	}
	probe := scanner{src: s.src, pos: c.at + 1}
	for i > 0 {
		text, n := probe.inQuotes()
		if n == 0 {
			break
		}
		if len(text) > i { // a run of plain text, byte for byte
			return probe.pos + i
		}
		i -= len(text)
		probe.pos += n
	}
	return probe.pos
}
