// Package plan chooses which of several wanted chargers to build from one drawer, every part used
// once.
package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"sparewright/inventory"
	"sparewright/substitute"
	"sparewright/substitute/packing"
	"sparewright/substitute/seats"
)

// Want is a charger wanted so many times.
type Want struct {
	Target substitute.Target `json:"target"`
	Count  int               `json:"count"`
}

// PlanOptions bound the work of a plan.
type PlanOptions struct {
	Stop func() bool // asked before every search; yes ends the gathering; nil = never
	// searches made so far and how many are expected, a guess; may be nil
	Progress func(done, of int)
}

// Plan is several builds from one drawer, each part used once.
type Plan struct {
	Wanted   int           `json:"wanted"`
	Built    int           `json:"built"`
	AtMost   int           `json:"at_most"`    // no choice of builds makes more, see PlanFor
	Finished bool          `json:"finished"`   // the gathering and the choice were not cut off
	Margin   float64       `json:"margin_sum"` // margins of all builds added, whole percents each
	Loss     float64       `json:"loss_w"`
	Lines    []PlanLine    `json:"lines"`
	Purchase *PlanPurchase `json:"purchase"`
	Searched PlanSearched  `json:"searched"`
	Cautions []string      `json:"cautions"`
}

// PlanLine is one wanted charger with the builds that were found for it.
type PlanLine struct {
	Target substitute.Target  `json:"target"`
	Wanted int                `json:"wanted"`
	Builds []substitute.Build `json:"builds"`
	// why not more, from what the plan leaves in the drawer
	Missing []substitute.Refusal `json:"obstacle"`
	Alone   bool                 `json:"buildable_alone"`
}

// PlanPurchase is the one line to buy after which most can be built.
type PlanPurchase struct {
	Role        seats.ID `json:"role"`
	Designation string   `json:"designation"`
	Requirement string   `json:"requirement,omitempty"`
	Quantity    float64  `json:"quantity"`
	Unit        string   `json:"unit"`
	Built       int      `json:"built"` // chargers that can be built then
	Unlocks     []string `json:"unlocks"`
}

// PlanSearched counts the work.
type PlanSearched struct {
	Searches   int `json:"searches"`
	Candidates int `json:"candidates"`
}

// Worth of a candidate in one number: a charger built counts above all margins, a percent of margin
// above all losses. mostWanted keeps the sums apart.
const (
	mostWanted   = 50
	WorthBuilt   = int64(1e12)
	worthPercent = int64(1e7) // above 50 chargers of 190 W lost
)

func Worth(b *substitute.Build) int64 {
	percent := int64(math.Round(100 * max(0, min(1, b.Score.Margin))))
	return WorthBuilt + percent*worthPercent -
		min(int64(math.Round(b.Score.Loss*1e3)), worthPercent/mostWanted-1)
}

// PlanFor allocates the drawer so that most of the wanted chargers are built, then with the largest
// sum of margins, then with the least loss. It gathers candidates by searching again and again in
// what other builds leave, and chooses from them exactly; see gatherer. AtMost follows from what
// carries a power stage (switchers, cores, transformers, whole adapters) and serves each charger
// alone, and from the parts every charger of a kind needs one of: it holds whatever was gathered.
func PlanFor(wants []Want, s inventory.Snapshot, o PlanOptions) Plan {
	g := newGatherer(merge(wants), s, o)
	g.run()
	best := g.choose(g.candidates)
	p := Plan{AtMost: g.atMost(), Finished: best.Whole && !g.cut, Lines: []PlanLine{},
		Cautions: []string{}}
	left := g.leave(best, -1)
	for i, w := range g.wants {
		line := PlanLine{Target: w.Target, Wanted: w.Count, Builds: []substitute.Build{},
			Missing: []substitute.Refusal{}, Alone: g.alone[i]}
		p.Wanted += w.Count
		for k, n := range best.Counts {
			c := &g.candidates[k]
			for range n {
				if c.group == i {
					line.Builds = append(line.Builds, *c.build)
					p.Margin += math.Round(100*c.build.Score.Margin) / 100
					p.Loss += c.build.Score.Loss
				}
			}
		}
		p.Built += len(line.Builds)
		if len(line.Builds) < w.Count {
			line.Missing = g.obstacle(i, left)
		}
		for _, c := range substitute.Cautions(w.Target) {
			if !slices.Contains(p.Cautions, c) {
				p.Cautions = append(p.Cautions, c)
			}
		}
		p.Lines = append(p.Lines, line)
	}
	p.Purchase = g.purchase(p.Built)
	p.Searched = PlanSearched{g.searches, len(g.candidates)}
	numberBuilds(p.Lines)
	return p
}

// numberBuilds gives the builds of a plan one running number.
func numberBuilds(lines []PlanLine) {
	n := 0
	for i := range lines {
		for k := range lines[i].Builds {
			n++
			lines[i].Builds[k].Rank = n
		}
	}
}

// merge adds equal wishes together, in the order they come.
func merge(wants []Want) []Want {
	var out []Want
	for _, w := range wants {
		if i := slices.IndexFunc(out, func(o Want) bool {
			return sameTarget(o.Target, w.Target)
		}); i >= 0 {
			out[i].Count += w.Count
			continue
		}
		out = append(out, w)
	}
	return out
}

func sameTarget(a, b substitute.Target) bool { return TargetKey(a) == TargetKey(b) }

func TargetKey(t substitute.Target) string {
	box := ""
	if t.Box != nil {
		box = fmt.Sprint(*t.Box)
	}
	return fmt.Sprint(t.Chemistry, t.Duty, t.Cells, t.Current, t.MainsMin, t.MainsMax, t.Line,
		t.Case, t.Ambient, box)
}

// Claims is what the builds of a plan take, each under the name with its number.
func (p *Plan) Claims(name string, s inventory.Snapshot) []inventory.Claim {
	var out []inventory.Claim
	for i := range p.Lines {
		for k := range p.Lines[i].Builds {
			b := &p.Lines[i].Builds[k]
			out = append(out, inventory.Claim{Purpose: fmt.Sprintf("%s %d", name, b.Rank),
				Draws: b.Draws(s)})
		}
	}
	return out
}

// offer is one build for one of the wishes.
type offer struct {
	group int
	build *substitute.Build
	draws []inventory.Draw
	line  *substitute.PartUse // what must be bought for it; nil when nothing
}

// drawsKey tells candidates apart that take different parts.
func drawsKey(group int, draws []inventory.Draw) string {
	var b strings.Builder
	fmt.Fprint(&b, group)
	for _, d := range draws {
		fmt.Fprintf(&b, "|%d:%g", d.Lot, d.Count)
	}
	return b.String()
}

// problem writes candidates out for the packing. Amounts are thousandths, of a piece or a metre.
func (g *gatherer) problem(cs []offer) packing.Problem {
	p := packing.Problem{Limits: make([]int, len(g.wants))}
	for i, w := range g.wants {
		p.Limits[i] = w.Count
	}
	at := map[int64]int{}
	for _, l := range g.snapshot.Lots {
		at[l.ID] = len(p.Stock)
		p.Stock = append(p.Stock, int64(math.Round(1000*max(0, l.Available()))))
	}
	for _, c := range cs {
		item := packing.Item{Group: c.group, Value: Worth(c.build)}
		for _, d := range c.draws {
			item.Needs = append(item.Needs,
				packing.Need{Stock: at[d.Lot], Amount: int64(math.Round(1000 * d.Count))})
		}
		p.Items = append(p.Items, item)
	}
	return p
}
