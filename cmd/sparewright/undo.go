package main

import (
	"fmt"

	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/inventory/sqlite"
)

// undoCommand takes back the last changes of counts, whichever session made them.
func undoCommand(env *environment) *cli.Command {
	return &cli.Command{
		ArgsUsage: "[STEPS]",
		Description: "Takes back what was put in, taken out or imported last, whichever session did it, by contrary movements; the " +
			"history keeps both. Called again it goes further back; STEPS takes back several at once, all or none. What has been " +
			"set aside or used since cannot be taken back. Readings, bins, notes and donors are not touched.",
		UsageText: "sparewright undo\nsparewright undo 1 --json",
		Flags:     writingFlags(),
		Action:    env.action(0, 1, func(c *cli.Context) error { return undo(env, c) }),
	}
}

// undoneJSON is one batch that was taken back. Lots are as they are now; Back is what went into the lot.
type undoneJSON struct {
	Batch  int64     `json:"batch"`
	Reason string    `json:"reason,omitempty"`
	When   string    `json:"when"`
	Lots   []backLot `json:"lots"`
}

type backLot struct {
	Back float64 `json:"moved_back" figures:"entered"`
	exchange.LotJSON
}

func undo(env *environment, c *cli.Context) error {
	if err := refuseDemo(c); err != nil {
		return err
	}
	steps, err := undoSteps(c)
	if err != nil {
		return err
	}
	var done []sqlite.Undone
	err = env.changing(c, func(s *sqlite.Store) (err error) {
		done, err = s.Undo(env.ctx, steps, env.now())
		return err
	})
	if err != nil {
		return err
	}
	if c.Bool("json") {
		return env.json(undoDocument(done))
	}
	for _, u := range done {
		for _, line := range undoneText(u) {
			fmt.Fprintln(&env.out, ui.Safe(line))
		}
	}
	return nil
}

// undoSteps reads how many batches to take back.
func undoSteps(c *cli.Context) (int, error) {
	if !c.Args().Present() {
		return 1, nil
	}
	n, err := wholeNumber(c.Args().First(), 1, 1000)
	if err != nil {
		return 0, wrongCall("undo", c.Args().First(), err.Error())
	}
	return n, nil
}

// undoneText says what was taken back, one line a movement.
func undoneText(u sqlite.Undone) []string {
	lines := []string{fmt.Sprintf("took back batch %d of %s, %s", u.Batch, u.When.Local().Format(timeOnScreen),
		quoted(or(u.Reason, "no reason noted")))}
	for _, m := range u.Moves {
		l := u.Lots[m.Lot]
		verb, n := "out of", m.Delta
		if m.Delta < 0 {
			verb, n = "back into", -m.Delta
		}
		lines = append(lines, fmt.Sprintf("  %s %s lot %d, %s %s: %s now", counted(n, l.Unit()), verb, l.ID, l.Part.Kind(),
			quoted(l.Part.Designation()), counted(l.Count, l.Unit())))
	}
	return lines
}

func undoDocument(done []sqlite.Undone) any {
	doc := struct {
		Undone []undoneJSON `json:"undone"`
	}{[]undoneJSON{}}
	for _, u := range done {
		one := undoneJSON{Batch: u.Batch, Reason: u.Reason, When: exchange.Moment(u.When)}
		for _, m := range u.Moves {
			one.Lots = append(one.Lots, backLot{inventory.RoundCount(-m.Delta), exchange.LotDocument(u.Lots[m.Lot])})
		}
		doc.Undone = append(doc.Undone, one)
	}
	return doc
}
