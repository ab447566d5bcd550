package bench

import (
	"fmt"
	"strings"

	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/keep"
	"sparewright/cmd/sparewright/internal/ui"
)

// At the keyboard the session says how many lots were entered and when the next line is wanted.
// Through a pipe nothing of that is said.

// atKeyboard tells whether a person types the lines and reads the answers.
func (b *benchSession) atKeyboard() bool {
	return !b.quiet && keep.Keyboard(b.env) &&
		ui.Look(b.env.Stdout, b.env.Getenv, "never").Terminal
}

// welcome says how lines are written, once.
func (b *benchSession) welcome() error {
	if !b.typing {
		return nil
	}
	return b.tell("One lot a line, as it is printed: r 4k7 1% x20 or UF4007 x4.\n" +
		"help lists the forms, undo takes a line back, exit ends.\n")
}

// prompt asks for the next line with the count of lots entered so far.
func (b *benchSession) prompt() error {
	if !b.typing {
		return nil
	}
	return b.tell(lotsEntered(len(b.stored)) + "> ")
}

// farewell says what was entered. ended tells that the input is over, so that the cursor still
// stands behind the prompt.
func (b *benchSession) farewell(ended bool) error {
	if !b.typing {
		return nil
	}
	text := lotsEntered(len(b.stored)) + " entered.\n"
	if ended {
		text = "\n" + text
	}
	return b.tell(text)
}

func lotsEntered(n int) string {
	if n == 1 {
		return "1 lot"
	}
	return fmt.Sprintf("%d lots", n)
}

// leaves tells whether a line asks to end the session.
func leaves(text string) bool {
	word := strings.ToLower(strings.TrimSpace(text))
	return word == "exit" || word == "quit"
}

// noExit refuses exit in a file that is piped in, which is read to its end: a word that dropped the
// lines below it in silence would lose parts.
func noExit(text string) error {
	return frame.WrongCall(strings.TrimSpace(text), "",
		"ends a session at the keyboard only; take the line out, a file ends by itself")
}
