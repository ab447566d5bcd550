package stock

// Holds reports that a role was filled from one of these lots.
func (b *Basket) Holds(role string, lots []Place) bool {
	for _, u := range b.Uses {
		for _, l := range lots {
			if u.Role == role && u.Source == "drawer" && u.Lot == l.Lot {
				return true
			}
		}
	}
	return false
}
