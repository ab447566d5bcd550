package substitute_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute/advise"
)

// What a survey names to buy first is bought, and every target that it is said to open is asked for
// again: the drawer alone makes it then.
func TestFirstPurchaseOpensWhatItSays(t *testing.T) {
	s, err := surveyed()
	require.NoError(t, err)
	require.NotNil(t, s.First)
	drawer := exchange.Demo()
	for i, u := range s.First.Buy {
		require.Equal(t, "ETD34/17/11 N87", u.Designation, "another part: buy it here too")
		drawer.Lots = append(drawer.Lots, inventory.Lot{ID: int64(9000 + i), Count: u.Quantity,
			Condition: inventory.New, Part: catalog.Core{Named: catalog.Named{Name: u.Designation},
				Shape: "ETD34/17/11", Ferrite: "N87", Former: "plain"}})
	}
	w := advise.NewWorkbench(drawer)
	require.Greater(t, len(s.First.Opens), 2)
	for _, k := range s.First.Opens[:min(len(s.First.Opens), max(few(6), 1))] {
		target := s.Targets[k].Target
		t.Run(target.Name, func(t *testing.T) {
			r := w.Advise(target, advise.Options{Builds: 1, Refused: 1, Drawer: true})
			require.True(t, advise.AnyFeasible(r.Builds), "%v A", target.Current)
		})
	}
}
