package substitute_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/regulation/resistors"
	"sparewright/substitute/seats"
	"sparewright/substitute/shop"
	"sparewright/substitute/stock"
)

// Names by which resistors are bought, read back; the letter code is that of IEC 60062.
func TestNamesOfSoldResistors(t *testing.T) {
	for name, p := range map[string]resistors.Piece{
		"4k7 1%":     {Ohm: 4700, Tolerance: 0.01, Power: 0.25},
		"5k76 0.1%":  {Ohm: 5760, Tolerance: 0.001},
		"0R22 1% 2W": {Ohm: 0.22, Tolerance: 0.01, Power: 2},
	} {
		require.Equal(t, name, stock.SoldResistance(p, false))
		part, ok := stock.SoldPart(catalog.KindResistor, name)
		require.True(t, ok, name)
		r := part.(catalog.Resistor)
		require.InEpsilon(t, float64(p.Ohm), float64(r.Resistance.Value), 1e-12)
		require.InEpsilon(t, float64(p.Tolerance), float64(r.Tolerance.Value), 1e-12)
		require.Equal(t, max(0.25, p.Power), r.Rating.Value)
	}
	require.Equal(t, "trimmer 2k", stock.SoldResistance(resistors.Piece{Ohm: 2000}, true))
	part, ok := stock.SoldPart(catalog.KindTrimmer, "trimmer 2k")
	require.True(t, ok)
	require.Equal(t, si.Resistance(2000), part.(catalog.Trimmer).Resistance.Value)
	for _, wrong := range []string{"", "4k7", "x 1%", "4k7 x", "4k7 1% x"} {
		_, ok := stock.SoldPart(catalog.KindResistor, wrong)
		require.False(t, ok, wrong)
	}
}

// A drawer without a single resistor or trimmer: what its shopping list names is enough. With those
// parts laid in the same charger needs none of them, and the set voltage stays below the limit in
// every corner of what was bought (Kirchhoff at the tap, worked out here from the names).
func TestBoughtResistorsAreEnough(t *testing.T) {
	stronger := 0
	for _, target := range []substitute.Target{
		{Chemistry: "li-ion", Cells: 4, Current: 1},
		{Chemistry: "li-ion", Cells: 2, Current: 0.5},
		{Chemistry: "lead-acid-agm", Cells: 6, Duty: "cyclic", Current: 1},
	} {
		target := resolved(t, target)
		drawer := fewStages(lacking(catalog.KindResistor, catalog.KindTrimmer))
		p := shop.Shop(target, drawer, shop.ShopOptions{})
		require.NotNil(t, p.Then, target.Name)
		bought := drawer
		networks := 0
		for i, line := range p.Buy {
			part, is := onList(line.Designation)
			if !is {
				continue
			}
			networks++
			bought.Lots = append(bought.Lots,
				inventory.Lot{ID: int64(900 + i), Part: part, Count: line.Quantity,
					Condition: inventory.New})
		}
		require.Positive(t, networks, "%s: %+v", target.Name, p.Buy)
		requireSetBelowLimit(t, target, p.Then)
		after := advise.Advise(target, bought, advise.Options{Builds: 1, Drawer: true})
		require.NotEmpty(t, after.Builds, "%s: %+v\n%+v", target.Name, p.Buy, after.Refused)
		stronger += requireStrongerWillDo(t, target, bought)
		for _, u := range after.Builds[0].ToBuy() {
			_, resistor := stock.SoldPart(catalog.KindResistor, u.Designation)
			require.False(t, resistor, "%s: %s still to buy", target.Name, u.Designation)
		}
	}
	require.Positive(t, stronger)
}

// requireStrongerWillDo puts resistors of a watt in the place of those of half a watt: a higher
// rating is no reason against a bias or LED resistor.
func requireStrongerWillDo(t *testing.T, target substitute.Target, s inventory.Snapshot) int {
	t.Helper()
	strong := inventory.Snapshot{Lots: slices.Clone(s.Lots)}
	changed := 0
	for i, l := range strong.Lots {
		if r, is := l.Part.(catalog.Resistor); is && strings.HasSuffix(r.Name, " 0.5W") {
			r.Name, r.Rating = strings.TrimSuffix(r.Name, "0.5W")+"1W", catalog.Of(si.Power(1))
			strong.Lots[i].Part = r
			changed++
		}
	}
	require.NotEmpty(t, advise.Advise(target, strong,
		advise.Options{Builds: 1, Drawer: true}).Builds,
		target.Name)
	return changed
}

// onList is the part of the control circuit that a line of the shopping list names. The resistors
// in series with the inputs are listed by what they have to be.
func onList(designation string) (catalog.Part, bool) {
	if designation == "resistor 2k2 0.25 W" {
		return catalog.Resistor{Named: catalog.Named{Name: "2k2"},
			Resistance: catalog.Of(si.Resistance(2200)),
			Tolerance:  catalog.Of(si.Ratio(0.05))}, true
	}
	kinds := []catalog.Kind{catalog.KindResistor, catalog.KindAmplifier, catalog.KindReference}
	if strings.HasPrefix(designation, stock.SoldTrimmer) {
		kinds = []catalog.Kind{catalog.KindTrimmer}
	}
	for _, kind := range kinds {
		if part, ok := stock.SoldPart(kind, designation); ok {
			return part, true
		}
	}
	return nil, false
}

// requireSetBelowLimit works the highest output out from the resistors by name: reference and
// offset at their limits, top leg high, bottom leg low, trimmer at the stop that gives most, every
// resistor off by its tolerance.
func requireSetBelowLimit(t *testing.T, target substitute.Target, b *substitute.Build) {
	t.Helper()
	spread := map[seats.ID]float64{}
	for _, u := range b.Parts {
		if part, ok := stock.SoldPart(catalog.KindResistor, u.Designation); ok &&
			u.Source == "buy" {
			spread[u.Role] = max(spread[u.Role], float64(part.(catalog.Resistor).Tolerance.Value))
		}
	}
	top, bottom := float64(b.Regulation.Top)*(1+spread[seats.DividerTop]),
		float64(b.Regulation.Bottom)*(1-spread[seats.DividerBottom])
	highest := 0.0
	for _, u := range b.Parts {
		switch u.Role {
		case seats.Amplifier:
			if a, _, ok := catalog.Lookup(catalog.KindAmplifier, u.Designation); ok {
				highest = max(highest, float64(a.(catalog.Amplifier).VrefMax.Or(0)))
			}
		case seats.Reference:
			if r, _, ok := catalog.Lookup(catalog.KindReference, u.Designation); ok {
				highest = max(highest, float64(r.(catalog.Reference).VrefMax.Or(0)))
			}
		}
	}
	require.Positive(t, highest)
	require.LessOrEqual(t, highest*(1+top/bottom), float64(target.Absolute), "%s: %v over %v ohm",
		target.Name, top, bottom)
}

// Nothing is bought for a network that the drawer has, nor where the shelf cannot help.
func TestNetworkedOnlyWhereLacking(t *testing.T) {
	target := resolved(t, substitute.Target{Chemistry: "li-ion", Cells: 4, Current: 1})
	require.Nil(t, advise.NewWorkbench(exchange.Demo()).Networked(target, nil))
	require.Nil(t, advise.NewWorkbench(exchange.Demo()).Networked(target,
		[]substitute.Refusal{{Lack: "resistor:1k 1%"}}))
	require.Nil(t, advise.NewWorkbench(lacking(catalog.KindAmplifier)).Networked(target,
		[]substitute.Refusal{{Check: "x"}}))
}
