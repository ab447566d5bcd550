package catalog

import (
	"fmt"
	"slices"
	"strings"
)

// Fault is one thing wrong with a part: the figure, what was written, why it cannot be and what to
// do about it.
type Fault struct {
	Field string // name of the figure; empty when the part as a whole is meant
	Input string // as typed; empty when nothing was
	Why   string
	Cure  string
}

// Error writes the fault as field "input": why; cure.
func (f Fault) Error() string {
	var b strings.Builder
	b.WriteString(f.Field)
	if f.Input != "" {
		fmt.Fprintf(&b, " %q", f.Input)
	}
	if b.Len() > 0 {
		b.WriteString(": ")
	}
	b.WriteString(f.Why)
	if f.Cure != "" {
		b.WriteString("; " + f.Cure)
	}
	return strings.TrimSpace(b.String())
}

// Missing tells whether the fault is that a figure the part must have was not given.
func (f Fault) Missing() bool { return f.Why == missing }

// Faults is every fault found in one part, in the order of the figures. It is an error.
type Faults []Fault

// Error writes one fault a line.
func (fs Faults) Error() string {
	lines := make([]string, len(fs))
	for i, f := range fs {
		lines[i] = f.Error()
	}
	return strings.Join(lines, "\n")
}

// asError returns nil for no faults; a nil Faults in an error would not compare as nil.
func (fs Faults) asError() error {
	if len(fs) == 0 {
		return nil
	}
	return fs
}

// names reports whether any fault concerns the field.
func (fs Faults) names(field string) bool {
	return slices.ContainsFunc(fs, func(f Fault) bool { return f.Field == field })
}
