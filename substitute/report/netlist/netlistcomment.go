package netlist

import (
	"strings"
	"unicode/utf8"
)

// LongestComment is how much of a text a comment line of a netlist takes.
const LongestComment = 160

// Comment is the only way by which a text that a person typed gets into a netlist: as one comment
// line that no simulator can take for anything else, ended by a line feed. The label is a word of
// this program. After the asterisk stands a space, since "*#" would open a command of ngspice; a
// backslash at the end of a line would join it with the next, so it becomes a slash; whatever is
// not printable ASCII is spelled out or becomes a question mark.
func Comment(label, text string) string {
	var b strings.Builder
	b.WriteString("* " + label + ": ")
	n := 0
	for _, r := range text {
		if n++; n > LongestComment {
			b.WriteString("...")
			break
		}
		b.WriteString(plainRune(r))
	}
	return strings.TrimRight(b.String(), " ") + "\n"
}

// plainRune is a rune as printable ASCII.
func plainRune(r rune) string {
	switch {
	case r == '\\':
		return "/"
	case r >= ' ' && r <= '~':
		return string(r)
	case r == '\u00b5', r == '\u03bc':
		return "u"
	case r == '\u03a9', r == '\u2126':
		return "ohm"
	case r == '\u00b0':
		return " deg "
	case r == '\u00d7':
		return "x"
	case r == utf8.RuneError:
		return "?"
	}
	return "?"
}
