package sqlite

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/inventory"
)

// No odd number reaches the drawer, whoever hands it in. Minus zero is no count; as a figure it is
// nought where nought is possible. SQLite by itself would keep an infinity and turn NaN into NULL
// (tried out for the project).
func TestNoOddNumberIsStored(t *testing.T) {
	s := fresh(t)
	l := lot(resistor(10), 5)
	id := put(t, s, l)[0]
	before := printOf(t, s.file.Path)
	for _, odd := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), math.Copysign(0, -1),
		5e-324, -5e-324, 1e-310, 1e300} {
		for _, kind := range catalog.Kinds() {
			for _, f := range catalog.Schema(kind) {
				if !f.Numeric || odd == 0 && f.Low <= 0 {
					continue // nought, where that is possible
				}
				_, err := catalog.Build(catalog.Record{Kind: kind, Designation: "odd",
					Values: []catalog.Value{
						{Field: f.Name, Number: odd, Numeric: true, Basis: catalog.Published}}})
				require.ErrorContains(t, err, f.Name, "%v %s %v", odd, kind, f.Name)
			}
		}
		counted, part, read, wrong := l, l, l, l
		counted.Count = odd
		part.Part = catalog.Resistor{Named: catalog.Named{Name: "odd"},
			Resistance: catalog.Of(resistor(odd).Resistance.Value)}
		read.Measured = []inventory.Measurement{{Field: "resistance", Value: odd, Error: 0.01}}
		wrong.Measured = []inventory.Measurement{{Field: "resistance", Value: 10, Error: odd}}
		for _, bad := range []inventory.Lot{counted, part, read, wrong} {
			_, err := s.Put(ctx, []inventory.Lot{bad}, "", noon)
			require.Error(t, err, "%v", odd)
			_, err = s.Import(ctx, []inventory.Lot{bad}, true, noon)
			require.Error(t, err, "%v", odd)
		}
		_, err := s.Take(ctx, id, odd, "", noon)
		require.Error(t, err, "%v", odd)
		require.Error(t, s.Reserve(ctx, []inventory.Draw{{Lot: id, Count: odd}}, "p", noon), "%v",
			odd)
		_, err = s.Measure(ctx, id, read.Measured[0], noon)
		require.Error(t, err, "%v", odd)
		require.Equal(t, before, printOf(t, s.file.Path), "%v", odd)
	}
	sound(t, s)
}
