package stock

import (
	"math"

	"sparewright/catalog"
	"sparewright/substitute/seats"
)

// Suits tells which stocks hold what a seat asks for in a circuit.
func Suits[P catalog.Part](id seats.ID, c *seats.Circuit) func(*Stock[P]) bool {
	always := id.In(c).Needs(nil)
	return func(s *Stock[P]) bool {
		needs := always
		if id.PartByPart() {
			needs = id.In(c).Needs(s.Figures)
		}
		for _, n := range needs {
			if !n.Holds(s.Figures) {
				return false
			}
		}
		return true
	}
}

// Preferred is the place in a list of the part that a seat prefers among those that suit it and of
// which enough is left; -1 for none.
func Preferred[P catalog.Part](b *Basket, id seats.ID, all []Stock[P], c *seats.Circuit) int {
	suits := Suits[P](id, c)
	best, bestScore := -1, math.Inf(1)
	for i := range all {
		if Left(b, all[i]) >= float64(id.Pieces()) && suits(&all[i]) {
			if s := id.In(c).Prefers(all[i].Figures); s < bestScore {
				best, bestScore = i, s
			}
		}
	}
	return best
}

// Fill takes for a seat the part it prefers, or enters what to buy; a seat that nothing is bought
// for stays empty.
func Fill[P catalog.Part](b *Basket, id seats.ID, all []Stock[P], c *seats.Circuit) (P, bool) {
	if best := Preferred(b, id, all, c); best >= 0 {
		Take(b, id, all[best], float64(id.Pieces()))
		return all[best].Part, true
	}
	if id.In(c).Bought() != "" {
		b.BuyFor(id, c)
	}
	var none P
	return none, false
}

// BuyFor enters what to buy for a seat, as many pieces as sit there.
func (b *Basket) BuyFor(id seats.ID, c *seats.Circuit) {
	sought := id.In(c)
	b.Buy(id, sought.Bought(), float64(id.Pieces()), "piece", sought.Asked())
}
