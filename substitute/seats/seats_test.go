package seats_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/substitute/seats"
)

// Every seat has all that is written of one: a name of its own, a kind of the catalog, a mark that no other seat has (the
// parts of the transformer share its mark, a whole adapter is not drawn), and a word on what to measure.
func TestEverySeatIsWhole(t *testing.T) {
	names, marks := map[string]seats.ID{}, map[string]seats.ID{}
	for _, id := range seats.All() {
		require.NotEmpty(t, id.String(), "seat %d", uint16(id))
		require.Zero(t, names[id.String()], "two seats are called %s", id)
		names[id.String()] = id
		require.True(t, slices.Contains(catalog.Kinds(), id.Kind()), "%s: %q", id, id.Kind())
		require.NotEmpty(t, id.Measure(), id)
		require.Equal(t, id == seats.Adapter, len(id.Marks()) == 0, id)
		for _, m := range id.Marks() {
			if m != "T1" {
				require.Zero(t, marks[m], "%s and %s are both drawn as %s", id, marks[m], m)
			}
			marks[m] = id
		}
	}
}

// Resistors are drawn as R, capacitors as C, and so on, as circuit diagrams of supplies have it (common practice, no source).
func TestMarksSayTheKind(t *testing.T) {
	letters := map[catalog.Kind]string{catalog.KindResistor: "R", catalog.KindCapacitor: "C", catalog.KindRectifier: "D", catalog.KindBridge: "D",
		catalog.KindClamp: "D", catalog.KindZener: "D", catalog.KindTrimmer: "RV", catalog.KindFuse: "F", catalog.KindThermistor: "RT",
		catalog.KindChoke: "L", catalog.KindLamp: "H", catalog.KindOptocoupler: "U", catalog.KindAmplifier: "U", catalog.KindReference: "U",
		catalog.KindSwitcher: "U"}
	for _, id := range seats.All() {
		if letter, known := letters[id.Kind()]; known {
			for _, m := range id.Marks() {
				require.Equal(t, letter, strings.TrimRight(m, "0123456789"), id)
			}
		}
	}
}

// A name read back is the seat; what is no name is refused.
func TestNamesReadBack(t *testing.T) {
	for _, id := range seats.All() {
		text, err := json.Marshal(id)
		require.NoError(t, err)
		var again seats.ID
		require.NoError(t, json.Unmarshal(text, &again))
		require.Equal(t, id, again)
	}
	var none seats.ID
	require.ErrorContains(t, json.Unmarshal([]byte(`"flux capacitor"`), &none), "flux capacitor")
}
