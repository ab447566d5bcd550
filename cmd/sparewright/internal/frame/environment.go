package frame

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
)

// Environment is what a command may touch of the world around it.
type Environment struct {
	Ctx    context.Context // ends with the first interrupt
	Stdin  io.Reader       // standard input; an interrupt ends a read
	Out    bytes.Buffer    // the result; reaches stdout when the command has succeeded
	Stdout io.Writer       // standard output
	Stderr io.Writer       // what is said beside the result
	// Verbatim is set when the result is for machines: a document, a script, a page.
	Verbatim bool
	Getenv   func(string) string    // the variables of the call
	Home     func() (string, error) // where the user's files are
	GOOS     string                 // the platform, as runtime.GOOS
	Now      func() time.Time       // the clock
	Book     Index                  // the commands of the program
	work     undertaking
}

// New is the world of one call of a program with these commands.
func New(ctx context.Context, stdin io.Reader, stdout, stderr io.Writer,
	book Index) *Environment {
	return &Environment{
		Ctx:    ctx,
		Stdin:  Interruptible{ctx, stdin},
		Stdout: stdout,
		Stderr: stderr,
		Getenv: os.Getenv,
		Home:   os.UserHomeDir,
		GOOS:   runtime.GOOS,
		Now:    time.Now,
		Book:   book,
	}
}

// Screen says how to lay the result out, after --color where the command has it.
func (env *Environment) Screen(c *cli.Context) ui.Screen {
	word := "auto"
	if colour, ok := c.Generic("color").(*Choice); ok {
		word = colour.Word
	}
	return ui.Look(env.Stdout, env.Getenv, word)
}

// JSON prints v as the one document of the call.
func (env *Environment) JSON(v any) error {
	env.Verbatim = true
	return ui.WriteJSON(&env.Out, ui.Numbered(v))
}

// Raw prints what machines read; it reaches even a narrow terminal as it is.
func (env *Environment) Raw(text string) {
	env.Verbatim = true
	env.Out.WriteString(text)
}

// Note tells the reader something beside the result, made safe, on stderr.
func (env *Environment) Note(format string, args ...any) {
	fmt.Fprintln(env.Stderr, ui.Safe(fmt.Sprintf(format, args...)))
}

// Remarks puts how figures were read on the answer; beside a document they go to stderr. At most
// MostFaults are told.
func (env *Environment) Remarks(c *cli.Context, said []string) {
	for i, text := range said {
		if i == MostFaults {
			text = fmt.Sprintf("and %d more", len(said)-MostFaults)
		}
		if c.Bool("json") || env.Verbatim {
			env.Note("note: %s", text)
		} else {
			fmt.Fprintf(&env.Out, "note: %s\n", ui.Safe(text))
		}
		if i == MostFaults {
			return
		}
	}
}

// flush hands the result to stdout. A reader that has gone away got what it wanted and is no
// failure.
func (env *Environment) flush() error {
	_, err := io.WriteString(env.Stdout, env.Fitted(env.Out.String()))
	if WrittenOrUnread(err) {
		return nil
	}
	return NotWritten("standard output", "", err)
}

// WrittenOrUnread reports whether everything reached its reader, or the reader did not want more.
func WrittenOrUnread(err error) bool {
	return err == nil || errors.Is(err, syscall.EPIPE) || errors.Is(err, io.ErrClosedPipe)
}

// Fitted folds lines for people that are longer than their terminal.
func (env *Environment) Fitted(text string) string {
	screen := ui.Look(env.Stdout, env.Getenv, "never")
	if !screen.Terminal || env.Verbatim {
		return text
	}
	return ui.Fold(text, screen.Width)
}

// complain prints what went wrong, one line each, a hint on its own line.
func (env *Environment) complain(err error) {
	for _, line := range Complaint(err) {
		fmt.Fprintln(env.Stderr, line)
	}
}

// Interruptible lets an interrupt end a read that waits for a person or a pipe.
type Interruptible struct {
	ctx context.Context
	In  io.Reader // what is read
}

// Read implements io.Reader.
func (r Interruptible) Read(p []byte) (int, error) {
	type outcome struct {
		data []byte
		err  error
	}
	done := make(chan outcome, 1)
	go func() {
		// A buffer of its own: after an interrupt the caller's must not change any more.
		own := make([]byte, len(p))
		n, err := r.In.Read(own)
		done <- outcome{own[:n], err}
	}()
	select {
	case o := <-done:
		return copy(p, o.data), o.err
	case <-r.ctx.Done():
		return 0, r.ctx.Err()
	}
}
