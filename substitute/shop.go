package substitute

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"sparewright/inventory"
	"sparewright/substitute/purchase"
)

// Purchase is what to buy so that the wanted chargers can be built, all of them at once.
type Purchase struct {
	Target   Target    `json:"target"` // the first
	Buy      []BuyLine `json:"buy"`
	Cost     float64   `json:"cost"` // parts, postage and top-up
	Lines    int       `json:"lines"`
	Then     *Build    `json:"then"` // of the first
	Refused  []Refusal `json:"refused"`
	Cautions []string  `json:"cautions"`

	Priced       bool          `json:"priced"` // by a price list; else every line costs one
	Bills        []Bill        `json:"bills,omitempty"`
	Also         []Further     `json:"also,omitempty"`
	Alternatives []Alternative `json:"alternatives,omitempty"`
	More         bool          `json:"more_alternatives,omitempty"` // there are others that cost the same
}

// BuyLine is one line of the shopping list. Cost is one a line where no price is given for it.
type BuyLine struct {
	Role        string  `json:"role"`
	Designation string  `json:"designation"`
	Requirement string  `json:"requirement"`
	Quantity    float64 `json:"quantity"`
	Unit        string  `json:"unit"`
	Cost        float64 `json:"cost"`
	Source      string  `json:"source,omitempty"`
	Priced      bool    `json:"priced"`
}

// Bill is what one source charges. TopUp brings a small purchase up to its minimum order.
type Bill struct {
	Source  string  `json:"source"`
	Parts   float64 `json:"parts_cost"`
	Postage float64 `json:"postage"`
	TopUp   float64 `json:"top_up"`
}

// Further is another charger of the same purchase.
type Further struct {
	Target  Target    `json:"target"`
	Then    *Build    `json:"then"`
	Refused []Refusal `json:"refused"`
}

// Alternative is another purchase of the same cost.
type Alternative struct {
	Buy   []BuyLine `json:"buy"`
	Bills []Bill    `json:"bills,omitempty"`
	Build string    `json:"build"` // what is built then, in short
}

// ShopOptions say more of a purchase.
type ShopOptions struct {
	Prices inventory.PriceList
	Also   []Target // further chargers to be built at once, each from its own parts
}

// mostAlternatives is how many other purchases of the same cost are named.
const mostAlternatives = 12

// mostSolutions is how many solutions are looked at for that; some are the same list for another build.
const mostSolutions = 200

// Shop finds the cheapest purchase that makes the target buildable, with all further targets of the options at once: parts of
// the drawer and parts bought serve one charger only. Without prices every line costs one, so that the shortest list wins.
// Among equal costs the best margins decide, and the others are named. An empty list means that nothing need be bought; no build
// means that no purchase of up to two kinds helps. The answer is exact over the builds gathered, see gathering.
func Shop(t Target, s inventory.Snapshot, o ShopOptions) Purchase {
	w := NewWorkbench(s)
	targets := append([]Target{t}, o.Also...)
	cart := newCart(w, newPriceBook(o.Prices))
	p := Purchase{Target: t, Buy: []BuyLine{}, Refused: []Refusal{}, Cautions: Cautions(t), Priced: cart.book.given}
	met := true
	for i, target := range targets {
		refused := cart.want(w, target, len(targets) > 1)
		met = met && len(cart.builds[i]) > 0
		if i == 0 {
			p.Refused = refused
			continue
		}
		p.Also = append(p.Also, Further{Target: target, Refused: refused})
		p.Cautions = merged(p.Cautions, Cautions(target))
	}
	if met {
		cart.fill(&p)
	}
	return p
}

// merged adds the texts that are not there yet.
func merged(have, more []string) []string {
	for _, m := range more {
		if !slices.Contains(have, m) {
			have = append(have, m)
		}
	}
	return have
}

// cart turns builds into a problem of the solver, and its solutions into a shopping list.
type cart struct {
	book    *priceBook
	problem purchase.Problem
	at      map[string]int // place of each item
	items   []cartItem
	builds  [][]Build // of each target, best first
	groups  map[int64]group
}

// cartItem is how an item is written on the list.
type cartItem struct {
	role, designation, requirement, unit string
	priced                               bool
}

func newCart(w *Workbench, book *priceBook) *cart {
	c := &cart{book: book, at: map[string]int{}, groups: w.drawer.groups()}
	for _, s := range book.sources {
		c.problem.Sources = append(c.problem.Sources, s.terms)
	}
	return c
}

// want gathers the builds of one more target. It returns the refusals when there are none.
func (c *cart) want(w *Workbench, t Target, several bool) []Refusal {
	if why, bad := t.unsuitable(); bad {
		c.builds = append(c.builds, nil)
		return []Refusal{why}
	}
	g := w.gather(t, c.book, several)
	rank(g.builds)
	c.builds = append(c.builds, g.builds)
	var all []purchase.Candidate
	for i := range g.builds {
		all = append(all, c.candidate(&g.builds[i]))
	}
	c.problem.Wants = append(c.problem.Wants, all)
	if len(g.builds) > 0 {
		return []Refusal{}
	}
	sortRefusals(g.refused)
	refused := g.refused[:min(1, len(g.refused))]
	w.cure(t, refused, false)
	return refused
}

// candidate enters what a build takes: parts of the drawer by what they are, since equal parts of any lot will do, and parts to
// buy by role and name.
func (c *cart) candidate(b *Build) purchase.Candidate {
	var out purchase.Candidate
	for _, u := range b.Parts {
		item := -1
		if g, ok := c.groups[u.Lot]; ok && u.Source == "drawer" {
			item = c.item("drawer|"+g.key, thousandths(g.count), cartItem{u.Role, u.Designation, "more of " + u.Designation, u.Unit, false})
		} else {
			item = c.item("buy|"+u.Role+"|"+u.Designation, 0, cartItem{u.Role, u.Designation, u.Requirement, u.Unit, false})
		}
		out = append(out, purchase.Demand{Item: item, Quantity: thousandths(u.Quantity)})
	}
	return out
}

// thousandths rounds to the steps in which the drawer counts.
func thousandths(q float64) purchase.Quantity { return purchase.Quantity(math.Round(q * 1000)) }

// item is the place of an item, entered when it is new.
func (c *cart) item(key string, have purchase.Quantity, as cartItem) int {
	at, seen := c.at[key]
	if !seen {
		at = len(c.items)
		c.at[key] = at
		var offers []purchase.Offer
		offers, as.priced = c.book.offers(as.designation)
		c.items = append(c.items, as)
		c.problem.Items = append(c.problem.Items, purchase.Item{Have: have, Offers: offers})
	}
	return at
}

// fill solves and writes the answer out.
func (c *cart) fill(p *Purchase) {
	tidy, kept := purchase.Tidy(c.problem)
	found := purchase.Solve(tidy, mostSolutions)
	if len(found) == 0 {
		return
	}
	for _, s := range found {
		for want := range s.Chosen {
			s.Chosen[want] = kept[want][s.Chosen[want]]
		}
	}
	best := found[0]
	p.Then = c.chosen(best, 0)
	for i := range p.Also {
		p.Also[i].Then = c.chosen(best, i+1)
	}
	p.Buy, p.Bills = c.list(best), c.bills(best)
	p.Cost, p.Lines = money(best.Total), len(p.Buy)
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

func (c *cart) chosen(s purchase.Solution, want int) *Build {
	b := c.builds[want][s.Chosen[want]]
	b.Rank = 1
	return &b
}

// inShort names the switcher and core of every charger of a solution.
func (c *cart) inShort(s purchase.Solution) string {
	var out []string
	for want := range s.Chosen {
		b := c.chosen(s, want)
		out = append(out, b.Switcher.Designation+" on "+b.Core.Designation)
	}
	return strings.Join(out, "; ")
}

// list writes the shopping list, in the order of the parts lists.
func (c *cart) list(s purchase.Solution) []BuyLine {
	out := []BuyLine{}
	for _, b := range s.Buys {
		as := c.items[b.Item]
		line := BuyLine{Role: as.role, Designation: as.designation, Requirement: cmp.Or(as.requirement, as.designation),
			Quantity: float64(b.Quantity) / 1000, Unit: as.unit, Cost: money(b.Cost), Priced: as.priced}
		line.Source = c.book.sources[c.problem.Items[b.Item].Offers[b.Offer].Source].name
		out = append(out, line)
	}
	slices.SortStableFunc(out, func(a, b BuyLine) int { return c.place(s, a) - c.place(s, b) })
	return out
}

// place is where a line stands in the parts lists of a solution.
func (c *cart) place(s purchase.Solution, l BuyLine) int {
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

func (c *cart) bills(s purchase.Solution) []Bill {
	var out []Bill
	for _, b := range s.Bills {
		if c.book.given {
			out = append(out, Bill{Source: c.book.sources[b.Source].name, Parts: money(b.Parts), Postage: money(b.Postage), TopUp: money(b.TopUp)})
		}
	}
	return out
}

func money(a purchase.Amount) float64 { return float64(a) / float64(purchase.Unit) }

// listKey is equal for lists that a buyer cannot tell apart.
func listKey(lines []BuyLine) string {
	var out []string
	for _, l := range lines {
		out = append(out, fmt.Sprint(l.Designation, "|", l.Quantity, "|", l.Source))
	}
	slices.Sort(out)
	return strings.Join(out, "\n")
}

// cost is what a build costs alone.
func (b *priceBook) cost(build *Build) purchase.Amount {
	c := &cart{book: b, at: map[string]int{}}
	for _, s := range b.sources {
		c.problem.Sources = append(c.problem.Sources, s.terms)
	}
	alone := Build{Parts: toBuy(build.Parts)}
	c.problem.Wants = [][]purchase.Candidate{{c.candidate(&alone)}}
	if found := purchase.Solve(c.problem, 1); len(found) > 0 {
		return found[0].Total
	}
	return math.MaxInt64
}

// boughtKey is equal for builds that buy the same.
func boughtKey(b *Build) string {
	var out []string
	for _, u := range toBuy(b.Parts) {
		out = append(out, fmt.Sprint(u.Role, "|", u.Designation, "|", u.Quantity))
	}
	slices.Sort(out)
	return strings.Join(out, "\n")
}

// takenKey is equal for builds that take the same from the drawer.
func takenKey(b *Build) string {
	var out []string
	for _, u := range b.Parts {
		if u.Source == "drawer" {
			out = append(out, fmt.Sprint(u.Lot, "|", u.Quantity))
		}
	}
	slices.Sort(out)
	return "\n\n" + strings.Join(out, "\n")
}
