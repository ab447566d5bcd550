package find

import (
	"sparewright/inventory"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/shop"
)

// Searching is advise.Advise. The tests of the commands keep what it says: they ask the same few
// questions hundreds of times.
type Searching func(substitute.Target, inventory.Snapshot, advise.Options) substitute.Result

// Searches is what every command asks for builds.
var Searches Searching = advise.Advise

// Shopping is shop.Shop, which the tests of the commands keep likewise.
var Shopping = shop.Shop
