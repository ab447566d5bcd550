package inventory

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Check characters printed elsewhere: ISO 15706 (ISAN), the numbers 0000-0000-D07A-0090-Q and, with
// its version part, ...-0000-0000-X; IFPI, GRid Standard, A1-2425G-ABC1234002-M (all three from
// memory).
func TestCheckCharacter(t *testing.T) {
	for text, want := range map[string]byte{"00000000D07A0090": 'Q',
		"00000000D07A009000000000": 'X', "A12425GABC1234002": 'M'} {
		require.Equal(t, string(want), string(checkCharacter(text)), text)
	}
}

// A mark read back names its lot, in any case and with what a scanner sends behind it; no text with
// one other character names any (ISO/IEC 7064 promises it of every single substitution).
func TestMarkReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lot := rapid.Int64Range(1, math.MaxInt32).Draw(t, "lot")
		mark := Mark(lot)
		for _, text := range []string{mark, strings.ToLower(mark), " " + mark + "\r\n"} {
			got, err := ReadMark(text)
			require.NoError(t, err)
			require.Equal(t, lot, got)
		}
		at := rapid.IntRange(0, len(mark)-1).Draw(t, "at")
		other := rapid.SampledFrom([]byte(checkAlphabet+":-+ .")).Draw(t, "other")
		if other == mark[at] {
			return
		}
		text := mark[:at] + string(other) + mark[at+1:]
		_, err := ReadMark(text)
		require.Error(t, err, text)
	})
}

func TestWhatIsNoMark(t *testing.T) {
	for _, text := range []string{"", "12", "SW", "4006381333931", "https://example.org/SW:12-K"} {
		_, err := ReadMark(text)
		require.ErrorIs(t, err, ErrNoMark, text)
	}
	for _, text := range []string{"SW:", "SW:12", "SW:12-", "SW:12-A", "SW:012-K", "SW:+12-K",
		"SW:0-0", "SW:99999999999-1", "SW:12-KK", "SW:-1-K", "SW:12-\u212a"} {
		_, err := ReadMark(text)
		require.ErrorIs(t, err, ErrWrongMark, text)
	}
}
