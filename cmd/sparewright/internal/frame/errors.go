package frame

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"

	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory"
	"sparewright/inventory/sqlite/drawerfile"
)

// Problem is a failure told to the reader: what "input": why, and the command to type next.
type Problem struct {
	Status int    // exit status
	What   string // the option, word or file; may be empty
	input  string // as typed
	Why    string // what is wrong with it
	hint   string
	cause  error
}

// Error implements error.
func (p *Problem) Error() string {
	switch {
	case p.What == "":
		return p.Why
	case p.input == "":
		return p.What + ": " + p.Why
	default:
		return fmt.Sprintf("%s %s: %s", p.What, Quoted(p.input), p.Why)
	}
}

// Unwrap gives the cause, for errors.Is.
func (p *Problem) Unwrap() error { return p.cause }

// Try adds the command to type next and returns p.
func (p *Problem) Try(hint string) *Problem {
	p.hint = hint
	return p
}

// WrongCall says that the call itself is wrong: unknown option, bad value, contradiction.
func WrongCall(what, input, why string) *Problem {
	return &Problem{Status: StatusUsage, What: what, input: input, Why: why}
}

// BadData says that a file brought data that cannot be taken.
func BadData(what, input, why string) *Problem {
	return &Problem{Status: StatusData, What: what, input: input, Why: why}
}

// NotWritten says that output could not be written.
func NotWritten(what, input string, cause error) *Problem {
	return &Problem{Status: StatusOutput, What: what, input: input,
		Why: PlainReason(cause), cause: cause}
}

// NothingFeasible is the answer "no" of advise and shop. The result has been printed and stays; why
// goes to stderr.
func NothingFeasible(why string) *Problem {
	return &Problem{Status: StatusNothing, Why: why}
}

// internalError turns a panic into one line that names the place in the program.
func internalError(p any, stack []byte) *Problem {
	why := fmt.Sprintf("%v", p)
	if at := panicPlace(string(stack)); at != "" {
		why += " at " + at
	}
	return (&Problem{Status: StatusInternal, What: "internal error", Why: why}).
		Try("report this line, the command and the output of sparewright --version")
}

// panicPlace finds file:line of the statement that panicked: the first line of the trace below the
// panic itself.
func panicPlace(stack string) string {
	lines := strings.Split(stack, "\n")
	below := false
	for _, line := range lines {
		if strings.HasPrefix(line, "panic(") {
			below = true
			continue
		}
		file, ok := strings.CutPrefix(line, "\t")
		if below && ok && !strings.Contains(file, "/runtime/") {
			file, _, _ = strings.Cut(file, " ")
			return filepath.Base(file)
		}
	}
	return ""
}

// PlainReason strips the operation and path the standard library puts before the reason, which
// stand in the message already.
func PlainReason(err error) string {
	var path *fs.PathError
	var link *os.LinkError
	var call *os.SyscallError
	switch {
	case errors.As(err, &path):
		return path.Err.Error()
	case errors.As(err, &link):
		return link.Err.Error()
	case errors.As(err, &call):
		return call.Err.Error()
	case errors.Is(err, syscall.ENOSPC):
		return syscall.ENOSPC.Error()
	}
	return err.Error()
}

// longestEcho is how much of a wrong input is shown back.
const longestEcho = 80

// Quoted echoes an input in quotes, shortened; Complaint makes it safe.
func Quoted(input string) string {
	return `"` + strings.ReplaceAll(ui.Shorten(ui.Safe(input), longestEcho), `"`, `\"`) + `"`
}

// MostFaults is how many faults of one file are listed.
const MostFaults = 20

// Complaint lays an error out as lines for stderr, all safe to print: one for each thing wrong, at
// most MostFaults, and the hint. It is empty for no error and for an interrupt.
func Complaint(err error) []string {
	if err == nil || errors.Is(err, context.Canceled) {
		return nil
	}
	var lines []string
	faults := FaultsOf(err)
	for i, fault := range faults {
		if i == MostFaults {
			lines = append(lines, fmt.Sprintf("sparewright: and %d more", len(faults)-MostFaults))
			break
		}
		lines = append(lines, "sparewright: "+ui.Safe(fault))
	}
	if hint := hintOf(err); hint != "" {
		lines = append(lines, "hint: "+ui.Safe(hint))
	}
	return lines
}

// FaultsOf takes an error apart into the things wrong.
func FaultsOf(err error) []string {
	var list *FaultList
	if errors.As(err, &list) {
		return list.Faults
	}
	joined, ok := err.(interface{ Unwrap() []error })
	if !ok {
		return []string{err.Error()}
	}
	var faults []string
	for _, e := range joined.Unwrap() {
		faults = append(faults, FaultsOf(e)...)
	}
	return faults
}

// hintOf returns the command to type next, if the error carries one.
func hintOf(err error) string {
	var p *Problem
	var list *FaultList
	var open inventory.OpenError
	var uncopied drawerfile.CopyError
	switch {
	case errors.As(err, &p):
		return p.hint
	case errors.As(err, &uncopied):
		return uncopied.Hint
	case errors.As(err, &list):
		return list.Hint
	case errors.As(err, &open):
		return open.Hint
	}
	return ""
}

// FaultList is all that is wrong with one file or one part.
type FaultList struct {
	Status int      // exit status
	Faults []string // one line each
	Hint   string   // the command to type next; may be empty
}

// Error implements error.
func (f *FaultList) Error() string { return strings.Join(f.Faults, "; ") }

// AsCallError makes an error of a computation one of the call: the readings typed cannot be.
func AsCallError(err error) error {
	if StatusOf(err) != StatusInternal {
		return err
	}
	what, why, found := strings.Cut(err.Error(), ": ")
	if !found {
		return WrongCall("identify", "", err.Error())
	}
	return WrongCall(what, "", why)
}
