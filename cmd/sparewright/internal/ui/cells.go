package ui

import (
	"strings"
	"unicode"
)

// wide lists the blocks whose characters take two cells. Source: Unicode UAX #11 (East Asian Width
// W and F), block limits from memory; what lies outside counts as one cell.
var wide = []struct{ first, last rune }{
	{0x1100, 0x115f}, {0x2e80, 0x303e}, {0x3041, 0x33ff}, {0x3400, 0x4dbf}, {0x4e00, 0x9fff},
	{0xa000, 0xa4cf}, {0xa960, 0xa97c}, {0xac00, 0xd7a3}, {0xf900, 0xfaff}, {0xfe30, 0xfe6f},
	{0xff01, 0xff60}, {0xffe0, 0xffe6}, {0x1f300, 0x1f64f}, {0x1f680, 0x1f6ff}, {0x1f900, 0x1f9ff},
	{0x20000, 0x3fffd},
}

// Cells returns how many terminal cells text takes: 2 for a wide character, 0 for a mark that joins
// the one before, else 1. It is meant for text that went through Safe.
func Cells(text string) int {
	n := 0
	for _, r := range text {
		n += runeCells(r)
	}
	return n
}

func runeCells(r rune) int {
	if r < 0x300 {
		return 1
	}
	if unicode.In(r, unicode.Mn, unicode.Me) {
		return 0
	}
	for _, w := range wide {
		if r >= w.first && r <= w.last {
			return 2
		}
	}
	return 1
}

// Shorten cuts text in the middle so that it takes at most room cells; two dots stand for what is
// missing, because the front and the end of a designation tell most about it. Room below 4 cuts the
// end.
func Shorten(text string, room int) string {
	if Cells(text) <= room {
		return text
	}
	const mark = ".."
	if room < 4 {
		return head(text, room)
	}
	front := (room - len(mark) + 1) / 2
	left := head(text, front)
	return left + mark + tail(text, room-len(mark)-Cells(left))
}

// head returns the longest beginning of text within room cells.
func head(text string, room int) string {
	used := 0
	for i, r := range text {
		if used += runeCells(r); used > room {
			return text[:i]
		}
	}
	return text
}

// tail returns the longest end of text within room cells, never starting with a joining mark.
func tail(text string, room int) string {
	runes := []rune(text)
	used, from := 0, len(runes)
	for i := len(runes) - 1; i >= 0; i-- {
		if used += runeCells(runes[i]); used > room {
			break
		}
		if runeCells(runes[i]) > 0 {
			from = i
		}
	}
	return string(runes[from:])
}

// pad fills text with spaces up to width cells, on the left when right-aligned.
func pad(text string, width int, right bool) string {
	gap := width - Cells(text)
	if gap <= 0 {
		return text
	}
	if right {
		return strings.Repeat(" ", gap) + text
	}
	return text + strings.Repeat(" ", gap)
}
