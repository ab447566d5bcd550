package keep

import (
	"errors"
	"fmt"

	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/inventory/sqlite"
)

// UndoCommand takes back the last changes, whichever session made them.
func UndoCommand(env *frame.Environment) *cli.Command {
	return &cli.Command{
		ArgsUsage: "[STEPS]",
		Description: "Takes back whatever was changed last, whichever session did it: put, take, " +
			"import, change, donor, reserve, " +
			"release, consume, restore, what bench and identify stored. It says what it takes " +
			"back; with --dry-run it only says so. " +
			"The history keeps both. Called again it goes further back; STEPS takes back several " +
			"at once, all or none. redo makes " +
			"it again, until something else is changed. A restore is taken back by itself; both " +
			"drawer files are kept.",
		UsageText: "sparewright undo --dry-run\nsparewright undo\nsparewright undo 1 --json",
		Flags:     append([]cli.Flag{frame.DryRunFlag()}, frame.WritingFlags()...),
		Action: env.Action(0, 1, func(c *cli.Context) error {
			return turnBack(env, c, undoing)
		}),
	}
}

// RedoCommand makes again what undo took back.
func RedoCommand(env *frame.Environment) *cli.Command {
	return &cli.Command{
		ArgsUsage: "[STEPS]",
		Description: "Makes again what undo took back last, as it was; with --dry-run it only " +
			"says what that would be. Called again " +
			"it goes further forward; STEPS makes several changes again at once, all or none. " +
			"Once something else was changed " +
			"there is nothing to make again.",
		UsageText: "sparewright undo && sparewright redo",
		Flags:     append([]cli.Flag{frame.DryRunFlag()}, frame.WritingFlags()...),
		Action: env.Action(0, 1, func(c *cli.Context) error {
			return turnBack(env, c, redoing)
		}),
	}
}

// turn is undo or redo: its words and what does it.
type turn struct {
	did, would string
	way        sqlite.Direction
	forward    bool
	foretell   func(*sqlite.Store, *frame.Environment, int) ([]sqlite.Undone, error)
	carryOut   func(*sqlite.Store, *frame.Environment, int) ([]sqlite.Undone, error)
	document   func(done []sqlite.Undone, dryRun bool) any
	other      string // the command that brings back what this one did
}

var undoing = turn{did: "took back", would: "would take back", other: "redo",
	foretell: func(s *sqlite.Store, env *frame.Environment, n int) ([]sqlite.Undone, error) {
		return s.LastInForce(env.Ctx, n)
	},
	carryOut: func(s *sqlite.Store, env *frame.Environment, n int) ([]sqlite.Undone, error) {
		return s.Undo(env.Ctx, n, env.Now())
	},
	document: func(done []sqlite.Undone, dryRun bool) any {
		return UndoDocument{dryRun, undoneList(done, false)}
	}}

var redoing = turn{did: "made again", would: "would make again", other: "undo",
	way: sqlite.Redo, forward: true,
	foretell: func(s *sqlite.Store, env *frame.Environment, n int) ([]sqlite.Undone, error) {
		return s.LastTakenBack(env.Ctx, n)
	},
	carryOut: func(s *sqlite.Store, env *frame.Environment, n int) ([]sqlite.Undone, error) {
		return s.Redo(env.Ctx, n, env.Now())
	},
	document: func(done []sqlite.Undone, dryRun bool) any {
		return RedoDocument{dryRun, undoneList(done, true)}
	}}

// UndoDocument is what undo prints with --json.
type UndoDocument struct {
	DryRun bool         `json:"dry_run"`
	Undone []undoneJSON `json:"undone"`
}

// RedoDocument is what redo prints with --json.
type RedoDocument struct {
	DryRun bool         `json:"dry_run"`
	Redone []undoneJSON `json:"redone"`
}

// undoneJSON is one change that was taken back or made again. Lots whose count changed are as they
// are now.
type undoneJSON struct {
	Batch  int64      `json:"batch"`
	Kind   string     `json:"kind"`
	Reason string     `json:"reason,omitempty"`
	When   string     `json:"when"`
	Lots   []backLot  `json:"lots"`
	Edits  []editJSON `json:"edits"`
	// of a restore: where the drawer lies that was one until then
	File string `json:"file,omitempty"`
}

type backLot struct {
	Back float64 `json:"moved_back" figures:"entered"`
	exchange.LotJSON
}

// editJSON is one thing altered besides counts, in the order in which it was first done.
type editJSON struct {
	Lot     int64  `json:"lot,omitempty"`
	Donor   string `json:"donor,omitempty"`
	Purpose string `json:"purpose,omitempty"`
	What    string `json:"what"`
	Before  string `json:"before,omitempty"`
	After   string `json:"after,omitempty"`
}

func turnBack(env *frame.Environment, c *cli.Context, t turn) error {
	if err := drawer.RefuseDemo(c); err != nil {
		return err
	}
	steps, err := undoSteps(c)
	if err != nil {
		return err
	}
	dry := c.Bool("dry-run")
	done, err := turned(env, c, t, steps)
	if err != nil {
		return err
	}
	if c.Bool("json") {
		return env.JSON(t.document(done, dry))
	}
	word := t.did
	if dry {
		word = t.would
	}
	for _, u := range done {
		for _, line := range undoneText(u, word, t.forward) {
			fmt.Fprintln(&env.Out, ui.Safe(line))
		}
	}
	if !dry {
		fmt.Fprintln(&env.Out, ui.Safe(t.other+": sparewright "+t.other+stepsText(steps)+
			drawer.SameDrawers(c)))
	}
	return nil
}

func stepsText(n int) string {
	if n == 1 {
		return ""
	}
	return fmt.Sprintf(" %d", n)
}

// turned takes changes back or makes them again, or says what that would be. A restore that comes
// first is turned by exchanging the files.
func turned(env *frame.Environment, c *cli.Context, t turn,
	steps int) (done []sqlite.Undone, err error) {
	if c.Bool("dry-run") {
		err = drawer.Reading(env, c, func(s *sqlite.Store) error {
			done, err = t.foretell(s, env, steps)
			return err
		})
		return done, err
	}
	var restore []sqlite.Undone
	err = drawer.Changing(env, c, func(s *sqlite.Store) error {
		done, err = t.carryOut(s, env, steps)
		var first inventory.RestoreFirst
		if steps == 1 && errors.As(err, &first) {
			restore, err = t.foretell(s, env, 1)
		}
		return err
	})
	if err != nil || restore == nil {
		return done, err
	}
	return turnedRestore(env, c, t, restore)
}

// turnedRestore exchanges the drawer with the file that its last restore put away.
func turnedRestore(env *frame.Environment, c *cli.Context, t turn,
	restore []sqlite.Undone) ([]sqlite.Undone, error) {
	path, err := drawer.DrawersPath(env, c)
	if err != nil {
		return nil, err
	}
	exchanged := sqlite.UndoRestore
	if t.way == sqlite.Redo {
		exchanged = sqlite.RedoRestore
	}
	defer env.HoldOn()()
	r, err := exchanged(env.Ctx, path, env.Now())
	if err != nil {
		return nil, err
	}
	env.Stands("the change of drawer files", frame.UndoHint)
	restore[0].File = r.Kept
	return restore, nil
}

// undoSteps reads how many changes to take back.
func undoSteps(c *cli.Context) (int, error) {
	if !c.Args().Present() {
		return 1, nil
	}
	n, err := frame.WholeNumber(c.Args().First(), 1, 1000)
	if err != nil {
		return 0, frame.WrongCall(c.Command.Name, c.Args().First(), err.Error())
	}
	return n, nil
}

// undoneText says what was taken back or made again, one line a movement and one for each thing
// altered besides.
func undoneText(u sqlite.Undone, did string, forward bool) []string {
	kind := u.Kind
	if kind == "undo" { // of a restore, whose entry is in the other file
		kind = "restore"
	}
	lines := []string{fmt.Sprintf("%s batch %d of %s, %s%s", did, u.Batch,
		u.When.Local().Format(timeOnScreen), kind, reasonText(u))}
	for _, m := range u.Moves {
		l := u.Lots[m.Lot]
		delta := -m.Delta
		if forward {
			delta = m.Delta
		}
		verb, n := "back into", delta
		if delta < 0 {
			verb, n = "out of", -delta
		} else if forward {
			verb = "into"
		}
		lines = append(lines,
			fmt.Sprintf("  %s %s lot %d, %s %s: %s now", drawer.Counted(n, l.Unit()),
				verb, l.ID, l.Part.Kind(),
				frame.Quoted(l.Part.Designation()), drawer.Counted(l.Count, l.Unit())))
	}
	for _, e := range u.Edits {
		was, is := e.After, e.Before
		if forward {
			was, is = is, was
		}
		lines = append(lines, "  "+editText(e, u.Lots, was, is))
	}
	switch {
	case kind == "restore" && u.File != "":
		lines = append(lines, fmt.Sprintf("  the drawer there was until now is kept in %s", u.File))
	case kind == "count":
		lines = append(lines, "  made by an earlier version of the program: what was changed "+
			"besides counts is not known")
	}
	return lines
}

// reasonText is the reason where it says more than the kind.
func reasonText(u sqlite.Undone) string {
	if u.Reason == "" || u.Reason == u.Kind || u.Kind == "undo" {
		return ""
	}
	return ", " + frame.Quoted(u.Reason)
}

// editText says what one thing altered is now and what it was.
func editText(e sqlite.Edit, lots map[int64]inventory.Lot, was, is string) string {
	l := lots[e.Lot]
	switch {
	case e.Purpose != "" && is == "":
		return fmt.Sprintf("lot %d, %s %s: %s no longer set aside for %s", e.Lot, l.Part.Kind(),
			frame.Quoted(l.Part.Designation()),
			unitText(was, l), frame.Quoted(e.Purpose))
	case e.Purpose != "":
		return fmt.Sprintf("lot %d, %s %s: %s set aside for %s", e.Lot, l.Part.Kind(),
			frame.Quoted(l.Part.Designation()),
			unitText(is, l), frame.Quoted(e.Purpose))
	case e.What == "recorded" && is == "":
		return fmt.Sprintf("donor %s: no longer recorded", frame.Quoted(e.Donor))
	case e.What == "recorded":
		return fmt.Sprintf("donor %s: recorded", frame.Quoted(e.Donor))
	case e.Lot == 0:
		return fmt.Sprintf("donor %s: %s %s (%s before)", frame.Quoted(e.Donor), e.What,
			noneOr(is), noneOr(was))
	}
	return fmt.Sprintf("lot %d, %s %s: %s %s (%s before)", e.Lot, l.Part.Kind(),
		frame.Quoted(l.Part.Designation()), e.What,
		noneOr(is), noneOr(was))
}

func unitText(count string, l inventory.Lot) string {
	if l.Part != nil && l.Unit() == inventory.Metres {
		return count + " m"
	}
	return count
}

func noneOr(text string) string {
	if text == "" {
		return "none"
	}
	return frame.Quoted(text)
}

func undoneList(done []sqlite.Undone, forward bool) []undoneJSON {
	list := []undoneJSON{}
	for _, u := range done {
		one := undoneJSON{Batch: u.Batch, Kind: u.Kind, Reason: u.Reason,
			When: exchange.Moment(u.When), Lots: []backLot{},
			Edits: editDocument(u.Edits), File: u.File}
		if one.Kind == "undo" {
			one.Kind = "restore"
		}
		for _, m := range u.Moves {
			delta := -m.Delta
			if forward {
				delta = m.Delta
			}
			one.Lots = append(one.Lots, backLot{inventory.RoundCount(delta),
				exchange.LotDocument(u.Lots[m.Lot])})
		}
		list = append(list, one)
	}
	return list
}

func editDocument(edits []sqlite.Edit) []editJSON {
	list := []editJSON{}
	for _, e := range edits {
		list = append(list, editJSON(e))
	}
	return list
}
