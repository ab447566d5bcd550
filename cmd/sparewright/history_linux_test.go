package main

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/ui"
)

// On a terminal of 80 columns every change is one line with what it was about, uncut where names
// are of usual length; number and time of a batch stand once, and undo before what it took back.
func TestHistoryOnAScreen(t *testing.T) {
	trialFolder(t, trial{})
	t.Setenv("SPAREWRIGHT_DRAWERS", "few.db")
	for _, line := range []string{"put resistor 4k7 resistance=4k7 --count 20 --bin A1",
		"put rectifier UF4007 --count 4 --bin C2", "take 1 3 --reason lamp",
		"change 1 --bin B7 --condition tested", "undo", "redo"} {
		require.Equal(t, frame.StatusDone, runWords(strings.Fields(line)...).status, line)
	}
	t.Setenv("NO_COLOR", "1")
	seen := trial{}.seenOn(t, 80, "history")
	moment := regexp.MustCompile(`\d{4}-\d\d-\d\d \d\d:\d\d`)
	lines := strings.Split(strings.TrimSuffix(moment.ReplaceAllString(seen, "YYYY-MM-DD hh:mm"),
		"\n"), "\n")
	require.Equal(t, []string{
		"BATCH  WHEN              LOT  WHAT    CHANGE",
		"    1  YYYY-MM-DD hh:mm    1  4k7     +20, put",
		"    2  YYYY-MM-DD hh:mm    2  UF4007  +4, put",
		"    3  YYYY-MM-DD hh:mm    1  4k7     -3, lamp",
		"    4  YYYY-MM-DD hh:mm    1  4k7     bin A1 to B7",
		"                           1  4k7     condition untested to tested",
		"    5  YYYY-MM-DD hh:mm    1  4k7     undo of 4: bin B7 to A1",
		"                           1  4k7     undo of 4: condition tested to untested",
		"    6  YYYY-MM-DD hh:mm    1  4k7     redo of 5: bin A1 to B7",
		"                           1  4k7     redo of 5: condition untested to tested",
	}, lines)
	for _, l := range lines {
		require.LessOrEqual(t, ui.Cells(l), 80)
	}
}
