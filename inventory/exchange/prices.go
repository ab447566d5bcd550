package exchange

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"sparewright/inventory"
)

// priceColumns in the order they are described. The first two must be there.
var priceColumns = []string{"designation", "price", "source", "postage", "minimum"}

const priceRequired = 2

// highestPrice keeps sums of prices far from the end of their numbers.
const highestPrice = 1_000_000 * inventory.MoneyUnit

// ReadPrices reads a price list from CSV text with the columns designation, price and, optional,
// source, postage, minimum; see help prices. Limits and faults are those of Read; with any fault
// the list is not to be used.
func ReadPrices(r io.Reader, name string) (inventory.PriceList, []Fault) {
	var list inventory.PriceList
	src, fault := readText(r, name)
	if fault != nil {
		return list, []Fault{*fault}
	}
	p := priceTable{table: table{scanner: newScanner(name, src), known: priceColumns,
		needed: priceRequired}, list: &list,
		seen: map[[2]string]bool{}, terms: map[[2]string]inventory.Money{}}
	if p.header() && !p.tooLong() {
		p.eachRow(p.priced)
	}
	slices.SortStableFunc(p.faults, func(a, b Fault) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	return list, p.faults
}

// priceTable reads prices.
type priceTable struct {
	table
	list  *inventory.PriceList
	seen  map[[2]string]bool            // designation and source
	terms map[[2]string]inventory.Money // source and column
}

// priced takes one row in: a price, the terms of a source, or both.
func (p *priceTable) priced(cells []cell) {
	designation, source := p.text(cells, "designation"), p.text(cells, "source")
	price := p.field(cells, "price")
	for _, column := range priceColumns[3:] {
		p.term(source.text, column, p.field(cells, column), source)
	}
	switch {
	case designation.text == "" && strings.TrimSpace(price.text) == "" && source.text != "":
		return // the terms of a source alone
	case designation.text == "":
		p.fault(designation.at, "designation %q: missing; name the part as the shopping list "+
			"does, or * for every other part", "")
		return
	}
	key := [2]string{strings.ToLower(strings.Join(strings.Fields(designation.text), " ")),
		strings.ToLower(source.text)}
	if p.seen[key] {
		p.fault(designation.at, "designation %q: priced twice at the same source; keep one row",
			cut(designation.text))
		return
	}
	p.seen[key] = true
	each, ok := p.money("price", price)
	if ok {
		p.list.Prices = append(p.list.Prices,
			inventory.Price{Designation: designation.text, Each: each, Source: source.text})
	}
}

// text reads a name.
func (p *priceTable) text(cells []cell, column string) cell {
	c := p.field(cells, column)
	c.text = strings.TrimSpace(c.text)
	p.check(c, inventory.CheckName(column, c.text))
	return c
}

// term notes postage or minimum of a source; said twice it must be the same.
func (p *priceTable) term(source, column string, c, at cell) {
	if strings.TrimSpace(c.text) == "" {
		return
	}
	v, ok := p.money(column, c)
	key := [2]string{strings.ToLower(source), column}
	before, seen := p.terms[key]
	switch {
	case !ok:
		return
	case source == "":
		p.fault(at.at, "source %q: missing; %s belongs to a source, name it", "", column)
		return
	case seen && before != v:
		p.fault(c.at, "%s %q: another figure stands above for source %q; keep one", column,
			cut(c.text), cut(source))
		return
	}
	p.terms[key] = v
	i := slices.IndexFunc(p.list.Terms, func(t inventory.Terms) bool {
		return strings.EqualFold(t.Source, source)
	})
	if i < 0 {
		i = len(p.list.Terms)
		p.list.Terms = append(p.list.Terms, inventory.Terms{Source: source})
	}
	if column == "postage" {
		p.list.Terms[i].Postage = v
	} else {
		p.list.Terms[i].Minimum = v
	}
}

// money reads an amount such as 0.35 and notes what is wrong with it.
func (p *priceTable) money(column string, c cell) (inventory.Money, bool) {
	v, why := parseMoney(strings.TrimSpace(c.text))
	if why != "" {
		p.fault(c.at, "%s %q: %s", column, cut(c.text), why)
	}
	return v, why == ""
}

// parseMoney reads digits with at most four behind the point, exactly.
func parseMoney(text string) (inventory.Money, string) {
	whole, decimals, point := strings.Cut(text, ".")
	digits := func(s string) bool { return strings.Trim(s, "0123456789") == "" }
	switch {
	case text == "":
		return 0, "missing; write a number such as 0.35"
	case strings.HasPrefix(text, "-"):
		return 0, "is below 0; write what it costs"
	case strings.Contains(text, ","):
		return 0, "the point is the decimal sign; write 0.35, and large numbers without separators"
	case !digits(whole) || !digits(decimals) || whole == "" || point && decimals == "":
		return 0, "not a plain number; write digits and a point, without a currency, such as 0.35"
	case len(decimals) > 4:
		return 0, "more than four digits behind the point; round it"
	case len(whole) > 7:
		return 0, tooDear
	}
	var v inventory.Money
	for _, d := range whole + (decimals + "0000")[:4] {
		v = 10*v + inventory.Money(d-'0')
	}
	if v > highestPrice {
		return 0, tooDear
	}
	return v, ""
}

var tooDear = fmt.Sprintf("above %.0f; check the number", highestPrice.Float())
