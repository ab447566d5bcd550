package substitute

import (
	"sparewright/inventory"
)

// Draws is what the build takes out of each lot of the drawer, rounded up to what can be set aside.
// Parts to be bought are left out.
func (b *Build) Draws(s inventory.Snapshot) []inventory.Draw {
	var draws []inventory.Draw
	for _, p := range b.Parts {
		if p.Source == "drawer" {
			draws = append(draws, inventory.Draw{Lot: p.Lot, Count: p.Quantity})
		}
	}
	return inventory.Gather(draws, s)
}

// ToBuy is the part of the parts list that the drawer lacks.
func (b *Build) ToBuy() []PartUse { return append([]PartUse{}, ToBuy(b.Parts)...) }
