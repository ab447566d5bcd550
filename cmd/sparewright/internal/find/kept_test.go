package find

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// What is kept of a charger brings it back digit by digit, whatever describes it.
func TestKeptTargetRoundTrip(t *testing.T) {
	for _, words := range [][]string{
		{"--chemistry", "li-ion", "--cells", "4", "--current", "1A"},
		{"--chemistry", "lead-acid-agm", "--volts", "13.65", "--current", "333mA", "--duty",
			"float",
			"--mains", "85-265", "--line", "60", "--case", "vented", "--ambient", "31.7"},
		{"--chemistry", "lifepo4", "--cells", "3", "--current", "0.7", "--box", "90.1x60x40"},
	} {
		flags, err := parseTarget(t, true, words...)
		require.NoError(t, err)
		want, err := flags.Target()
		require.NoError(t, err)
		got, err := targetKept("x", keptTarget(want))
		require.NoError(t, err)
		require.Equal(t, want, got)
	}
	_, err := targetKept("old", "")
	require.ErrorContains(t, err, "was set aside without its charger")
	_, err = targetKept("odd", `{"case":"wet"}`)
	require.ErrorContains(t, err, "cannot be read")
}
