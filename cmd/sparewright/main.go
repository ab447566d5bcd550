// Command sparewright keeps an inventory of salvaged parts and works out which mains-powered CC/CV
// battery chargers can be built from them, with every number shown.
//
// To add a command: write one file in keep, find, bench or identify (internal/) with a constructor
// func XCommand(env *frame.Environment) *cli.Command that takes its flags from the shared slices
// (frame.ReadingFlags, frame.WritingFlags, find.TargetFlags) and its Action from env.Action, and
// name it in book.
package main

import (
	"context"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"sync"
	"syscall"
	"time"

	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/guide"
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

// run does one call of the program and returns its exit status.
func run(ctx context.Context, stdin io.Reader, stdout, stderr io.Writer, args []string) int {
	return newEnvironment(ctx, stdin, stdout, stderr).Run(args)
}

// newEnvironment is the world of a call with the commands of this program.
func newEnvironment(ctx context.Context, stdin io.Reader, stdout,
	stderr io.Writer) *frame.Environment {
	return frame.New(ctx, stdin, stdout, stderr, frame.Index{
		Commands: book(), Topics: guide.TopicNames()})
}
