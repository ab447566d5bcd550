package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/cmd/sparewright/internal/find"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/ui"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/control"
	"sparewright/substitute/plan"
	"sparewright/substitute/report"
	"sparewright/substitute/report/screen"
	"sparewright/substitute/seats"
	"sparewright/substitute/shop"
	"sparewright/substitute/swap"
)

// laidOut is what a terminal of 80 cells shows of an answer.
func laidOut(t *testing.T, blocks []report.Block) string {
	t.Helper()
	env := newEnvironment(context.Background(), strings.NewReader(""), &bytes.Buffer{},
		&bytes.Buffer{})
	require.NoError(t, env.Blocks(blocks, ui.Screen{Terminal: true, Width: 80}, false))
	return env.Out.String()
}

func requireFits(t *testing.T, text string) {
	t.Helper()
	require.NotEmpty(t, text)
	for _, line := range strings.Split(text, "\n") {
		require.LessOrEqual(t, ui.Cells(line), 80, line)
	}
}

func target(t *testing.T, chemistry string, cells int, current si.Current) substitute.Target {
	t.Helper()
	wanted := find.NewTargetFlags().Conditions()
	wanted.Chemistry, wanted.Cells, wanted.Current = chemistry, cells, current
	resolved, err := wanted.Resolve(0)
	require.NoError(t, err)
	return resolved
}

// Answers of every sort fit into 80 cells: buildable, to be bought for, refused; one build whole;
// the shopping list.
func TestAnswersFitTheScreen(t *testing.T) {
	for _, row := range []struct {
		target substitute.Target
		says   string
	}{
		{target(t, "li-ion", 4, 1), "\nYes: "},
		{target(t, "li-ion", 2, 3), "\nNot from your drawer alone"},
		{target(t, "li-ion", 10, 3), "\nNo: "},
		{target(t, "nimh", 8, 1), "\nNo: "},
		{target(t, "lead-acid-agm", 6, 1), "\nYes: "},
	} {
		r := find.Searches(row.target, exchange.Demo(), advise.Options{Buy: true})
		text := laidOut(t, screen.Advice(r, len(r.Builds)))
		require.Contains(t, text, row.says)
		require.Contains(t, text, "\ncautions\n  Mains voltage kills.")
		requireFits(t, text)
		for i := range r.Builds {
			requireFits(t, laidOut(t, screen.Build(r.Target, &r.Builds[i], r.Cautions)))
		}
		requireFits(t, laidOut(t, screen.Shopping(
			find.Shopping(row.target, fewCores(), shop.ShopOptions{}))))
	}
}

// Stand-ins for every place of a build, and for a part of another circuit.
func TestStandInsFitTheScreen(t *testing.T) {
	drawer := exchange.Demo()
	r := find.Searches(target(t, "li-ion", 4, 1), drawer, advise.Options{Builds: 2, Buy: true})
	b := &r.Builds[0]
	for _, role := range []string{"core pair", "wire, secondary", "switcher", "output rectifier",
		"shunt", "optocoupler", "mains fuse",
		"diode joining the loops", "amplifier", "bulk capacitor"} {
		s, err := swap.StandIns(r.Target, drawer, b, role, 0)
		require.NoError(t, err)
		text := laidOut(t, screen.Swap(s))
		requireFits(t, text)
		require.Contains(t, text, "\nwhat counts in this place\n")
	}
	low, high := 60.0, 0.7
	text := laidOut(t, screen.Outside(swap.StandInsOutside("rectifier",
		[]swap.Wanted{{Field: "reverse", Low: &low},
			{Field: "forward", High: &high}, {Field: "technology", Words: []string{"schottky"}}},
		drawer)))
	requireFits(t, text)
	require.Contains(t, text, "rectifier with reverse at least 60 V, forward at most 700 mV, "+
		"technology\nschottky.")
}

// A plan with builds, parts, something left out and a purchase.
func TestPlanFitsTheScreen(t *testing.T) {
	r := find.Searches(target(t, "li-ion", 4, 1), exchange.Demo(),
		advise.Options{Builds: 2, Buy: true})
	lead := target(t, "lead-acid-agm", 6, 1)
	text := laidOut(t, screen.Plan(plan.Plan{Wanted: 4, Built: 2, AtMost: 3, Margin: 0.1, Loss: 5,
		Lines: []plan.PlanLine{
			{Target: r.Target, Wanted: 3, Builds: r.Builds, Alone: true,
				Missing: []substitute.Refusal{{Check: "mains fuse",
					Why: "needs fuse T 0.5 A 250 V, high breaking capacity"}}},
			{Target: lead, Wanted: 1}},
		Purchase: &plan.PlanPurchase{Role: seats.MainsFuse,
			Designation: "fuse T 0.5 A 250 V, high breaking capacity", Quantity: 2,
			Unit: "piece", Built: 4, Unlocks: []string{"Li-ion 4S, 1 A",
				"lead-acid AGM 12 V cyclic, 1 A"}}, Cautions: r.Cautions}, true))
	requireFits(t, text)
	require.Contains(t, text, "2 of 4 chargers can be built from your drawer; at most 3 could "+
		"be.\nThe search was cut short")
	require.Contains(t, text, "One purchase helps most: 2 x fuse T 0.5 A 250 V")
	require.Contains(t, text, "\n  Li-ion 4S, 1 A: in what is left, mains fuse: needs fuse")
}

// fewCores is the built-in drawer with the cores of one shape alone: a shopping list of it has the
// same lines and takes a tenth of the time.
func fewCores() inventory.Snapshot {
	s := exchange.Demo()
	s.Lots = slices.DeleteFunc(s.Lots, func(l inventory.Lot) bool {
		c, is := l.Part.(catalog.Core)
		return is && c.Shape != "ER28"
	})
	return s
}

// Shopping lists with prices and for several chargers, and networks, fit too, and what a price list
// holds is harmless.
func TestListsFitTheScreen(t *testing.T) {
	nasty := "\x1b[2Jx\u202ey " + strings.Repeat("Q", 60)
	prices := inventory.PriceList{Prices: []inventory.Price{
		{Designation: "ETD34/17/11 N87", Each: 12345, Source: nasty},
		{Designation: "*", Each: 999_999_0001, Source: "b"}},
		Terms: []inventory.Terms{{Source: nasty, Postage: 1, Minimum: 100_000}}}
	wanted := target(t, "li-ion", 2, 3)
	for _, o := range []shop.ShopOptions{{Prices: prices},
		{Prices: prices, Also: []substitute.Target{wanted, target(t, "li-ion", 2, 1)}}} {
		p := find.Shopping(wanted, fewCores(), o)
		require.NotNil(t, p.Then)
		text := laidOut(t, screen.Shopping(p))
		requireFits(t, text)
		require.NotContains(t, text, "\x1b")
		require.NotContains(t, text, "\u202e")
	}
	for _, w := range []control.NetworkWish{{Ohm: 12_345, Parts: 3, Keep: 5},
		{Ohm: 0.05, Parts: 2, Keep: 1},
		{Ohm: 9.99e6, Parts: 3, Keep: 9},
		{Ratio: 5.0501, Parts: 3, Reference: 2.495,
			Total: si.Interval[si.Resistance]{Low: 1e3, High: 1e6}}} {
		requireFits(t, laidOut(t, screen.Networks(control.Networks(w, exchange.Demo()))))
	}
}

func TestSurveyFitsTheScreen(t *testing.T) {
	var doc advise.Survey
	require.NoError(t, json.Unmarshal([]byte(surveyed().stdout), &doc))
	text := laidOut(t, screen.Survey(doc))
	requireFits(t, text)
	require.Regexp(t, `\n\d+ targets: \d+ buildable, \d+ need parts, \d+ refused\.\n`, text)
	require.Equal(t, len(doc.Targets), strings.Count(text[:strings.Index(text, "\n\n")], "\n"),
		"one line a target")
}

// Text of the user is harmless and does not break the layout, however long it is and whatever it
// holds.
func TestHostileTextInAnswers(t *testing.T) {
	r := advise.Advise(target(t, "li-ion", 4, 1), exchange.Demo(),
		advise.Options{Builds: 2, Buy: true})
	nasty := "\x1b[2Jx\u202ey\tz " + strings.Repeat("Q", 50)
	b := &r.Builds[0]
	b.Switcher.Designation, b.Core.Designation = nasty, nasty
	b.Parts[0].Designation, b.Parts[0].Bin, b.Warnings = nasty, nasty,
		[]string{"\nx\n" + strings.Repeat("word ", 40)}
	b.Windings[0].Wire, b.Windings[0].Name = nasty, "primary"
	r.Refused[0].Core, r.Refused[0].Switcher = nasty, nasty
	for _, blocks := range [][]report.Block{screen.Advice(r, 2),
		screen.Build(r.Target, b, r.Cautions)} {
		text := laidOut(t, blocks)
		require.NotContains(t, text, "\x1b")
		require.NotContains(t, text, "\u202e")
		requireFits(t, text)
	}
	env := newEnvironment(context.Background(), strings.NewReader(""), &bytes.Buffer{},
		&bytes.Buffer{})
	require.NoError(t, env.Blocks(screen.Build(r.Target, b, r.Cautions),
		ui.Screen{Width: 80}, true))
	for _, line := range strings.Split(strings.TrimSuffix(env.Out.String(), "\n"), "\n") {
		require.NotContains(t, line, "\x1b")
		require.Regexp(t, `^[A-Za-z]+\t`, line, "every row begins with the word of its block")
	}
}

// A fault of the target is told with the text that was typed.
func TestTargetFaultsAsTyped(t *testing.T) {
	whole := []string{"--chemistry", "li-ion", "--demo"}
	for _, row := range []struct {
		words []string
		want  string
	}{
		{[]string{"--cells", "4", "--current", "20mA"}, `--current "20mA": `},
		{[]string{"--volts", "18", "--current", "1"},
			`--volts "18": is no full-charge voltage of whole li-ion cells; 4 cells are 16.80 V, 5 are 21.00 V`},
		{[]string{"--cells", "20", "--current", "1"}, `--cells "20": sets 84.0 V`},
		{[]string{"--cells", "4", "--current", "1", "--mains", "70-265"}, `--mains "70-265": `},
		{[]string{"--cells", "4", "--current", "1", "--line", "400"}, `--line "400": `},
	} {
		for _, command := range []string{"advise", "shop"} {
			out := runWords(append(append(ask(command), row.words...), whole...)...)
			require.Equal(t, frame.StatusUsage, out.status)
			require.Empty(t, out.stdout)
			require.Contains(t, out.stderr, "sparewright: "+row.want)
			require.Contains(t, out.stderr, "hint: sparewright help targets\n")
		}
	}
}

// What another drawer answers: made of other parts, it gives other builds, and they are buildable.
func TestSecondDrawer(t *testing.T) {
	drawers := filepath.Join(t.TempDir(), "second.db")
	t.Setenv("SPAREWRIGHT_DRAWERS", drawers)
	csv := filepath.Join("..", "..", "testdata", "demo", "second.csv")
	require.FileExists(t, csv)
	require.Equal(t, 0, runWords("import", csv).status)
	content, err := os.ReadFile(csv)
	require.NoError(t, err)
	for _, battery := range [][]string{{"li-ion", "3"}, {"li-ion", "4"}} {
		out := runWords("advise", "--chemistry", battery[0], "--cells", battery[1], "--current",
			"1A", "--json")
		require.Equal(t, 0, out.status, out.stderr)
		var doc substitute.Result
		require.NoError(t, json.Unmarshal([]byte(out.stdout), &doc))
		require.Equal(t, substitute.Feasible, doc.Builds[0].Verdict)
		for _, p := range doc.Builds[0].Parts {
			require.Contains(t, string(content), fmt.Sprint(p.Designation),
				"every part lies in this drawer")
		}
	}
}
