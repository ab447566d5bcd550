package screen

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"sparewright/substitute"
	"sparewright/substitute/report"
	"sparewright/substitute/shop"
)

// Shopping words what to buy for the wanted chargers, the builds that it makes possible, and the
// cautions.
func Shopping(p shop.Purchase) []report.Block {
	head := report.Block{Word: "answer", Lines: []report.Line{{Text: asked(p.Target)}}}
	say := func(text string) { head.Lines = append(head.Lines, report.Line{Text: text}) }
	for _, f := range p.Also {
		say("And at once: " + asked(f.Target))
	}
	switch {
	case p.Then == nil:
		say("No purchase helps: " + noPurchase(p))
	case len(p.Buy) == 0:
		say("Nothing to buy: " + allInShort(p) + ", from your drawer.")
	default:
		say(fmt.Sprintf("Buy %s%s; then: %s.", howMany(p), inAll(p), allInShort(p)))
	}
	if names := unpriced(p); p.Priced && len(names) > 0 {
		say(fmt.Sprintf("Without a price, and not in that sum: %s.", strings.Join(names, ", ")))
	}
	if len(p.Unmatched) > 0 {
		say(fmt.Sprintf("No part goes by these names of the price list: %s.",
			strings.Join(p.Unmatched, ", ")))
	}
	if p.Then != nil && !p.Proven {
		say("There may be a cheaper purchase: so many chargers at once were not " +
			"searched to the end.")
	}
	blocks := []report.Block{head}
	if len(p.Buy) > 0 {
		blocks = append(blocks, report.Block{Word: "buy", Title: "to buy", Table: buyTable(p)})
	}
	if len(p.Bills) > 0 {
		blocks = append(blocks, report.Block{Word: "bill", Title: "to pay", Table: billTable(p)})
	}
	if p.Then != nil {
		blocks = append(blocks, report.Block{Word: "build", Title: "then buildable",
			Table: buildTable(thenBuilds(p))})
	} else if refused := allRefused(p); len(refused) > 0 {
		blocks = append(blocks, refusals(refused))
		blocks = append(blocks, howToNote(refused)...)
	}
	if len(p.Alternatives) > 0 {
		blocks = append(blocks, report.Block{Word: "or", Title: "or, at the same cost",
			Lines: alternatives(p)})
	}
	return append(blocks, cautions(p.Cautions))
}

// howMany counts what is to be bought; where a line is for several pieces, lines are no parts.
func howMany(p shop.Purchase) string {
	for _, b := range p.Buy {
		if b.Unit != "metre" && b.Quantity > 1 {
			return report.Plural(p.Lines, "kind of part", "kinds of part")
		}
	}
	return report.Plural(p.Lines, "part", "parts")
}

// inAll says what a priced purchase costs.
func inAll(p shop.Purchase) string {
	if !p.Priced {
		return ""
	}
	switch open := len(unpriced(p)); {
	case open == 0:
		return " for " + price(p.Cost) + " in all"
	case p.Cost == 0:
		return " (no price is given)"
	default:
		return " for " + price(p.Cost) + " and what " + report.Plural(open, "name", "names") +
			" without a price will cost"
	}
}

// price writes an amount of money, cents and their like in two digits, finer ones where there are
// any.
func price(v float64) string {
	if text := report.Number(v); strings.Contains(text, ".") &&
		len(text)-strings.IndexByte(text, '.') > 3 {
		return text
	}
	return strconv.FormatFloat(v, 'f', 2, 64)
}

// thenBuilds are the builds of all chargers, numbered as they were asked for.
func thenBuilds(p shop.Purchase) []substitute.Build {
	out := []substitute.Build{*p.Then}
	for i, f := range p.Also {
		b := *f.Then
		b.Rank = i + 2
		out = append(out, b)
	}
	return out
}

func allInShort(p shop.Purchase) string {
	var out []string
	for _, b := range thenBuilds(p) {
		out = append(out, inShort(&b))
	}
	return strings.Join(out, "; and ")
}

func allRefused(p shop.Purchase) []substitute.Refusal {
	out := append([]substitute.Refusal(nil), p.Refused...)
	for _, f := range p.Also {
		out = append(out, f.Refused...)
	}
	return out
}

// unpriced lists what of the shopping list has no price.
func unpriced(p shop.Purchase) []string {
	var out []string
	for _, b := range p.Buy {
		if !b.Priced && !slices.Contains(out, b.Designation) {
			out = append(out, b.Designation)
		}
	}
	return out
}

// alternatives words the other purchases of the same cost, one line each: what is bought instead of
// what.
func alternatives(p shop.Purchase) []report.Line {
	var out []report.Line
	for _, a := range p.Alternatives {
		text := listed(a.Buy, p.Buy)
		if gone := listed(p.Buy, a.Buy); gone != "" {
			text = "instead of " + gone + ": " + cmp.Or(text, "nothing")
		}
		out = append(out, report.Line{Text: text + "; then " + a.Build})
	}
	if p.More {
		out = append(out, report.Line{Text: "and others"})
	}
	return out
}

// listed words the lines of a list that another list does not have.
func listed(lines, other []shop.BuyLine) string {
	var out []string
	for _, b := range lines {
		same := func(o shop.BuyLine) bool {
			return o.Role == b.Role && o.Designation == b.Designation && o.Quantity == b.Quantity &&
				o.Source == b.Source
		}
		if slices.ContainsFunc(other, same) {
			continue
		}
		text := b.Role.String() + " " + b.Designation
		if b.Quantity != 1 || b.Unit == "metre" {
			text = report.Amount(b.Quantity, b.Unit) + " x " + text
		}
		if b.Source != "" {
			text += " (" + b.Source + ")"
		}
		out = append(out, text)
	}
	return strings.Join(out, ", ")
}

// noPurchase tells why nothing bought would make the target buildable.
func noPurchase(p shop.Purchase) string {
	refused := allRefused(p)
	if len(p.Also) > 0 && len(refused) > 0 && refused[0].Check != chemistryCheck {
		return "no list of up to two kinds of part for each makes them all. Nearest: " +
			MissText(refused[0]) + "."
	}
	if len(refused) == 0 {
		return "no list of up to two kinds of part makes this charger."
	}
	if refused[0].Check == chemistryCheck {
		return "a plain charger for constant current, then constant voltage, must not charge " +
			"this chemistry."
	}
	return "no list of up to two kinds of part makes this charger. Nearest: " +
		MissText(refused[0]) + "."
}

func buyTable(p shop.Purchase) report.Table {
	t := report.Table{Columns: []report.Column{{Title: "ROLE"}, {Title: "WHAT", Shrink: 1},
		{Title: "HOW MANY", Number: true},
		{Title: "REQUIREMENT", Shrink: 2}}}
	if p.Priced {
		t.Columns = append(t.Columns[:3:3], report.Column{Title: "COST", Number: true},
			report.Column{Title: "SOURCE", Shrink: 2}, t.Columns[3])
		t.Columns[5].Wide = true
	}
	for _, b := range pricedFirst(p) {
		if p.Priced {
			cost := "no price"
			if b.Priced {
				cost = price(b.Cost)
			}
			t.Add(b.Role.String(), b.Designation, report.Amount(b.Quantity, b.Unit), cost,
				b.Source, b.Requirement)
			continue
		}
		t.Add(b.Role.String(), b.Designation, report.Amount(b.Quantity, b.Unit), b.Requirement)
	}
	return t
}

// pricedFirst are the lines to buy, those without a price at the end where others have one.
func pricedFirst(p shop.Purchase) []shop.BuyLine {
	lines := slices.Clone(p.Buy)
	if p.Priced {
		slices.SortStableFunc(lines, func(a, b shop.BuyLine) int {
			return unpricedPlace(a) - unpricedPlace(b)
		})
	}
	return lines
}

func unpricedPlace(b shop.BuyLine) int {
	if b.Priced {
		return 0
	}
	return 1
}

func billTable(p shop.Purchase) report.Table {
	t := report.Table{Columns: []report.Column{{Title: "SOURCE", Shrink: 1},
		{Title: "PARTS", Number: true}, {Title: "POSTAGE", Number: true},
		{Title: "TOP-UP", Number: true}, {Title: "TOTAL", Number: true}}}
	for _, b := range p.Bills {
		source := b.Source
		if source == "" {
			source = "not named"
		}
		t.Add(source, price(b.Parts), price(b.Postage), price(b.TopUp),
			price(b.Parts+b.Postage+b.TopUp))
	}
	return t
}
