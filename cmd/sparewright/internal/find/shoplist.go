package find

import (
	"bytes"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/shop"
)

// The list to order from goes into a file that any spreadsheet opens.

// listColumns head the list to order from.
var listColumns = []string{"designation", "quantity", "unit", "for", "requirement", "may_stand_in",
	"source", "cost"}

// orderList writes a purchase as CSV, one row a line to buy.
func orderList(p shop.Purchase) ([]byte, error) {
	var text bytes.Buffer
	var rows [][]string
	for _, b := range p.Buy {
		cost := ""
		if p.Priced && b.Priced {
			cost = strconv.FormatFloat(b.Cost, 'f', -1, 64)
		}
		rows = append(rows, []string{b.Designation, inventory.FormatCount(b.Quantity), b.Unit,
			b.Role.String() + " of " + chargersOf(p), b.Requirement,
			strings.Join(standIns(p, b), " or "), b.Source, cost})
	}
	err := exchange.WriteRows(&text, listColumns, rows)
	return text.Bytes(), err
}

// chargersOf names the chargers of a purchase.
func chargersOf(p shop.Purchase) string {
	names := []string{chargerName(p.Target)}
	for _, f := range p.Also {
		names = append(names, chargerName(f.Target))
	}
	return strings.Join(names, " and ")
}

func chargerName(t substitute.Target) string {
	return t.Name + " " + strconv.FormatFloat(float64(t.Current), 'f', -1, 64) + " A"
}

// standIns are the parts that take the place of one line, every other line staying as it is, in a
// purchase of the same cost.
func standIns(p shop.Purchase, line shop.BuyLine) []string {
	var out []string
	for _, a := range p.Alternatives {
		mine, theirs := apart(p.Buy, a.Buy), apart(a.Buy, p.Buy)
		if len(mine) == 1 && len(theirs) == 1 && mine[0] == line && theirs[0].Role == line.Role &&
			theirs[0].Designation != line.Designation {
			out = append(out, theirs[0].Designation)
		}
	}
	return out
}

// apart are the lines of a list that another does not have.
func apart(lines, other []shop.BuyLine) []shop.BuyLine {
	var out []shop.BuyLine
	for _, l := range lines {
		same := false
		for _, o := range other {
			same = same || o == l
		}
		if !same {
			out = append(out, l)
		}
	}
	return out
}

// checkOrder refuses options that mean nothing together.
func checkOrder(c *cli.Context) error {
	switch {
	case c.IsSet("output") && c.String("output") == "":
		return frame.WrongCall("--output", "", "names no file")
	case c.Bool("json") && c.IsSet("output"):
		return frame.WrongCall("--json", "", "goes to standard output; leave --output away")
	}
	return nil
}

// writeOrder writes the list to order from where -o says; with nothing to buy it has no rows.
func writeOrder(env *frame.Environment, c *cli.Context, p shop.Purchase) error {
	name := c.String("output")
	text, err := orderList(p)
	if err != nil {
		return err
	}
	if name == "-" {
		env.Raw(string(text))
		return nil
	}
	if err := env.WriteWhole(name, text, c.Bool("force")); err != nil {
		return err
	}
	if len(p.Buy) == 0 {
		env.Note("nothing to buy: the list in %s has no rows", name)
		return nil
	}
	env.Note("wrote the list to order from to %s", name)
	return nil
}
