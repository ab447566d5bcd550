package shop

import (
	"fmt"
	"math"
	"slices"

	"sparewright/inventory"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/purchase"
	"sparewright/substitute/seats"
)

// cart turns builds of several targets into a problem of the solver, and its solutions into a
// shopping list.
type cart struct {
	snapshot inventory.Snapshot
	bench    *advise.Workbench
	targets  []substitute.Target
	book     *priceBook
	lots     map[int64]inventory.Lot
	builds   [][]substitute.Build // of each target
	met      map[string]*gathering

	at    map[string]int // place of each item
	items []cartItem
	goods []purchase.Item
}

// cartItem is how an item is written on the list.
type cartItem struct {
	role                           seats.ID
	designation, requirement, unit string
	priced                         bool
	measured                       bool // no shop has another
}

func newCart(s inventory.Snapshot, targets []substitute.Target, book *priceBook) *cart {
	c := &cart{snapshot: s, bench: advise.NewWorkbench(s), targets: targets, book: book,
		lots: map[int64]inventory.Lot{},
		builds: make([][]substitute.Build,
			len(targets)), met: map[string]*gathering{}, at: map[string]int{}}
	for _, l := range s.Lots {
		c.lots[l.ID] = l
	}
	return c
}

// gather collects the builds of one target from the whole drawer. It returns the refusals when
// there are none.
func (c *cart) gather(want int) []substitute.Refusal {
	t := c.targets[want]
	if why, bad := t.Unsuitable(); bad {
		return []substitute.Refusal{why}
	}
	key := fmt.Sprintf("%+v", t) // equal chargers are worked out once
	g := c.met[key]
	if g == nil {
		g = gatherBuilds(c.bench, t, c.book, len(c.targets) > 1, true, math.MaxInt64)
		advise.Rank(g.builds)
		c.met[key] = g
	}
	c.builds[want] = slices.Clone(g.builds)
	if len(g.builds) > 0 {
		return []substitute.Refusal{}
	}
	advise.SortRefusals(g.refused)
	refused := slices.Clone(g.refused[:min(1, len(g.refused))])
	c.bench.Cure(t, refused, false)
	return refused
}

// cartRounds bounds how often every charger is reconsidered; each round must have made the purchase
// cheaper to go on.
const cartRounds = 4

// mostSteps bounds the search for the cheapest of many candidates for many chargers: some seconds.
const mostSteps = 50_000

// settle finds the cheapest purchases. Where several chargers would take the same parts, each is
// worked out again from what the others leave in the drawer: first one after the other, then again
// until that makes nothing cheaper.
func (c *cart) settle() (found []purchase.Solution, proven bool) {
	for want := range c.builds {
		if len(c.builds[want]) == 0 {
			return nil, true
		}
	}
	if len(c.builds) == 1 {
		return c.solve(mostSolutions, math.MaxInt64)
	}
	best := purchase.Solution{Total: math.MaxInt64}
	if found, _ = c.solve(1, best.Total); len(found) > 0 {
		best = c.improve(found[0])
	}
	if best.Total > 0 {
		if turn := c.improve(c.inTurn()); turn.Total < best.Total {
			best = turn
		}
	}
	if found, proven = c.solve(mostSolutions, best.Total); len(found) == 0 {
		found = []purchase.Solution{best}
	}
	for _, b := range found[0].Buys {
		if c.items[b.Item].measured {
			return nil, proven
		}
	}
	return found, proven
}

// improve works the chargers of a purchase out again while that makes it cheaper.
func (c *cart) improve(best purchase.Solution) purchase.Solution {
	for round := 0; round < cartRounds && best.Total > 0; round++ {
		before := best.Total
		for want := range c.builds {
			if c.reconsider(want, best, c.adds(want, best)) {
				if found, _ := c.solve(1, best.Total); len(found) > 0 {
					best = found[0]
				}
			}
		}
		if best.Total == before {
			break
		}
	}
	return best
}

// adds is what one charger adds to the cost of a purchase.
func (c *cart) adds(want int, s purchase.Solution) purchase.Amount {
	p := c.problem()
	for other, i := range s.Chosen {
		if other != want {
			p.Wants = append(p.Wants, []purchase.Candidate{c.candidate(&c.builds[other][i])})
		}
	}
	p.Items = c.goods
	return s.Total - purchase.Solve(p, 1)[0].Total
}

// inTurn lets one charger after the other take what it needs, the cheapest build of each from what
// is left.
func (c *cart) inTurn() purchase.Solution {
	s := purchase.Solution{}
	for want := range c.builds {
		next := c.next(s, want)
		if want > 0 && next.Total > s.Total && c.reconsider(want, s, next.Total-s.Total) {
			next = c.next(s, want)
		}
		s = next
	}
	return s
}

// next adds to a purchase for the first chargers the build of one more that makes it dearer by
// least.
func (c *cart) next(s purchase.Solution, want int) purchase.Solution {
	best, at := purchase.Solution{Total: math.MaxInt64}, 0
	for i := range c.builds[want] {
		t := c.total(append(s.Chosen[:want:want], i))
		if t.Total < best.Total || t.Total == best.Total &&
			advise.Before(&c.builds[want][i], &c.builds[want][at]) {
			best, at = t, i
		}
	}
	return best
}

// total is the cheapest purchase for given builds of the first chargers.
func (c *cart) total(chosen []int) purchase.Solution {
	p := c.problem()
	p.Wants = make([][]purchase.Candidate, len(chosen))
	for want, i := range chosen {
		p.Wants[want] = []purchase.Candidate{c.candidate(&c.builds[want][i])}
	}
	p.Items = c.goods
	out := purchase.Solve(p, 1)[0]
	out.Chosen = slices.Clone(chosen)
	return out
}

// reconsider gathers builds of one target from what the others of a solution leave. It reports
// whether there are new ones, which stand behind those it had. What must cost more than most is of
// no use.
func (c *cart) reconsider(want int, s purchase.Solution, most purchase.Amount) bool {
	var others []substitute.Build
	for other := range s.Chosen {
		if other != want {
			others = append(others, c.builds[other][s.Chosen[other]])
		}
	}
	g := gatherBuilds(advise.NewWorkbench(without(c.snapshot, others)), c.targets[want], c.book,
		true, false, most)
	seen := map[string]bool{}
	for i := range c.builds[want] {
		seen[BoughtKey(&c.builds[want][i])+takenKey(&c.builds[want][i])] = true
	}
	before := len(c.builds[want])
	for _, b := range g.builds {
		if !seen[BoughtKey(&b)+takenKey(&b)] {
			c.builds[want] = append(c.builds[want], b)
		}
	}
	return len(c.builds[want]) > before
}

// without is the drawer when these builds have taken their parts.
func without(s inventory.Snapshot, builds []substitute.Build) inventory.Snapshot {
	taken := map[int64]float64{}
	for _, b := range builds {
		for _, u := range b.Parts {
			if u.Source == "drawer" {
				taken[u.Lot] += u.Quantity
			}
		}
	}
	s.Lots = slices.Clone(s.Lots)
	for i := range s.Lots {
		l := &s.Lots[i]
		l.SetAside = min(l.Count, inventory.RoundCount(l.SetAside+taken[l.ID]))
	}
	return s
}

// problem is a problem of the solver without wants. Items are entered with the candidates.
func (c *cart) problem() purchase.Problem {
	p := purchase.Problem{}
	for _, s := range c.book.sources {
		p.Sources = append(p.Sources, s.terms)
	}
	return p
}

// solve asks the solver for the cheapest purchases up to a ceiling over the builds gathered so far.
func (c *cart) solve(most int, ceiling purchase.Amount) ([]purchase.Solution, bool) {
	p := c.problem()
	p.Wants = make([][]purchase.Candidate, len(c.builds))
	liked := make([][]int, len(c.builds)) // builds of each target, best first
	for want, builds := range c.builds {
		for i := range builds {
			liked[want] = append(liked[want], i)
		}
		slices.SortStableFunc(liked[want],
			func(a, b int) int { return compareBuilds(&builds[a], &builds[b]) })
		for _, i := range liked[want] {
			p.Wants[want] = append(p.Wants[want], c.candidate(&builds[i]))
		}
	}
	p.Items = c.goods
	tidy, kept := purchase.Tidy(p)
	found, proven := purchase.SolveWithin(tidy, most, ceiling, mostSteps)
	for _, s := range found {
		for want := range s.Chosen {
			s.Chosen[want] = liked[want][kept[want][s.Chosen[want]]]
		}
	}
	return found, proven
}

func compareBuilds(a, b *substitute.Build) int {
	switch {
	case advise.Before(a, b):
		return -1
	case advise.Before(b, a):
		return 1
	}
	return 0
}

// candidate enters what a build takes: parts of the drawer by their lots, parts to buy by role and
// name.
func (c *cart) candidate(b *substitute.Build) purchase.Candidate {
	var out purchase.Candidate
	for _, u := range b.Parts {
		key, have, as := "buy|"+u.Role.String()+"|"+u.Designation, 0.0,
			cartItem{u.Role, u.Designation, u.Requirement, u.Unit, false, false}
		measured := false
		if l, ok := c.lots[u.Lot]; ok && u.Source == "drawer" {
			key, have, as.requirement = fmt.Sprint("lot|", u.Lot), l.Available(),
				"more of "+u.Designation
			measured = len(l.Measured) > 0
		}
		out = append(out, purchase.Demand{Item: c.item(key, thousandths(have), as, measured),
			Quantity: thousandths(u.Quantity)})
	}
	return out
}

// thousandths rounds to the steps in which the drawer counts.
func thousandths(q float64) purchase.Quantity { return purchase.Quantity(math.Round(q * 1000)) }

// unbuyable is what a thousandth of a part costs that cannot be bought: one whose measured value
// matters, of which no shop has another: far above any price. A purchase with such a line is none.
const unbuyable = 1_000_000 * purchase.Unit

// item is the place of an item, entered when it is new.
func (c *cart) item(key string, have purchase.Quantity, as cartItem, measured bool) int {
	at, seen := c.at[key]
	if !seen {
		at = len(c.items)
		c.at[key] = at
		var offers []purchase.Offer
		if offers, as.priced = c.book.offers(as.designation); measured {
			offers = []purchase.Offer{{Each: unbuyable}}
		}
		as.measured = measured
		c.items = append(c.items, as)
		c.goods = append(c.goods, purchase.Item{Have: have, Offers: offers})
	}
	return at
}
