package substitute_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// ledgerRow is one printed result with our figure.
type ledgerRow struct {
	example publishedExample
	result  publishedResult
	figure  ledgerFigure
}

// agrees tells whether the figure and the print say the same.
func (r ledgerRow) agrees() bool {
	return slices.Contains([]string{byDigit, byFigure, bySpread, byChart}, r.figure.how)
}

// bounds tells whether one of the two is only a bound for the other, and holds.
func (r ledgerRow) bounds() bool {
	return slices.Contains([]string{byLimit, byBand, byCap}, r.figure.how)
}

// deviation is ours against the print in per cent; NaN where no single figure is compared.
func (r ledgerRow) deviation() float64 {
	return 100 * (r.figure.ours/r.result.value() - 1)
}

func (r ledgerRow) verdict() string {
	f := r.figure
	switch f.how {
	case byDigit:
		return "agrees"
	case byFigure:
		return "agrees, " + f.why
	case bySpread:
		return fmt.Sprintf("agrees within %.2g %%: %s", 100*f.rel, f.why)
	case byChart:
		return fmt.Sprintf("agrees within %.0f %%: %s", 100*f.rel, f.why)
	case byLimit:
		if over := r.deviation(); over > 0 {
			return fmt.Sprintf("%.1f %% over the limit: %s", over, f.why)
		}
		return "below the limit"
	case byBand:
		return fmt.Sprintf("inside our band %.4g to %.4g: %s", f.low, f.high, f.why)
	case byCap:
		return "envelope above: " + f.why
	case byWrong:
		return fmt.Sprintf("source wrong, %.4g is right: %s", f.right, f.why)
	}
	return "no figure of ours: " + f.why
}

// ledgerText writes the rows as a table in Markdown. Figures are cut to five digits, so that the
// last bit of a float, which differs between processors, never decides.
func ledgerText(rows []ledgerRow) string {
	var b strings.Builder
	b.WriteString("# Published worked examples against this program\n\n")
	b.WriteString("Written by `go test ./substitute -run TestWorkedExamples -update`; a plain " +
		"test run fails when this file is\n" +
		"not what it would write. Inputs and printed results are in worked-examples.json. A " +
		"result agrees when it lies within\n" +
		"one unit of its last printed digit; wider allowances are named with their reason in the " +
		"row. A bound is a guaranteed\n" +
		"limit, a band of ours or an envelope of ours: there no equality is claimed. Where the " +
		"source is wrong ours must not\n" +
		"be the printed figure.\n\n")
	writeTotals(&b, rows)
	for i, r := range rows {
		if i == 0 || rows[i-1].example.ID != r.example.ID {
			e := r.example
			fmt.Fprintf(&b, "\n## %s %s\n\n%s; %s.\n\n", e.ID, e.Title, e.Document, e.Place)
			b.WriteString("| result | ours | printed | unit | deviation | verdict " +
				"|\n|---|---:|---:|---|---:|---|\n")
		}
		ours, deviation := "", ""
		if !math.IsNaN(r.figure.ours) {
			ours = fmt.Sprintf("%.5g", r.figure.ours)
			deviation = percentText(r.deviation())
		}
		fmt.Fprintf(&b, "| %s | %s | %s | %s | %s | %s |\n",
			r.result.Name, ours, r.result.Printed, r.result.Unit, deviation, r.verdict())
	}
	return b.String()
}

// percentText has two decimals, and no minus sign before zero.
func percentText(p float64) string {
	s := fmt.Sprintf("%.2f %%", p)
	if s == "-0.00 %" {
		return "0.00 %"
	}
	return s
}

// writeTotals counts by group what became of the printed results, and the worst deviation among
// those that agree.
func writeTotals(b *strings.Builder, rows []ledgerRow) {
	var groups []string
	for _, r := range rows {
		if !slices.Contains(groups, r.example.Group) {
			groups = append(groups, r.example.Group)
		}
	}
	b.WriteString("| group | results | agree | bound holds | source wrong | no figure of ours |" +
		" worst deviation that agrees |\n" +
		"|---|---:|---:|---:|---:|---:|---|\n")
	for _, g := range append(groups, "") {
		name := g
		if g == "" {
			name = "all"
		}
		agree, bound, of, wrong, none, worst := 0, 0, 0, 0, 0, "none"
		far := -1.0
		for _, r := range rows {
			if g != "" && r.example.Group != g {
				continue
			}
			of++
			switch {
			case r.agrees():
				agree++
			case r.bounds():
				bound++
			case r.figure.how == byWrong:
				wrong++
			default:
				none++
			}
			if d := math.Abs(r.deviation()); r.agrees() && d > far+1e-6 {
				far = d
				worst = fmt.Sprintf("%s (%s %s)", percentText(r.deviation()),
					r.example.ID, r.result.Name)
			}
		}
		fmt.Fprintf(b, "| %s | %d | %d | %d | %d | %d | %s |\n", name, of, agree, bound,
			wrong, none, worst)
	}
}

// compareLedger holds the table on file against the rows, or writes it when -update is given.
func compareLedger(t *testing.T, rows []ledgerRow) {
	t.Helper()
	path := filepath.Join("..", "testdata", "reference", "worked-examples.md")
	want := ledgerText(rows)
	if *updateLedger {
		require.NoError(t, os.WriteFile(path, []byte(want), 0o644))
	}
	have, err := os.ReadFile(path)
	require.NoError(t, err)
	old := strings.Split(string(have), "\n")
	for i, line := range strings.Split(want, "\n") {
		same := i < len(old) && old[i] == line
		require.True(t, same, "worked-examples.md line %d is not what the test would write:\n%s",
			i+1, line)
	}
	require.Equal(t, want, string(have))
}
