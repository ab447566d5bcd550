package substitute_test

import (
	"math"
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
	"sparewright/substitute/stage"
	"sparewright/substitute/stock"
)

// demoTransformer is the unopened transformer of the demo drawer as measured: 0.62 mH and 6.5 : 1
// within 2 %, knee at 3.7 A, from a 24 W flyback with KA5M0365R.
func demoTransformer(t *testing.T) catalog.Transformer {
	t.Helper()
	lot, ok := exchange.Demo().Lot(282)
	require.True(t, ok)
	return complete.Part(inventory.Effective(lot)).(catalog.Transformer)
}

func opened(p catalog.Transformer) (*stage.DonorTransformer, substitute.Refusal) {
	return stage.OpenTransformer(&stock.Stock[catalog.Transformer]{Part: p, Key: "t", Count: 1,
		Lots: []stock.Place{{Lot: 1, Count: 1}}})
}

// The errors written beside the readings are those of the lot; a reading without one would count as
// 1 %.
func TestMeterErrorsReachTheTransformer(t *testing.T) {
	p := demoTransformer(t)
	require.Equal(t, si.Ratio(0.02), p.Meter.Value)
	require.Equal(t, si.Ratio(0.02), p.Scope.Value)
	require.Equal(t, si.Inductance(0.62e-3), p.Inductance.Value)
}

// What is not known is never taken for good, and each refusal names what to measure or to declare.
func TestTransformerRefusals(t *testing.T) {
	none := catalog.Datum[si.Current]{}
	for what, row := range map[string]struct {
		change func(p *catalog.Transformer)
		check  string
		cure   string
	}{
		"barrier not declared": {func(p *catalog.Transformer) { p.Barrier = "unknown" }, substitute.CheckBarrier, "barrier=yes only for one from an approved"},
		"barrier broken":       {func(p *catalog.Transformer) { p.Barrier = "no" }, substitute.CheckBarrier, "never opened, never reheated"},
		"no ratio": {func(p *catalog.Transformer) {
			p.Ratio, p.Secondary = catalog.Datum[si.Ratio]{}, catalog.Datum[si.Inductance]{}
		}, stage.CheckTransformerFigures, "measure the ratio"},
		"no leakage":    {func(p *catalog.Transformer) { p.Leakage = catalog.Datum[si.Inductance]{} }, stage.CheckTransformerFigures, "measure the leakage"},
		"no resistance": {func(p *catalog.Transformer) { p.SecondaryOhm = catalog.Datum[si.Resistance]{} }, stage.CheckTransformerFigures, "measure the resistance"},
		"no outline":    {func(p *catalog.Transformer) { p.Shape = "" }, stage.CheckTransformerFigures, "measure the outline"},
		"no knee, no plate": {func(p *catalog.Transformer) {
			p.Saturation, p.Passed, p.PassedLimit = none, catalog.Datum[si.Power]{}, none
		}, stage.CheckTransformerFigures, "measure the knee"},
		"no knee, donor unknown": {func(p *catalog.Transformer) { p.Saturation, p.Topology = none, "unknown" }, stage.CheckTransformerFigures, "measure the knee"},
		"half-bridge":            {func(p *catalog.Transformer) { p.Saturation, p.Topology = none, "half-bridge" }, stage.CheckNoGap, "open it for its core"},
		"forward":                {func(p *catalog.Transformer) { p.Saturation, p.Topology = none, "forward" }, stage.CheckNoGap, "open it for its core"},
		// 65 turns on EF25 with 8.2 mH are 1.94 uH a turn; the bare pair has about 2 uH (catalogue
		// AL of EF25 N87 without gap: 2000 nH)
		"ungapped by its inductance": {func(p *catalog.Transformer) {
			p.Saturation, p.Inductance, p.Secondary = none, catalog.Of[si.Inductance](8.2e-3),
				catalog.Datum[si.Inductance]{}
			p.PrimaryTurns, p.Passed = catalog.Of[si.Ratio](65), catalog.Datum[si.Power]{}
			p.PassedLimit = catalog.Of[si.Current](0.05)
		}, stage.CheckNoGap, "open it for its core"},
		"ratio of inductances taken for the ratio": {func(p *catalog.Transformer) { p.Ratio = catalog.Of[si.Ratio](42) }, stage.CheckTransformerFigures, "measure both again"},
	} {
		p := demoTransformer(t)
		row.change(&p)
		d, why := opened(p)
		require.Nil(t, d, what)
		require.Equal(t, row.check, why.Check, what)
		require.Contains(t, why.Cure, row.cure, what)
	}
	d, why := opened(demoTransformer(t))
	require.NotNil(t, d, why.Why)
}

// The safe current without a knee, by hand: 24 W at no more than 73 kHz through 0.6324 mH need a
// peak of sqrt(2 24/(73e3 0.6324e-3)) = 1.020 A at least; the donor met its lowest limit, 0.88 x
// 2.15 A = 1.892 A or what its sheet says, at every start.
func TestSafeCurrentFromThePlate(t *testing.T) {
	p := demoTransformer(t)
	p.Saturation = catalog.Datum[si.Current]{}
	d, _ := opened(p)
	require.InDelta(t, float64(p.PassedLimit.Value), float64(d.Safe), 1e-12)
	p.PassedLimit, p.PassedAt = catalog.Datum[si.Current]{}, catalog.Of[si.Frequency](73e3)
	d, _ = opened(p)
	require.InDelta(t, 1.020, float64(d.Safe), 1e-3)
	require.Contains(t, d.SafeBasis, "sqrt(2 P/(L f))")
	d, _ = opened(demoTransformer(t))
	require.InDelta(t, 2.775, float64(d.Safe), 1e-9, "three quarters of 3.7 A")
}

// Without a knee only switchers below the plate's proof may drive it, and its own type: none of the
// others passes the current it passed. With no declared flyback donor nothing does.
func TestPlateAloneLimitsTheSwitchers(t *testing.T) {
	p := demoTransformer(t)
	p.Saturation = catalog.Datum[si.Current]{}
	s := exchange.Demo()
	s.Lots = slices.DeleteFunc(s.Lots, func(l inventory.Lot) bool {
		_, is := l.Part.(catalog.Transformer)
		return is || l.Part.Kind() == catalog.KindCore
	})
	s.Lots = append(s.Lots, inventory.Lot{ID: 900, Part: p, Count: 1, Condition: inventory.Tested})
	seen := 0
	for _, b := range advise.Advise(resolved(t,
		substitute.Target{Chemistry: "li-ion", Cells: 3, Current: 0.5}), s,
		advise.Options{Builds: 1000}).Builds {
		if b.Kind != substitute.DonorTransformer {
			continue
		}
		seen++
		if b.Switcher.Designation != "KA5M0365R" {
			require.LessOrEqual(t, float64(b.Switcher.LimitMax), float64(p.PassedLimit.Value))
		}
	}
	require.Positive(t, seen)
}

// A half-bridge transformer whose knee was measured is held against the ordinary limits, and its
// inductance is far too high for any switcher: 8 mH with a knee of 0.2 A stores 8e-3 0.15^2/2 = 90
// uJ, 6 W at 67 kHz, and saturates at 0.15 A.
func TestHalfBridgeFailsByItsInductance(t *testing.T) {
	p := demoTransformer(t)
	p.Topology, p.Saturation = "half-bridge", catalog.Of[si.Current](0.2)
	p.Inductance, p.Secondary = catalog.Of[si.Inductance](8e-3),
		catalog.Of[si.Inductance](8e-3/6.5/6.5)
	d, why := opened(p)
	require.NotNil(t, d, why.Why)
	require.InDelta(t, 90e-6, 0.5*float64(p.Inductance.Value)*float64(d.Safe)*float64(d.Safe), 1e-9)
	s := exchange.Demo()
	s.Lots = append(s.Lots, inventory.Lot{ID: 900, Part: p, Count: 1, Condition: inventory.Tested})
	r := advise.Advise(resolved(t, trials[1]), s, advise.Options{Builds: 1000, Refused: 1000})
	for _, b := range r.Builds {
		require.False(t, b.Donor != nil && b.Donor.Lot == 900)
	}
	refused := 0
	for _, q := range r.Refused {
		if q.Core == p.Name && q.Switcher != "" {
			refused++
		}
	}
	require.Positive(t, refused)
}

// Of the turns to build with the checks hold at every corner: no set of turns that agrees with the
// readings lies outside them.
func TestCornersEnclose(t *testing.T) {
	d, _ := opened(demoTransformer(t))
	low, high, weak, strong, fewest := math.Inf(1), 0.0, math.Inf(1), 0.0, 1<<30
	for _, c := range d.Corners(true) {
		n, s := float64(c.Primary)/float64(c.Secondary), float64(c.Bias)/float64(c.Secondary)
		low, high, weak, strong, fewest = min(low, n), max(high, n), min(weak, s), max(strong, s),
			min(fewest, c.Primary)
	}
	for _, c := range d.Turns {
		n, s := float64(c.Primary)/float64(c.Secondary), float64(c.Bias)/float64(c.Secondary)
		require.True(t, n >= low && n <= high && s >= weak && s <= strong && c.Primary >= fewest)
	}
	for _, c := range d.Corners(false) {
		require.Zero(t, c.Bias)
	}
}
