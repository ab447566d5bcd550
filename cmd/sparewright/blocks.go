package main

import (
	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/substitute/report"
)

// blocks lays an answer out. On a terminal every block stands under its heading; elsewhere every
// row is one line of tab-separated cells that begins with the word of its block, so that the blocks
// can be told apart.
func (env *environment) blocks(answer []report.Block, screen ui.Screen, header bool) error {
	for i, b := range answer {
		var err error
		if screen.Terminal {
			err = env.blockOnScreen(b, screen, i == 0)
		} else {
			err = env.blockInPipe(b, screen, header)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func (env *environment) blockOnScreen(b report.Block, screen ui.Screen, first bool) error {
	if !first {
		env.out.WriteString("\n")
	}
	if b.Title != "" {
		env.out.WriteString(screen.Bold(ui.Shorten(ui.Safe(b.Title), screen.Width)) + "\n")
	}
	if len(b.Lines) == 0 {
		return uiTable(b.Table, true).Write(&env.out, screen, true)
	}
	for _, line := range b.Lines {
		env.out.WriteString(ui.Wrap(ui.Safe(line.Text), screen.Width, line.Indent))
	}
	return nil
}

func (env *environment) blockInPipe(b report.Block, screen ui.Screen, header bool) error {
	t := uiTable(b.Table, false)
	if len(t.Columns) == 0 {
		t.Columns = []ui.Column{{Title: "TEXT"}}
		for _, line := range b.Lines {
			t.Rows = append(t.Rows, []string{line.Text})
		}
	}
	t.Columns = append([]ui.Column{{Title: "BLOCK"}}, t.Columns...)
	for i, row := range t.Rows {
		t.Rows[i] = append([]string{b.Word}, row...)
	}
	return t.Write(&env.out, screen, header)
}

// uiTable takes a table of the report over; without the wide columns where the screen is meant.
func uiTable(t report.Table, narrow bool) ui.Table {
	var out ui.Table
	for _, c := range t.Columns {
		if !narrow || !c.Wide {
			out.Columns = append(out.Columns,
				ui.Column{Title: c.Title, Number: c.Number, Shrink: c.Shrink})
		}
	}
	for _, row := range t.Rows {
		var cells []string
		for i, cell := range row {
			if !narrow || !t.Columns[i].Wide {
				cells = append(cells, cell)
			}
		}
		out.Rows = append(out.Rows, cells)
	}
	return out
}
