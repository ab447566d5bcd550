package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory"
	"sparewright/inventory/sqlite"
)

// The exit statuses. Scripts rely on them; exitCodes explains them.
const (
	statusDone        = 0
	statusNothing     = 1
	statusUsage       = 2
	statusData        = 3
	statusDrawers     = 4
	statusOutput      = 5
	statusInternal    = 70 // EX_SOFTWARE of sysexits.h
	statusInterrupted = 130
)

// exitCodes is the one table of exit statuses; help exit-codes prints it.
var exitCodes = []struct {
	status  int
	meaning string
}{
	{statusDone, "done"},
	{statusNothing, "the answer is no: nothing feasible (advise, survey, shop, bend, network, " +
		"plan), nothing on hand that will do (swap) or helps " +
		"(tune), no build to work on (sheet, netlist, tune, swap, reserve), parts of it to be " +
		"bought first (tune, reserve), or defects found " +
		"(check, backup, restore); the result or the error says why"},
	{statusUsage, "the call is wrong: unknown option, bad value, no such lot, more taken than there is"},
	{statusData, "a file of data is wrong or cannot be read: file, line and column are named and nothing has changed (bench keeps the lines that were right)"},
	{statusDrawers, "the drawer file cannot be opened, is damaged, or belongs to another program"},
	{statusOutput, "the output was not written: the file exists, the disk is full, or writing is not permitted; a change of the drawer that was made all the same stands, and the error says so"},
	{statusInternal, "internal error; please report the line printed"},
	{statusInterrupted, "interrupted"},
}

// statusOf maps an error to the exit status of the program. Wrong data without a file was typed in
// the call. An error nobody classed is a defect of the program.
func statusOf(err error) int {
	var p *problem
	var faults *faultList
	var data inventory.DataError
	var open inventory.OpenError
	var overdraw inventory.Overdraw
	var uncopied sqlite.CopyError
	var changed inventory.Changed
	var taken inventory.PurposeTaken
	var notAsLeft inventory.NotAsLeft
	var restoreFirst inventory.RestoreFirst
	var noFormer inventory.NoFormer
	switch {
	case err == nil:
		return statusDone
	case errors.Is(err, context.Canceled):
		return statusInterrupted
	case errors.As(err, &p):
		return p.status
	case errors.As(err, &faults):
		return faults.status
	case errors.As(err, &uncopied):
		return statusOutput
	case errors.As(err, &open):
		return statusDrawers
	case errors.As(err, &data) && data.File != "":
		return statusData
	case errors.As(err, &data), errors.As(err, &overdraw), errors.Is(err, inventory.ErrNoLot),
		errors.Is(err, inventory.ErrNoPurpose), errors.Is(err,
			inventory.ErrNothingToUndo), errors.As(err, &changed),
		errors.As(err, &taken), errors.As(err, &notAsLeft), errors.As(err,
			&restoreFirst), errors.As(err, &noFormer):
		return statusUsage
	}
	return statusInternal
}

// keepsOutput reports whether the result printed so far is valid although err is not nil.
func keepsOutput(err error) bool {
	return err == nil || statusOf(err) == statusNothing
}

// exitCodesTopic is the text of help exit-codes.
func exitCodesTopic() string {
	text := "The exit status tells a script how the call ended.\n\n"
	for _, e := range exitCodes {
		text += fmt.Sprintf("  %3d  %s", e.status,
			strings.TrimLeft(ui.Wrap(e.meaning, helpWidth, 7), " "))
	}
	return text + "\nErrors go to standard error; standard output stays empty for every status " +
		"from 2\nup. Only bench, which answers line by line, has answered the good lines by then.\n"
}
