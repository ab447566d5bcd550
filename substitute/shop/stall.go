package shop

import (
	"math"
	"slices"
	"strings"

	"sparewright/catalog"
	"sparewright/inventory"
	"sparewright/substitute/purchase"
	"sparewright/substitute/stock"
)

// priceBook is what the builder said of prices, made ready: by designation, case and blanks apart.
type priceBook struct {
	given   bool // there is a list; without one every line costs one
	sources []source
	by      map[string][]quote
	stall   []stock.Shelf // the shelves, with the parts of the list that the tables know
}

// source is where parts are bought.
type source struct {
	name  string
	terms purchase.Source
}

// quote is a price of one designation at one source.
type quote struct {
	source int
	each   purchase.Amount // for a thousandth of a unit
}

// noteOf is the form in which designations are compared.
func noteOf(designation string) string {
	return strings.ToLower(strings.Join(strings.Fields(designation), " "))
}

// newPriceBook sorts a price list. Source 0 is the one without a name, from which also comes what
// has no price.
func newPriceBook(list inventory.PriceList) *priceBook {
	b := &priceBook{given: len(list.Prices) > 0, by: map[string][]quote{}, sources: []source{{}}}
	names := []string{}
	for _, p := range list.Prices {
		names = append(names, strings.ToLower(p.Source))
	}
	for _, t := range list.Terms {
		names = append(names, strings.ToLower(t.Source))
	}
	slices.Sort(names)
	for _, name := range slices.Compact(names) {
		if name != "" {
			b.sources = append(b.sources, source{name: b.spelt(list, name)})
		}
	}
	for _, t := range list.Terms {
		b.sources[b.source(t.Source)].terms = purchase.Source{Postage: amountOf(t.Postage),
			Minimum: amountOf(t.Minimum)}
	}
	for _, p := range list.Prices {
		key := noteOf(p.Designation)
		b.by[key] = append(b.by[key], quote{b.source(p.Source), amountOf(p.Each) / 1000})
	}
	for key := range b.by {
		slices.SortFunc(b.by[key], func(a, o quote) int { return a.source - o.source })
	}
	b.fillStall(list)
	return b
}

// amountOf turns money into the amounts of the solver; a thousandth of it is a whole number.
func amountOf(m inventory.Money) purchase.Amount {
	return purchase.Amount(m) * purchase.Unit / purchase.Amount(inventory.MoneyUnit)
}

// spelt is a source as it is first written in the list.
func (b *priceBook) spelt(list inventory.PriceList, lower string) string {
	for _, p := range list.Prices {
		if strings.ToLower(p.Source) == lower {
			return p.Source
		}
	}
	for _, t := range list.Terms {
		if strings.ToLower(t.Source) == lower {
			return t.Source
		}
	}
	return lower
}

// source is the place of a source in the book.
func (b *priceBook) source(name string) int {
	return max(0, slices.IndexFunc(b.sources,
		func(s source) bool { return strings.EqualFold(s.name, name) }))
}

// fillStall adds to each shelf the parts that the list names and the tables know, so that what the
// builder can buy is tried, not only what is usual.
func (b *priceBook) fillStall(list inventory.PriceList) {
	for _, s := range stock.Shelves {
		grown := stock.Shelf{Word: s.Word, Kind: s.Kind, Names: slices.Clone(s.Names)}
		// both are films: which one a name means would be a guess
		if s.Word != "film" && s.Word != "tape" {
			for _, name := range sellable(list, s.Kind) {
				if !slices.ContainsFunc(grown.Names,
					func(n string) bool { return noteOf(n) == noteOf(name) }) {
					grown.Names = append(grown.Names, name)
				}
			}
		}
		b.stall = append(b.stall, grown)
	}
}

// sellable lists the names of a price list that are rows of a table, in alphabetical order. Cores
// are priced by the name under which they are bought, shape and ferrite; a name with a suffix that
// the table does not have is left alone.
func sellable(list inventory.PriceList, kind catalog.Kind) []string {
	var out []string
	for _, p := range list.Prices {
		name := strings.Join(strings.Fields(p.Designation), " ")
		if kind == catalog.KindCore {
			shape, ok := strings.CutSuffix(name, " "+stock.BoughtFerrite)
			if !ok {
				continue
			}
			name = shape
		}
		if row, _, ok := catalog.Lookup(kind, name); ok &&
			noteOf(row.Designation()) == noteOf(name) {
			out = append(out, row.Designation())
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// offers are the prices of a designation, and whether any is in the list; where there is none, that
// of any part; else one for the line, which is what every line costs without a price list.
func (b *priceBook) offers(designation string) (offers []purchase.Offer, priced bool) {
	found := b.by[noteOf(designation)]
	if len(found) == 0 {
		found = b.by[inventory.AnyPart]
	}
	for _, q := range found {
		offers = append(offers, purchase.Offer{Source: q.source, Each: q.each})
	}
	if len(offers) == 0 {
		return []purchase.Offer{{Once: purchase.Unit}}, false
	}
	return offers, true
}

// least is the least a purchase can cost that holds one of the names of every shelf: one piece of
// each, of what is sold by length nothing for sure. A purchase never costs less than a part of it.
func (b *priceBook) least(of ...stock.Shelf) purchase.Amount {
	p := purchase.Problem{Wants: [][]purchase.Candidate{{{}}}}
	for _, s := range b.sources {
		p.Sources = append(p.Sources, s.terms)
	}
	for _, s := range of {
		var item purchase.Item
		for _, name := range s.Names {
			offers, _ := b.offers(s.SoldAs(name))
			item.Offers = append(item.Offers, offers...)
		}
		quantity := purchase.Quantity(1000)
		if s.Kind == catalog.KindWire || s.Word == "tape" {
			quantity = 1
		}
		p.Wants[0][0] = append(p.Wants[0][0],
			purchase.Demand{Item: len(p.Items), Quantity: quantity})
		p.Items = append(p.Items, item)
	}
	if found := purchase.Solve(p, 1); len(found) > 0 {
		return found[0].Total
	}
	return math.MaxInt64
}
