// Package ui lays out what the program prints: tables, colour, JSON documents, and text made
// harmless for a terminal. It knows terminals and knows no physics.
package ui

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Safe returns text fit for one line of a terminal: control characters, line breaks, direction
// overrides, invisible characters and bytes that are no UTF-8 become visible escapes such as \x1b,
// \u202e or \xff. Spaces of any width become plain spaces. Text from files, from the drawer and
// from the command line passes through here before it is printed.
func Safe(text string) string {
	if isPlain(text) {
		return text
	}
	var b strings.Builder
	for i := 0; i < len(text); {
		r, size := utf8.DecodeRuneInString(text[i:])
		if r == utf8.RuneError && size == 1 {
			fmt.Fprintf(&b, `\x%02x`, text[i])
			i++
			continue
		}
		b.WriteString(visible(r))
		i += size
	}
	return b.String()
}

// isPlain reports the common case of printable ASCII.
func isPlain(text string) bool {
	for i := 0; i < len(text); i++ {
		if text[i] < ' ' || text[i] > '~' {
			return false
		}
	}
	return true
}

// visible returns the rune itself when it shows and stays in its place, else an escape.
func visible(r rune) string {
	switch {
	case r == '\n':
		return `\n`
	case r == '\r':
		return `\r`
	case r == '\t':
		return `\t`
	case r < 0x80 && unicode.IsControl(r):
		return fmt.Sprintf(`\x%02x`, r)
	case unicode.Is(unicode.Zs, r):
		return " "
	case !deceptive(r):
		return string(r)
	case r > 0xffff:
		return fmt.Sprintf(`\U%08x`, r)
	default:
		return fmt.Sprintf(`\u%04x`, r)
	}
}

// deceptive reports runes that do not show, or that move what stands beside them: everything Go
// does not count as printable (controls, format characters with the direction overrides and zero
// widths, line separators, private use, unassigned) and the four Hangul fillers, which are letters
// that show nothing.
func deceptive(r rune) bool {
	switch r {
	case 0x115f, 0x1160, 0x3164, 0xffa0:
		return true
	}
	return !unicode.IsPrint(r) && !unicode.Is(unicode.Zs, r)
}
