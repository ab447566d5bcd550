package shop

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"sparewright/substitute"
	"sparewright/substitute/purchase"
)

// receipt writes the solutions of a cart out: list, bills, alternatives.
type receipt struct{ *cart }

// write writes the answer out, the first solution as the list to buy, the others beside it.
func (c receipt) write(p *Purchase, found []purchase.Solution) {
	best := found[0]
	p.Then = c.chosen(best, 0)
	for i := range p.Also {
		p.Also[i].Then = c.chosen(best, i+1)
	}
	p.Buy, p.Bills = c.list(best), c.bills(best)
	p.Cost, p.Lines = money(best.Total-c.unpricedCost(best)), len(p.Buy)
	seen := map[string]bool{listKey(p.Buy): true}
	for _, s := range found[1:] {
		a := Alternative{Buy: c.list(s), Bills: c.bills(s), Build: c.inShort(s)}
		if key := listKey(a.Buy); seen[key] {
			continue
		} else if seen[key] = true; len(p.Alternatives) == mostAlternatives {
			p.More = true
			break
		}
		p.Alternatives = append(p.Alternatives, a)
	}
}

func (c receipt) chosen(s purchase.Solution, want int) *substitute.Build {
	b := c.builds[want][s.Chosen[want]]
	b.Rank = 1
	if c.book.given && b.Score.Missing > 0 {
		b.Score.Cost = money(c.book.cost(&b)) // alone; together they may share postage
	}
	return &b
}

// inShort names the switcher and core of every charger of a solution.
func (c receipt) inShort(s purchase.Solution) string {
	var out []string
	for want := range s.Chosen {
		b := c.chosen(s, want)
		out = append(out, b.Switcher.Designation+" on "+b.Core.Designation)
	}
	return strings.Join(out, "; ")
}

// list writes the shopping list, in the order of the parts lists.
func (c receipt) list(s purchase.Solution) []BuyLine {
	out := []BuyLine{}
	for _, b := range s.Buys {
		as := c.items[b.Item]
		line := BuyLine{Role: as.role, Designation: as.designation,
			Requirement: cmp.Or(as.requirement, as.designation),
			Quantity: float64(b.Quantity) /
				1000, Unit: as.unit, Cost: money(b.Cost), Priced: as.priced}
		if c.book.given && !as.priced {
			line.Cost = 0
		}
		line.Source = c.book.sources[c.goods[b.Item].Offers[b.Offer].Source].name
		out = append(out, line)
	}
	slices.SortStableFunc(out, func(a, b BuyLine) int { return c.place(s, a) - c.place(s, b) })
	return out
}

// place is where a line stands in the parts lists of a solution.
func (c receipt) place(s purchase.Solution, l BuyLine) int {
	n := 0
	for want := range s.Chosen {
		for _, u := range c.builds[want][s.Chosen[want]].Parts {
			if n++; u.Role == l.Role && u.Designation == l.Designation {
				return n
			}
		}
	}
	return n
}

func (c receipt) bills(s purchase.Solution) []Bill {
	var out []Bill
	for _, b := range s.Bills {
		if b.Source == 0 {
			b.Parts -= c.unpricedCost(s)
		}
		if c.book.given && b.Parts+b.Postage+b.TopUp > 0 {
			out = append(out, Bill{Source: c.book.sources[b.Source].name, Parts: money(b.Parts),
				Postage: money(b.Postage),
				TopUp:   money(b.TopUp)})
		}
	}
	return out
}

func money(a purchase.Amount) float64 { return float64(a) / float64(purchase.Unit) }

// cost is what a build costs alone.
func (b *priceBook) cost(build *substitute.Build) purchase.Amount {
	c := &cart{book: b, at: map[string]int{},
		builds: [][]substitute.Build{{{Parts: substitute.ToBuy(build.Parts)}}}}
	if found, _ := c.solve(1, math.MaxInt64); len(found) > 0 {
		return found[0].Total - receipt{c}.unpricedCost(found[0])
	}
	return math.MaxInt64
}

// listKey is equal for lists that a buyer cannot tell apart.
func listKey(lines []BuyLine) string {
	var out []string
	for _, l := range lines {
		out = append(out, fmt.Sprint(l.Designation, "|", l.Quantity, "|", l.Source))
	}
	slices.Sort(out)
	return strings.Join(out, "\n")
}

// BoughtKey is equal for builds that buy the same.
func BoughtKey(b *substitute.Build) string {
	var out []string
	for _, u := range substitute.ToBuy(b.Parts) {
		out = append(out, fmt.Sprint(u.Role, "|", u.Designation, "|", u.Quantity))
	}
	slices.Sort(out)
	return strings.Join(out, "\n")
}

// takenKey is equal for builds that take the same from the drawer.
func takenKey(b *substitute.Build) string {
	var out []string
	for _, u := range b.Parts {
		if u.Source == "drawer" {
			out = append(out, fmt.Sprint(u.Lot, "|", u.Quantity))
		}
	}
	slices.Sort(out)
	return "\n\n" + strings.Join(out, "\n")
}
