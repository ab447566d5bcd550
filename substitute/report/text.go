// Package report words what package substitute found: which rows, which words, how many digits. It
// returns blocks of tables and sentences and knows neither terminals nor files; the command lays
// the blocks out.
package report

import (
	"sparewright/catalog/si"
)

// Block is one part of a text answer.
type Block struct {
	// what each row of the block begins with where the output is no terminal, such as "build"
	Word  string
	Title string // heading on a terminal; empty for none
	Lines []Line // sentences
	// where a block has lines and a table, a terminal shows the lines and a pipe the table
	Table Table
}

// Line is one sentence, to be wrapped, every line of it indented by so many cells.
type Line struct {
	Text   string
	Indent int
}

// Table is rows of raw text under column titles.
type Table struct {
	Columns []Column
	Rows    [][]string
}

// Column heads a column. Number columns align right and are never shortened; columns with Shrink
// give way when the screen is narrow, 2 before 1. A Wide column is left out on a terminal.
type Column struct {
	Title  string
	Number bool
	Shrink int
	Wide   bool
}

func (t *Table) Add(cells ...string) { t.Rows = append(t.Rows, cells) }

// Facts is a table of names and values.
func Facts(rows ...[2]string) Table {
	t := Table{Columns: []Column{{Title: "FIGURE"}, {Title: "VALUE", Shrink: 1}}}
	for _, r := range rows {
		if r[1] != "" {
			t.Add(r[0], r[1])
		}
	}
	return t
}

// Lines turns sentences into lines of one indent.
func Lines(indent int, texts []string) []Line {
	var out []Line
	for _, t := range texts {
		out = append(out, Line{t, indent})
	}
	return out
}

// Three writes a quantity with three digits, what a bench instrument shows.
func Three[Q si.Quantity](q Q) string { return si.Format(q, 3) }

// Four writes a quantity with four digits, for voltages that are trimmed.
func Four[Q si.Quantity](q Q) string { return si.Format(q, 4) }
