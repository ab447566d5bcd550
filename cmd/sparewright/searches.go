package main

import (
	"sparewright/inventory"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/shop"
)

// searching is advise.Advise. The tests of the commands keep what it says: they ask the same few
// questions hundreds of times.
type searching func(substitute.Target, inventory.Snapshot, advise.Options) substitute.Result

// searches is what every command asks for builds.
var searches searching = advise.Advise

// shopping is shop.Shop, which the tests of the commands keep likewise.
var shopping = shop.Shop
