package inventory

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
)

// The rule, case by case, as RunningLow states it.
func TestRunningLow(t *testing.T) {
	fuse := func(name string) catalog.Part { return catalog.Fuse{Named: catalog.Named{Name: name}} }
	wire := catalog.Wire{Named: catalog.Named{Name: "w"}, Diameter: catalog.Of(si.Length(3e-4))}
	lots := []Lot{
		{ID: 1, Part: fuse("alone"), Count: 1},
		{ID: 2, Part: fuse("pair"), Count: 2},
		{ID: 3, Part: fuse("spread"), Count: 1, Bin: "A1"}, // two in two bins are two
		{ID: 4, Part: fuse("spread"), Count: 1, Bin: "A2"},
		{ID: 5, Part: fuse("aside"), Count: 3, SetAside: 3},
		{ID: 6, Part: fuse("nearly aside"), Count: 3, SetAside: 2},
		{ID: 7, Part: fuse("broken"), Count: 1, Condition: Damaged},
		{ID: 8, Part: fuse("one good"), Count: 1},
		{ID: 9, Part: fuse("one good"), Count: 9, Condition: Damaged},
		{ID: 10, Part: fuse("gone")},
		{ID: 11, Part: wire, Count: 4.99},
		{ID: 12, Part: catalog.Adapter{Named: catalog.Named{Name: "brick"}}, Count: 1},
		{ID: 13, Part: catalog.Transformer{Named: catalog.Named{Name: "coil"}}, Count: 1},
	}
	want := map[int64]Scarcity{1: LastPiece, 5: NoneFree, 6: LastPiece, 8: LastPiece, 11: ShortEnd}
	require.Equal(t, want, RunningLow(lots))
	lots[10].Count = ShortLength
	delete(want, 11)
	require.Equal(t, want, RunningLow(lots))
}
