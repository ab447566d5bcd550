package purchase

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sparewright/testdata/outside"
)

// draw makes a random problem: prices in whole units, quantities in whole pieces, so that the
// totals are small whole numbers and ties are frequent.
func draw(r *rand.Rand) Problem {
	p := Problem{}
	for range 1 + r.IntN(4) {
		s := Source{Postage: Unit * Amount(r.IntN(5))}
		if r.IntN(2) == 0 {
			s.Minimum = Unit * Amount(r.IntN(25))
		}
		p.Sources = append(p.Sources, s)
	}
	for range 2 + r.IntN(9) {
		i := Item{Have: 1000 * Quantity(max(0, r.IntN(5)-2))}
		for s := range p.Sources {
			if r.IntN(3) > 0 {
				o := Offer{Source: s, Each: Unit / 1000 * Amount(1+r.IntN(8))}
				if r.IntN(4) == 0 {
					o.Each, o.Once = 0, Unit*Amount(1+r.IntN(6))
				}
				i.Offers = append(i.Offers, o)
				if r.IntN(5) == 0 { // a second designation that serves as well
					o.Each += Unit / 1000 * Amount(r.IntN(2))
					i.Offers = append(i.Offers, o)
				}
			}
		}
		p.Items = append(p.Items, i)
	}
	for range 1 + r.IntN(3) {
		var all []Candidate
		for range 1 + r.IntN(6) {
			var c Candidate
			for range 1 + r.IntN(4) {
				c = append(c, Demand{r.IntN(len(p.Items)), 1000 * Quantity(1+r.IntN(3))})
			}
			all = append(all, c)
		}
		p.Wants = append(p.Wants, all)
	}
	return p
}

// model writes the problem as a linear programme in whole numbers, in the format of CPLEX: x
// chooses candidates, q is what is bought of an item, z and y choose the offer and its quantity, u
// marks the sources used, t tops up. Money in whole units.
func model(p Problem) string {
	var obj, rows, binary, bounds []string
	money := func(a Amount) string {
		return strconv.FormatFloat(float64(a)/float64(Unit), 'f', -1,
			64)
	}
	row := func(terms []string, rest string) {
		rows = append(rows, strings.Join(terms, " ")+" "+rest)
	}
	const big = 1000
	demand := make([][]string, len(p.Items))
	for w, all := range p.Wants {
		var one []string
		for c, demands := range all {
			x := fmt.Sprintf("x_%d_%d", w, c)
			binary = append(binary, x)
			one = append(one, "+ "+x)
			sum := map[int]Quantity{}
			for _, d := range demands {
				sum[d.Item] += d.Quantity
			}
			for item := range p.Items {
				if sum[item] > 0 {
					demand[item] = append(demand[item], fmt.Sprintf("- %d %s", sum[item]/1000, x))
				}
			}
		}
		row(one, "= 1")
	}
	spent := make([][]string, len(p.Sources))
	used := make([][]string, len(p.Sources))
	for i, item := range p.Items {
		sum := []string{}
		var one []string
		for o, offer := range item.Offers {
			y, z := fmt.Sprintf("y_%d_%d", i, o), fmt.Sprintf("z_%d_%d", i, o)
			binary = append(binary, z)
			obj = append(obj, "+ "+money(offer.Each*1000)+" "+y, "+ "+money(offer.Once)+" "+z)
			row([]string{y, "- " + strconv.Itoa(big), z}, "<= 0")
			sum = append(sum, "+ "+y)
			one = append(one, "+ "+z)
			spent[offer.Source] = append(spent[offer.Source], "+ "+money(offer.Each*1000)+" "+y,
				"+ "+money(offer.Once)+" "+z)
			used[offer.Source] = append(used[offer.Source], z)
		}
		if terms := append(sum, demand[i]...); len(terms) > 0 {
			row(terms, fmt.Sprintf(">= %d", -item.Have/1000))
		}
		if len(one) > 0 {
			row(one, "<= 1")
		}
	}
	for s, source := range p.Sources {
		u, top := fmt.Sprintf("u_%d", s), fmt.Sprintf("t_%d", s)
		binary = append(binary, u)
		obj = append(obj, "+ "+money(source.Postage)+" "+u, "+ "+top)
		bounds = append(bounds, top+" >= 0")
		for _, z := range used[s] {
			row([]string{z, "- " + u}, "<= 0")
		}
		row(append([]string{"+ " + top, "- " + money(source.Minimum) + " " + u}, spent[s]...),
			">= 0")
	}
	return "Minimize\n cost: " + strings.Join(obj, "\n ") + "\nSubject To\n " +
		strings.Join(rows, "\n ") + "\nBounds\n " +
		strings.Join(bounds, "\n ") + "\nBinary\n " + strings.Join(binary, "\n ") + "\nEnd\n"
}

// optimum asks glpsol. It is positive infinity when there is none.
func optimum(t testing.TB, text string) float64 {
	t.Helper()
	name := filepath.Join(t.TempDir(), "m.lp")
	require.NoError(t, os.WriteFile(name, []byte(text), 0o600))
	out, err := exec.Command("glpsol", "--lp", name, "-o", name+".out").CombinedOutput()
	require.NoError(t, err, "%s", out)
	answer, err := os.ReadFile(name + ".out")
	require.NoError(t, err)
	status := regexp.MustCompile(`(?m)^Status: +(.+)$`).FindSubmatch(answer)
	require.NotNil(t, status, "%s", answer)
	switch state := string(bytes.TrimSpace(status[1])); state {
	case "INTEGER OPTIMAL":
	case "INTEGER EMPTY", "INTEGER UNDEFINED":
		return math.Inf(1)
	default:
		t.Fatalf("glpsol: %s\n%s", state, text)
	}
	m := regexp.MustCompile(`(?m)^Objective: +cost = ([-0-9.e+]+)`).FindSubmatch(answer)
	require.NotNil(t, m, "%s", answer)
	v, err := strconv.ParseFloat(string(m[1]), 64)
	require.NoError(t, err)
	return v
}

// TestCheapestEqualsGLPK holds the cost of 200 random purchases against a general solver of linear
// programmes in whole numbers (glpsol of GLPK). Costs are compared, not choices: ties are frequent.
// All money is whole units, glpsol's own tolerance 1e-6.
func TestCheapestEqualsGLPK(t *testing.T) {
	outside.Need(t, "glpsol")
	r := rand.New(rand.NewPCG(44, 2))
	impossible, paid, topped := 0, 0, 0
	for i := range 200 {
		p := draw(r)
		want := optimum(t, model(p))
		got := Solve(p, 50)
		if math.IsInf(want, 1) {
			require.Empty(t, got, "case %d", i)
			impossible++
			continue
		}
		require.NotEmpty(t, got, "case %d", i)
		for _, s := range got {
			require.InDelta(t, want, float64(s.Total)/float64(Unit), 1e-5, "case %d\n%+v", i, p)
			checkBill(t, p, s)
		}
		if got[0].Total > 0 {
			paid++
		}
		for _, b := range got[0].Bills {
			if b.TopUp > 0 {
				topped++
				break
			}
		}
	}
	require.Greater(t, paid, 100)
	require.Greater(t, topped, 10)
	require.Greater(t, impossible, 5)
}

// checkBill adds a solution up again from the problem alone.
func checkBill(t *testing.T, p Problem, s Solution) {
	t.Helper()
	need := make([]Quantity, len(p.Items))
	for w, c := range s.Chosen {
		for _, d := range p.Wants[w][c] {
			need[d.Item] += d.Quantity
		}
	}
	spent, used := map[int]Amount{}, map[int]bool{}
	for _, b := range s.Buys {
		o := p.Items[b.Item].Offers[b.Offer]
		require.Equal(t, need[b.Item]-p.Items[b.Item].Have, b.Quantity)
		require.Equal(t, o.Once+o.Each*Amount(b.Quantity), b.Cost)
		spent[o.Source] += b.Cost
		used[o.Source] = true
		need[b.Item] -= b.Quantity
	}
	for i, q := range need {
		require.LessOrEqual(t, q, p.Items[i].Have, "item %d is short", i)
	}
	total := Amount(0)
	for source := range used {
		total += p.Sources[source].Postage + max(spent[source], p.Sources[source].Minimum)
	}
	require.Equal(t, total, s.Total)
	require.Len(t, s.Bills, len(used))
}

// TestAllOfTheCheapestAreNamed holds the number of equally cheap purchases against the plain
// enumeration of every choice.
func TestAllOfTheCheapestAreNamed(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 12))
	several := 0
	for range 400 {
		p := draw(r)
		want, least := 0, Amount(math.MaxInt64)
		everyChoice(p, func(total Amount) {
			if total < least {
				want, least = 0, total
			}
			if total == least {
				want++
			}
		})
		got := Solve(p, 100_000)
		require.Len(t, got, want)
		if want > 0 {
			require.Equal(t, least, got[0].Total)
		}
		if want > 1 {
			several++
		}
		if want > 3 {
			require.Equal(t, got[:3], Solve(p, 3))
		}
	}
	require.Greater(t, several, 50)
}

// everyChoice reports the total of every choice of candidates and offers.
func everyChoice(p Problem, report func(Amount)) {
	need := make([]Quantity, len(p.Items))
	var want func(w int)
	var buy func(item int, spent []Amount, used []bool)
	want = func(w int) {
		if w == len(p.Wants) {
			buy(0, make([]Amount, len(p.Sources)), make([]bool, len(p.Sources)))
			return
		}
		for _, c := range p.Wants[w] {
			for _, d := range c {
				need[d.Item] += d.Quantity
			}
			want(w + 1)
			for _, d := range c {
				need[d.Item] -= d.Quantity
			}
		}
	}
	buy = func(item int, spent []Amount, used []bool) {
		if item == len(p.Items) {
			total := Amount(0)
			for s := range used {
				if used[s] {
					total += p.Sources[s].Postage + max(spent[s], p.Sources[s].Minimum)
				}
			}
			report(total)
			return
		}
		over := need[item] - p.Items[item].Have
		if over <= 0 {
			buy(item+1, spent, used)
			return
		}
		for _, o := range p.Items[item].Offers {
			s2, u2 := append([]Amount{}, spent...), append([]bool{}, used...)
			s2[o.Source] += o.Once + o.Each*Amount(over)
			u2[o.Source] = true
			buy(item+1, s2, u2)
		}
	}
	want(0)
}

// TestPurchaseByHand: two chargers each want a core (one had). Buying the second core costs 3 with
// 2 postage at the first source, whose minimum of 10 makes it 12; at the second source it costs 6
// with 1 postage: 7. The other way to build the second charger wants a film, 4 at the first source:
// 10 + 2 = 12. So 7, and both have the first candidate.
func TestPurchaseByHand(t *testing.T) {
	p := Problem{
		Sources: []Source{{Postage: 2 * Unit, Minimum: 10 * Unit}, {Postage: Unit}},
		Items: []Item{
			{Have: 1000, Offers: []Offer{{Source: 0, Each: 3 * Unit / 1000},
				{Source: 1, Each: 6 * Unit / 1000}}},
			{Offers: []Offer{{Source: 0, Each: 4 * Unit / 1000}}},
		},
		Wants: [][]Candidate{{{{0, 1000}}}, {{{0, 1000}}, {{1, 1000}}}},
	}
	got := Solve(p, 5)
	require.Len(t, got, 1)
	require.Equal(t, Solution{Chosen: []int{0, 0},
		Buys:  []Buy{{Item: 0, Offer: 1, Quantity: 1000, Cost: 6 * Unit}},
		Bills: []Bill{{Source: 1, Parts: 6 * Unit, Postage: Unit}}, Total: 7 * Unit}, got[0])
	require.Empty(t, Solve(Problem{Items: []Item{{}}, Wants: [][]Candidate{{{{0, 1}}}}}, 1))
	require.Len(t, Solve(Problem{}, 1), 1)
}

// TestTidyChangesNothing: the tidied problem costs the same and its first answer stands for the
// same candidates.
func TestTidyChangesNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	smaller := 0
	for range 500 {
		p := draw(r)
		tidy, kept := Tidy(p)
		want, got := Solve(p, 1), Solve(tidy, 1)
		require.Len(t, got, len(want))
		for w := range p.Wants {
			if len(kept[w]) < len(p.Wants[w]) {
				smaller++
			}
		}
		if len(want) == 0 {
			continue
		}
		require.Equal(t, want[0].Total, got[0].Total)
		for w := range got[0].Chosen {
			require.Equal(t, want[0].Chosen[w], kept[w][got[0].Chosen[w]])
		}
	}
	require.Greater(t, smaller, 100)
}

// BenchmarkSolve solves 200 random purchases with all that are equally cheap. Its floor,
// glpsol-ns/op, is GLPK for the same 200, cost only, one process for each.
func BenchmarkSolve(b *testing.B) {
	r := rand.New(rand.NewPCG(44, 2))
	var all []Problem
	for range 200 {
		all = append(all, draw(r))
	}
	for b.Loop() {
		for i := range all {
			Solve(all[i], 20)
		}
	}
	start := time.Now()
	for i := range all {
		optimum(b, model(all[i]))
	}
	b.ReportMetric(float64(time.Since(start).Nanoseconds()), "glpsol-ns/op")
}
