package report_test

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/report"
	"sparewright/substitute/report/screen"
	"sparewright/substitute/shop"
)

// The names of all checks are read from the source of package substitute, so that a new check
// cannot be forgotten here.
func TestEveryCheckHasShortNames(t *testing.T) {
	files, err := filepath.Glob(filepath.Join("..", "*.go"))
	require.NoError(t, err)
	named := regexp.MustCompile(`\{Name: "([^"]+)"`)
	seen, briefs, middles := map[string]bool{}, map[string]string{}, map[string]string{}
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		source, err := os.ReadFile(file)
		require.NoError(t, err)
		for _, m := range named.FindAllSubmatch(source, -1) {
			check := string(m[1])
			seen[check] = true
			require.LessOrEqual(t, utf8.RuneCountInString(report.Brief(check)), 17, check)
			require.LessOrEqual(t, utf8.RuneCountInString(report.Middling(check)), 35, check)
			require.Empty(t, briefs[report.Brief(check)], "two checks with one name: %s", check)
			require.Empty(t, middles[report.Middling(check)], "two checks with one name: %s", check)
			briefs[report.Brief(check)], middles[report.Middling(check)] = check, check
		}
	}
	require.Greater(t, len(seen), 40, "the names were not found in the source")
	for check := range report.MiddlingNames {
		require.True(t, seen[check], "no such check any more: %s", check)
	}
}

// Expected texts follow from the SI prefixes and from the rules of rounding, nothing else.
func TestCheckFigures(t *testing.T) {
	for _, row := range []struct {
		value float64
		unit  string
		want  string
	}{
		{1.5897, "A", "1.59 A"}, {0.0008658, "A", "866 µA"}, {538.74, "V", "539 V"},
		{0.3037, "W", "304 mW"}, {0.28001, "T", "280 mT"}, {0.000476, "m", "476 µm"},
		{60.227, "C", "60.2 °C"}, {9.9e6, "A/m2", "9.9 A/mm²"}, {0.0931, "1", "9.31 %"},
		{1922.9, "ohm", "1.92 kΩ"}, {3, "", "3"}, {2.5, "furlong", "2.5 furlong"},
	} {
		require.Equal(t, row.want, report.CheckFigure(row.value, row.unit, 3))
	}
}

// A value beside its limit is never printed equal to it unless it is.
func TestApart(t *testing.T) {
	for _, row := range []struct {
		value, limit float64
		unit         string
		left, right  string
	}{
		{1.5, 1.8, "A", "1.5 A", "1.8 A"},
		{16.810111, 16.8, "V", "16.81 V", "16.8 V"},
		{1.00049, 1, "A", "1.0005 A", "1 A"},
		{110, 110, "C", "110 °C", "110 °C"},
		{0, 2, "1", "0", "2"},
		{0.6, 0.5, "1", "60 %", "50 %"},
	} {
		left, right := report.Apart(row.value, row.limit, row.unit)
		require.Equal(t, []string{row.left, row.right}, []string{left, right})
	}
}

func TestMargin(t *testing.T) {
	for margin, want := range map[float64]string{0.0724: "7.2 %", 0.35: "35 %", 8.33: "830 %",
		19: ">999 %", 0.0006: "0.06 %",
		0.0001: "0 %", -0.12: "-12 %", 0: "0 %"} {
		require.Equal(t, want, report.Margin(margin))
	}
}

func TestNameKeepsBothEnds(t *testing.T) {
	require.Equal(t, "EF25 pair, N87", report.Name("EF25 pair, N87"))
	long := report.Name("a designation that somebody wrote far too long, 10 k")
	require.Equal(t, 28, utf8.RuneCountInString(long))
	require.Regexp(t, `^a designation\.*.*10 k$`, long)
	require.True(t, utf8.ValidString(report.Name("äöüäöüäöüäöüäöüäöüäöüäöüäöüäöüäöü")))
}

func TestMissText(t *testing.T) {
	for _, row := range []struct {
		refusal substitute.Refusal
		want    string
	}{
		{substitute.Refusal{Switcher: "X1", Core: "EF20", Check: "clamp power", Value: 2.5,
			Limit: 1.2, Unit: "W"},
			"X1 + EF20: clamp power 2.5 W, limit 1.2 W"},
		{substitute.Refusal{Switcher: "X1", Check: "kind of control", Why: "not modelled"},
			"X1: kind of control: not modelled"},
		{substitute.Refusal{Check: "optocoupler isolation", Limit: 3750, Unit: "V",
			Why: "none on hand"},
			"isolation: none on hand (limit 3.75 kV)"},
		{substitute.Refusal{Core: "EF20", Check: "gap"}, "EF20: gap"},
	} {
		require.Equal(t, row.want, screen.MissText(row.refusal))
	}
}

// Every text answer gives the cautions last, whatever the answer is.
func TestCautionsAlwaysStand(t *testing.T) {
	texts := []string{"Mains voltage kills."}
	for _, blocks := range [][]report.Block{
		screen.Advice(substitute.Result{Cautions: texts}, 0),
		screen.Survey(advise.Survey{Cautions: texts}),
		screen.Shopping(shop.Purchase{Cautions: texts}),
		screen.Build(substitute.Target{}, &substitute.Build{}, texts),
	} {
		last := blocks[len(blocks)-1]
		require.Equal(t, "caution", last.Word)
		require.Equal(t, []report.Line{{"Mains voltage kills.", 2}}, last.Lines)
	}
}

// Rows of every table are as long as its list of columns.
func TestTablesAreWhole(t *testing.T) {
	b := substitute.Build{Parts: make([]substitute.PartUse, 2),
		Windings: make([]substitute.Winding, 2), Checks: make([]substitute.Check, 2)}
	b.Gap.Layers = make([]substitute.ShimFilm, 1)
	b.Transformer.Tape = make([]substitute.TapeUse, 1)
	b.Regulation.Networks = []substitute.NetworkUse{{Parts: make([]substitute.ResistorUse, 2)}}
	survey := advise.Survey{Targets: []advise.SurveyLine{{Best: &b},
		{Refused: make([]substitute.Refusal, 1)}, {}}}
	bought := shop.Purchase{Then: &b, Buy: make([]shop.BuyLine, 1)}
	result := substitute.Result{Builds: []substitute.Build{b},
		Refused: make([]substitute.Refusal, 3)}
	for _, blocks := range [][]report.Block{screen.Build(substitute.Target{}, &b, nil),
		screen.Survey(survey), screen.Shopping(bought), screen.Advice(result, 1)} {
		for _, block := range blocks {
			for _, row := range block.Table.Rows {
				require.Len(t, row, len(block.Table.Columns), block.Word)
			}
		}
	}
}
