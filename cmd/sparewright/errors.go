package main

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
	"sparewright/inventory/sqlite"
)

// problem is a failure told to the reader: what "input": why, and the command to type next.
type problem struct {
	status int
	what   string
	input  string
	why    string
	hint   string
	cause  error
}

func (p *problem) Error() string {
	switch {
	case p.what == "":
		return p.why
	case p.input == "":
		return p.what + ": " + p.why
	default:
		return fmt.Sprintf("%s %s: %s", p.what, quoted(p.input), p.why)
	}
}

// Unwrap gives the cause, for errors.Is.
func (p *problem) Unwrap() error { return p.cause }

// try adds the command to type next and returns p.
func (p *problem) try(hint string) *problem {
	p.hint = hint
	return p
}

// wrongCall says that the call itself is wrong: unknown option, bad value, contradiction.
func wrongCall(what, input, why string) *problem {
	return &problem{status: statusUsage, what: what, input: input, why: why}
}

// badData says that a file brought data that cannot be taken.
func badData(what, input, why string) *problem {
	return &problem{status: statusData, what: what, input: input, why: why}
}

// notWritten says that output could not be written.
func notWritten(what, input string, cause error) *problem {
	return &problem{status: statusOutput, what: what, input: input,
		why: plainReason(cause), cause: cause}
}

// nothingFeasible is the answer "no" of advise and shop. The result has been printed and stays; why
// goes to stderr.
func nothingFeasible(why string) *problem {
	return &problem{status: statusNothing, why: why}
}

// internalError turns a panic into one line that names the place in the program.
func internalError(p any, stack []byte) *problem {
	why := fmt.Sprintf("%v", p)
	if at := panicPlace(string(stack)); at != "" {
		why += " at " + at
	}
	return (&problem{status: statusInternal, what: "internal error", why: why}).
		try("report this line, the command and the output of sparewright --version")
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

// plainReason strips the operation and path the standard library puts before the reason, which
// stand in the message already.
func plainReason(err error) string {
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

// quoted echoes an input in quotes, shortened; complaint makes it safe.
func quoted(input string) string {
	return `"` + strings.ReplaceAll(ui.Shorten(ui.Safe(input), longestEcho), `"`, `\"`) + `"`
}

// mostFaults is how many faults of one file are listed.
const mostFaults = 20

// complaint lays an error out as lines for stderr, all safe to print: one for each thing wrong, at
// most mostFaults, and the hint. It is empty for no error and for an interrupt.
func complaint(err error) []string {
	if err == nil || errors.Is(err, context.Canceled) {
		return nil
	}
	var lines []string
	faults := faultsOf(err)
	for i, fault := range faults {
		if i == mostFaults {
			lines = append(lines, fmt.Sprintf("sparewright: and %d more", len(faults)-mostFaults))
			break
		}
		lines = append(lines, "sparewright: "+ui.Safe(fault))
	}
	if hint := hintOf(err); hint != "" {
		lines = append(lines, "hint: "+ui.Safe(hint))
	}
	return lines
}

// faultsOf takes an error apart into the things wrong.
func faultsOf(err error) []string {
	var list *faultList
	if errors.As(err, &list) {
		return list.faults
	}
	joined, ok := err.(interface{ Unwrap() []error })
	if !ok {
		return []string{err.Error()}
	}
	var faults []string
	for _, e := range joined.Unwrap() {
		faults = append(faults, faultsOf(e)...)
	}
	return faults
}

// hintOf returns the command to type next, if the error carries one.
func hintOf(err error) string {
	var p *problem
	var list *faultList
	var open inventory.OpenError
	var uncopied sqlite.CopyError
	switch {
	case errors.As(err, &p):
		return p.hint
	case errors.As(err, &uncopied):
		return uncopied.Hint
	case errors.As(err, &list):
		return list.hint
	case errors.As(err, &open):
		return open.Hint
	}
	return ""
}

// faultList is all that is wrong with one file or one part.
type faultList struct {
	status int
	faults []string
	hint   string
}

func (f *faultList) Error() string { return strings.Join(f.faults, "; ") }
