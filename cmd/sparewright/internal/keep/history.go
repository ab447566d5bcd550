package keep

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/inventory/sqlite"
)

// usualHistory is how many batches history shows when nothing is said, a screen full.
const usualHistory = 20

// HistoryCommand tells what went in and out last, over all lots.
func HistoryCommand(env *frame.Environment) *cli.Command {
	last := &frame.Whole{Low: 1, High: 100000, Value: usualHistory}
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
		}, frame.ReadingFlags()...),
		Action: env.Action(0, 0, func(c *cli.Context) error { return history(env, c, last.Value) }),
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

func history(env *frame.Environment, c *cli.Context, batches int) error {
	past, lots, err := past(env, c, batches)
	if err != nil {
		return err
	}
	if c.Bool("json") {
		return env.JSON(HistoryDocument(past, lots))
	}
	if len(past) == 0 {
		env.Note("nothing was changed yet")
		return nil
	}
	rows, screen := historyRows(past, lots, c.Bool("all")), env.Screen(c)
	t := historyTable(rows)
	if screen.Terminal {
		t = historyOnScreen(rows)
	}
	return t.Write(&env.Out, screen, c.Bool("header"))
}

// historyRow is one change of one thing: a lot, a donor, or the file.
type historyRow struct {
	batch, when, change, lot, kind, designation, reason string
	moved                                               bool // by the amount that change tells
	undo                                                string
	took                                                string // the same in fewer words
}

// historyTable is the history for programs: everything in a column of its own.
func historyTable(rows []historyRow) ui.Table {
	t := ui.Table{Columns: []ui.Column{{Title: "BATCH"}, {Title: "WHEN"}, {Title: "CHANGE"},
		{Title: "LOT"}, {Title: "KIND"}, {Title: "DESIGNATION"}, {Title: "REASON"},
		{Title: "UNDO"}}}
	for _, r := range rows {
		t.Rows = append(t.Rows, []string{r.batch, r.when, r.change, r.lot, r.kind, r.designation,
			r.reason, r.undo})
	}
	return t
}

// historyOnScreen is the history for people: number and time of a batch once, then what changed a
// line each, in words.
func historyOnScreen(rows []historyRow) ui.Table {
	t := ui.Table{Columns: []ui.Column{{Title: "BATCH", Number: true}, {Title: "WHEN"},
		{Title: "LOT", Number: true}, {Title: "WHAT", Shrink: 2}, {Title: "CHANGE", Shrink: 1}}}
	last := ""
	for _, r := range rows {
		batch, when := r.batch, r.when
		if batch == last {
			batch, when = "", ""
		}
		last = r.batch
		t.Rows = append(t.Rows, []string{batch, when, r.lot, r.what(), r.inWords()})
	}
	return t
}

// what names the thing that changed. A lot is known by its number, so its designation says enough.
func (r historyRow) what() string {
	if r.kind == "donor" {
		return "donor " + r.designation
	}
	return r.designation
}

// inWords says what happened and why, and first how it stands to undo.
func (r historyRow) inWords() string {
	text := strings.TrimSpace(r.change + " " + r.reason)
	if r.moved && r.reason != "" {
		text = r.change + ", " + r.reason
	}
	if r.took == "" {
		return text
	}
	return r.took + ": " + text
}

// shownOfBatch is how many rows of a batch are shown; the rest, if it is more than one, goes into
// one row.
const shownOfBatch = 8

// historyRows lists changes batch by batch: what moved, then what was altered besides.
func historyRows(past []sqlite.Entry, lots map[int64]inventory.Lot, all bool) []historyRow {
	var rows []historyRow
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
func entryRows(e sqlite.Entry, lots map[int64]inventory.Lot) []historyRow {
	var rows []historyRow
	for _, m := range e.Moves {
		l := lots[m.Lot]
		row := entryRow(e, changeText(m, l), fmt.Sprint(m.Lot), string(l.Part.Kind()),
			l.Part.Designation(), m.Reason)
		row.moved = true
		rows = append(rows, row)
	}
	for _, d := range e.Edits {
		what, lot, kind, name := d.What, "", "donor", d.Donor
		if l, ok := lots[d.Lot]; ok {
			lot, kind, name = fmt.Sprint(d.Lot), string(l.Part.Kind()), l.Part.Designation()
		}
		rows = append(rows, entryRow(e, what, lot, kind, name, editReason(e, d)))
	}
	if len(rows) == 0 {
		rows = append(rows, entryRow(e, "", "", "", frame.Or(e.File, "drawer file"), e.Reason))
	}
	return rows
}

// editReason says what something altered was and is, and in whose course where the kind does not
// say it.
func editReason(e sqlite.Entry, d sqlite.Edit) string {
	text := frame.Or(d.Before, "none") + " to " + frame.Or(d.After, "none")
	if d.Purpose != "" {
		text += " for " + d.Purpose
	}
	if d.What == "recorded" {
		text = e.Reason
	}
	return text
}

func entryRow(e sqlite.Entry, change, lot, kind, designation, reason string) historyRow {
	return historyRow{batch: fmt.Sprint(e.Batch), when: e.When.Local().Format(timeOnScreen),
		change: change, lot: lot, kind: kind, designation: designation, reason: reason,
		undo: undoText(e), took: undoWords(e)}
}

// past reads the last changes. The built-in drawer has no journal.
func past(env *frame.Environment, c *cli.Context, batches int) (past []sqlite.Entry,
	lots map[int64]inventory.Lot, err error) {
	builtIn, err := drawer.Demo(c)
	if err != nil || builtIn {
		return nil, nil, err
	}
	err = drawer.Reading(env, c, func(s *sqlite.Store) (err error) {
		past, lots, err = s.History(env.Ctx, batches)
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
	return sign + drawer.Counted(m.Delta, l.Unit())
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

// undoWords is undoText for the head of a line.
func undoWords(e sqlite.Entry) string {
	switch {
	case e.Kind == "redo":
		return fmt.Sprintf("redo of %d", e.Undoes)
	case e.Undoes > 0:
		return fmt.Sprintf("undo of %d", e.Undoes)
	case e.Undone:
		return "taken back"
	}
	return ""
}

// HistoryDocument is the answer of history.
func HistoryDocument(past []sqlite.Entry, lots map[int64]inventory.Lot) any {
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
