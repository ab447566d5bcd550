package ui

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestFold(t *testing.T) {
	for _, row := range []struct{ name, text, want string }{
		{"fits", "twelve cells\n", "twelve cells\n"},
		{"at blanks", "a line of words that is too long\n", "a line of words that\n  is too long\n"},
		{"keeps its indent", "    indented text that is long\n", "    indented text\n      that is long\n"},
		{"second column", "1   a text that is long\n", "1   a text that is\n    long\n"},
		{"table", "LOT  KIND  NAME          BIN\n", "LOT  KIND  NAME\n     BIN\n"},
		{"long word", "x aaaaaaaaaaaaaaaaaaaaaaaaaaaa y\n", "x\n  aaaaaaaaaaaaaaaaaaaaaaaaaaaa\n  y\n"},
		{"colour takes no room", "\x1b[1mtwelve cells bold it\x1b[0m\n", "\x1b[1mtwelve cells bold it\x1b[0m\n"},
		{"no line end", "twelve cells and twelve", "twelve cells and\n  twelve"},
		{"blank lines", "\n\na\n", "\n\na\n"},
		{"only blanks", strings.Repeat(" ", 30) + "\n", "\n"},
	} {
		t.Run(row.name, func(t *testing.T) { require.Equal(t, row.want, Fold(row.text, 20)) })
	}
}

// Nothing is lost or added but blanks and line breaks, and only a single word is ever longer than
// the line.
func TestFoldKeepsTheWords(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOfN(rapid.StringMatching(`[a-zé宽]{1,9}( {1,3}|\n)?`), 0,
			40).Draw(t, "words"), "")
		width := rapid.IntRange(6, 60).Draw(t, "width")
		folded := Fold(text, width)
		require.Equal(t, strings.Fields(text), strings.Fields(folded))
		for line := range strings.Lines(folded) {
			if len(strings.Fields(line)) > 1 {
				require.LessOrEqual(t, Cells(strings.TrimRight(line, " \n")), width, "%q", line)
			}
		}
	})
}
