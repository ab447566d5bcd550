package ui

import (
	"io"
	"strings"
)

// Column heads a column of a Table. Number columns align right and are never shortened. When the
// table is wider than the screen, columns with Shrink 2 give way first, down to a comfortable
// width, then those with 1 and 2 alike, the widest first.
type Column struct {
	Title  string
	Number bool
	Shrink int
}

// Table is text in rows and columns. Cells hold raw text; Write makes them safe.
type Table struct {
	Columns []Column
	Rows    [][]string
}

// How far a shrinking column gives way: the less important ones to comfortable first, in the end
// all to narrowest.
const (
	comfortable = 14
	narrowest   = 8
)

// Write prints the table for the screen: aligned, headed, fitted to the width on a terminal;
// elsewhere one row a line, full values separated by tabs, with the titles only when header is
// true. The error is that of the writer.
func (t Table) Write(w io.Writer, s Screen, header bool) error {
	var b strings.Builder
	if s.Terminal {
		t.layOut(&b, s)
	} else {
		t.separate(&b, header)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// separate writes the tab-separated form. Safe leaves no tab or line break inside a cell.
func (t Table) separate(b *strings.Builder, header bool) {
	if header {
		b.WriteString(strings.Join(t.titles(), "\t") + "\n")
	}
	for _, row := range t.Rows {
		for i, cell := range row {
			if i > 0 {
				b.WriteByte('\t')
			}
			b.WriteString(Safe(cell))
		}
		b.WriteByte('\n')
	}
}

func (t Table) titles() []string {
	titles := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		titles[i] = c.Title
	}
	return titles
}

// layOut writes the aligned form.
func (t Table) layOut(b *strings.Builder, s Screen) {
	rows := make([][]string, len(t.Rows))
	for i, row := range t.Rows {
		rows[i] = make([]string, len(row))
		for j, cell := range row {
			rows[i][j] = Safe(cell)
		}
	}
	widths := t.widths(rows, s.Width)
	t.line(b, t.titles(), widths, s.Bold)
	for _, row := range rows {
		t.line(b, row, widths, func(text string) string { return text })
	}
}

// line writes one row; the style is laid on after the measuring, because escape codes take no
// cells.
func (t Table) line(b *strings.Builder, row []string, widths []int, style func(string) string) {
	parts := make([]string, len(row))
	for i, cell := range row {
		parts[i] = cell
		if t.Columns[i].Shrink > 0 {
			parts[i] = Shorten(cell, widths[i])
		}
		if i < len(row)-1 || t.Columns[i].Number {
			parts[i] = pad(parts[i], widths[i], t.Columns[i].Number)
		}
	}
	b.WriteString(style(strings.TrimRight(strings.Join(parts, "  "), " ")))
	b.WriteByte('\n')
}

// widths measures every column and takes cells from those that give way until the table fits.
func (t Table) widths(rows [][]string, room int) []int {
	widths := make([]int, len(t.Columns))
	total := 2 * (len(t.Columns) - 1)
	for i, c := range t.Columns {
		widths[i] = Cells(c.Title)
		for _, row := range rows {
			widths[i] = max(widths[i], Cells(row[i]))
		}
		total += widths[i]
	}
	for ; total > room; total-- {
		i := t.widest(widths, 2, comfortable)
		if i < 0 {
			i = t.widest(widths, 1, narrowest)
		}
		if i < 0 {
			break
		}
		widths[i]--
	}
	return widths
}

// widest picks the widest column that gives way at least so readily and is wider than the limit, -1
// for none.
func (t Table) widest(widths []int, readiness, limit int) int {
	pick := -1
	for i, c := range t.Columns {
		if c.Shrink >= readiness && widths[i] > limit && (pick < 0 || widths[i] > widths[pick]) {
			pick = i
		}
	}
	return pick
}
