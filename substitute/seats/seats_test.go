package seats_test

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/seats"
)

// Every seat has all that is written of one: a name of its own, a kind of the catalog, a mark that
// no other seat has (the parts of the transformer share its mark, a whole adapter is not drawn),
// and a word on what to measure.
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

// Resistors are drawn as R, capacitors as C, and so on, as circuit diagrams of supplies have it
// (common practice, no source).
func TestMarksSayTheKind(t *testing.T) {
	letters := map[catalog.Kind]string{
		catalog.KindResistor: "R", catalog.KindCapacitor: "C", catalog.KindRectifier: "D",
		catalog.KindBridge: "D", catalog.KindClamp: "D", catalog.KindZener: "D",
		catalog.KindTrimmer: "RV", catalog.KindFuse: "F", catalog.KindThermistor: "RT",
		catalog.KindChoke: "L", catalog.KindLED: "H", catalog.KindOptocoupler: "U",
		catalog.KindAmplifier: "U", catalog.KindReference: "U", catalog.KindSwitcher: "U",
	}
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

// What is asked of a part is a figure or word that parts of its kind have, and a word is one that
// the catalog allows there, so that no need can go unheld by a slip of the pen.
func TestNeedsAreFiguresOfTheKind(t *testing.T) {
	for _, id := range seats.All() {
		c := &seats.Circuit{}
		for _, n := range append(id.In(c).Needs(nil), id.In(c).StandInNeeds(nil)...) {
			f, known := catalog.FieldNamed(id.Kind(), n.Field)
			require.True(t, known, "%s asks for %s", id, n.Field)
			require.Equal(t, n.Words == nil, f.Numeric, "%s %s", id, n.Field)
			for _, w := range n.Words {
				require.True(t, w == "" || slices.Contains(f.Words, w), "%s %s=%s", id, n.Field, w)
			}
		}
	}
}

// A figure that is not known holds nothing; both limits count as
// kept themselves, but for one that is said to be too much.
func TestNeedAtItsLimits(t *testing.T) {
	volts := func(v float64) seats.Figures {
		return seats.Figures{{Field: "volts", Number: v, Numeric: true}}
	}
	n := seats.Within("volts", si.Voltage(10), 200)
	for v, holds := range map[float64]bool{9.99: false, 10: true, 200: true, 200.1: false} {
		require.Equal(t, holds, n.Holds(volts(v)), v)
	}
	require.False(t, n.Below().Holds(volts(200)))
	require.True(t, n.Below().Holds(volts(199)))
	require.False(t, n.Holds(nil))
	require.False(t, seats.AtLeast("volts", si.Voltage(math.NaN())).Holds(volts(200)),
		"a limit that is not known")
	require.True(t, seats.OneOf("type", "", "film").Holds(nil), "a word not given")
	require.False(t, seats.OneOf("safety", "Y1").Holds(nil))
}

// Every need of a stand-in has its rule, whatever build asks; no rule speaks of a place that is
// none.
func TestEveryNeedHasARule(t *testing.T) {
	names := map[string]bool{}
	for _, id := range seats.All() {
		names[id.String()] = true
		for _, n := range id.In(&seats.Circuit{}).StandInNeeds(nil) {
			_, known := catalog.SubstitutionFor(id.Kind(), id.Base().String(), n.Field)
			require.True(t, known, "%s %s", id, n.Field)
		}
	}
	for _, k := range catalog.Kinds() {
		for _, s := range catalog.Substitutions(k, "") {
			for _, role := range s.Roles {
				if k != catalog.KindController && k != catalog.KindTransistor {
					require.True(t, names[role], "%s: %q", s.Name, role)
				}
			}
		}
	}
}
