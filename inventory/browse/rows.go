package browse

import (
	"cmp"
	"html/template"
	"slices"
	"strconv"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/complete"
	"sparewright/inventory"
	"sparewright/inventory/label"
)

// row is one lot. All texts are harmless and on one line.
type row struct {
	Number           int64
	Kind             catalog.Kind
	Mark, Name       string
	Value            string // what its kind is looked for by
	Order, FreeOrder string // base units, to sort by; empty where not known
	Held, Free       string
	Low              string
	Bin, Condition   string
	Donor            string
	DonorNumber      int
	Note             string
	Bands            template.HTML
	BandNote         string
	Figures          []fact
}

// fact is one line of what is known.
type fact struct{ Name, Text, Basis string }

// lowWords say on the page how a part runs low.
var lowWords = map[inventory.Scarcity]string{inventory.LastPiece: "last",
	inventory.NoneFree: "none free", inventory.ShortEnd: "short"}

func rowsOf(lots []inventory.Lot, low map[int64]inventory.Scarcity) []row {
	numbers := donorNumbers(lots)
	out := make([]row, len(lots))
	for i, l := range lots {
		out[i] = rowOf(l)
		out[i].Low, out[i].DonorNumber = lowWords[low[l.ID]], numbers[l.Donor]
	}
	return out
}

func rowOf(l inventory.Lot) row {
	kind := l.Part.Kind()
	free := inventory.RoundCount(l.Available())
	r := row{Number: l.ID, Kind: kind, Mark: inventory.Mark(l.ID),
		Name:  inventory.Plain(l.Part.Designation()),
		Value: inventory.Plain(label.Headline(l.Part)),
		Held:  amount(l.Count, l.Unit()), Free: amount(free, l.Unit()), FreeOrder: number(free),
		Bin: inventory.Plain(l.Bin), Condition: string(l.Condition),
		Donor: inventory.Plain(l.Donor), Note: inventory.Plain(l.Note)}
	main := inventory.MainFigure(kind)
	for _, v := range catalog.Describe(complete.Part(inventory.Effective(l))).Values {
		f := fact{strings.ReplaceAll(v.Field, "_", " "),
			inventory.Plain(label.FigureText(kind, v)), ""}
		if v.Numeric {
			f.Basis = v.Basis.String()
		}
		r.Figures = append(r.Figures, f)
		if v.Field == main {
			r.Order, r.Value = number(v.Number), cmp.Or(r.Value, f.Text)
		}
	}
	if p, ok := l.Part.(catalog.Resistor); ok {
		bands, note := label.BandsOf(p)
		r.Bands, r.BandNote = label.DrawBands(bands, note), note
	}
	return r
}

func number(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

func amount(n float64, unit inventory.Unit) string {
	if unit == inventory.Metres {
		return inventory.FormatCount(n) + " m"
	}
	return inventory.FormatCount(n)
}

// kindsOf are the kinds there are, in the order of the catalog.
func kindsOf(lots []inventory.Lot) []string {
	var out []string
	for _, k := range catalog.Kinds() {
		if slices.ContainsFunc(lots, func(l inventory.Lot) bool { return l.Part.Kind() == k }) {
			out = append(out, string(k))
		}
	}
	return out
}
