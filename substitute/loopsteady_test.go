package substitute_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/loops"
)

// Every build of the demo drawer keeps 30 degrees in its worst corner and bears twice its gain
// (common practice, no source); the margins themselves are held against ngspice in compensation and
// against the nodes of the circuit in independent_loops_test.
func TestEveryBuildIsSteady(t *testing.T) {
	for _, like := range []substitute.Target{{Chemistry: "li-ion", Cells: 2, Current: 0.5},
		{Chemistry: "li-ion", Cells: 4, Current: 1},
		{Chemistry: "lead-acid-agm", Duty: "cyclic", Cells: 6, Current: 1}} {
		got := advise.Advise(resolved(t, like), exchange.Demo(),
			advise.Options{Builds: 1000, Refused: 1000, Drawer: true})
		require.NotEmpty(t, got.Builds)
		for _, b := range got.Builds {
			l := b.Regulation.Loops
			require.GreaterOrEqual(t, min(l.Voltage.Margin, l.Current.Margin), 30.0, "%s on %s",
				b.ChipName(), b.Carrier())
			require.GreaterOrEqual(t, float64(min(l.Voltage.Gain, l.Current.Gain)), 2.0, "%s on %s",
				b.ChipName(), b.Carrier())
		}
	}
}

// A drawer with too few small capacitors is refused by the margin, and the part that the refusal
// names makes the same pair steady once it lies there.
func TestUnsteadyLoopsAreRefusedWithTheirCure(t *testing.T) {
	target := resolved(t, substitute.Target{Chemistry: "li-ion", Cells: 4, Current: 1})
	poor := exchange.Demo()
	poor.Lots = slices.DeleteFunc(slices.Clone(poor.Lots), func(l inventory.Lot) bool {
		c, is := l.Part.(catalog.Capacitor)
		return is && c.Dielectric != "electrolytic" && c.Safety == "" && c.Volts.Value < 100
	})
	poor.Lots = append(poor.Lots, inventory.Lot{ID: 9001, Count: 4, Condition: inventory.New,
		Part: catalog.Capacitor{
			Named: catalog.Named{Name: "22n 50 V"}, Dielectric: "ceramic",
			Capacitance: catalog.Of[si.Capacitance](22e-9), Volts: catalog.Of[si.Voltage](50)}})
	got := advise.Advise(target, poor, advise.Options{Builds: 1000, Refused: 1000, Drawer: true})
	var refused []substitute.Refusal
	for _, r := range got.Refused {
		if r.Check == substitute.CheckNames[substitute.ChkPhaseVoltage].Name ||
			r.Check == substitute.CheckNames[substitute.ChkPhaseCurrent].Name {
			refused = append(refused, r)
			require.Contains(t, r.Cure, "buy for the ", "%s", r.Switcher)
			require.Contains(t, r.Cure, " degrees")
		}
	}
	require.NotEmpty(t, refused, "no capacitor above 88 nF slows the loops of these chips enough")
	// whatever the cures name
	for _, f := range []float64{47e-9, 100e-9, 220e-9, 470e-9, 1e-6, 1e-9, 2.2e-9, 4.7e-9} {
		poor.Lots = append(poor.Lots, inventory.Lot{ID: 9002 + int64(f*1e10), Count: 9,
			Condition: inventory.New, Part: catalog.Capacitor{
				Named: catalog.Named{Name: "bought"}, Dielectric: "ceramic",
				Capacitance: catalog.Of(si.Capacitance(f)), Volts: catalog.Of[si.Voltage](50)}})
	}
	cured := advise.Advise(target, poor, advise.Options{Builds: 1000, Refused: 1000, Drawer: true})
	for _, r := range refused {
		require.True(t, slices.ContainsFunc(cured.Builds, func(b substitute.Build) bool {
			return b.Switcher.Designation == r.Switcher && b.Core.Designation == r.Core
		}), "%s on %s stays refused", r.Switcher, r.Core)
	}
}

// The trade's values are those of IEC 60063, series E6.
func TestTradeValues(t *testing.T) {
	v := loops.LoopTrade(2200, true)
	require.Equal(t, []si.Capacitance{22e-9, 33e-9, 47e-9, 68e-9, 100e-9, 150e-9, 220e-9, 330e-9,
		470e-9, 680e-9, 1e-6}, v.Capacitors)
	require.Equal(t, si.Resistance(470), v.Dampings[1])
	require.Zero(t, v.Leads[0])
}
