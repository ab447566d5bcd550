package seats

import (
	"cmp"
	"math"
	"slices"

	"sparewright/catalog"
	"sparewright/catalog/si"
)

// Need is one figure or word that a part must have at its seat. A need with figures has a lower
// limit, an upper limit or both, in base units. Which side is safe when it is missed, and whether
// that refuses, stands in catalog/data/substitutions.tsv.
type Need struct {
	Field     string
	Low, High float64 // NaN = no limit on that side
	Words     []string
	Guide     bool // no limit, only an explanation where the search finds no way

	of     asker
	below  bool // to the search the upper limit itself is too much
	always bool // the same in every charger; words are so anyway
}

// asker says who holds a need against a part.
type asker uint8

const (
	both       asker = iota
	searchOnly       // what a stand-in changes is worked out anew
	swapOnly         // compared with the part in place, or weighed by the search and no limit of it
)

// AtLeast is a lower limit of a figure.
func AtLeast[Q si.Quantity](field string, q Q) Need { return Within(field, q, Q(math.NaN())) }

// AtMost is an upper limit of a figure.
func AtMost[Q si.Quantity](field string, q Q) Need { return Within(field, Q(math.NaN()), q) }

// Within are both limits of a figure.
func Within[Q si.Quantity](field string, low, high Q) Need {
	return Need{Field: field, Low: float64(low), High: float64(high)}
}

// OneOf are the words allowed; the empty one stands for a word not given.
func OneOf(field string, words ...string) Need { return Need{Field: field, Words: words} }

// Below makes the upper limit itself too much for the search.
func (n Need) Below() Need { n.below = true; return n }

// Always says that a limit is the same in every charger.
func (n Need) Always() Need { n.always = true; return n }

// AsGuide makes a need an explanation of what a stand-in lacks, no limit.
func (n Need) AsGuide() Need { n.Guide = true; return n.OfSwap() }

// OfSearch makes a need one that only the search asks about: what a stand-in changes there is
// worked out anew.
func (n Need) OfSearch() Need { n.of = searchOnly; return n }

// OfSwap makes a need one that only a stand-in is asked about.
func (n Need) OfSwap() Need { n.of = swapOnly; return n }

// Holds reports that a part with these figures has what is needed. A figure that is not known never
// does, nor does any where the circuit does not say what it needs.
func (n Need) Holds(p Figures) bool {
	if n.Words != nil {
		return slices.Contains(n.Words, p.Word(n.Field))
	}
	v := p.Figure(n.Field)
	if math.IsNaN(v) || math.IsNaN(n.Low) && math.IsNaN(n.High) || v < n.Low || v > n.High {
		return false
	}
	return !n.below || v < n.High
}

// Figures are the figures and words of a part, completed as the search sees it.
type Figures []catalog.Value

// FiguresOf lists what is known of a part.
func FiguresOf(p catalog.Part) Figures { return catalog.Describe(p).Values }

// Figure is a figure in the base unit; NaN when it is not known.
func (f Figures) Figure(field string) float64 {
	for i := range f {
		if f[i].Field == field {
			return f[i].Number
		}
	}
	return math.NaN()
}

// Word is a word of the part; empty when it is not given.
func (f Figures) Word(field string) string {
	for i := range f {
		if f[i].Field == field {
			return f[i].Text
		}
	}
	return ""
}

// Sought is a seat in a circuit, whose figures say what a part must hold to sit there.
type Sought struct {
	id ID
	c  *Circuit
}

// In is the seat in a circuit.
func (id ID) In(c *Circuit) Sought { return Sought{id, c} }

// Needs are what the search asks of a part at this seat. Only rows that ask some parts more than
// others look at p, which may be nil else; see PartByPart.
func (s Sought) Needs(p Figures) []Need { return s.needs(p, swapOnly) }

// StandInNeeds are what a part p must hold to stand in for the one in place, whose figures are in
// the circuit.
func (s Sought) StandInNeeds(p Figures) []Need { return s.needs(p, searchOnly) }

func (s Sought) needs(p Figures, without asker) []Need {
	if table[s.id].needs == nil {
		return nil
	}
	return slices.DeleteFunc(table[s.id].needs(s.c, p), func(n Need) bool {
		return n.of == without
	})
}

// MaySit reports that a part could sit there in some charger: it has the words and the figures that
// the search asks of all.
func (id ID) MaySit(p Figures) bool {
	for _, n := range id.In(&Circuit{}).Needs(p) {
		if (n.Words != nil || n.always) && !n.Holds(p) {
			return false
		}
	}
	return true
}

// PartByPart reports that what is asked depends on the part.
func (id ID) PartByPart() bool { return table[id].partByPart }

// Prefers orders the parts that hold the needs: the least is taken, of equal ones the first of the
// drawer.
func (s Sought) Prefers(p Figures) float64 {
	if table[s.id].prefers == nil {
		return 0
	}
	return table[s.id].prefers(s.c, p)
}

// Bought is what to ask a shop for where the drawer has nothing; empty where the seat may stay
// empty.
func (s Sought) Bought() string {
	if table[s.id].bought == nil {
		return ""
	}
	return table[s.id].bought(s.c)
}

// Asked is what matters about a part that is bought; its designation where that says it all.
func (s Sought) Asked() string { return cmp.Or(table[s.id].asked, s.Bought()) }

// Pieces is how many equal parts sit there.
func (id ID) Pieces() int { return max(1, table[id].pieces) }
