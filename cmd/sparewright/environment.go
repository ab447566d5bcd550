package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"runtime"
	"syscall"
	"time"

	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/shop"
)

// environment is what a command may touch of the world around it.
type environment struct {
	ctx    context.Context
	stdin  io.Reader
	out    bytes.Buffer // the result; reaches stdout when the command has succeeded
	stdout io.Writer
	stderr io.Writer
	// verbatim is set when the result is for machines: a document, a script, a page.
	verbatim bool
	getenv   func(string) string
	home     func() (string, error)
	goos     string
	now      func() time.Time
	searched searching
	work     undertaking
}

// searching is advise.Advise. The tests of the commands keep what it says: they ask the same few
// questions hundreds of times.
type searching func(substitute.Target, inventory.Snapshot, advise.Options) substitute.Result

var searches searching = advise.Advise

// shopping is shop.Shop, which the tests of the commands keep likewise.
var shopping = shop.Shop

func newEnvironment(ctx context.Context, stdin io.Reader, stdout, stderr io.Writer) *environment {
	return &environment{
		ctx:      ctx,
		stdin:    interruptible{ctx, stdin},
		stdout:   stdout,
		stderr:   stderr,
		getenv:   os.Getenv,
		home:     os.UserHomeDir,
		goos:     runtime.GOOS,
		now:      time.Now,
		searched: searches,
	}
}

// screen says how to lay the result out, after --color where the command has it.
func (env *environment) screen(c *cli.Context) ui.Screen {
	word := "auto"
	if colour, ok := c.Generic("color").(*choice); ok {
		word = colour.word
	}
	return ui.Look(env.stdout, env.getenv, word)
}

// json prints v as the one document of the call.
func (env *environment) json(v any) error {
	env.verbatim = true
	return ui.WriteJSON(&env.out, ui.Numbered(v))
}

// raw prints what machines read; it reaches even a narrow terminal as it is.
func (env *environment) raw(text string) {
	env.verbatim = true
	env.out.WriteString(text)
}

// note tells the reader something beside the result, made safe, on stderr.
func (env *environment) note(format string, args ...any) {
	fmt.Fprintln(env.stderr, ui.Safe(fmt.Sprintf(format, args...)))
}

// remarks puts how figures were read on the answer; beside a document they go to stderr. At most
// mostFaults are told.
func (env *environment) remarks(c *cli.Context, said []string) {
	for i, text := range said {
		if i == mostFaults {
			text = fmt.Sprintf("and %d more", len(said)-mostFaults)
		}
		if c.Bool("json") || env.verbatim {
			env.note("note: %s", text)
		} else {
			fmt.Fprintf(&env.out, "note: %s\n", ui.Safe(text))
		}
		if i == mostFaults {
			return
		}
	}
}

// flush hands the result to stdout. A reader that has gone away got what it wanted and is no
// failure.
func (env *environment) flush() error {
	_, err := io.WriteString(env.stdout, env.fitted(env.out.String()))
	if writtenOrUnread(err) {
		return nil
	}
	return notWritten("standard output", "", err)
}

// writtenOrUnread reports whether everything reached its reader, or the reader did not want more.
func writtenOrUnread(err error) bool {
	return err == nil || errors.Is(err, syscall.EPIPE) || errors.Is(err, io.ErrClosedPipe)
}

// fitted folds lines for people that are longer than their terminal.
func (env *environment) fitted(text string) string {
	screen := ui.Look(env.stdout, env.getenv, "never")
	if !screen.Terminal || env.verbatim {
		return text
	}
	return ui.Fold(text, screen.Width)
}

// complain prints what went wrong, one line each, a hint on its own line.
func (env *environment) complain(err error) {
	for _, line := range complaint(err) {
		fmt.Fprintln(env.stderr, line)
	}
}

// interruptible lets an interrupt end a read that waits for a person or a pipe.
type interruptible struct {
	ctx context.Context
	in  io.Reader
}

func (r interruptible) Read(p []byte) (int, error) {
	type outcome struct {
		data []byte
		err  error
	}
	done := make(chan outcome, 1)
	go func() {
		// A buffer of its own: after an interrupt the caller's must not change any more.
		own := make([]byte, len(p))
		n, err := r.in.Read(own)
		done <- outcome{own[:n], err}
	}()
	select {
	case o := <-done:
		return copy(p, o.data), o.err
	case <-r.ctx.Done():
		return 0, r.ctx.Err()
	}
}
