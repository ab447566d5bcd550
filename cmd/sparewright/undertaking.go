package main

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

// holdOn says that a file is being changed until the function it returns is called: an interrupt
// lets that come to its end.
func (env *environment) holdOn() (letGo func()) {
	env.work.hands.Add(1)
	return func() { env.work.hands.Add(-1) }
}

// stands notes what was done and stands, whatever becomes of the answer, and what to do about it.
func (env *environment) stands(what, hint string) {
	env.work.mu.Lock()
	defer env.work.mu.Unlock()
	env.work.kept, env.work.hint = what, hint
}

// undoHint goes with whatever undo takes back.
const undoHint = "do not repeat the command; sparewright history shows the change, sparewright " +
	"undo takes it back"

// standing is what was done and stands, empty for nothing.
func (env *environment) standing() string {
	env.work.mu.Lock()
	defer env.work.mu.Unlock()
	return env.work.kept
}

// withStanding says of an answer that could not be written what was done all the same, so that
// nobody does it twice.
func (env *environment) withStanding(err error) error {
	kept := env.standing()
	var p *problem
	if kept == "" || !errors.As(err, &p) || p.status != statusOutput {
		return err
	}
	told := *p
	told.why += "; " + kept + " was made and stands"
	if told.hint == "" {
		told.hint = env.work.hint
	}
	return &told
}
