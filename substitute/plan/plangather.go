package plan

import (
	"fmt"
	"slices"

	"sparewright/inventory"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/packing"
)

// gatherer collects builds for several wishes from one drawer. A build names particular lots
// although others may serve as well, so the builds of the whole drawer alone would get into each
// other's way: the search is asked again in what others leave.
//
//  1. Every charger alone: all builds from the whole drawer.
//  2. Every order of the wishes, as far as mostOrders go: one after the other takes its best build
//     from what is left; of few
//     wishes the first takes each of its best few in turn.
//  3. Rounds: from the best choice so far, every build is asked for anew in what the others leave,
//     and every charger still
//     wanted in what all leave, and in what all but one leave. A round that finds nothing new ends
//     the gathering.
//
// The gathering ends after mostRounds in any case: Finished says that it was not cut off by the
// caller.
type gatherer struct {
	wants      []Want
	snapshot   inventory.Snapshot
	opts       PlanOptions
	candidates []offer
	lacking    []offer // builds that need one line bought
	seen       map[string]bool
	alone      []bool
	whole      []substitute.Result // of every wish, from the whole drawer
	answers    map[string]substitute.Result
	searches   int
	cut        bool
	expected   int // searches, a guess
}

// How much is gathered. mostOrders covers all orders of three different chargers.
const (
	mostOrders = 6
	mostRounds = 6
	perSearch  = 60 // builds kept of one search
	// up to so many chargers all builds of every step are kept and the first takes several, else
	// the best
	wholeDives = 3
	widest     = 16 // builds the first of them takes, shared among the chargers
)

func newGatherer(wants []Want, s inventory.Snapshot, o PlanOptions) *gatherer {
	return &gatherer{wants: wants, snapshot: inventory.Snapshot{Lots: s.Sorted().Usable().Lots},
		opts: o, seen: map[string]bool{},
		answers: map[string]substitute.Result{}, alone: make([]bool, len(wants))}
}

// stopped notes that the time is up.
func (g *gatherer) stopped() bool {
	if !g.cut && g.opts.Stop != nil && g.opts.Stop() {
		g.cut = true
	}
	return g.cut
}

// How much one search looks for: the best build only, all builds, or all builds and what could be
// bought.
type depth int

const (
	bestOnly depth = iota
	allBuilds
	withShelf
)

func (d depth) options() advise.Options {
	switch d {
	case bestOnly:
		return advise.Options{Builds: 1, Refused: 1, Drawer: true, Quiet: true}
	case allBuilds:
		return advise.Options{Builds: 1000, Refused: 1, Drawer: true, Quiet: true}
	}
	return advise.Options{Builds: 1000, Refused: 1}
}

// ask searches for one wish in a drawer from which something was taken; the same question is
// searched once.
func (g *gatherer) ask(i int, taken []inventory.Draw, d depth) substitute.Result {
	key := fmt.Sprint(d, " ") + drawsKey(i, taken)
	if r, known := g.answers[key]; known {
		return r
	}
	if g.stopped() {
		return substitute.Result{}
	}
	g.searches++
	if g.opts.Progress != nil {
		g.opts.Progress(g.searches, max(g.searches, g.expected))
	}
	o := d.options()
	if d == allBuilds && len(taken) > 0 {
		o.Builds = perSearch
	}
	r := advise.Advise(g.wants[i].Target, g.snapshot.Without(taken), o)
	if len(taken) > 0 { // of the whole drawer all are kept, since the bound is reckoned from them
		r.Builds = r.Builds[:min(len(r.Builds), perSearch)]
	}
	g.answers[key] = r
	for k := range r.Builds {
		g.offer(i, &r.Builds[k])
	}
	return r
}

// offer notes a build once: one from the drawer as a candidate, one that lacks a single line for
// the purchase.
func (g *gatherer) offer(i int, b *substitute.Build) {
	draws := b.Draws(g.snapshot)
	lines := b.ToBuy()
	key := drawsKey(i, draws)
	if len(lines) == 1 {
		key += "|buy " + lines[0].Role.String() + lines[0].Designation
	}
	if g.seen[key] || len(lines) > 1 {
		return
	}
	g.seen[key] = true
	if len(lines) == 1 {
		g.lacking = append(g.lacking, offer{group: i, build: b, draws: draws, line: &lines[0]})
		return
	}
	g.candidates = append(g.candidates, offer{group: i, build: b, draws: draws})
}

// run gathers.
func (g *gatherer) run() {
	g.whole = make([]substitute.Result, len(g.wants))
	for i := range g.wants {
		g.whole[i] = g.ask(i, nil, withShelf)
		g.alone[i] = advise.AnyFeasible(g.whole[i].Builds)
	}
	orders := g.orders()
	for _, order := range orders {
		g.expected += len(order)
	}
	for _, order := range orders {
		g.dive(order)
	}
	for range mostRounds {
		before := len(g.candidates)
		if g.stopped() {
			return
		}
		g.improve(g.choose(g.candidates))
		if len(g.candidates) == before {
			return
		}
	}
}

// dive lets the wishes take their builds one after the other: the first each of its best few, those
// after it the best of what is left.
func (g *gatherer) dive(order []int) {
	if len(order) == 0 {
		return
	}
	d, width := bestOnly, 1
	if len(order) <= wholeDives {
		d, width = allBuilds, widest/len(order)
	}
	for k := range min(width, g.feasible(order[0])) {
		taken := g.whole[order[0]].Builds[k].Draws(g.snapshot)
		for _, i := range order[1:] {
			if r := g.ask(i, taken, d); advise.AnyFeasible(r.Builds) { // they come first
				taken = inventory.Gather(append(taken, r.Builds[0].Draws(g.snapshot)...),
					g.snapshot)
			}
		}
	}
}

// feasible is how many builds a wish has from the whole drawer.
func (g *gatherer) feasible(i int) (n int) {
	for k := range g.whole[i].Builds {
		if g.whole[i].Builds[k].Verdict == substitute.Feasible {
			n++
		}
	}
	return n
}

// orders lists the orders of the wished chargers that are tried: all different ones while they are
// few, else each turned to the front, forwards and backwards.
func (g *gatherer) orders() [][]int {
	var all []int
	for i, w := range g.wants {
		for range w.Count {
			if g.alone[i] {
				all = append(all, i)
			}
		}
	}
	if out := Permutations(all, mostOrders); out != nil {
		return out
	}
	var out [][]int
	for k := range all {
		turned := append(slices.Clone(all[k:]), all[:k]...)
		back := slices.Clone(turned)
		slices.Reverse(back)
		out = append(out, turned, back)
		if len(out) >= mostOrders {
			break
		}
	}
	return out
}

// Permutations lists the different orders of a list with repetitions, nil when there are more than
// most.
func Permutations(list []int, most int) [][]int {
	var out [][]int
	list = slices.Clone(list)
	slices.Sort(list)
	for {
		if len(out) == most {
			return nil
		}
		out = append(out, slices.Clone(list))
		i := len(list) - 2
		for i >= 0 && list[i] >= list[i+1] {
			i--
		}
		if i < 0 {
			return out
		}
		j := len(list) - 1
		for list[j] <= list[i] {
			j--
		}
		list[i], list[j] = list[j], list[i]
		slices.Reverse(list[i+1:])
	}
}

// choose finds the best of the candidates.
func (g *gatherer) choose(cs []offer) packing.Solution {
	return packing.Solve(g.problem(cs), g.opts.Stop)
}

// leave is what a choice takes, but for one use of the candidate at place except (below 0: of
// none).
func (g *gatherer) leave(s packing.Solution, except int) []inventory.Draw {
	var taken []inventory.Draw
	for k, n := range s.Counts {
		if k == except {
			n--
		}
		for range n {
			taken = append(taken, g.candidates[k].draws...)
		}
	}
	return inventory.Gather(taken, g.snapshot)
}

// improve asks again around the best choice.
func (g *gatherer) improve(s packing.Solution) {
	built := make([]int, len(g.wants))
	for k, n := range s.Counts {
		built[g.candidates[k].group] += n
	}
	var open []int
	for i, w := range g.wants {
		if built[i] < w.Count && g.alone[i] {
			open = append(open, i)
			g.ask(i, g.leave(s, -1), allBuilds)
		}
	}
	// longer lists of candidates do not matter: Counts is that of the choice
	for k, n := range s.Counts {
		if n == 0 {
			continue
		}
		others := g.leave(s, k)
		g.ask(g.candidates[k].group, others, allBuilds)
		for _, i := range open {
			// this one in its place, the ousted one beside it
			if r := g.ask(i, others, bestOnly); advise.AnyFeasible(r.Builds) {
				g.ask(g.candidates[k].group,
					inventory.Gather(append(slices.Clone(others), r.Builds[0].Draws(g.snapshot)...),
						g.snapshot), bestOnly)
			}
		}
	}
}

// obstacle is the nearest refusal of a wish in what the plan leaves, or what it would have to buy.
func (g *gatherer) obstacle(i int, left []inventory.Draw) []substitute.Refusal {
	r := g.ask(i, left, withShelf)
	if len(r.Builds) > 0 {
		buy := r.Builds[0].ToBuy()
		if len(buy) > 0 {
			why := "needs " + buy[0].Designation
			if len(buy) > 1 {
				why += fmt.Sprintf(" and %d more", len(buy)-1)
			}
			return []substitute.Refusal{
				{Check: buy[0].Role.String(), Why: why, Cure: "buy " + buy[0].Designation}}
		}
	}
	return append([]substitute.Refusal{}, r.Refused[:min(1, len(r.Refused))]...)
}
