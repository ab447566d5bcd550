package main

import (
	"fmt"

	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/inventory/sqlite"
)

// usualHistory is how many batches history shows when nothing is said, a screen full.
const usualHistory = 20

// historyCommand tells what went in and out last, over all lots.
func historyCommand(env *environment) *cli.Command {
	last := &whole{low: 1, high: 100000, value: usualHistory}
	return &cli.Command{
		Description: "Shows the last changes of the drawer, the latest below: what moved, and " +
			"what was changed of places, readings, " +
			"donors and set-asides. What was done together shares a batch number; what undo took " +
			"back is marked, and the undo names " +
			"its batch. Of a large batch, such as an import, only " +
			"the first rows are shown unless --all is given. show tells the history of one lot.",
		UsageText: "sparewright history\nsparewright history --last 100 --json",
		Flags: append([]cli.Flag{
			&cli.GenericFlag{Name: "last", Value: last,
				Usage: fmt.Sprintf("`N` batches (%d when not given)", usualHistory)},
			&cli.BoolFlag{Name: "all", Usage: "every row of a large batch too"},
		}, readingFlags()...),
		Action: env.action(0, 0, func(c *cli.Context) error { return history(env, c, last.value) }),
	}
}

// historyJSON is one movement over all lots. Delta is in the unit of the lot.
type historyJSON struct {
	Batch       int64   `json:"batch"`
	When        string  `json:"when"`
	Lot         int64   `json:"lot"`
	Kind        string  `json:"kind"`
	Designation string  `json:"designation"`
	Delta       float64 `json:"delta" figures:"entered"`
	Unit        string  `json:"unit"`
	Reason      string  `json:"reason,omitempty"`
	Undoes      int64   `json:"undoes,omitempty"`
	Undone      bool    `json:"undone,omitempty"`
}

// changeJSON is one change over the whole drawer.
type changeJSON struct {
	Batch  int64      `json:"batch"`
	When   string     `json:"when"`
	Kind   string     `json:"kind"`
	Reason string     `json:"reason,omitempty"`
	Undoes int64      `json:"undoes,omitempty"`
	Undone bool       `json:"undone,omitempty"`
	Edits  []editJSON `json:"edits"`
	File   string     `json:"file,omitempty"`
}

func history(env *environment, c *cli.Context, batches int) error {
	past, lots, err := env.past(c, batches)
	if err != nil {
		return err
	}
	if c.Bool("json") {
		return env.json(historyDocument(past, lots))
	}
	if len(past) == 0 {
		env.note("nothing was changed yet")
		return nil
	}
	t := ui.Table{Columns: []ui.Column{{Title: "BATCH", Number: true}, {Title: "WHEN"},
		{Title: "CHANGE", Number: true},
		{Title: "LOT", Number: true}, {Title: "KIND"}, {Title: "DESIGNATION",
			Shrink: 1}, {Title: "REASON", Shrink: 1}, {Title: "UNDO"}}}
	t.Rows = historyRows(past, lots, c.Bool("all"))
	return t.Write(&env.out, env.screen(c), c.Bool("header"))
}

// shownOfBatch is how many rows of a batch are shown; the rest, if it is more than one, goes into
// one row.
const shownOfBatch = 8

// historyRows lists changes batch by batch: what moved, then what was altered besides.
func historyRows(past []sqlite.Entry, lots map[int64]inventory.Lot, all bool) [][]string {
	var rows [][]string
	for _, e := range past {
		of := entryRows(e, lots)
		shown := len(of)
		if !all && len(of) > shownOfBatch+1 {
			shown = shownOfBatch
		}
		rows = append(rows, of[:shown]...)
		if shown < len(of) {
			rows = append(rows, entryRow(e, "", "", "",
				fmt.Sprintf("and %d more; --all", len(of)-shown), e.Reason))
		}
	}
	return rows
}

// entryRows lays out one change.
func entryRows(e sqlite.Entry, lots map[int64]inventory.Lot) [][]string {
	var rows [][]string
	for _, m := range e.Moves {
		l := lots[m.Lot]
		rows = append(rows, entryRow(e, changeText(m, l), fmt.Sprint(m.Lot), string(l.Part.Kind()),
			l.Part.Designation(), m.Reason))
	}
	for _, d := range e.Edits {
		what, lot, kind, name := d.What, "", "donor", d.Donor
		if l, ok := lots[d.Lot]; ok {
			lot, kind, name = fmt.Sprint(d.Lot), string(l.Part.Kind()), l.Part.Designation()
		}
		rows = append(rows, entryRow(e, what, lot, kind, name, editReason(e, d)))
	}
	if len(rows) == 0 {
		rows = append(rows, entryRow(e, "", "", "", or(e.File, "drawer file"), e.Reason))
	}
	return rows
}

// editReason says what something altered was and is, and in whose course where the kind does not
// say it.
func editReason(e sqlite.Entry, d sqlite.Edit) string {
	text := or(d.Before, "none") + " to " + or(d.After, "none")
	if d.Purpose != "" {
		text += " for " + d.Purpose
	}
	if d.What == "recorded" {
		text = e.Reason
	}
	return text
}

func entryRow(e sqlite.Entry, change, lot, kind, designation, reason string) []string {
	return []string{fmt.Sprint(e.Batch), e.When.Local().Format(timeOnScreen), change, lot, kind,
		designation, reason, undoText(e)}
}

// past reads the last changes. The built-in drawer has no journal.
func (env *environment) past(c *cli.Context, batches int) (past []sqlite.Entry,
	lots map[int64]inventory.Lot, err error) {
	builtIn, err := demo(c)
	if err != nil || builtIn {
		return nil, nil, err
	}
	err = env.reading(c, func(s *sqlite.Store) (err error) {
		past, lots, err = s.History(env.ctx, batches)
		return err
	})
	return past, lots, err
}

// changeText writes a movement with its sign.
func changeText(m inventory.Movement, l inventory.Lot) string {
	sign := ""
	if m.Delta > 0 {
		sign = "+"
	}
	return sign + counted(m.Delta, l.Unit())
}

// undoText says how a change stands to undo.
func undoText(e sqlite.Entry) string {
	switch {
	case e.Kind == "redo":
		return fmt.Sprintf("takes back undo %d", e.Undoes)
	case e.Undoes > 0:
		return fmt.Sprintf("takes back %d", e.Undoes)
	case e.Undone:
		return "taken back"
	}
	return ""
}

func historyDocument(past []sqlite.Entry, lots map[int64]inventory.Lot) any {
	doc := struct {
		Movements []historyJSON `json:"movements"`
		Changes   []changeJSON  `json:"changes"`
	}{[]historyJSON{}, []changeJSON{}}
	for _, e := range past {
		for _, m := range e.Moves {
			l := lots[m.Lot]
			undone := e.Undone && e.Undoes == 0
			doc.Movements = append(doc.Movements,
				historyJSON{m.Batch, exchange.Moment(m.When), m.Lot, string(l.Part.Kind()),
					l.Part.Designation(), m.Delta, string(l.Unit()), m.Reason, m.Undoes, undone})
		}
		doc.Changes = append(doc.Changes,
			changeJSON{e.Batch, exchange.Moment(e.When), e.Kind, e.Reason, e.Undoes,
				e.Undone, editDocument(e.Edits), e.File})
	}
	return doc
}
