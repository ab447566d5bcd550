package catalog_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
)

// The rows of a name: each is a row of data/shapes.tsv, whose sources are the makers' catalogs
// named there.
func TestShapesNamed(t *testing.T) {
	for name, want := range map[string][]string{
		"EE19":    {"EE19", "E19/8/5", "E19/8/5 TDK"}, // EE19/16 is a trade name of E19/8/5
		"etd 29":  {"ETD29/16/10", "ETD29/16/10 Magnetics", "ETD29/16/10 EPCOS"},
		"RM8":     {"RM8", "RM8 EPCOS", "RM8 Ferroxcube"},
		"E19/8/5": {"E19/8/5", "E19/8/5 TDK"},
		"EE16":    {"EE16"},
		"":        nil, "E": nil, "TDK": nil, "EE1": nil,
	} {
		var got []string
		for _, c := range catalog.ShapesNamed(name) {
			got = append(got, c.Designation())
		}
		require.Equal(t, want, got, name)
	}
}

// Whatever name finds a row finds it first among the rows of that name.
func TestShapesNamedBeginsWithTheRow(t *testing.T) {
	for _, c := range catalog.Shapes() {
		all := catalog.ShapesNamed(c.Designation())
		require.NotEmpty(t, all)
		require.Equal(t, c.Designation(), all[0].Designation())
	}
}
