package frame

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory"
	"sparewright/inventory/sqlite/drawerfile"
)

// The exit statuses. Scripts rely on them; ExitCodes explains them.
const (
	StatusDone        = 0   // done
	StatusNothing     = 1   // the answer is no
	StatusUsage       = 2   // the call is wrong
	StatusData        = 3   // a file of data is wrong
	StatusDrawers     = 4   // the drawer file cannot be used
	StatusOutput      = 5   // the output was not written
	StatusInternal    = 70  // a defect of the program; EX_SOFTWARE of sysexits.h
	StatusInterrupted = 130 // interrupted
)

// ExitCodes is the one table of exit statuses; help exit-codes prints it.
var ExitCodes = []struct {
	Status  int
	Meaning string
}{
	{StatusDone, "done"},
	{StatusNothing, "the answer is no: nothing feasible (advise, survey, shop, bend, network, " +
		"plan), nothing on hand that will do (swap) or helps " +
		"(tune), no build to work on (sheet, netlist, tune, swap, reserve), parts of it to be " +
		"bought first (tune, reserve), or defects found " +
		"(check, backup, restore); the result or the error says why"},
	{StatusUsage, "the call is wrong: unknown option, bad value, no such lot, more taken than there is"},
	{StatusData, "a file of data is wrong or cannot be read: file, line and column are named and nothing has changed (bench keeps the lines that were right)"},
	{StatusDrawers, "the drawer file cannot be opened, is damaged, or belongs to another program"},
	{StatusOutput, "the output was not written: the file exists, the disk is full, or writing is not permitted; a change of the drawer that was made all the same stands, and the error says so"},
	{StatusInternal, "internal error; please report the line printed"},
	{StatusInterrupted, "interrupted"},
}

// StatusOf maps an error to the exit status of the program. Wrong data without a file was typed in
// the call. An error nobody classed is a defect of the program.
func StatusOf(err error) int {
	var p *Problem
	var faults *FaultList
	var data inventory.DataError
	var open inventory.OpenError
	var overdraw inventory.Overdraw
	var uncopied drawerfile.CopyError
	var changed inventory.Changed
	var taken inventory.PurposeTaken
	var notAsLeft inventory.NotAsLeft
	var restoreFirst inventory.RestoreFirst
	var noFormer inventory.NoFormer
	switch {
	case err == nil:
		return StatusDone
	case errors.Is(err, context.Canceled):
		return StatusInterrupted
	case errors.As(err, &p):
		return p.Status
	case errors.As(err, &faults):
		return faults.Status
	case errors.As(err, &uncopied):
		return StatusOutput
	case errors.As(err, &open):
		return StatusDrawers
	case errors.As(err, &data) && data.File != "":
		return StatusData
	case errors.As(err, &data), errors.As(err, &overdraw), errors.Is(err, inventory.ErrNoLot),
		errors.Is(err, inventory.ErrNoPurpose), errors.Is(err,
			inventory.ErrNothingToUndo), errors.As(err, &changed),
		errors.As(err, &taken), errors.As(err, &notAsLeft), errors.As(err,
			&restoreFirst), errors.As(err, &noFormer):
		return StatusUsage
	}
	return StatusInternal
}

// keepsOutput reports whether the result printed so far is valid although err is not nil.
func keepsOutput(err error) bool {
	return err == nil || StatusOf(err) == StatusNothing
}

// ExitCodesTopic is the text of help exit-codes.
func ExitCodesTopic() string {
	text := "The exit status tells a script how the call ended.\n\n"
	for _, e := range ExitCodes {
		text += fmt.Sprintf("  %3d  %s", e.Status,
			strings.TrimLeft(ui.Wrap(e.Meaning, HelpWidth, 7), " "))
	}
	return text + "\nErrors go to standard error; standard output stays empty for every status " +
		"from 2\nup. Only bench, which answers line by line, has answered the good lines by then.\n"
}
