package inventory

import (
	"errors"
	"fmt"
)

// DataError says that what was typed or read from a file is wrong. Nothing was changed. File is
// empty and Line 0 when the text came from the command line. Column counts characters from 1.
type DataError struct {
	File   string
	Line   int
	Column int
	Msg    string
}

// Error gives file:line:column: message, or the message alone where there is no place.
func (e DataError) Error() string {
	switch {
	case e.File == "" || e.Line == 0:
		return e.Msg
	case e.Column == 0:
		return fmt.Sprintf("%s:%d: %s", e.File, e.Line, e.Msg)
	}
	return fmt.Sprintf("%s:%d:%d: %s", e.File, e.Line, e.Column, e.Msg)
}

// OpenError says that the drawer file cannot be opened, is damaged or cannot be written. Hint is a
// command or an action, or empty.
type OpenError struct {
	Path string
	Msg  string
	Hint string
	Err  error // what the system reported, may be nil
}

// Error gives the path and what is wrong with it on one line, without the hint.
func (e OpenError) Error() string { return fmt.Sprintf("drawer file %q: %s", e.Path, e.Msg) }

// Unwrap returns what the system reported.
func (e OpenError) Unwrap() error { return e.Err }

// ErrNoLot is what errors.Is finds when a lot number is not in the drawer.
var ErrNoLot = errors.New("no such lot")

// ErrNoPurpose is what errors.Is finds when nothing is set aside under a purpose.
var ErrNoPurpose = errors.New("nothing set aside under that name")

// NoLot says which lot number is not in the drawer. errors.Is(err, ErrNoLot) holds.
type NoLot struct{ Lot int64 }

// Error gives the number and the cure.
func (e NoLot) Error() string {
	return fmt.Sprintf("lot \"%d\": no such lot; list shows the numbers in use", e.Lot)
}

// Is makes errors.Is(err, ErrNoLot) hold.
func (e NoLot) Is(target error) bool { return target == ErrNoLot }

// NoPurpose says under which name nothing is set aside. errors.Is(err, ErrNoPurpose) holds.
type NoPurpose struct{ Purpose string }

// Error gives the name and the cure.
func (e NoPurpose) Error() string {
	return fmt.Sprintf("purpose %q: nothing is set aside under that name; check the spelling",
		e.Purpose)
}

// Is makes errors.Is(err, ErrNoPurpose) hold.
func (e NoPurpose) Is(target error) bool { return target == ErrNoPurpose }

// Overdraw says that more was asked of a lot than it can give. Nothing was changed. Counts are in
// the unit of the lot.
type Overdraw struct {
	Lot       int64
	Asked     float64
	Available float64 // in the drawer and not set aside
	SetAside  float64
	Unit      Unit
}

// Error gives both counts.
func (e Overdraw) Error() string {
	held := ""
	if e.SetAside > 0 {
		held = fmt.Sprintf(" (%s more set aside)", FormatCount(e.SetAside))
	}
	return fmt.Sprintf("lot \"%d\": %s asked, %s available%s; ask for less or put more in",
		e.Lot, countUnit(e.Asked, e.Unit), countUnit(e.Available, e.Unit), held)
}

func countUnit(n float64, u Unit) string {
	if u == Metres {
		return FormatCount(n) + " m"
	}
	return FormatCount(n)
}

// ErrNothingToUndo is what errors.Is finds when fewer batches of movements are left to take back
// than were asked for.
var ErrNothingToUndo = errors.New("nothing to undo")

// NothingToUndo says how many changes are left to take back, or to make again. Nothing was changed.
type NothingToUndo struct {
	Asked, Left int
	Again       bool // asked was to make again what was taken back
}

// Error gives both numbers and the cure.
func (e NothingToUndo) Error() string {
	if e.Again {
		return fmt.Sprintf("redo: %d asked, %d taken back and not followed by another change; "+
			"history shows them", e.Asked, e.Left)
	}
	return fmt.Sprintf("undo: %d asked, %d left to take back; history shows them", e.Asked, e.Left)
}

// Is makes errors.Is(err, ErrNothingToUndo) hold.
func (e NothingToUndo) Is(target error) bool { return target == ErrNothingToUndo }

// NotAsLeft says that something is no longer as the change left it that was to be taken back, or
// made again. Nothing was changed.
type NotAsLeft struct{ What string }

// Error gives what it is and the cure.
func (e NotAsLeft) Error() string {
	return fmt.Sprintf("%s: is no longer as that change left it; take the later changes back "+
		"first, history shows them", e.What)
}

// RestoreFirst says that a restore stands among the changes to be taken back, or made again. It
// exchanges the whole file, so it is done by itself; Steps come before it. Nothing was changed.
type RestoreFirst struct {
	Batch int64
	Steps int
	Again bool
}

// Error gives the steps and the cure.
func (e RestoreFirst) Error() string {
	word := "undo"
	if e.Again {
		word = "redo"
	}
	if e.Steps == 0 {
		return fmt.Sprintf("%s: the last change is a restore; %s it by itself, then the others",
			word, word)
	}
	return fmt.Sprintf("%s: a restore comes after %d of these changes; %s %d, then the "+
		"restore by itself", word, e.Steps, word, e.Steps)
}

// NoFormer says that a restore cannot be taken back because there was no drawer file before it.
// Nothing was changed.
type NoFormer struct{ Path string }

// Error says so and gives the cure.
func (e NoFormer) Error() string {
	return fmt.Sprintf("undo: the last change is the restore that made %q, and there was no "+
		"drawer file before it; "+
		"move the file away if it is not wanted", e.Path)
}
