package keep

import (
	"os"

	"golang.org/x/term"

	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/inventory/exchange"
)

// FaultsInFile is everything wrong with a file of data as one error; nil for nothing.
func FaultsInFile(faults []exchange.Fault) error {
	if len(faults) == 0 {
		return nil
	}
	list := &frame.FaultList{Status: frame.StatusData}
	for _, f := range faults {
		list.Faults = append(list.Faults, f.Error())
	}
	return list
}

// Keyboard reports whether standard input is a terminal.
func Keyboard(env *frame.Environment) bool {
	in, ok := env.Stdin.(frame.Interruptible)
	if !ok {
		return false
	}
	f, ok := in.In.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}
