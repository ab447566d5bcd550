package report_test

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/advise"
	"sparewright/substitute/regulation"
	"sparewright/substitute/report/netlist"
	"sparewright/substitute/seats"
	"sparewright/testdata/outside"
)

// unloadDeck lets a constant current into the output capacitor from the moment the pack is taken
// off, and waits for the amplifier to reach the voltage that stops the converter.
func unloadDeck(u regulation.Unload, set, input float64) string {
	d := &netlist.Deck{}
	damping := (float64(u.Middle) - 1) * input
	d.Line("* pack taken off at full current")
	d.Line("iconverter 0 out %s", netlist.Num(float64(u.Current)))
	d.Line("cout out 0 %s ic=%s", netlist.Num(float64(u.Capacitance)), netlist.Num(set))
	d.Line("rleak out 0 1e9")
	d.Line("eerror in 0 out base %s", netlist.Num(float64(u.Watched)))
	d.Line("vbase base 0 %s", netlist.Num(set))
	d.Line("eamp amp 0 in minus 1e6")
	d.Line("rin minus 0 %s", netlist.Num(input))
	d.Line("cloop amp mid %s ic=0", netlist.Num(float64(u.Tau)/input))
	d.Line("rdamp mid minus %s", netlist.Num(damping+1e-3))
	d.Line(".options reltol=1e-6")
	d.Line(".control")
	d.Line("tran 2u 60m uic")
	d.Line("meas tran stop find v(out) when v(amp)=%s rise=1", netlist.Num(float64(u.Swing)))
	d.Line("print stop")
	d.Line("quit 0")
	d.Line(".endc")
	d.Line(".end")
	return d.String()
}

// The rise after taking the pack off against ngspice, 1 %.
func TestUnloadRiseAgainstSimulator(t *testing.T) {
	outside.Need(t, "ngspice")
	for _, u := range []regulation.Unload{
		{Current: 1.4, Capacitance: 544e-6, Watched: 0.149, Middle: 9.2, Tau: 220e-6, Swing: 5},
		{Current: 0.8, Capacitance: 176e-6, Watched: 0.198, Middle: 1, Tau: 1e-3, Swing: 3.2},
	} {
		out := simulate(t, unloadDeck(u, 16.8, 2200))
		within(t, float64(u.Rise()), printed(t, out, "stop")-16.8, 0.01, "rise")
	}
}

// By hand: 1 A into 1 mF climbs 1 V/ms; watched in full, gain 1, no integrator: the swing of 3 V is
// reached after 3 V.
func TestUnloadRiseByHand(t *testing.T) {
	u := regulation.Unload{Current: 1, Capacitance: 1e-3, Watched: 1, Middle: 1, Tau: 1e6, Swing: 3}
	require.InDelta(t, 3, float64(u.Rise()), 1e-3)
}

// The loops of the best builds of the usual chargers stay inside what their checks say, and their
// choices come from the drawer.
func TestLoopsOfBuilds(t *testing.T) {
	seen := map[string]bool{}
	steady := 0
	for _, e := range simulatedBuilds(t) {
		target, b := e.target, &e.build
		if b.Verdict == substitute.Feasible {
			l := b.Regulation.Loops
			seen[b.Regulation.Circuit.Drive] = true
			what := fmt.Sprint(target.Name, " ", target.Current)
			require.Positive(t, l.Voltage.Slow, what)
			require.Less(t, l.Voltage.Slow, l.Voltage.Fast, what)
			steady++
			for name, f := range map[string]substitute.LoopFigures{"voltage": l.Voltage,
				"current": l.Current} {
				// 30 degrees and twice the gain in every corner: common practice, no source
				require.GreaterOrEqual(t, f.Margin, 30.0, "%s, %s loop", what, name)
				require.GreaterOrEqual(t, float64(f.Gain), 2.0, "%s, %s loop", what, name)
				require.GreaterOrEqual(t, f.Nominal, f.Margin-1e-9, "%s, %s loop", what, name)
				require.Less(t, f.Fast, b.Switcher.Frequency/5,
					"the averaged stage must hold at the crossover: %s", what)
			}
			require.Greater(t, l.UnloadPeak, target.Set, what)
			for _, c := range b.Checks {
				if c.Name == "output when the pack is taken off at full current" {
					require.InDelta(t, float64(l.UnloadPeak), c.Value, 1e-9)
					require.True(t, c.Passed, what)
				}
			}
		}
	}
	require.Greater(t, steady, 20)
	require.Equal(t, map[string]bool{"up": true, "down": true}, seen,
		"both ways of driving the LED are met")
}

// An amplifier of 26 V in a charger of 21 V does not bear what the output runs up to when the pack
// is taken off: a suppressor comes on the shopping list, and one on hand that lies between is
// taken. 22.15 V 2 % conducts from 21.71 V, above 1.02 x 21.25 V, and holds 22.15 x 1.02 x 1.15 =
// 25.98 V.
func TestOutputStop(t *testing.T) {
	s := exchange.Demo()
	s.Lots = slices.DeleteFunc(slices.Clone(s.Lots),
		func(l inventory.Lot) bool { return l.Part.Kind() == catalog.KindAmplifier })
	add := func(id int64, p catalog.Part) {
		s.Lots = append(s.Lots, inventory.Lot{ID: id, Count: 1, Condition: inventory.New, Part: p})
	}
	amp, _, ok := catalog.Lookup(catalog.KindAmplifier, "LM2904")
	require.True(t, ok)
	add(9001, amp)
	charger := usualCharger(t, "li-ion", "", 5, 0.5, 195)
	stop := func() substitute.PartUse {
		for _, b := range advise.Advise(charger, s, advise.Options{Builds: 100}).Builds {
			for _, p := range b.Parts {
				if p.Role == seats.OutputStop {
					require.LessOrEqual(t, b.Regulation.Loops.UnloadPeak, si.Voltage(26))
					return p
				}
			}
		}
		t.Fatal("nothing holds the output")
		return substitute.PartUse{}
	}
	require.Equal(t, "buy", stop().Source)
	add(9002, catalog.Clamp{Named: catalog.Named{Name: "stop 22 V"},
		Breakdown: catalog.Of[si.Voltage](22.15), Tolerance: catalog.Of[si.Ratio](0.02)})
	require.Equal(t, int64(9002), stop().Lot)
}
