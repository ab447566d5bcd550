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
		Description: "Shows the last movements of all lots, the latest below. Movements made together share a batch number; what " +
			"undo took back is marked, and the movement that took it back names its batch. Of a large batch, such as an import, only " +
			"the first movements are shown unless --all is given. show tells the history of one lot.",
		UsageText: "sparewright history\nsparewright history --last 100 --json",
		Flags: append([]cli.Flag{
			&cli.GenericFlag{Name: "last", Value: last, Usage: fmt.Sprintf("`N` batches (%d when not given)", usualHistory)},
			&cli.BoolFlag{Name: "all", Usage: "every movement of a large batch too"},
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

func history(env *environment, c *cli.Context, batches int) error {
	moves, lots, err := env.movements(c, batches)
	if err != nil {
		return err
	}
	if c.Bool("json") {
		return env.json(historyDocument(moves, lots))
	}
	if len(moves) == 0 {
		env.note("nothing has moved yet")
		return nil
	}
	t := ui.Table{Columns: []ui.Column{{Title: "BATCH", Number: true}, {Title: "WHEN"}, {Title: "CHANGE", Number: true},
		{Title: "LOT", Number: true}, {Title: "KIND"}, {Title: "DESIGNATION", Shrink: 1}, {Title: "REASON", Shrink: 1}, {Title: "UNDO"}}}
	t.Rows = historyRows(moves, lots, c.Bool("all"))
	return t.Write(&env.out, env.screen(c), c.Bool("header"))
}

// shownOfBatch is how many movements of a batch are shown; the rest, if it is more than one, goes into one row.
const shownOfBatch = 8

// historyRows lists movements batch by batch.
func historyRows(moves []inventory.Movement, lots map[int64]inventory.Lot, all bool) [][]string {
	var rows [][]string
	for len(moves) > 0 {
		end := 1
		for end < len(moves) && moves[end].Batch == moves[0].Batch {
			end++
		}
		shown := end
		if !all && end > shownOfBatch+1 {
			shown = shownOfBatch
		}
		for _, m := range moves[:shown] {
			l := lots[m.Lot]
			rows = append(rows, []string{fmt.Sprint(m.Batch), m.When.Local().Format(timeOnScreen), changeText(m, l),
				fmt.Sprint(m.Lot), string(l.Part.Kind()), l.Part.Designation(), m.Reason, undoText(m)})
		}
		if shown < end {
			m := moves[shown]
			rows = append(rows, []string{fmt.Sprint(m.Batch), m.When.Local().Format(timeOnScreen), "", "", "",
				fmt.Sprintf("and %d more; --all", end-shown), m.Reason, undoText(m)})
		}
		moves = moves[end:]
	}
	return rows
}

// movements reads the last batches. The built-in drawer has no ledger.
func (env *environment) movements(c *cli.Context, batches int) (moves []inventory.Movement, lots map[int64]inventory.Lot, err error) {
	builtIn, err := demo(c)
	if err != nil || builtIn {
		return nil, nil, err
	}
	err = env.reading(c, func(s *sqlite.Store) (err error) {
		moves, lots, err = s.History(env.ctx, batches)
		return err
	})
	return moves, lots, err
}

// changeText writes a movement with its sign.
func changeText(m inventory.Movement, l inventory.Lot) string {
	sign := ""
	if m.Delta > 0 {
		sign = "+"
	}
	return sign + counted(m.Delta, l.Unit())
}

// undoText says how a movement stands to undo.
func undoText(m inventory.Movement) string {
	switch {
	case m.Undoes > 0:
		return fmt.Sprintf("takes back %d", m.Undoes)
	case m.Undone:
		return "taken back"
	}
	return ""
}

func historyDocument(moves []inventory.Movement, lots map[int64]inventory.Lot) any {
	doc := struct {
		Movements []historyJSON `json:"movements"`
	}{[]historyJSON{}}
	for _, m := range moves {
		l := lots[m.Lot]
		doc.Movements = append(doc.Movements, historyJSON{m.Batch, exchange.Moment(m.When), m.Lot, string(l.Part.Kind()),
			l.Part.Designation(), m.Delta, string(l.Unit()), m.Reason, m.Undoes, m.Undone})
	}
	return doc
}
