package ui

import (
	"io"
	"os"
	"strconv"

	"golang.org/x/term"
)

// Screen says where output goes: whether people read it on a terminal, how wide that is, and
// whether colour is wanted.
type Screen struct {
	Terminal bool
	Width    int // cells
	Colour   bool
}

// defaultWidth serves where nothing says how wide the terminal is.
const defaultWidth = 80

// ColourWords are the values of --color.
var ColourWords = []string{"auto", "always", "never"}

// Look finds out about out. The colour word is one of ColourWords; getenv reads COLUMNS, NO_COLOR,
// CLICOLOR_FORCE and TERM.
func Look(out io.Writer, getenv func(string) string, colour string) Screen {
	s := Screen{Width: defaultWidth}
	if f, ok := out.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		s.Terminal = true
		if w, _, err := term.GetSize(int(f.Fd())); err == nil && w > 0 {
			s.Width = w
		}
	}
	if n, err := strconv.Atoi(getenv("COLUMNS")); err == nil && n > 0 {
		s.Width = n
	}
	s.Colour = wantsColour(s.Terminal, getenv, colour)
	return s
}

// wantsColour puts the rules in order: the option first, then NO_COLOR when not empty
// (no-color.org), then CLICOLOR_FORCE, then a terminal that is not dumb.
func wantsColour(terminal bool, getenv func(string) string, colour string) bool {
	switch {
	case colour == "always":
		return true
	case colour == "never", getenv("NO_COLOR") != "":
		return false
	case getenv("CLICOLOR_FORCE") != "" && getenv("CLICOLOR_FORCE") != "0":
		return true
	default:
		return terminal && getenv("TERM") != "dumb"
	}
}

// Bold returns text in bold when the screen wants colour.
func (s Screen) Bold(text string) string { return s.paint("1", text) }

func (s Screen) paint(code, text string) string {
	if !s.Colour || text == "" {
		return text
	}
	return "\x1b[" + code + "m" + text + "\x1b[0m"
}
