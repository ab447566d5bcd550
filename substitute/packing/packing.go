// Package packing chooses from candidates that take parts of one stock so that together they are
// worth most. It knows nothing of chargers: candidates are numbered, stocks and amounts are whole
// numbers.
package packing

import (
	"cmp"
	"slices"
)

// Need is what a candidate takes of one stock.
type Need struct {
	Stock  int
	Amount int64
}

// Item is a candidate: one way to make a thing of a group. It may be chosen several times.
type Item struct {
	Group int
	Value int64 // above zero
	Needs []Need
}

// Problem is what to choose from. Limits is how many things of each group are wanted at most, Stock
// how much there is of each stock.
type Problem struct {
	Items  []Item
	Limits []int
	Stock  []int64
}

// Solution is how often each item is chosen. Bound is what no choice can exceed; it is the Value
// when the search was finished.
type Solution struct {
	Counts []int
	Value  int64
	Bound  int64
	Whole  bool // the search was finished: nothing is better
}

// Solve finds the best choice by branch and bound: items of most worth first, each as often as it
// fits, then less often. A branch is left when its bound does not exceed the best choice so far;
// the bound is the least of what the groups and what each single stock would allow if items could
// be split. stop, when not nil, is asked now and then; once it says yes the best choice so far is
// returned with the bound of what was left.
func Solve(p Problem, stop func() bool) Solution {
	s := solver{Problem: p, stop: stop, left: slices.Clone(p.Stock), wanted: slices.Clone(p.Limits),
		counts: make([]int, len(p.Items))}
	s.order = make([]int, len(p.Items))
	for i := range s.order {
		s.order[i] = i
	}
	slices.SortStableFunc(s.order, func(a, b int) int {
		return cmp.Compare(p.Items[b].Value, p.Items[a].Value)
	})
	s.best = Solution{Counts: make([]int, len(p.Items))}
	s.first()
	s.branch(0, 0)
	s.best.Whole = !s.stopped
	s.best.Bound = s.best.Value
	if s.stopped {
		s.best.Bound = max(s.best.Value, s.open)
	}
	return s.best
}

type solver struct {
	Problem
	stop    func() bool
	order   []int // items by falling value
	left    []int64
	wanted  []int // of each group, still
	counts  []int
	best    Solution
	open    int64 // bound of what was left when stopped
	nodes   int
	stopped bool
}

// first takes every item as often as it fits, most worth first: there is a choice however early the
// search is stopped. It is the first that branch comes to as well.
func (s *solver) first() {
	for _, i := range s.order {
		n := s.fits(&s.Items[i])
		s.take(i, n)
		s.best.Value += int64(n) * s.Items[i].Value
	}
	s.best.Counts = slices.Clone(s.counts)
	for _, i := range s.order {
		s.take(i, -s.counts[i])
	}
}

// askEvery is how many branches pass between two questions whether to stop.
const askEvery = 256

// branch decides on the items from place k of the order on; value is what the ones before it are
// worth.
func (s *solver) branch(k int, value int64) {
	if value > s.best.Value {
		s.best.Value = value
		s.best.Counts = slices.Clone(s.counts)
	}
	if k == len(s.order) {
		return
	}
	bound := value + s.bound(k)
	if bound <= s.best.Value {
		return
	}
	if s.nodes++; !s.stopped && s.stop != nil && s.nodes%askEvery == 1 {
		s.stopped = s.stop()
	}
	if s.stopped {
		s.open = max(s.open, bound)
		return
	}
	i := s.order[k]
	item := &s.Items[i]
	most := s.fits(item)
	s.take(i, most)
	for n := most; ; n-- {
		s.branch(k+1, value+int64(n)*item.Value)
		if n == 0 {
			return
		}
		s.take(i, -1)
	}
}

// fits is how often an item can be chosen from what is left.
func (s *solver) fits(item *Item) int {
	most := s.wanted[item.Group]
	for _, n := range item.Needs {
		if n.Amount > 0 {
			most = min(most, int(s.left[n.Stock]/n.Amount))
		}
	}
	return max(0, most)
}

func (s *solver) take(i, n int) {
	item := &s.Items[i]
	s.counts[i] += n
	s.wanted[item.Group] -= n
	for _, need := range item.Needs {
		s.left[need.Stock] -= int64(n) * need.Amount
	}
}

// bound is the most that the items from place k on can add.
func (s *solver) bound(k int) int64 {
	left := slices.Clone(s.wanted)
	total := int64(0)
	var usable []int
	for _, i := range s.order[k:] { // by falling value, so the first of a group is its best
		item := &s.Items[i]
		if s.fits(item) == 0 {
			continue
		}
		usable = append(usable, i)
		total += int64(left[item.Group]) * item.Value
		left[item.Group] = 0
	}
	for stock := range s.left {
		total = min(total, s.boundBy(stock, usable, total))
	}
	return total
}

// boundBy is the most that the items can add if only one stock counted: every thing of a group
// takes at least what its most sparing item takes of it and is worth at most what its best item is
// worth; the last one may be split.
func (s *solver) boundBy(stock int, usable []int, most int64) int64 {
	type ask struct {
		least int64 // of the stock
		worth int64
		n     int
	}
	asks := map[int]*ask{}
	for _, i := range usable {
		item := &s.Items[i]
		takes := int64(0)
		for _, n := range item.Needs {
			if n.Stock == stock {
				takes += n.Amount
			}
		}
		a := asks[item.Group]
		if a == nil {
			asks[item.Group] = &ask{takes, item.Value, s.wanted[item.Group]}
			continue
		}
		a.least, a.worth = min(a.least, takes), max(a.worth, item.Value)
	}
	var list []*ask
	for _, a := range asks {
		list = append(list, a)
	}
	// worth for the stock taken, most first, without division
	slices.SortFunc(list, func(a, b *ask) int {
		return cmp.Or(cmp.Compare(float64(b.worth)*float64(a.least),
			float64(a.worth)*float64(b.least)), cmp.Compare(b.worth, a.worth))
	})
	total, left := int64(0), s.left[stock]
	for _, a := range list {
		for range a.n {
			if total >= most {
				return most
			}
			if a.least <= left {
				left -= a.least
				total += a.worth
				continue
			}
			return total + int64(float64(a.worth)*float64(left)/float64(a.least)) + 1
		}
	}
	return total
}
