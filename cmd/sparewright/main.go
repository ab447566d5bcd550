// Command sparewright keeps an inventory of salvaged parts and works out which mains-powered CC/CV
// battery chargers can be built from them, with every number shown.
//
// To add a command: write one file with a constructor func xCommand(env *environment) *cli.Command
// that takes its flags from the shared slices (readingFlags, writingFlags, targetFlags.flags) and
// its Action from env.action, and name it in book.
package main

import (
	"context"
	"errors"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"sync"
	"syscall"
	"time"
)

func main() {
	// The program lives for seconds and mostly holds tens of megabytes: collecting garbage less
	// often saves a twentieth of a survey. Towards the limit it collects more often, so that a
	// survey of a large drawer fits a small machine.
	debug.SetGCPercent(200)
	debug.SetMemoryLimit(160 << 20)
	// A reader that went away (sparewright list | head -1) must show as a failed write, not end the
	// process by signal.
	signal.Ignore(syscall.SIGPIPE)
	os.Exit(run(interrupts{sync.OnceValue(listen)}, os.Stdin, os.Stdout, os.Stderr, os.Args[1:]))
}

// interrupts is the context that the first interrupt ends. It listens from the moment when somebody
// first looks at it: to answer help or version nobody does, and the threads that listening needs
// would be a tenth of their time.
type interrupts struct{ listening func() context.Context }

// listen waits for an interrupt. The second one gets its default meaning back, so that nobody is
// ever locked in.
func listen() context.Context {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop)
	return ctx
}

func (i interrupts) Deadline() (time.Time, bool) { return i.listening().Deadline() }
func (i interrupts) Done() <-chan struct{}       { return i.listening().Done() }
func (i interrupts) Err() error                  { return i.listening().Err() }
func (i interrupts) Value(key any) any           { return i.listening().Value(key) }

// run does one call of the program and returns its exit status. Everything on stdout is the result;
// it stays empty when the call fails. Everything else goes to stderr.
func run(ctx context.Context, stdin io.Reader, stdout, stderr io.Writer, args []string) int {
	env := newEnvironment(ctx, stdin, stdout, stderr)
	return env.conclude(env.answer(args))
}

// answer does what the words ask for.
func (env *environment) answer(args []string) (err error) {
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

// conclude hands the result out when there is one, says what went wrong and returns the exit
// status.
func (env *environment) conclude(err error) int {
	if keepsOutput(err) {
		if flushErr := env.flush(); flushErr != nil {
			err = flushErr
		}
	}
	err = env.withStanding(err)
	env.complain(err)
	return statusOf(err)
}

// interrupted takes an error that nobody knows for the interrupt when there was one: the database
// and the driver report it in words of their own when it meets them in the middle of a statement or
// a transaction.
func (env *environment) interrupted(err error) error {
	var p *problem
	if err != nil && env.ctx.Err() != nil && !errors.As(err, &p) &&
		statusOf(err) == statusInternal {
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
func (env *environment) supervise(command func() error) error {
	done := make(chan error, 1)
	interrupt := env.ctx.Done() // before the command begins: main listens from here on
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
