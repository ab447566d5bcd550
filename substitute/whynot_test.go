package substitute_test

import (
	"encoding/json"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/complete"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/seats"
)

// fromDrawer reports that the drawer alone answers yes.
func fromDrawer(t substitute.Target, s inventory.Snapshot) bool {
	return advise.AnyFeasible(advise.Advise(t, s,
		advise.Options{Builds: 1, Drawer: true}).Builds)
}

// cured applies a cure to a target and a drawer, as its owner would; false for what no table names.
func cured(t *testing.T, c substitute.Cure, to substitute.Target,
	s inventory.Snapshot) (substitute.Target, inventory.Snapshot, bool) {
	t.Helper()
	if c.Case != "" {
		to.Case = c.Case
	}
	if c.Box != nil {
		to.Box = c.Box
	}
	if c.Current > 0 {
		require.Less(t, c.Current, to.Current)
		to.Current = c.Current
	}
	out := inventory.Snapshot{Lots: slices.Clone(s.Lots)}
	for _, m := range c.Measure {
		i := slices.IndexFunc(out.Lots, func(l inventory.Lot) bool { return l.ID == m.Lot })
		require.GreaterOrEqual(t, i, 0)
		value := seats.FiguresOf(complete.Part(inventory.Effective(out.Lots[i]))).Figure(m.Field)
		require.Positive(t, value, m.Field)
		out.Lots[i].Measured = append(slices.Clip(out.Lots[i].Measured),
			inventory.Measurement{Field: m.Field, Value: value, Error: float64(m.Error)})
	}
	for i, u := range c.Buy {
		part, ok := shelfPart(u)
		if !ok {
			return to, out, false
		}
		out.Lots = append(out.Lots, inventory.Lot{ID: int64(9000 + i), Part: part,
			Count: u.Quantity, Condition: inventory.New})
	}
	return to, out, true
}

// shelfPart is a part to buy that the published tables name.
func shelfPart(u substitute.PartUse) (catalog.Part, bool) {
	if part, ok := onList(u.Designation); ok {
		return part, true
	}
	row, _, ok := catalog.Lookup(u.Role.Kind(), u.Designation)
	return row, ok && u.Role.Kind() != catalog.KindCore && row.Designation() == u.Designation
}

// TestCuresMakeItAYes: whatever cure is named for a drawer that answers no, applied it makes the
// answer yes: no obstacle is kept for later. Drawers are the ordinary boxes and the built-in one,
// thinned at random.
func TestCuresMakeItAYes(t *testing.T) {
	r := rand.New(rand.NewPCG(27, 8))
	applied := map[substitute.Way]int{}
	for n := range few(36) {
		from := exchange.Demo()
		if k := n % 4; k < 3 {
			from = salvage(t, []string{"heap", "bricks", "meter"}[k])
		}
		drop := []int{0, 12, 6}[r.IntN(3)]
		var s inventory.Snapshot
		for _, l := range from.Lots {
			if drop == 0 || r.IntN(drop) > 0 {
				s.Lots = append(s.Lots, l)
			}
		}
		like := advise.Usual()[r.IntN(len(advise.Usual()))]
		like.Current = []si.Current{0.5, 0.7, 1, 1.5, 2}[r.IntN(5)]
		target := resolved(t, like)
		result := advise.Advise(target, s, advise.Options{Buy: true})
		if advise.AnyFeasible(result.Builds) {
			require.Empty(t, result.Cures)
			continue
		}
		_, err := json.Marshal(result)
		require.NoError(t, err)
		for _, m := range result.Misses {
			for _, c := range m.Failing {
				require.False(t, c.Passed, c.Name)
			}
		}
		for _, c := range result.Cures {
			to, with, is := cured(t, c, target, s)
			if !is {
				continue
			}
			applied[c.Way]++
			require.True(t, fromDrawer(to, with), "%d: %s %g A: %+v", n, target.Name,
				float64(target.Current), c)
		}
	}
	t.Logf("applied: %v", applied)
	require.Positive(t, applied[substitute.ByCurrent])
}

// TestThreeEmptyKindsAreNamedAtOnce: a drawer without three kinds of part, of which no charger can
// do without any, says so at once and names a purchase; once no list of two kinds served, and the
// answer was no.
func TestThreeEmptyKindsAreNamedAtOnce(t *testing.T) {
	target := resolved(t, substitute.Target{Chemistry: "li-ion", Cells: 3, Current: 0.5})
	kinds := []catalog.Kind{catalog.KindOptocoupler, catalog.KindAmplifier, catalog.KindReference}
	r := advise.Advise(target, fewStages(lacking(kinds...)),
		advise.Options{Builds: 1, Buy: true})
	require.NotEmpty(t, r.Builds, "%+v", r.Refused)
	require.Equal(t, substitute.NeedsParts, r.Builds[0].Verdict)
	named := func(parts []substitute.PartUse, k catalog.Kind) bool {
		return slices.ContainsFunc(parts,
			func(u substitute.PartUse) bool { return u.Role.Kind() == k })
	}
	require.NotEmpty(t, r.Misses)
	require.Len(t, r.Cures, 1)
	for _, k := range kinds[:2] { // an amplifier may hold its own reference
		require.True(t, named(r.Misses[0].Empty, k), "%s: %+v", k, r.Misses[0].Empty)
		require.True(t, named(r.Cures[0].Buy, k), "%s: %+v", k, r.Cures[0].Buy)
	}
}

// TestEveryFreeCureMakesItAYes: readings of lots, another case, a larger box and a smaller current,
// each named for a drawer that answers no, and each applied. The long form applies the readings
// too.
func TestEveryFreeCureMakesItAYes(t *testing.T) {
	small := &substitute.Box{Length: 55e-3, Width: 40e-3, Height: 30e-3}
	rows := []struct {
		name   string
		drawer inventory.Snapshot
		target substitute.Target
		ways   []substitute.Way
	}{
		{"a small box", exchange.Demo(),
			substitute.Target{Chemistry: "li-ion", Cells: 4, Current: 1, Box: small},
			[]substitute.Way{substitute.ByCase, substitute.ByBox, substitute.ByCurrent}},
		{"resistors of 1 %", salvage(t, "bricks"),
			substitute.Target{Chemistry: "lead-acid-agm", Duty: "float", Cells: 6, Current: 0.5},
			[]substitute.Way{substitute.ByMeasuring}},
	}
	if !long() {
		rows = rows[:1]
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			target := resolved(t, row.target)
			require.False(t, fromDrawer(target, row.drawer))
			var named []substitute.Way
			for _, c := range advise.Advise(target, row.drawer, advise.Options{Buy: true}).Cures {
				if c.Way == substitute.ByBuying {
					continue
				}
				named = append(named, c.Way)
				to, with, is := cured(t, c, target, row.drawer)
				require.True(t, is)
				require.True(t, fromDrawer(to, with), "%+v", c)
			}
			require.Equal(t, row.ways, named)
		})
	}
}
