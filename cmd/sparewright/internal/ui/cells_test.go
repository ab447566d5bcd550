package ui

import (
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Widths after Unicode UAX #11: W and F are wide, combining marks take no room.
func TestCells(t *testing.T) {
	require.Equal(t, 6, Cells("4.7 kΩ"))
	require.Equal(t, 4, Cells("电阻"))
	require.Equal(t, 1, Cells("e\u0301"))
	require.Equal(t, 2, Cells("\uff21")) // fullwidth A
	require.Equal(t, 1, Cells("\uff71")) // halfwidth katakana A
	require.Equal(t, 2, Cells("한"))
	require.Equal(t, 0, Cells(""))
}

func TestShorten(t *testing.T) {
	require.Equal(t, "short", Shorten("short", 5))
	require.Equal(t, "abc..yz", Shorten("abcdefghijklmnopqrstuvwxyz", 7))
	require.Equal(t, "abc..xyz", Shorten("abcdefghijklmnopqrstuvwxyz", 8))
	require.Equal(t, "abc", Shorten("abcdef", 3))
	require.Equal(t, "电..阻", Shorten("电电电电阻", 6))
	require.Equal(t, "", Shorten("abc", 0))
}

func TestShortenKeepsWithinRoom(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := Safe(rapid.String().Draw(t, "text"))
		room := rapid.IntRange(0, 40).Draw(t, "room")
		short := Shorten(text, room)
		require.LessOrEqual(t, Cells(short), room)
		require.True(t, utf8.ValidString(short))
		if Cells(text) <= room {
			require.Equal(t, text, short)
		}
	})
}
