package substitute_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/advise"
)

// A drawer that lacks a whole kind of part still answers in figures: no document holds infinity or
// what is no number, which a JSON writer refuses. Once an output capacitor to buy had no
// capacitance, and the output ran up by 0/0.
func TestDrawerWithoutAKindAnswersInFigures(t *testing.T) {
	kinds := []catalog.Kind{catalog.KindCapacitor, catalog.KindTransistor, catalog.KindReference}
	if testing.Short() {
		kinds = kinds[:1]
	}
	target := resolved(t, substitute.Target{Chemistry: "li-ion", Cells: 4, Current: 0.5})
	for _, k := range kinds {
		t.Run(string(k), func(t *testing.T) {
			var left inventory.Snapshot
			for _, l := range exchange.Demo().Lots {
				if l.Part.Kind() != k {
					left.Lots = append(left.Lots, l)
				}
			}
			r := advise.Advise(target, fewStages(left), advise.Options{Builds: 1, Single: true})
			_, err := json.Marshal(r)
			require.NoError(t, err)
			for _, b := range r.Builds {
				for _, c := range b.Checks {
					require.True(t, c.Passed || !c.Hard, "%s: %s %g of %g", k, c.Name, c.Value,
						c.Limit)
				}
			}
		})
	}
}
