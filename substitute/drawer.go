package substitute

import (
	"sort"
	"strings"

	"sparewright/catalog"
	"sparewright/inventory"
)

// stock is one kind of part as the search sees it: equal parts of all lots together, and where they lie.
type stock[P catalog.Part] struct {
	part  P
	key   string // canonical text of all figures; equal key = interchangeable
	count float64
	lots  []place
	buy   bool // from the shelf of the published tables, not from the drawer
}

// place is one lot that holds the part.
type place struct {
	lot   int64
	bin   string
	count float64
}

func (s stock[P]) name() string { return s.part.Designation() }

// drawer is the snapshot sorted by kind, equal parts merged, figures completed from the tables. It is made once for a
// snapshot and only read afterwards.
type drawer struct {
	cores      []stock[catalog.Core]
	wires      []stock[catalog.Wire]
	films      []stock[catalog.Film]
	switchers  []stock[catalog.Switcher]
	rectifiers []stock[catalog.Rectifier]
	bridges    []stock[catalog.Bridge]
	clamps     []stock[catalog.Clamp]
	optos      []stock[catalog.Optocoupler]
	amplifiers []stock[catalog.Amplifier]
	references []stock[catalog.Reference]
	resistors  []stock[catalog.Resistor]
	trimmers   []stock[catalog.Trimmer]
	capacitors []stock[catalog.Capacitor]
	chokes     []stock[catalog.Choke]
	lamps      []stock[catalog.Lamp]
	fuses      []stock[catalog.Fuse]
	ntcs       []stock[catalog.Thermistor]

	zeners       []stock[catalog.Zener]
	transformers []stock[catalog.Transformer]
	adapters     []stock[catalog.Adapter]
}

// openDrawer sorts and merges a snapshot. The order of its lots has no influence on the result.
func openDrawer(s inventory.Snapshot) *drawer {
	lots := append([]inventory.Lot(nil), s.Lots...)
	sort.SliceStable(lots, func(i, j int) bool { return lots[i].ID < lots[j].ID })
	return &drawer{
		cores: gather[catalog.Core](lots), wires: gather[catalog.Wire](lots), films: gather[catalog.Film](lots),
		switchers: gather[catalog.Switcher](lots), rectifiers: gather[catalog.Rectifier](lots),
		bridges: gather[catalog.Bridge](lots), clamps: gather[catalog.Clamp](lots),
		optos: gather[catalog.Optocoupler](lots), amplifiers: gather[catalog.Amplifier](lots),
		references: gather[catalog.Reference](lots), resistors: gather[catalog.Resistor](lots),
		trimmers: gather[catalog.Trimmer](lots), capacitors: gather[catalog.Capacitor](lots),
		chokes: gather[catalog.Choke](lots), lamps: gather[catalog.Lamp](lots), fuses: gather[catalog.Fuse](lots),
		ntcs:         gather[catalog.Thermistor](lots),
		zeners:       gather[catalog.Zener](lots),
		transformers: gather[catalog.Transformer](lots), adapters: gather[catalog.Adapter](lots),
	}
}

// gather collects one kind. Damaged lots and lots wholly set aside never enter a build.
func gather[P catalog.Part](lots []inventory.Lot) []stock[P] {
	at := map[string]int{}
	var out []stock[P]
	for _, l := range lots {
		if _, is := l.Part.(P); !is || l.Condition == inventory.Damaged || l.Available() <= 0 {
			continue
		}
		part := catalog.Complete(inventory.Effective(l)).(P)
		key := partKey(part)
		i, seen := at[key]
		if !seen {
			i = len(out)
			at[key] = i
			out = append(out, stock[P]{part: part, key: key})
		}
		out[i].count += l.Available()
		out[i].lots = append(out[i].lots, place{l.ID, l.Bin, l.Available()})
	}
	sort.Slice(out, func(i, j int) bool { return out[i].key < out[j].key })
	return out
}

// partKey is a text equal for interchangeable parts and for no others.
func partKey(p catalog.Part) string {
	r := catalog.Describe(p)
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

// basket remembers what a build has already taken, so that nothing is used twice.
type basket struct {
	used map[string]float64
	uses []PartUse
}

func newBasket() *basket { return &basket{used: map[string]float64{}} }

// left is how much of a stock the build may still take.
func left[P catalog.Part](b *basket, s stock[P]) float64 { return s.count - b.used[s.key] }

// take enters quantity of a stock under a role, lot by lot. When there is too little it takes nothing, enters the whole as a
// part to buy and reports false.
func take[P catalog.Part](b *basket, role string, s stock[P], quantity float64) bool {
	if s.buy {
		b.buy(role, s.name(), quantity, string(unitOf(s.part)), requirementOf(s.part))
		return true
	}
	if left(b, s) < quantity-1e-9 {
		b.buy(role, s.name(), quantity, string(unitOf(s.part)), "more of "+s.name())
		return false
	}
	skip, want := b.used[s.key], quantity
	b.used[s.key] += quantity
	for _, p := range s.lots {
		here := p.count - skip
		skip = max(0, skip-p.count)
		if here <= 0 {
			continue
		}
		n := min(here, want)
		b.uses = append(b.uses, PartUse{Role: role, Lot: p.lot, Designation: s.name(), Quantity: n,
			Unit: string(unitOf(s.part)), Source: "drawer", Bin: p.bin})
		if want -= n; want <= 1e-9 {
			break
		}
	}
	return true
}

// buy enters a part that the drawer lacks.
func (b *basket) buy(role, designation string, quantity float64, unit, requirement string) {
	b.uses = append(b.uses, PartUse{Role: role, Designation: designation, Quantity: quantity, Unit: unit, Source: "buy",
		Requirement: requirement})
}

func (b *basket) missing() (lines int) {
	for _, u := range b.uses {
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
