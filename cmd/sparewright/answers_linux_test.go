package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// On a real terminal of 80 columns, the answer comes first, headings are bold, and no line is too
// long.
func TestAnswersOnTerminal(t *testing.T) {
	drawers := filepath.Join(t.TempDir(), "drawers.db")
	require.NoError(t, os.WriteFile(drawers, enoughLots(), 0o600))
	for _, words := range [][]string{fourCellsFrom(drawers, "advise"),
		fourCellsFrom(drawers, "advise", "--pick", "1"),
		fourCellsFrom(drawers, "shop")} {
		plain := onTerminal(t, 80, []string{"NO_COLOR=1"}, words...)
		requireFits(t, plain)
		require.Contains(t, plain, "\n\ncautions\n")
		coloured := onTerminal(t, 80, nil, words...)
		require.Contains(t, coloured, "\x1b[1mcautions\x1b[0m\n")
		require.Equal(t, plain, strings.NewReplacer("\x1b[1m", "", "\x1b[0m", "").Replace(coloured),
			"colour adds nothing but colour")
	}
	require.Regexp(t, `^Li-ion 4S, 16\.8 V, 1 A; .*\nYes: `,
		onTerminal(t, 80, nil, ask("advise", fourCells...)...))
}
