package shop

import (
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/typed"
	"sparewright/inventory"
	"sparewright/substitute/purchase"
	"sparewright/substitute/seats"
)

// unmatched lists the designations of a price list that are no part this program knows, as the list
// writes them: their prices never count, and a slip of the pen would go unseen.
func (c receipt) unmatched(list inventory.PriceList) []string {
	known := c.namesOnLists()
	var out []string
	for _, p := range list.Prices {
		key := noteOf(p.Designation)
		if p.Designation == inventory.AnyPart || known[key] || knownPart(p.Designation) {
			continue
		}
		known[key] = true // named once
		out = append(out, p.Designation)
	}
	return out
}

// namesOnLists are the names under which a shopping list may hold a part: what the shelves sell,
// what the places ask for, what the builds gathered buy, and what lies in the drawer.
func (c receipt) namesOnLists() map[string]bool {
	known := map[string]bool{}
	for _, s := range c.book.stall {
		for _, name := range s.Names {
			known[noteOf(s.SoldAs(name))] = true
		}
	}
	for _, id := range seats.All() {
		known[noteOf(id.In(&seats.Circuit{}).Bought())] = true
	}
	for _, i := range c.items {
		known[noteOf(i.designation)] = true
	}
	for _, l := range c.lots {
		known[noteOf(l.Part.Designation())] = true
	}
	return known
}

// knownPart tells whether a name is a row of a table, or says the value of a part: 10k 1%.
func knownPart(name string) bool {
	for _, k := range catalog.Kinds() {
		if row, _, ok := catalog.Lookup(k, name); ok && noteOf(row.Designation()) == noteOf(name) {
			return true
		}
		line := typed.Line{Kind: k, Words: strings.Fields(name)}
		if valued(k) && line.Read() == nil {
			return true
		}
	}
	return false
}

// valued tells whether parts of a kind are called by their value.
func valued(k catalog.Kind) bool {
	return k == catalog.KindResistor || k == catalog.KindCapacitor || k == catalog.KindZener ||
		k == catalog.KindTrimmer || k == catalog.KindFuse
}

// unpricedCost is what lines without a price count in the choice of a purchase where prices are
// given: one each, which is no money.
func (c receipt) unpricedCost(s purchase.Solution) purchase.Amount {
	var sum purchase.Amount
	if !c.book.given {
		return 0
	}
	for _, b := range s.Buys {
		if !c.items[b.Item].priced {
			sum += b.Cost
		}
	}
	return sum
}
