package main

import "strings"

// shellLine is the beginning of a bash command line, up to the cursor, taken apart without running
// anything of it.
type shellLine struct {
	words  []string // unquoted; the last is the one being typed and may be empty
	within byte     // the quote the last word stands in, 0 for none
	// what bash keeps of the last word: unquoted, up to the last character at which bash breaks
	// words
	kept string
}

// bashBreaks are the characters of COMP_WORDBREAKS at which bash begins a new word inside an
// unquoted one.
const bashBreaks = "=:"

// splitShellLine splits at blanks; quotes and backslashes count as in the shell. Variables and
// substitutions stay text.
func splitShellLine(text string) shellLine {
	var l shellLine
	var word strings.Builder
	begun := false
	for i := 0; i < len(text); i++ {
		c := text[i]
		switch {
		case c == '\\' && l.within != '\'' && i+1 < len(text):
			i++
			word.WriteByte(text[i])
			begun = true
		case l.within != 0 && c == l.within:
			l.within, l.kept = 0, word.String()
		case l.within != 0:
			word.WriteByte(c)
		case c == '\'' || c == '"':
			l.within, l.kept, begun = c, word.String(), true
		case c == ' ' || c == '\t' || c == '\n':
			if begun {
				l.words = append(l.words, word.String())
			}
			word.Reset()
			l.kept, begun = "", false
		default:
			word.WriteByte(c)
			begun = true
			if strings.IndexByte(bashBreaks, c) >= 0 {
				l.kept = word.String()
			}
		}
	}
	l.words = append(l.words, word.String())
	return l
}

// quote returns what bash has to put in for the last word so that it becomes the given one; false
// when that cannot be.
func (l shellLine) quote(word string) (string, bool) {
	rest, ok := strings.CutPrefix(word, l.kept)
	if !ok {
		return "", false
	}
	special := " \t\"'`\\$&|;<>()[]{}*?!#~"
	switch l.within {
	case '\'':
		return rest, !strings.Contains(rest, "'")
	case '"':
		special = "\"`\\$!"
	}
	var b strings.Builder
	for _, r := range rest {
		if strings.ContainsRune(special, r) {
			b.WriteByte('\\')
		}
		b.WriteRune(r)
	}
	return b.String(), true
}
