package frame

import (
	"context"
	"errors"
	"runtime/debug"
	"time"
)

// Run does one call of the program and returns its exit status. Everything on stdout is the result;
// it stays empty when the call fails. Everything else goes to stderr.
func (env *Environment) Run(args []string) int { return env.Conclude(env.Answer(args)) }

// Answer does what the words ask for.
func (env *Environment) Answer(args []string) (err error) {
	defer guard(&err)
	work, err := env.dispatch(args)
	if work == nil {
		return err
	}
	return env.supervise(work)
}

// guard, deferred, makes an internal error of a panic instead of a trace on the screen.
func guard(err *error) {
	if p := recover(); p != nil {
		*err = internalError(p, debug.Stack())
	}
}

// guarded runs a command under guard.
func guarded(command func() error) (err error) {
	defer guard(&err)
	return command()
}

// Conclude hands the result out when there is one, says what went wrong and returns the exit
// status.
func (env *Environment) Conclude(err error) int {
	if keepsOutput(err) {
		if flushErr := env.flush(); flushErr != nil {
			err = flushErr
		}
	}
	err = env.withStanding(err)
	env.complain(err)
	return StatusOf(err)
}

// interrupted takes an error that nobody knows for the interrupt when there was one: the database
// and the driver report it in words of their own when it meets them in the middle of a statement or
// a transaction.
func (env *Environment) interrupted(err error) error {
	var p *Problem
	if err != nil && env.Ctx.Err() != nil && !errors.As(err, &p) &&
		StatusOf(err) == StatusInternal {
		return context.Canceled
	}
	return err
}

// How long a command may take to end by itself after an interrupt: while it changes files, for
// instance to roll a transaction back, and when it only computes, to end what it was just ending.
const (
	grace = 2 * time.Second
	blink = 10 * time.Millisecond
)

// supervise runs the command under guard so that an interrupt ends the program even when the
// command is deep in a computation. Work that changes files, or has changed them and is about to
// say so, comes to its end first.
func (env *Environment) supervise(command func() error) error {
	done := make(chan error, 1)
	interrupt := env.Ctx.Done() // before the command begins: main listens from here on
	go func() { done <- guarded(command) }()
	select {
	case err := <-done:
		return env.interrupted(err)
	case <-interrupt:
	}
	end := time.Now().Add(grace)
	for {
		select {
		case err := <-done:
			return env.interrupted(err)
		case <-time.After(blink):
		}
		if idle := env.work.hands.Load() == 0 && env.standing() == ""; idle ||
			time.Now().After(end) {
			return context.Canceled
		}
	}
}
