package inventory

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Longest texts, in characters.
const (
	MaxNameLength = 64   // bin, donor, purpose, reason
	MaxNoteLength = 1000 // note, state of a donor
)

// CheckName tells whether a one-line text may be stored: valid UTF-8, at most 64 characters, no
// control characters and none of the characters that turn the direction of the writing. Empty is
// allowed.
func CheckName(what, text string) error { return checkText(what, text, MaxNameLength, false) }

// CheckNote is CheckName for longer texts, in which line feeds and tabs are allowed as well.
func CheckNote(what, text string) error { return checkText(what, text, MaxNoteLength, true) }

func checkText(what, text string, limit int, lines bool) error {
	fault := func(why, cure string) error {
		return DataError{Msg: fmt.Sprintf("%s %q: %s; %s", what, shortened(text), why, cure)}
	}
	if !utf8.ValidString(text) {
		return fault("not valid UTF-8", "save the text as UTF-8")
	}
	if n := utf8.RuneCountInString(text); n > limit {
		return fault(fmt.Sprintf("%d characters, at most %d fit", n, limit), "shorten it")
	}
	for _, r := range text {
		if lines && (r == '\n' || r == '\t') {
			continue
		}
		if unicode.IsControl(r) || TurnsWriting(r) {
			return fault(fmt.Sprintf("holds the invisible character U+%04X", r), "leave it out")
		}
	}
	return nil
}

// Mended is a text as CheckNote takes it: what it refuses, which only another program can have put
// into a drawer file, becomes U+FFFD, the replacement character, one for each character or stray
// byte.
func Mended(text string) string {
	return strings.Map(func(r rune) rune {
		if r != '\n' && r != '\t' && (unicode.IsControl(r) || TurnsWriting(r)) {
			return utf8.RuneError
		}
		return r
	}, text)
}

// TurnsWriting reports whether r is one of the bidirectional controls U+202A..202E and U+2066..2069
// or a line or paragraph separator: with them a text can look different from what it is.
func TurnsWriting(r rune) bool {
	return r >= 0x202A && r <= 0x202E || r >= 0x2066 && r <= 0x2069 || r == 0x2028 || r == 0x2029
}

// shortened keeps messages on one line of bearable length.
func shortened(text string) string {
	const most = 40
	if utf8.RuneCountInString(text) <= most {
		return text
	}
	return string([]rune(text)[:most]) + "..."
}

// Plain makes a text harmless where it is drawn on a page: one line, no controls or unprintable
// characters, no marks piled on a letter. Direction and markup are for the page to contain.
func Plain(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t' || r == 0x2028 || r == 0x2029: // breaks of lines and paragraphs
			return ' '
		case r == utf8.RuneError || unicode.IsControl(r) ||
			!unicode.IsPrint(r) && !unicode.IsSpace(r):
			return '?'
		case unicode.Is(unicode.Mn, r) || unicode.Is(unicode.Me, r):
			return -1 // piled marks reach into the lines above and below
		}
		return r
	}, text)
}
