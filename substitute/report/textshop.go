package report

import (
	"fmt"

	"sparewright/substitute"
)

// Shopping words what to buy for a target, the build that it makes possible, and the cautions.
func Shopping(p substitute.Purchase) []Block {
	head := Block{Word: "answer", Lines: []Line{{Text: asked(p.Target)}}}
	say := func(text string) { head.Lines = append(head.Lines, Line{Text: text}) }
	blocks := []Block{head}
	switch {
	case p.Then == nil:
		say("No purchase helps: " + noPurchase(p))
	case len(p.Buy) == 0:
		say("Nothing to buy: " + inShort(p.Then) + ", from your drawer.")
	default:
		say(fmt.Sprintf("Buy %s; then: %s.", plural(p.Lines, "part", "parts"), inShort(p.Then)))
	}
	blocks[0] = head
	if len(p.Buy) > 0 {
		blocks = append(blocks, Block{Word: "buy", Title: "to buy", Table: buyTable(p.Buy)})
	}
	if p.Then != nil {
		blocks = append(blocks, Block{Word: "build", Title: "then buildable", Table: buildTable([]substitute.Build{*p.Then})})
	} else if len(p.Refused) > 0 {
		blocks = append(blocks, refusals(p.Refused))
	}
	return append(blocks, cautions(p.Cautions))
}

// noPurchase tells why nothing bought would make the target buildable.
func noPurchase(p substitute.Purchase) string {
	if len(p.Refused) == 0 {
		return "no list of up to two kinds of part makes this charger."
	}
	if p.Refused[0].Check == chemistryCheck {
		return "a plain charger for constant current, then constant voltage, must not charge this chemistry."
	}
	return "no list of up to two kinds of part makes this charger. Nearest: " + missText(p.Refused[0]) + "."
}

func buyTable(buy []substitute.BuyLine) Table {
	t := Table{Columns: []Column{{Title: "ROLE"}, {Title: "WHAT", Shrink: 1}, {Title: "HOW MANY", Number: true},
		{Title: "REQUIREMENT", Shrink: 2}}}
	for _, b := range buy {
		t.add(b.Role, b.Designation, amount(b.Quantity, b.Unit), b.Requirement)
	}
	return t
}
