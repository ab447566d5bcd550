package ui

import (
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestSafe(t *testing.T) {
	for _, row := range []struct{ name, text, want string }{
		{"plain", "10k 1%", "10k 1%"},
		{"letters of any script stay", "Netzteil für Ω µ 电阻", "Netzteil für Ω µ 电阻"},
		{"escape sequence (ECMA-48 CSI 31 m)", "a\x1b[31mred", `a\x1b[31mred`},
		{"terminal title (xterm OSC 0)", "\x1b]0;owned\a", `\x1b]0;owned\x07`},
		{"C1 CSI (ECMA-48, U+009B)", "\u009b31m", `\u009b31m`},
		{"DEL", "a\x7fb", `a\x7fb`},
		{"line breaks and tab", "a\nb\r\tc", `a\nb\r\tc`},
		{"NUL", "a\x00b", `a\x00b`},
		{"right-to-left override (UAX #9, RLO)", "4k7\u202e01", `4k7\u202e01`},
		{"isolate (UAX #9, RLI)", "\u2067x\u2069", `\u2067x\u2069`},
		{"zero width space", "10\u200bk", `10\u200bk`},
		{"byte order mark", "\ufeff10k", `\ufeff10k`},
		{"line separator", "a\u2028b", `a\u2028b`},
		{"Hangul filler", "a\u3164b", `a\u3164b`},
		{"tag character above the basic plane", "a\U000e0041b", `a\U000e0041b`},
		{"invalid UTF-8", "a\xff\xfeb", `a\xff\xfeb`},
		{"surrogate half in UTF-8 (CESU)", "\xed\xa0\x80", `\xed\xa0\x80`},
		{"a true replacement character stays", "\ufffd", "\ufffd"},
		{"no-break space becomes a space", "10\u00a0k", "10 k"},
		{"combining mark stays", "e\u0301", "e\u0301"},
	} {
		t.Run(row.name, func(t *testing.T) { require.Equal(t, row.want, Safe(row.text)) })
	}
}

// Whatever goes in, what comes out is one line of valid UTF-8 that shows, and going through twice
// changes nothing more.
func TestSafeAlwaysHarmless(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.OneOf(rapid.String(),
			rapid.Map(rapid.SliceOf(rapid.Byte()), func(b []byte) string { return string(b) })).
			Draw(t, "text")
		safe := Safe(text)
		require.True(t, utf8.ValidString(safe))
		for _, r := range safe {
			require.True(t, unicode.IsPrint(r), "%U", r)
		}
		require.Equal(t, safe, Safe(safe))
	})
}
