package substitute_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/advise"
)

// Where the drawer holds small diodes no LED joins the loops; without them LEDs do so only where
// the resting one sees no more than the 5 V that LEDs bear (rating of indicator LEDs, from memory).
// By Kirchhoff: highest output less headroom of the amplifier that pulls and drop of its LED.
func TestLEDsJoinOnlyWhereTheyBearIt(t *testing.T) {
	bare := exchange.Demo()
	bare.Lots = slices.DeleteFunc(slices.Clone(bare.Lots), func(l inventory.Lot) bool {
		p, is := l.Part.(catalog.Rectifier)
		return is && p.Average.Value <= 1 && p.Technology != "standard" &&
			p.Technology != "schottky" && p.Reverse.Value < 600
	})
	for _, cells := range []int{2, 4} {
		target := resolved(t, substitute.Target{Chemistry: "li-ion", Cells: cells, Current: 1})
		got := advise.Advise(target, exchange.Demo(), advise.Options{Drawer: true})
		require.NotEmpty(t, got.Builds)
		for _, b := range got.Builds {
			require.False(t, b.Regulation.Circuit.LEDs, "30 diodes lie there")
		}
		for _, b := range advise.Advise(target, bare, advise.Options{}).Builds {
			r := b.Regulation
			back := float64(r.Loops.UnloadPeak - r.Circuit.Headroom - r.Circuit.JoinDrop)
			require.False(t, r.Circuit.LEDs && back > 5, "%d cells: %g V", cells, back)
		}
	}
}
