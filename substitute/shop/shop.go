// Package shop finds the cheapest list of parts to buy for one or several chargers.
package shop

import (
	"slices"

	"sparewright/inventory"
	"sparewright/substitute"
	"sparewright/substitute/seats"
)

// Purchase is what to buy so that the wanted chargers can be built, all of them at once.
type Purchase struct {
	Target substitute.Target `json:"target"` // the first
	Buy    []BuyLine         `json:"buy"`
	// parts, postage and top-up, without the lines that have no price
	Cost     float64              `json:"cost" figures:"entered"`
	Lines    int                  `json:"lines"`
	Then     *substitute.Build    `json:"then"` // of the first
	Refused  []substitute.Refusal `json:"refused"`
	Cautions []string             `json:"cautions"`

	// by a price list; else every line costs one
	Priced bool `json:"priced"`
	// names of the list that are no part known
	Unmatched []string `json:"unmatched_prices,omitempty"`
	// nothing cheaper among the builds gathered; false when the search gave up
	Proven       bool          `json:"proven"`
	Bills        []Bill        `json:"bills,omitempty"`
	Also         []Further     `json:"also,omitempty"`
	Alternatives []Alternative `json:"alternatives,omitempty"`
	// there are others that cost the same
	More bool `json:"more_alternatives,omitempty"`
}

// BuyLine is one line of the shopping list. Cost is one a line without a price list, and nothing
// where the list has no price for it.
type BuyLine struct {
	Role        seats.ID `json:"role"`
	Designation string   `json:"designation"`
	Requirement string   `json:"requirement"`
	Quantity    float64  `json:"quantity"`
	Unit        string   `json:"unit"`
	Cost        float64  `json:"cost" figures:"entered"`
	Source      string   `json:"source,omitempty"`
	Priced      bool     `json:"priced"`
}

// Bill is what one source charges. TopUp brings a small purchase up to its minimum order.
type Bill struct {
	Source  string  `json:"source"`
	Parts   float64 `json:"parts_cost" figures:"entered"`
	Postage float64 `json:"postage" figures:"entered"`
	TopUp   float64 `json:"top_up" figures:"entered"`
}

// Further is another charger of the same purchase.
type Further struct {
	Target  substitute.Target    `json:"target"`
	Then    *substitute.Build    `json:"then"`
	Refused []substitute.Refusal `json:"refused"`
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
	Also   []substitute.Target // further chargers to be built at once, each from its own parts
}

// mostAlternatives is how many other purchases of the same cost are named.
const mostAlternatives = 12

// mostSolutions is how many solutions are looked at for that; some are the same list for another
// build.
const mostSolutions = 200

// Shop finds the cheapest purchase that makes the target buildable, with all further targets of the
// options at once: parts of the drawer and parts bought serve one charger only. Without prices
// every line costs one, so that the shortest list wins. Among equal costs the best margins decide,
// and the others are named. An empty list means that nothing need be bought; no build means that no
// purchase of up to two kinds helps. The answer is exact over the builds gathered, see gathering,
// if Proven.
func Shop(t substitute.Target, s inventory.Snapshot, o ShopOptions) Purchase {
	cart := newCart(s, append([]substitute.Target{t}, o.Also...), newPriceBook(o.Prices))
	p := Purchase{Target: t, Buy: []BuyLine{}, Refused: []substitute.Refusal{},
		Cautions: []string{}, Priced: cart.book.given}
	for i, target := range cart.targets {
		refused := cart.gather(i)
		p.Cautions = merged(p.Cautions, substitute.Cautions(target))
		if i == 0 {
			p.Refused = refused
			continue
		}
		p.Also = append(p.Also, Further{Target: target, Refused: refused})
	}
	found, proven := cart.settle()
	if p.Proven = proven; len(found) > 0 {
		receipt{cart}.write(&p, found)
	}
	p.Unmatched = receipt{cart}.unmatched(o.Prices)
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
