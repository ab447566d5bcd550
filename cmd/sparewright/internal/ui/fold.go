package ui

import "strings"

// Fold breaks lines that are longer than width cells at blanks, so that none runs over the edge of
// a narrow terminal. What follows stands under the second column of the line, or two cells in. A
// word longer than the line stays whole: the terminal breaks it, and it can still be copied. Colour
// codes take no room.
func Fold(text string, width int) string {
	var b strings.Builder
	for line := range strings.Lines(text) {
		bare, end := strings.TrimSuffix(line, "\n"), ""
		if bare != line {
			end = "\n"
		}
		b.WriteString(foldLine(bare, width) + end)
	}
	return b.String()
}

func foldLine(line string, width int) string {
	if shownCells(line) <= width {
		return line
	}
	words := cut(line)
	if len(words) == 0 {
		return ""
	}
	indent := hang(words, width)
	var b strings.Builder
	used, written := 0, false
	for _, w := range words {
		cells := shownCells(w.text)
		if written && used+w.gap+cells > width {
			b.WriteString("\n" + strings.Repeat(" ", indent))
			used = indent
		} else {
			b.WriteString(strings.Repeat(" ", w.gap))
			used += w.gap
		}
		b.WriteString(w.text)
		used += cells
		written = written || cells > 0
	}
	return b.String()
}

// word is a word of a line with the blanks before it.
type word struct {
	gap  int
	text string
}

func cut(line string) []word {
	var words []word
	for line != "" {
		rest := strings.TrimLeft(line, " ")
		gap := len(line) - len(rest)
		end := strings.IndexByte(rest, ' ')
		if end < 0 {
			end = len(rest)
		}
		if rest != "" {
			words = append(words, word{gap, rest[:end]})
		}
		line = rest[end:]
	}
	return words
}

// hang is where the second column of a line begins, when it has one in its left third; else two
// cells in from its beginning.
func hang(words []word, width int) int {
	at := 0
	for i, w := range words {
		at += w.gap
		if i > 0 && w.gap > 1 && at <= width/3 {
			return at
		}
		at += shownCells(w.text)
	}
	if words[0].gap+2 > width/2 {
		return 2
	}
	return words[0].gap + 2
}

// shownCells counts the cells of a text that may hold the colour codes of this package.
func shownCells(text string) int {
	n := 0
	for {
		before, rest, coded := strings.Cut(text, "\x1b[")
		n += Cells(before)
		if !coded {
			return n
		}
		_, text, _ = strings.Cut(rest, "m")
	}
}
