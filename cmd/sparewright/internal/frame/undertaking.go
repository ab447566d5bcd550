package frame

import (
	"errors"
	"sync"
	"sync/atomic"
)

// undertaking is what a call has in hand or has done to files, and is told when it ends otherwise
// than well.
type undertaking struct {
	hands atomic.Int32 // files being changed just now
	mu    sync.Mutex
	kept  string // what was done and stands
	hint  string // how it is found, or taken back
}

// HoldOn says that a file is being changed until the function it returns is called: an interrupt
// lets that come to its end.
func (env *Environment) HoldOn() (letGo func()) {
	env.work.hands.Add(1)
	return func() { env.work.hands.Add(-1) }
}

// Stands notes what was done and stands, whatever becomes of the answer, and what to do about it.
func (env *Environment) Stands(what, hint string) {
	env.work.mu.Lock()
	defer env.work.mu.Unlock()
	env.work.kept, env.work.hint = what, hint
}

// UndoHint goes with whatever undo takes back.
const UndoHint = "do not repeat the command; sparewright history shows the change, sparewright " +
	"undo takes it back"

// standing is what was done and stands, empty for nothing.
func (env *Environment) standing() string {
	env.work.mu.Lock()
	defer env.work.mu.Unlock()
	return env.work.kept
}

// withStanding says of an answer that could not be written what was done all the same, so that
// nobody does it twice.
func (env *Environment) withStanding(err error) error {
	kept := env.standing()
	var p *Problem
	if kept == "" || !errors.As(err, &p) || p.Status != StatusOutput {
		return err
	}
	told := *p
	told.Why += "; " + kept + " was made and stands"
	if told.hint == "" {
		told.hint = env.work.hint
	}
	return &told
}
