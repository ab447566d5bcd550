// Package stock is what a search takes parts from: a snapshot sorted by kind with equal parts
// merged, the basket of one build, and the shelves of usual parts that may be bought.
package stock

import (
	"sort"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/complete"
	"sparewright/inventory"
	"sparewright/substitute"
	"sparewright/substitute/seats"
)

// Stock is one kind of part as the search sees it: equal parts of all lots together, and where they
// lie.
type Stock[P catalog.Part] struct {
	Part  P
	Key   string // canonical text of all figures; equal key = interchangeable
	Count float64
	Lots  []Place
	Buy   bool // from the shelf of the published tables, not from the drawer

	Figures seats.Figures // of the part
}

// Place is one lot that holds the part.
type Place struct {
	Lot   int64
	Bin   string
	Count float64
}

func (s Stock[P]) Name() string { return s.Part.Designation() }

// Drawer is the snapshot sorted by kind, equal parts merged, figures completed from the tables. It
// is made once for a snapshot and only read afterwards.
type Drawer struct {
	Cores      []Stock[catalog.Core]
	Wires      []Stock[catalog.Wire]
	Films      []Stock[catalog.Film]
	Switchers  []Stock[catalog.Switcher]
	Rectifiers []Stock[catalog.Rectifier]
	Bridges    []Stock[catalog.Bridge]
	Clamps     []Stock[catalog.Clamp]
	Optos      []Stock[catalog.Optocoupler]
	Amplifiers []Stock[catalog.Amplifier]
	References []Stock[catalog.Reference]
	Resistors  []Stock[catalog.Resistor]
	Trimmers   []Stock[catalog.Trimmer]
	Capacitors []Stock[catalog.Capacitor]
	Chokes     []Stock[catalog.Choke]
	LEDs       []Stock[catalog.LED]
	Fuses      []Stock[catalog.Fuse]
	Ntcs       []Stock[catalog.Thermistor]

	Zeners       []Stock[catalog.Zener]
	Transformers []Stock[catalog.Transformer]
	Adapters     []Stock[catalog.Adapter]
	Transistors  []Stock[catalog.Transistor]
}

// OpenDrawer sorts and merges a snapshot. The order of its lots has no influence on the result.
func OpenDrawer(s inventory.Snapshot) *Drawer {
	lots := append([]inventory.Lot(nil), s.Lots...)
	sort.SliceStable(lots, func(i, j int) bool { return lots[i].ID < lots[j].ID })
	return &Drawer{
		Cores: gather[catalog.Core](lots), Wires: gather[catalog.Wire](lots),
		Films:     gather[catalog.Film](lots),
		Switchers: gather[catalog.Switcher](lots), Rectifiers: gather[catalog.Rectifier](lots),
		Bridges: gather[catalog.Bridge](lots), Clamps: gather[catalog.Clamp](lots),
		Optos: gather[catalog.Optocoupler](lots), Amplifiers: gather[catalog.Amplifier](lots),
		References: gather[catalog.Reference](lots), Resistors: gather[catalog.Resistor](lots),
		Trimmers: gather[catalog.Trimmer](lots), Capacitors: gather[catalog.Capacitor](lots),
		Chokes: gather[catalog.Choke](lots), LEDs: gather[catalog.LED](lots),
		Fuses:        gather[catalog.Fuse](lots),
		Ntcs:         gather[catalog.Thermistor](lots),
		Zeners:       gather[catalog.Zener](lots),
		Transformers: gather[catalog.Transformer](lots), Adapters: gather[catalog.Adapter](lots),
		Transistors: gather[catalog.Transistor](lots),
	}
}

// gather collects one kind. Damaged lots and lots wholly set aside never enter a build.
func gather[P catalog.Part](lots []inventory.Lot) []Stock[P] {
	at := map[string]int{}
	var out []Stock[P]
	for _, l := range lots {
		if _, is := l.Part.(P); !is || l.Condition == inventory.Damaged || l.Available() <= 0 {
			continue
		}
		part := complete.Part(inventory.Effective(l)).(P)
		record := catalog.Describe(part)
		key := partKey(record)
		i, seen := at[key]
		if !seen {
			i = len(out)
			at[key] = i
			out = append(out, Stock[P]{Part: part, Key: key, Figures: record.Values})
		}
		out[i].Count += l.Available()
		out[i].Lots = append(out[i].Lots, Place{l.ID, l.Bin, l.Available()})
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Key < out[j].Key })
	return out
}

// partKey is a text of a part, equal for interchangeable parts and for no others.
func partKey(r catalog.Record) string {
	var b strings.Builder
	b.WriteString(r.Designation)
	for _, v := range r.Values {
		b.WriteString("|")
		b.WriteString(v.Field)
		b.WriteString("=")
		b.WriteString(v.Text)
		if v.Basis == catalog.Measured {
			b.WriteString("!")
		}
	}
	return b.String()
}

// Basket remembers what a build has already taken, so that nothing is used twice.
type Basket struct {
	used map[string]float64
	Uses []substitute.PartUse
}

func NewBasket() *Basket { return &Basket{used: map[string]float64{}} }

// Left is how much of a stock the build may still take.
func Left[P catalog.Part](b *Basket, s Stock[P]) float64 { return s.Count - b.used[s.Key] }

// Take enters quantity of a stock under a role, lot by lot. When there is too little it takes
// nothing, enters the whole as a part to buy and reports false.
func Take[P catalog.Part](b *Basket, role seats.ID, s Stock[P], quantity float64) bool {
	if s.Buy {
		b.Buy(role, s.Name(), quantity, string(unitOf(s.Part)), requirementOf(s.Part))
		return true
	}
	if Left(b, s) < quantity-1e-9 {
		b.Buy(role, s.Name(), quantity, string(unitOf(s.Part)), "more of "+s.Name())
		return false
	}
	skip, want := b.used[s.Key], quantity
	b.used[s.Key] += quantity
	for _, p := range s.Lots {
		here := p.Count - skip
		skip = max(0, skip-p.Count)
		if here <= 0 {
			continue
		}
		n := min(here, want)
		b.Uses = append(b.Uses, substitute.PartUse{Role: role, Lot: p.Lot,
			Designation: s.Name(), Quantity: n,
			Unit: string(unitOf(s.Part)), Source: "drawer", Bin: p.Bin})
		if want -= n; want <= 1e-9 {
			break
		}
	}
	return true
}

// Buy enters a part that the drawer lacks.
func (b *Basket) Buy(role seats.ID, designation string, quantity float64, unit,
	requirement string) {
	b.Uses = append(b.Uses, substitute.PartUse{Role: role, Designation: designation,
		Quantity: quantity, Unit: unit, Source: "buy",
		Requirement: requirement})
}

func (b *Basket) Missing() (lines int) {
	for _, u := range b.Uses {
		if u.Source == "buy" {
			lines++
		}
	}
	return lines
}

func unitOf(p catalog.Part) inventory.Unit { return inventory.UnitOf(p) }

// requirementOf tells a buyer what matters about a part that is to be bought.
func requirementOf(p catalog.Part) string {
	switch p.Kind() {
	case catalog.KindCore:
		return "a pair without a gap, and its former"
	case catalog.KindWire:
		return "this diameter and insulation"
	case catalog.KindFilm:
		return "this thickness; measure it"
	case catalog.KindResistor:
		return "this value, this tolerance or closer"
	case catalog.KindTrimmer:
		return "cermet, several turns, 20 % or closer"
	}
	return "this type, or ask swap about another"
}
