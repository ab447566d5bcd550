package main

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/inventory/exchange"
	"sparewright/substitute"
)

// demoFile is a drawer file with the lots of the built-in drawer that keep lets through.
func demoFile(t *testing.T, keep func(kind, designation string) bool) string {
	t.Helper()
	dir := t.TempDir()
	whole := filepath.Join(dir, "whole.csv")
	require.Equal(t, 0, runWords("export", "--demo", "-o", whole).status)
	f, err := os.Open(whole)
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	kept := rows[:1]
	for _, row := range rows[1:] {
		if keep(row[0], row[1]) {
			kept = append(kept, row)
		}
	}
	part, err := os.Create(filepath.Join(dir, "part.csv"))
	require.NoError(t, err)
	require.NoError(t, csv.NewWriter(part).WriteAll(kept))
	require.NoError(t, part.Close())
	path := filepath.Join(dir, "drawers.db")
	out := runWords("import", part.Name(), "--drawers", path)
	require.Equal(t, 0, out.status, out.stderr)
	return path
}

func everyPart(string, string) bool { return true }

// fourCellsFrom is the usual target on a drawer file.
func fourCellsFrom(path string, words ...string) []string {
	return append(words, "--chemistry", "li-ion", "--cells", "4", "--current", "1",
		"--drawers", path)
}

// Two processes at a time ask for the only switcher there is: exactly one gets it, every time; the
// other says so in one line.
func TestTwoProcessesNeverShareAPart(t *testing.T) {
	path := demoFile(t, func(kind, designation string) bool {
		return kind != "switcher" && kind != "core" || designation == "KA5M0365R" ||
			designation == "ETD29 pair, N87"
	})
	for round := range 12 {
		type ended struct {
			status int
			stderr string
		}
		results := make(chan ended, 2)
		for process := range 2 {
			go func() {
				cmd := exec.Command("sparewright",
					fourCellsFrom(path, "reserve", "--as", fmt.Sprintf("%d-%d", round, process))...)
				var errs strings.Builder
				cmd.Stderr = &errs
				_ = cmd.Run() // its status is looked at
				results <- ended{cmd.ProcessState.ExitCode(), errs.String()}
			}()
		}
		a, b := <-results, <-results
		if a.status != 0 {
			a, b = b, a
		}
		require.Equal(t, 0, a.status, a.stderr)
		require.Contains(t, []int{1, 2}, b.status, "%s", b.stderr)
		require.Regexp(t,
			`^sparewright: (lot "\d+": .* asked, .* available|build 1 needs parts bought|no build)`,
			b.stderr)
		require.NotContains(t, strings.TrimSpace(b.stderr), "\n")
		held := heldBy(t, path)
		require.Len(t, held.Purposes, 1)
		out := runWords("release", held.Purposes[0].Purpose, "--drawers", path)
		require.Equal(t, 0, out.status, out.stderr)
	}
}

func heldBy(t *testing.T, path string) (doc asideDocument) {
	t.Helper()
	out := runWords("reserved", "--json", "--drawers", path)
	require.Equal(t, 0, out.status, out.stderr)
	require.NoError(t, schema(t, "reserved").Validate(document(t, out.stdout)))
	require.NoError(t, json.Unmarshal([]byte(out.stdout), &doc))
	return doc
}

// What is set aside is the parts list of the build, lot by lot, and advise no longer finds it free.
// The sums are made here from the list of advise.
func TestReserveTakesThePartsOfTheBuild(t *testing.T) {
	path := demoFile(t, everyPart)
	var advice substitute.Result
	require.NoError(t, json.Unmarshal([]byte(
		runWords(fourCellsFrom(path, "advise", "--pick", "2", "--json")...).stdout), &advice))
	want := map[int64]float64{}
	for _, p := range advice.Builds[0].Parts {
		want[p.Lot] += p.Quantity
	}
	out := runWords(fourCellsFrom(path, "reserve", "--pick", "2", "--as", "shed", "--json")...)
	require.Equal(t, 0, out.status, out.stderr)
	require.NoError(t, schema(t, "reserved").Validate(document(t, out.stdout)))
	held := heldBy(t, path)
	require.Len(t, held.Purposes, 1)
	require.Equal(t, "shed", held.Purposes[0].Purpose)
	got := map[int64]float64{}
	for _, a := range held.Purposes[0].Parts {
		got[a.Lot] = a.Count
	}
	require.Len(t, got, len(want))
	for lot, n := range want {
		require.InDelta(t, n, got[lot], 1e-9, "lot %d", lot)
	}
	var stock exchange.LotsJSON
	require.NoError(t, json.Unmarshal([]byte(runWords("list", "--json", "--drawers", path).stdout),
		&stock))
	for _, l := range stock.Lots {
		require.InDelta(t, l.Count-want[l.Lot], l.Available, 1e-9, "lot %d", l.Lot)
	}
	require.Equal(t, 0, runWords("consume", "shed", "--drawers", path).status)
	require.Empty(t, heldBy(t, path).Purposes)
	var left exchange.LotsJSON
	require.NoError(t, json.Unmarshal([]byte(runWords("list", "--json", "--drawers", path).stdout),
		&left))
	for _, l := range left.Lots {
		require.InDelta(t, l.Count, l.Available, 1e-9)
		want[l.Lot] += l.Count
	}
	for _, l := range stock.Lots {
		require.InDelta(t, l.Count, want[l.Lot], 1e-9,
			"lot %d: what was taken and what is left make what there was", l.Lot)
	}
}
