package ui

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"
)

func env(pairs map[string]string) func(string) string {
	return func(name string) string { return pairs[name] }
}

// The rules of no-color.org ("present and not an empty string") and of CLICOLOR_FORCE, with the
// option above both.
func TestColourRules(t *testing.T) {
	for _, row := range []struct {
		name     string
		terminal bool
		vars     map[string]string
		option   string
		want     bool
	}{
		{"terminal", true, nil, "auto", true},
		{"pipe", false, nil, "auto", false},
		{"dumb terminal", true, map[string]string{"TERM": "dumb"}, "auto", false},
		{"NO_COLOR", true, map[string]string{"NO_COLOR": "1"}, "auto", false},
		{"NO_COLOR empty counts as absent", true, map[string]string{"NO_COLOR": ""}, "auto", true},
		{"forced in a pipe", false, map[string]string{"CLICOLOR_FORCE": "1"}, "auto", true},
		{"forced off by 0", false, map[string]string{"CLICOLOR_FORCE": "0"}, "auto", false},
		{"NO_COLOR wins over force", false, map[string]string{"CLICOLOR_FORCE": "1",
			"NO_COLOR": "1"}, "auto", false},
		{"option wins over NO_COLOR", false, map[string]string{"NO_COLOR": "1"}, "always", true},
		{"option never", true, map[string]string{"CLICOLOR_FORCE": "1"}, "never", false},
	} {
		t.Run(row.name, func(t *testing.T) {
			require.Equal(t, row.want, wantsColour(row.terminal, env(row.vars), row.option))
		})
	}
}

func TestLookAtSomethingThatIsNoTerminal(t *testing.T) {
	s := Look(&bytes.Buffer{}, env(nil), "auto")
	require.Equal(t, Screen{Width: 80}, s)
	require.Equal(t, 132, Look(&bytes.Buffer{},
		env(map[string]string{"COLUMNS": "132"}), "auto").Width)
	for _, odd := range []string{"-3", "0", "wide", "1e3"} {
		require.Equal(t, 80, Look(&bytes.Buffer{}, env(map[string]string{"COLUMNS": odd}),
			"auto").Width, odd)
	}
}

func TestPaint(t *testing.T) {
	colour := Screen{Colour: true}
	require.Equal(t, "\x1b[1mx\x1b[0m", colour.Bold("x"))
	require.Equal(t, "", colour.Bold(""))
	require.Equal(t, "x", Screen{}.Bold("x"))
}
