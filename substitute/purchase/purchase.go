// Package purchase finds the cheapest way to buy what several wanted things lack.
//
// Every want is met by one of its candidates; a candidate demands quantities of items. What is had
// of an item is free, what the demands of all chosen candidates together exceed it by is bought,
// each item at one of its offers. An offer has a price by quantity, or one for the line whatever
// the quantity, or both. Every source that sells something takes its postage once, and tops a
// purchase below its minimum order up to it. Plain whole numbers, no currency; knows neither parts
// nor chargers.
package purchase

import (
	"cmp"
	"math"
	"slices"
)

// Amount is an amount of money in ten-millionths of the unit: a price in ten-thousandths times a
// quantity in thousandths. It holds up to nine hundred thousand million.
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

// Problem is all that is wanted and all that is offered. Wants[i] lists the candidates of want i,
// the most liked first.
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

// Solve returns the cheapest purchases, at most so many: all cost the same, first the one whose
// candidates are liked most, by the first want, then the second; then the first offers. None when
// some want cannot be met. The answer is exact: branch and bound over candidates and offers, first
// for the least cost, then for everything of that cost.
func Solve(p Problem, most int) []Solution {
	found, _ := SolveWithin(p, most, math.MaxInt64, math.MaxInt)
	return found
}

// SolveWithin is Solve for purchases of at most ceiling, which gives up after so many steps of
// either search. Proven is false when it did: then there may be cheaper ones, or none was found
// though there are some.
func SolveWithin(p Problem, most int, ceiling Amount, steps int) (found []Solution, proven bool) {
	least := newSolver(p, 1)
	least.thrift, least.best, least.steps = true, ceiling, steps
	least.want(0)
	if len(least.found) == 0 {
		return nil, least.steps > 0
	}
	all := newSolver(p, max(1, most))
	all.best, all.steps = least.best, steps
	all.want(0)
	if len(all.found) == 0 {
		return least.found, false
	}
	return all.found, least.steps > 0
}

// solver is a search under way.
type solver struct {
	Problem
	most   int
	steps  int           // left to take
	thrift bool          // candidates that add least are tried first, else those liked most
	shared []bool        // items that more than one want demands
	each   []Amount      // least price of an item by quantity
	once   []Amount      // least price of its line
	taken  []Quantity    // of each item by the candidates chosen so far
	wants  [][]Candidate // with demands added up
	chosen []int
	best   Amount
	found  []Solution

	lines []line // what is to be bought, while offers are chosen
	spent []Amount
	used  []bool
	offer []int
}

// line is an item to be bought. still is the least that the lines from here on cost, could what
// they could bring each source.
type line struct {
	item     int
	quantity Quantity
	still    Amount
	could    []Amount
}

func newSolver(p Problem, most int) *solver {
	s := &solver{Problem: p, most: most, taken: make([]Quantity, len(p.Items)),
		chosen: make([]int, len(p.Wants)),
		best:   math.MaxInt64, spent: make([]Amount, len(p.Sources)), used: make([]bool,
			len(p.Sources))}
	s.wants = make([][]Candidate, len(p.Wants))
	for w, all := range p.Wants {
		for _, c := range all {
			s.wants[w] = append(s.wants[w], summed(c))
		}
	}
	s.share()
	for _, item := range p.Items {
		each, once := Amount(math.MaxInt64), Amount(math.MaxInt64)
		for _, o := range item.Offers {
			each, once = min(each, o.Each), min(once, o.Once)
		}
		s.each, s.once = append(s.each, each), append(s.once, once)
	}
	return s
}

// summed is a candidate with the demands of one item added up, by item.
func summed(c Candidate) Candidate {
	out := slices.Clone(c)
	slices.SortFunc(out, func(a, b Demand) int { return a.Item - b.Item })
	n := 0
	for _, d := range out {
		if n > 0 && out[n-1].Item == d.Item {
			out[n-1].Quantity += d.Quantity
			continue
		}
		out[n] = d
		n++
	}
	return out[:n]
}

// plus adds without running over.
func plus(a, b Amount) Amount {
	if a > math.MaxInt64-b {
		return math.MaxInt64
	}
	return a + b
}

// share marks the items that more than one want demands.
func (s *solver) share() {
	by := make([]int, len(s.Items)) // last want seen, from 1
	s.shared = make([]bool, len(s.Items))
	for w, all := range s.wants {
		for _, c := range all {
			for _, d := range c {
				s.shared[d.Item] = s.shared[d.Item] || by[d.Item] != 0 && by[d.Item] != w+1
				by[d.Item] = w + 1
			}
		}
	}
}

// adds is the least that a candidate adds to what was chosen before, sources left out, so that the
// sums for several wants may be added: what an item costs by quantity never falls short of the sum
// of the parts, and its line is paid once, here shared out among the wants that are left.
func (s *solver) adds(c Candidate, left int) Amount {
	sum := Amount(0)
	for _, d := range c {
		before := s.taken[d.Item] - s.Items[d.Item].Have
		over := before + d.Quantity
		switch {
		case over <= 0:
		case len(s.Items[d.Item].Offers) == 0:
			return math.MaxInt64
		case !s.shared[d.Item]:
			sum = plus(sum, s.cheapest(d.Item, over))
		case before > 0:
			sum = plus(sum, s.each[d.Item]*Amount(d.Quantity))
		default:
			sum = plus(sum, s.each[d.Item]*Amount(over)+s.once[d.Item]/Amount(left))
		}
	}
	return sum
}

// rest is the least that the wants from w on add.
func (s *solver) rest(w int) Amount {
	sum := Amount(0)
	for at := w; at < len(s.wants); at++ {
		least := Amount(math.MaxInt64)
		for _, c := range s.wants[at] {
			if least = min(least, s.adds(c, len(s.wants)-w)); least == 0 {
				break
			}
		}
		sum = plus(sum, least)
	}
	return sum
}

// cheapest is the least a line costs, sources left out.
func (s *solver) cheapest(item int, q Quantity) Amount {
	least := Amount(math.MaxInt64)
	for _, o := range s.Items[item].Offers {
		least = min(least, o.cost(q))
	}
	return least
}

// hopeless reports that nothing at this cost or above is wanted any more.
func (s *solver) hopeless(least Amount) bool {
	return least > s.best || least == s.best && len(s.found) >= s.most
}

// want chooses a candidate for the wants from w on.
func (s *solver) want(w int) {
	s.steps--
	bought := s.bought()
	if bought == math.MaxInt64 || s.steps <= 0 {
		return
	}
	rest := s.rest(w)
	if rest == math.MaxInt64 || s.hopeless(s.bound(bought, rest)) {
		return
	}
	if w == len(s.wants) {
		s.settle()
		return
	}
	for _, c := range s.order(w) {
		s.chosen[w] = c
		for _, d := range s.wants[w][c] {
			s.taken[d.Item] += d.Quantity
		}
		s.want(w + 1)
		for _, d := range s.wants[w][c] {
			s.taken[d.Item] -= d.Quantity
		}
	}
}

// order lists the candidates of a want in the order in which they are tried.
func (s *solver) order(w int) []int {
	out := make([]int, len(s.wants[w]))
	for c := range out {
		out[c] = c
	}
	if s.thrift {
		cost := make([]Amount, len(out))
		for c := range out {
			cost[c] = s.adds(s.wants[w][c], 1)
		}
		slices.SortStableFunc(out, func(a, b int) int { return cmp.Compare(cost[a], cost[b]) })
	}
	return out
}

// bought is the least that the candidates chosen so far cost, sources left out.
func (s *solver) bought() Amount {
	sum := Amount(0)
	for i, q := range s.taken {
		if over := q - s.Items[i].Have; over > 0 {
			sum = plus(sum, s.cheapest(i, over))
		}
	}
	return sum
}

// bound is the least any completion costs. Where anything at all must be bought, some source sells
// it, with its postage and its minimum; and what the chosen candidates lack comes from a source
// that has it.
func (s *solver) bound(bought, rest Amount) Amount {
	parts, postage, any := plus(bought, rest), Amount(0), false
	for i, q := range s.taken {
		if q <= s.Items[i].Have {
			continue
		}
		any = true
		least := Amount(math.MaxInt64)
		for _, o := range s.Items[i].Offers {
			least = min(least, s.Sources[o.Source].Postage)
		}
		postage = max(postage, least)
	}
	if !any && parts == 0 {
		return 0
	}
	least := Amount(math.MaxInt64)
	for _, source := range s.Sources {
		least = min(least, plus(source.Postage, max(source.Minimum, parts)))
	}
	return max(least, plus(parts, postage))
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
		still = plus(still, s.cheapest(l.item, l.quantity))
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
	if s.steps--; s.steps <= 0 || s.hopeless(s.outlook(k, parts)) {
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

// outlook is the least that this choice of offers up to line k comes to. A top-up is certain only
// as far as the remaining lines could not fill it.
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
			b := Bill{Source: i, Parts: s.spent[i], Postage: source.Postage,
				TopUp: max(0, source.Minimum-s.spent[i])}
			out.Bills = append(out.Bills, b)
			out.Total += b.Postage + b.TopUp
		}
	}
	if s.hopeless(out.Total) {
		return
	}
	for k, l := range s.lines {
		out.Buys = append(out.Buys, Buy{l.item, s.offer[k], l.quantity,
			s.Items[l.item].Offers[s.offer[k]].cost(l.quantity)})
	}
	if out.Total < s.best {
		s.best, s.found = out.Total, nil
	}
	s.found = append(s.found, out)
}
