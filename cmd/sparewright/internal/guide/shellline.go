package guide

import "strings"

// ShellLine is the beginning of a bash command line, up to the cursor, taken apart without running
// anything of it.
type ShellLine struct {
	Words  []string // unquoted; the last is the one being typed and may be empty
	Within byte     // the quote the last word stands in, 0 for none
	// what bash keeps of the last word: unquoted, up to the last character at which bash breaks
	// words
	Kept string
}

// bashBreaks are the characters of COMP_WORDBREAKS at which bash begins a new word inside an
// unquoted one.
const bashBreaks = "=:"

// SplitShellLine splits at blanks; quotes and backslashes count as in the shell. Variables and
// substitutions stay text.
func SplitShellLine(text string) ShellLine {
	var l ShellLine
	var word strings.Builder
	begun := false
	for i := 0; i < len(text); i++ {
		c := text[i]
		switch {
		case c == '\\' && l.Within != '\'' && i+1 < len(text):
			i++
			word.WriteByte(text[i])
			begun = true
		case l.Within != 0 && c == l.Within:
			l.Within, l.Kept = 0, word.String()
		case l.Within != 0:
			word.WriteByte(c)
		case c == '\'' || c == '"':
			l.Within, l.Kept, begun = c, word.String(), true
		case c == ' ' || c == '\t' || c == '\n':
			if begun {
				l.Words = append(l.Words, word.String())
			}
			word.Reset()
			l.Kept, begun = "", false
		default:
			word.WriteByte(c)
			begun = true
			if strings.IndexByte(bashBreaks, c) >= 0 {
				l.Kept = word.String()
			}
		}
	}
	l.Words = append(l.Words, word.String())
	return l
}

// Quote returns what bash has to put in for the last word so that it becomes the given one; false
// when that cannot be.
func (l ShellLine) Quote(word string) (string, bool) {
	rest, ok := strings.CutPrefix(word, l.Kept)
	if !ok {
		return "", false
	}
	special := " \t\"'`\\$&|;<>()[]{}*?!#~"
	switch l.Within {
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
