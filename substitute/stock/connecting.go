package stock

import (
	"sparewright/substitute/seats"
)

// LotOf is the first lot of the drawer that fills a seat, of parts with that designation unless it
// is empty; 0 for none.
func (b *Basket) LotOf(id seats.ID, designation string) int64 {
	for _, u := range b.Uses {
		if u.Role == id && (designation == "" || u.Designation == designation) &&
			u.Source == "drawer" {
			return u.Lot
		}
	}
	return 0
}

// Holds reports that a role was filled from one of these lots.
func (b *Basket) Holds(role seats.ID, lots []Place) bool {
	for _, u := range b.Uses {
		for _, l := range lots {
			if u.Role == role && u.Source == "drawer" && u.Lot == l.Lot {
				return true
			}
		}
	}
	return false
}
