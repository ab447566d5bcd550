// Package purchase finds the cheapest way to buy what several wanted things lack.
//
// Every want is met by one of its candidates; a candidate demands quantities of items. What is had of an item is free, what the
// demands of all chosen candidates together exceed it by is bought, each item at one of its offers. An offer has a price by
// quantity, or one for the line whatever the quantity, or both. Every source that sells something takes its postage once, and
// tops a purchase below its minimum order up to it. Plain whole numbers, no currency; knows neither parts nor chargers.
package purchase

import (
	"cmp"
	"math"
	"slices"
)

// Amount is an amount of money in ten-millionths of the unit: a price in ten-thousandths times a quantity in thousandths. It
// holds up to nine hundred thousand million.
type Amount int64

// Unit is one whole unit of money.
const Unit Amount = 10_000_000

// Quantity is a quantity in thousandths of a piece or metre.
type Quantity int64

// Offer is one way to buy an item.
type Offer struct {
	Source int    // index into Problem.Sources
	Each   Amount // for a thousandth of the item's unit
	Once   Amount // for the line, whatever the quantity
}

// cost of a quantity above 0.
func (o Offer) cost(q Quantity) Amount { return o.Once + o.Each*Amount(q) }

// Source sells.
type Source struct {
	Postage Amount // once, when anything is bought there
	Minimum Amount // parts worth less are charged as this much
}

// Item is something that candidates demand.
type Item struct {
	Have   Quantity
	Offers []Offer
}

// Demand is how much of an item a candidate takes.
type Demand struct {
	Item     int
	Quantity Quantity
}

// Candidate is one way to meet a want. An item may stand in several of its demands.
type Candidate []Demand

// Problem is all that is wanted and all that is offered. Wants[i] lists the candidates of want i, the most liked first.
type Problem struct {
	Sources []Source
	Items   []Item
	Wants   [][]Candidate
}

// Buy is one line of a solution.
type Buy struct {
	Item     int
	Offer    int
	Quantity Quantity
	Cost     Amount
}

// Bill is what one source charges.
type Bill struct {
	Source                int
	Parts, Postage, TopUp Amount
}

// Solution is one cheapest purchase.
type Solution struct {
	Chosen []int // candidate of each want
	Buys   []Buy // by item
	Bills  []Bill
	Total  Amount
}

// Solve returns the cheapest purchases, at most so many: all cost the same, first the one whose candidates are liked most, by
// the first want, then the second; then the first offers. None when some want cannot be met. The answer is exact: branch and
// bound over candidates and offers, first for the least cost, then for everything of that cost.
func Solve(p Problem, most int) []Solution {
	least := newSolver(p, 1)
	least.thrifty()
	least.want(0)
	if len(least.found) == 0 {
		return nil
	}
	all := newSolver(p, max(1, most))
	all.best = least.best
	all.want(0)
	return all.found
}

// solver is a search under way.
type solver struct {
	Problem
	most   int
	order  [][]int    // order in which the candidates of a want are tried
	rest   []Amount   // least that the wants from here on cost, whatever was chosen before
	taken  []Quantity // of each item by the candidates chosen so far
	chosen []int
	best   Amount
	found  []Solution

	lines []line // what is to be bought, while offers are chosen
	spent []Amount
	used  []bool
	offer []int
}

// line is an item to be bought. still is the least that the lines from here on cost, could what they could bring each source.
type line struct {
	item     int
	quantity Quantity
	still    Amount
	could    []Amount
}

func newSolver(p Problem, most int) *solver {
	s := &solver{Problem: p, most: most, taken: make([]Quantity, len(p.Items)), chosen: make([]int, len(p.Wants)), best: math.MaxInt64,
		spent: make([]Amount, len(p.Sources)), used: make([]bool, len(p.Sources))}
	shared := s.shared()
	s.rest = make([]Amount, len(p.Wants)+1)
	for w, all := range p.Wants {
		s.order = append(s.order, make([]int, len(all)))
		for c := range all {
			s.order[w][c] = c
		}
	}
	for w := len(p.Wants) - 1; w >= 0; w-- {
		least := Amount(math.MaxInt64)
		for _, c := range p.Wants[w] {
			least = min(least, s.alone(c, shared))
		}
		s.rest[w] = plus(least, s.rest[w+1])
	}
	return s
}

// plus adds without running over.
func plus(a, b Amount) Amount {
	if a > math.MaxInt64-b {
		return math.MaxInt64
	}
	return a + b
}

// shared marks the items that more than one want demands.
func (s *solver) shared() []bool {
	by := make([]int, len(s.Items)) // last want seen, from 1
	out := make([]bool, len(s.Items))
	for w, all := range s.Wants {
		for _, c := range all {
			for _, d := range c {
				out[d.Item] = out[d.Item] || by[d.Item] != 0 && by[d.Item] != w+1
				by[d.Item] = w + 1
			}
		}
	}
	return out
}

// alone is the least a candidate costs, sources left out: with all there is had for it, and lines shared with another want
// paid by that one.
func (s *solver) alone(c Candidate, shared []bool) Amount {
	sum := Amount(0)
	need := map[int]Quantity{}
	for _, d := range c {
		need[d.Item] += d.Quantity
	}
	for item, q := range need {
		if over := q - s.Items[item].Have; over > 0 {
			sum = plus(sum, s.cheapest(item, over, !shared[item]))
		}
	}
	return sum
}

// cheapest is the least a line costs, sources left out.
func (s *solver) cheapest(item int, q Quantity, once bool) Amount {
	least := Amount(math.MaxInt64)
	for _, o := range s.Items[item].Offers {
		if !once {
			o.Once = 0
		}
		least = min(least, o.cost(q))
	}
	return least
}

// thrifty tries the candidates that cost least by themselves first.
func (s *solver) thrifty() {
	none := make([]bool, len(s.Items))
	for w, all := range s.Wants {
		cost := make([]Amount, len(all))
		for c := range all {
			cost[c] = s.alone(all[c], none)
		}
		slices.SortStableFunc(s.order[w], func(a, b int) int { return cmp.Compare(cost[a], cost[b]) })
	}
}

// hopeless reports that nothing at this cost or above is wanted any more.
func (s *solver) hopeless(least Amount) bool {
	return least > s.best || least == s.best && len(s.found) >= s.most
}

// want chooses a candidate for the wants from w on.
func (s *solver) want(w int) {
	bought := s.bought()
	if bought == math.MaxInt64 || s.rest[w] == math.MaxInt64 || s.hopeless(s.bound(bought, w)) {
		return
	}
	if w == len(s.Wants) {
		s.settle()
		return
	}
	for _, c := range s.order[w] {
		s.chosen[w] = c
		for _, d := range s.Wants[w][c] {
			s.taken[d.Item] += d.Quantity
		}
		s.want(w + 1)
		for _, d := range s.Wants[w][c] {
			s.taken[d.Item] -= d.Quantity
		}
	}
}

// bought is the least that the candidates chosen so far cost, sources left out.
func (s *solver) bought() Amount {
	sum := Amount(0)
	for i, q := range s.taken {
		if over := q - s.Items[i].Have; over > 0 {
			sum = plus(sum, s.cheapest(i, over, true))
		}
	}
	return sum
}

// bound is the least any completion costs. Where anything at all must be bought, some source sells it: at least the smallest
// postage is due, and the smallest minimum.
func (s *solver) bound(bought Amount, w int) Amount {
	parts := plus(bought, s.rest[w])
	any := parts > 0
	for i, q := range s.taken {
		any = any || q > s.Items[i].Have
	}
	if !any {
		return 0
	}
	least := Amount(math.MaxInt64)
	for _, source := range s.Sources {
		least = min(least, plus(source.Postage, max(source.Minimum, parts)))
	}
	return least
}

// settle chooses the offers for what the chosen candidates lack.
func (s *solver) settle() {
	s.lines = s.lines[:0]
	for i, q := range s.taken {
		if over := q - s.Items[i].Have; over > 0 {
			s.lines = append(s.lines, line{item: i, quantity: over})
		}
	}
	still, could := Amount(0), make([]Amount, len(s.Sources))
	for k := len(s.lines) - 1; k >= 0; k-- {
		l := &s.lines[k]
		still = plus(still, s.cheapest(l.item, l.quantity, true))
		most := make([]Amount, len(s.Sources))
		for _, o := range s.Items[l.item].Offers {
			most[o.Source] = max(most[o.Source], o.cost(l.quantity))
		}
		for i := range could {
			could[i] = plus(could[i], most[i])
		}
		l.still, l.could = still, slices.Clone(could)
	}
	s.offer = make([]int, len(s.lines))
	clear(s.spent)
	clear(s.used)
	s.buy(0, 0)
}

// buy chooses an offer for the lines from k on; parts is what the lines before cost.
func (s *solver) buy(k int, parts Amount) {
	if k == len(s.lines) {
		s.finish(parts)
		return
	}
	if s.hopeless(s.outlook(k, parts)) {
		return
	}
	l := s.lines[k]
	for i, o := range s.Items[l.item].Offers {
		before := s.used[o.Source]
		cost := o.cost(l.quantity)
		s.used[o.Source], s.offer[k] = true, i
		s.spent[o.Source] += cost
		s.buy(k+1, parts+cost)
		s.spent[o.Source] -= cost
		s.used[o.Source] = before
	}
}

// outlook is the least that this choice of offers up to line k comes to. A top-up is certain only as far as the remaining
// lines could not fill it.
func (s *solver) outlook(k int, parts Amount) Amount {
	sum := plus(parts, s.lines[k].still)
	for i, source := range s.Sources {
		if s.used[i] {
			sum += source.Postage + max(0, source.Minimum-s.spent[i]-s.lines[k].could[i])
		}
	}
	return sum
}

// finish keeps a whole purchase if it is among the cheapest.
func (s *solver) finish(parts Amount) {
	out := Solution{Chosen: slices.Clone(s.chosen), Total: parts}
	for i, source := range s.Sources {
		if s.used[i] {
			b := Bill{Source: i, Parts: s.spent[i], Postage: source.Postage, TopUp: max(0, source.Minimum-s.spent[i])}
			out.Bills = append(out.Bills, b)
			out.Total += b.Postage + b.TopUp
		}
	}
	if s.hopeless(out.Total) {
		return
	}
	for k, l := range s.lines {
		out.Buys = append(out.Buys, Buy{l.item, s.offer[k], l.quantity, s.Items[l.item].Offers[s.offer[k]].cost(l.quantity)})
	}
	if out.Total < s.best {
		s.best, s.found = out.Total, nil
	}
	s.found = append(s.found, out)
}
