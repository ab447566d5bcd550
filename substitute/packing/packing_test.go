package packing

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/testdata/outside"
)

// draw makes a small problem: two to four groups, up to twelve items, up to five stocks.
func draw(rng *rand.Rand) Problem {
	p := Problem{Limits: make([]int, 2+rng.IntN(3)), Stock: make([]int64, 2+rng.IntN(4))}
	for i := range p.Limits {
		p.Limits[i] = 1 + rng.IntN(3)
	}
	for i := range p.Stock {
		p.Stock[i] = int64(rng.IntN(9))
	}
	for range 3 + rng.IntN(10) {
		item := Item{Group: rng.IntN(len(p.Limits)), Value: 1 + rng.Int64N(200)}
		for stock := range p.Stock {
			if n := rng.Int64N(4); n > 0 {
				item.Needs = append(item.Needs, Need{stock, n})
			}
		}
		p.Items = append(p.Items, item)
	}
	return p
}

// lawful holds a choice against the limits and its value.
func lawful(t *testing.T, p Problem, s Solution) {
	t.Helper()
	groups, stock, value := slices.Clone(p.Limits), slices.Clone(p.Stock), int64(0)
	for i, n := range s.Counts {
		require.GreaterOrEqual(t, n, 0)
		groups[p.Items[i].Group] -= n
		value += int64(n) * p.Items[i].Value
		for _, need := range p.Items[i].Needs {
			stock[need.Stock] -= int64(n) * need.Amount
		}
	}
	for _, left := range groups {
		require.GreaterOrEqual(t, left, 0)
	}
	for _, left := range stock {
		require.GreaterOrEqual(t, left, int64(0))
	}
	require.Equal(t, value, s.Value)
}

// model writes the problem in the CPLEX LP format, which glpsol reads.
func model(p Problem) string {
	var b strings.Builder
	sum := func(term func(i int) int64) {
		any := false
		for i := range p.Items {
			if v := term(i); v != 0 {
				fmt.Fprintf(&b, " + %d x%d", v, i)
				any = true
			}
		}
		if !any {
			b.WriteString(" 0 x0")
		}
	}
	b.WriteString("Maximize\n value:")
	sum(func(i int) int64 { return p.Items[i].Value })
	b.WriteString("\nSubject To\n")
	for g, n := range p.Limits {
		fmt.Fprintf(&b, " group%d:", g)
		sum(func(i int) int64 {
			if p.Items[i].Group == g {
				return 1
			}
			return 0
		})
		fmt.Fprintf(&b, " <= %d\n", n)
	}
	for s, n := range p.Stock {
		fmt.Fprintf(&b, " stock%d:", s)
		sum(func(i int) int64 {
			for _, need := range p.Items[i].Needs {
				if need.Stock == s {
					return need.Amount
				}
			}
			return 0
		})
		fmt.Fprintf(&b, " <= %d\n", n)
	}
	b.WriteString("Bounds\n")
	for i := range p.Items {
		fmt.Fprintf(&b, " x%d <= 9\n", i)
	}
	b.WriteString("General\n")
	for i := range p.Items {
		fmt.Fprintf(&b, " x%d", i)
	}
	b.WriteString("\nEnd\n")
	return b.String()
}

// Two hundred small problems against an outside solver, the GNU linear programming kit: the
// objective values are equal.
func TestSolveAgainstGlpsol(t *testing.T) {
	outside.Need(t, "glpsol")
	dir := t.TempDir()
	objective := regexp.MustCompile(`Objective:\s+value = (\d+)`)
	rng := rand.New(rand.NewPCG(7, 11))
	chosen := 0
	for round := range 200 {
		p := draw(rng)
		in, out := filepath.Join(dir, "p.lp"), filepath.Join(dir, "p.txt")
		require.NoError(t, os.WriteFile(in, []byte(model(p)), 0o600))
		said, err := exec.Command("glpsol", "--lp", in, "-o", out).CombinedOutput()
		require.NoError(t, err, "%s", said)
		report, err := os.ReadFile(out)
		require.NoError(t, err)
		require.Contains(t, string(report), "INTEGER OPTIMAL")
		found := objective.FindStringSubmatch(string(report))
		require.NotNil(t, found, "%s", report)
		want, err := strconv.ParseInt(found[1], 10, 64)
		require.NoError(t, err)
		got := Solve(p, nil)
		lawful(t, p, got)
		require.True(t, got.Whole)
		require.Equal(t, want, got.Value, "round %d\n%s", round, model(p))
		if got.Value > 0 {
			chosen++
		}
	}
	require.Greater(t, chosen, 150, "most problems must have something to choose")
}

// every tries all choices.
func every(p Problem, i int, groups []int, stock []int64) int64 {
	if i == len(p.Items) {
		return 0
	}
	best := every(p, i+1, groups, stock)
	item := p.Items[i]
	if groups[item.Group] == 0 {
		return best
	}
	g, s := slices.Clone(groups), slices.Clone(stock)
	g[item.Group]--
	for _, n := range item.Needs {
		if s[n.Stock] -= n.Amount; s[n.Stock] < 0 {
			return best
		}
	}
	return max(best, item.Value+every(p, i, g, s))
}

// Against plain enumeration; and stopped at any moment, what is returned is lawful and the bound is
// none too low.
func TestSolveAgainstEnumeration(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 5))
	cut := 0
	for range 300 {
		p := draw(rng)
		want := every(p, 0, p.Limits, p.Stock)
		got := Solve(p, nil)
		lawful(t, p, got)
		require.Equal(t, want, got.Value)
		require.Equal(t, want, got.Bound)

		early := Solve(p, func() bool { return true })
		lawful(t, p, early)
		require.GreaterOrEqual(t, early.Bound, want)
		require.Equal(t, want > 0, early.Value > 0,
			"something is chosen at once wherever anything fits")
		if !early.Whole {
			cut++
		}
	}
	require.Positive(t, cut)
}

func TestSolveOfNothing(t *testing.T) {
	require.Equal(t, Solution{Counts: []int{}, Whole: true}, Solve(Problem{}, nil))
	one := Problem{Items: []Item{{Group: 0, Value: 5}}, Limits: []int{3}}
	require.Equal(t, Solution{Counts: []int{3}, Value: 15, Bound: 15, Whole: true}, Solve(one, nil),
		"what takes nothing is made as often as wanted")
}
