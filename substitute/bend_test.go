package substitute_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/complete"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/adapter"
	"sparewright/substitute/advise"
	"sparewright/substitute/seats"
)

// mainsOfBend is the mains of the hand calculations: the crest of 265 V is 374.77 V.
var mainsOfBend = si.Interval[si.Voltage]{Low: 195, High: 265}

// oneLot is a drawer with nothing but an adapter.
func oneLot(p catalog.Adapter) inventory.Snapshot {
	return inventory.Snapshot{Lots: []inventory.Lot{
		{ID: 1, Part: p, Count: 1, Condition: inventory.Tested}}}
}

func bendOf(t *testing.T, s inventory.Snapshot, lot int64, spec adapter.BendSpec) adapter.Bending {
	t.Helper()
	spec.Mains, spec.Line = mainsOfBend, 50
	b, ok := adapter.Bend(s, lot, spec)
	require.True(t, ok)
	return b
}

// The worked example: 5 V and 0.5 V of diode reflect 100 V, n = 100/5.5 = 18.182; asked for 9 V the
// adapter reflects 100 x 9.5/5.5 = 172.7 V, and the drain sees 265 sqrt 2 + 172.7 = 547.5 V before
// the spike (hand calculation).
func TestFiveVoltsAskedForNine(t *testing.T) {
	a := catalog.Adapter{Named: catalog.Named{Name: "five"}, Volts: catalog.Of[si.Voltage](5),
		Amps:      catalog.Of[si.Current](2),
		Reflected: catalog.Of[si.Voltage](100), RectifierDrop: catalog.Of[si.Voltage](0.5),
		Breakdown: catalog.Of[si.Voltage](600)}
	b := bendOf(t, oneLot(a), 1, adapter.BendSpec{Output: 9})
	require.InDelta(t, 100/5.5, float64(b.Ratio), 1e-9)
	require.InDelta(t, 172.7, float64(b.Asked.Reflected), 0.05)
	require.InDelta(t, 547.5, float64(b.Asked.Unspiked), 0.05)
	require.InDelta(t, 2*5.0/9, float64(b.Asked.Current), 1e-9,
		"constant watts upwards: 10 W at 9 V")
	// 0.90 of 600 V is 540 V: refused for the drain alone, before any spike
	require.False(t, b.Asked.Feasible)
	require.Equal(t, "drain voltage before the spike", b.Asked.Why)
	// it binds where 374.77 + 18.182 (V + 0.5) = 540: V = 8.588 V
	l := limitOf(t, b, "drain voltage before the spike")
	require.InDelta(t, 8.588, float64(l.Output), 0.001)
	require.InDelta(t, 540, l.Value, 1e-6)
	require.Equal(t, l.Output, b.Range.High)
}

func limitOf(t *testing.T, b adapter.Bending, name string) adapter.BendLimit {
	t.Helper()
	for _, l := range b.Limits {
		if l.Name == name {
			return l
		}
	}
	t.Fatalf("no limit %q", name)
	return adapter.BendLimit{}
}

// Every limit of the adapter of the demo drawer by hand. 74 V reflected at 12 V with 0.85 V of
// SB5100: n = 74/12.85 = 5.7588; its chip KA5M0365R: 650 V from memory, used to 0.85: 552.5 V;
// supply 11 V (highest stop voltage, from memory: the block diagram of the Fairchild KA5x03xx sheet
// rev. 1.0.5 says 9 V) to 25 V, both of the table.
//
// Its suppressor of 120 V 5 % and 1500 W: 1.32 x 126 V = 166.3 V at 9.02 A are 4.470 ohm above
// breakdown; at 150 C, 0.108 %/K (Good-Ark P6KE6.8 thru P6KE550CA, maximum ratings), 126 V x 1.135
// = 143.0 V; 13 V for diode and wires. The chip's highest limit is 2.41 A, 67 kHz 10 % up 73.7 kHz:
// 18 W in pulses of L I2/2 need 84.1 uH at least, through which the current rises by 374.77 V x 300
// ns/84.1 uH = 1.337 A more (300 ns: assumed, the NCP1050 sheet prints 135 and 160 ns).
func TestLimitsByHand(t *testing.T) {
	b := bendOf(t, exchange.Demo(), 281, adapter.BendSpec{})
	const n, crest, drop = 74 / 12.85, 374.767, 0.85
	bias := 16.7 / 12.85 // 16 V and a silicon diode of 0.7 V
	chip, _ := catalog.SwitcherNamed("KA5M0365R")
	led := float64(complete.Part(chip).(catalog.Switcher).FeedbackStop.Value) / 0.4
	for name, want := range map[string]float64{
		"output capacitor voltage":                       16 / 1.2,
		"reverse voltage of the output rectifier":        0.8*100 - crest/n,
		"output against the protection zener":            0.95 * 15,
		"drain voltage before the spike":                 (552.5-crest)/n - drop,
		"clamp voltage above the reflected voltage":      120/1.05/1.3/n - drop,
		"chip supply from the bias winding, full pack":   (25/1.2+0.7)/bias - drop,
		"chip supply from the bias winding, empty pack":  (11*1.05+0.7)/bias - drop,
		"output needed by reference and optocoupler LED": 2.495 + 1.4 + 470*led,
		"voltage at the reference of the adapter":        36,
	} {
		require.InDelta(t, want, float64(limitOf(t, b, name).Output), 2e-3, name)
	}
	for _, fixed := range []string{"drain voltage at highest mains",
		"bulk capacitor voltage at highest mains"} {
		l := limitOf(t, b, fixed)
		require.Equal(t, "fixed", l.End)
		require.Zero(t, l.Output)
		require.True(t, l.Passed)
	}
	peak := 2.41 + crest*300e-9/(2*18/(2.41*2.41*73.7e3))
	held := 126*(1+0.00108*125) + 0.32*126/(1500/(1.32*126))*peak + 13
	require.InDelta(t, crest+held, limitOf(t, b, "drain voltage at highest mains").Value, 1e-2)
	require.Equal(t, "output capacitor voltage", b.Range.HighBy)
	require.Equal(t, "chip supply from the bias winding, empty pack", b.Range.LowBy)
	require.Empty(t, b.Measure)
	for _, a := range b.Amps { // 18 W upwards, 1.5 A downwards
		require.InDelta(t, math.Min(1.5, 18/float64(a.Output)), float64(a.Amps), 1e-9)
	}
	for _, d := range b.Divider { // 2.495 V (1 + top/10k)
		require.InDelta(t, 10e3*(float64(d.Output)/2.495-1), float64(d.Top), 1e-6)
		require.InDelta(t, 1, float64(d.Low/d.Output), 0.03)
		require.NotEmpty(t, d.Lots)
	}
}

// What widens the range, one on top of the other: a capacitor of 25 V moves its limit to 20.8 V, so
// that the zener binds at 14.25 V; a zener of 18 V moves that to 17.1 V, so that the clamp binds at
// 14.42 V; nothing on hand moves the clamp without breaking the drain: 150 V of 5 % at 150 C reach
// 374.8 + 157.5 x 1.135 = 553.5 V before any current, and the drawer has 180 and 200 V besides.
func TestPartsThatWidenByHand(t *testing.T) {
	b := bendOf(t, exchange.Demo(), 281, adapter.BendSpec{})
	require.Len(t, b.Widen, 2)
	capacitor, zener := b.Widen[0], b.Widen[1]
	require.Equal(t, seats.OutputCapacitor, capacitor.Role)
	require.InDelta(t, 14.25, float64(capacitor.Range.High), 2e-3)
	require.Equal(t, "output against the protection zener", capacitor.Range.HighBy)
	require.Equal(t, seats.ProtectionZener, zener.Role)
	require.InDelta(t, 120/1.05/1.3/(74/12.85)-0.85, float64(zener.Range.High), 2e-3)
	require.Equal(t, "clamp voltage above the reflected voltage", zener.Range.HighBy)
	lots := map[int64]inventory.Lot{}
	for _, l := range exchange.Demo().Lots {
		lots[l.ID] = l
	}
	c := complete.Part(lots[capacitor.Lot].Part).(catalog.Capacitor)
	require.GreaterOrEqual(t, float64(c.Volts.Value)/1.2, 14.25)
	require.GreaterOrEqual(t, float64(capacitor.Quantity)*float64(c.Capacitance.Value),
		0.8*1e-3-1e-12)
	require.Empty(t, bendOf(t, oneLot(demoAdapter(t)), 1, adapter.BendSpec{}).Widen,
		"an empty drawer widens nothing")
}

// A zener of the drawer serves as well as a suppressor: 20 V behind a capacitor of 25 V moves the
// zener's limit to 19 V, past the clamp's 14.4 V.
func TestZenerOfTheDrawerWidens(t *testing.T) {
	a := demoAdapter(t)
	a.CapacitorVolts = catalog.Of[si.Voltage](25)
	s := oneLot(a)
	s.Lots = append(s.Lots, inventory.Lot{ID: 2, Count: 1, Condition: inventory.New,
		Part: catalog.Zener{Named: catalog.Named{Name: "20 V"},
			Voltage: catalog.Of[si.Voltage](20)}})
	b := bendOf(t, s, 1, adapter.BendSpec{})
	require.InDelta(t, 14.25, float64(b.Range.High), 1e-3)
	require.Len(t, b.Widen, 1)
	require.Equal(t, int64(2), b.Widen[0].Lot)
	require.Equal(t, "clamp voltage above the reflected voltage", b.Widen[0].Range.HighBy)
}

// demoAdapter is the adapter of the demo drawer as measured.
func demoAdapter(t *testing.T) catalog.Adapter {
	t.Helper()
	lot, ok := exchange.Demo().Lot(281)
	require.True(t, ok)
	return inventory.Effective(lot).(catalog.Adapter)
}

// strikes take one figure or word away, and say what must then be measured.
var strikes = map[string]func(a *catalog.Adapter){
	"capacitor_volts": func(a *catalog.Adapter) {
		a.CapacitorVolts = catalog.Datum[si.Voltage]{}
	},
	"capacitance": func(a *catalog.Adapter) {
		a.Capacitance = catalog.Datum[si.Capacitance]{}
	},
	"output rectifier":  func(a *catalog.Adapter) { a.Rectifier = "" },
	"reflected voltage": func(a *catalog.Adapter) { a.Reflected = catalog.Datum[si.Voltage]{} },
	"type of the chip":  func(a *catalog.Adapter) { a.Chip = "" },
	"zener voltage":     func(a *catalog.Adapter) { a.Zener = catalog.Datum[si.Voltage]{} },
	"protection": func(a *catalog.Adapter) {
		a.Protection, a.Zener = "unknown", catalog.Datum[si.Voltage]{}
	},
	"clamps the drain": func(a *catalog.Adapter) { a.Clamp = "unknown" },
	"clamp_volts":      func(a *catalog.Adapter) { a.ClampVolts = catalog.Datum[si.Voltage]{} },
	"chip_supply":      func(a *catalog.Adapter) { a.ChipSupply = catalog.Datum[si.Voltage]{} },
	"bulk capacitor":   func(a *catalog.Adapter) { a.Bulk = catalog.Datum[si.Capacitance]{} },
	"bulk_volts":       func(a *catalog.Adapter) { a.BulkVolts = catalog.Datum[si.Voltage]{} },
	"vref":             func(a *catalog.Adapter) { a.Vref = catalog.Datum[si.Voltage]{} },
	"led_resistor": func(a *catalog.Adapter) {
		a.LEDResistor = catalog.Datum[si.Resistance]{}
	},
	"regulation":         func(a *catalog.Adapter) { a.Regulation = "unknown" },
	"not been tried":     func(a *catalog.Adapter) { a.State = "unknown" },
	"tried with a load":  func(a *catalog.Adapter) { a.State = "dead" },
	"declared whole":     func(a *catalog.Adapter) { a.Barrier = "unknown" },
	"not declared whole": func(a *catalog.Adapter) { a.Barrier = "no" },
}

// Nothing that is not known ever passes: the whole adapter reaches its own 12 V; with any single
// figure struck it cannot be called feasible, and the answer names what to measure.
func TestUnknownFiguresNeverPass(t *testing.T) {
	ask := adapter.BendSpec{Output: 12, Current: 1.4}
	whole := bendOf(t, oneLot(demoAdapter(t)), 1, ask)
	require.True(t, whole.Asked.Feasible, whole.Asked.Why)
	for what, strike := range strikes {
		a := demoAdapter(t)
		strike(&a)
		b := bendOf(t, oneLot(a), 1, ask)
		require.False(t, b.Asked.Feasible, what)
		require.True(t, strings.HasPrefix(b.Asked.Why, "cannot be called feasible: "), "%s: %s",
			what, b.Asked.Why)
		require.Contains(t, b.Asked.Why+strings.Join(b.Measure, ";"), what)
	}
}

// No charger is made of an adapter with a figure struck, unless a part of the drawer takes the
// place of the unread one; its own reference, LED resistor and so on go out anyway.
func TestNoChargerFromUnknownAdapter(t *testing.T) {
	target, err := substitute.Target{Chemistry: "li-ion", Cells: 3, Current: 1, MainsMin: 195,
		MainsMax: 265, Line: 50,
		Case: substitute.Sealed, Ambient: 35}.Resolve(0)
	require.NoError(t, err)
	replaced := map[string]string{"capacitor_volts": "output capacitor",
		"capacitance": "output capacitor",
		// no zener on hand lies between 12.8 V and the 16 V of the capacitor
		"output rectifier": "output rectifier", "clamp_volts": "drain clamp"}
	ours := []string{"vref", "led_resistor"}
	mostly := lotsWithoutSwitchers()
	answer := func(strike func(a *catalog.Adapter)) []substitute.Build {
		a := demoAdapter(t)
		strike(&a)
		s := inventory.Snapshot{Lots: append(mostly.Lots,
			inventory.Lot{ID: 900, Part: a, Count: 1, Condition: inventory.Tested})}
		// the long form looks at pairs of bought parts too
		o := advise.Options{Builds: 1000, Single: !long()}
		return ofKind(advise.Advise(target, s, o).Builds, substitute.DonorAdapter)
	}
	require.Len(t, answer(func(*catalog.Adapter) {}), 1)
	for what, strike := range strikes {
		got := answer(strike)
		switch role, cured := replaced[what]; {
		case cured:
			require.Len(t, got, 1, what)
			require.Equal(t, role, got[0].Adapter.Swaps[0].Role.String())
		case strings.Contains(strings.Join(ours, " "), what):
			require.Len(t, got, 1, what)
		default:
			require.Empty(t, got, what)
		}
	}
	require.Empty(t, answer(func(a *catalog.Adapter) { a.Regulation = "primary" }),
		"our optocoupler has nothing to act on")
	require.Empty(t, answer(func(a *catalog.Adapter) { a.MainsMin = catalog.Of[si.Voltage](220) }),
		"220 V less a tenth is 198 V")
	require.Empty(t, answer(func(a *catalog.Adapter) { a.Amps = catalog.Of[si.Current](0.9) }),
		"more amperes than its plate")
}

// lotsWithoutSwitchers is the demo drawer with nothing else to build on.
func lotsWithoutSwitchers() (out inventory.Snapshot) {
	for _, l := range exchange.Demo().Lots {
		switch l.Part.(type) {
		case catalog.Switcher, catalog.Core, catalog.Transformer, catalog.Adapter:
		default:
			out.Lots = append(out.Lots, l)
		}
	}
	return out
}

// A resistor clamp rises with the reflected voltage. By hand at 12 V with 100 kohm, 6 uH, KA5M0365R
// at its highest limit: the leakage brings P = 6e-6 I2 f/2, and Vc (Vc - VR) = R P.
func TestResistorClampByHand(t *testing.T) {
	a := demoAdapter(t)
	a.Clamp, a.ClampVolts = "resistor", catalog.Datum[si.Voltage]{}
	a.ClampOhm, a.Leakage = catalog.Of[si.Resistance](33e3), catalog.Of[si.Inductance](6e-6)
	row, _ := catalog.SwitcherNamed("KA5M0365R")
	sw := complete.Part(row).(catalog.Switcher)
	peak := float64(sw.LimitMax.Value) + 374.767*float64(sw.Delay.Value)/(25*6e-6)
	power := 6e-6 * peak * peak / 2 * float64(sw.FrequencyMax.Value)
	l := limitOf(t, bendOf(t, oneLot(a), 1, adapter.BendSpec{}), "drain voltage at highest mains")
	clamp := l.Plate - 374.767
	require.InDelta(t, 1, clamp*(clamp-74)/(33e3*power), 1e-4)
	require.Equal(t, "up", l.End)
}

// A chip that feeds itself needs no bias winding, so that its supply ends nothing. The built-in
// NCP1014 does.
func TestSelfSupplyEndsNothing(t *testing.T) {
	a := demoAdapter(t)
	a.Chip, a.ChipSupply = "NCP1014", catalog.Datum[si.Voltage]{}
	for _, l := range bendOf(t, oneLot(a), 1, adapter.BendSpec{}).Limits {
		require.NotContains(t, l.Name, "chip supply")
	}
}

// A suppressor whose size nobody read counts as the smallest usual, 400 W, and then the drain is
// refused. By hand: 1.32 x 126 V = 166.3 V at 2.405 A are 16.77 ohm; 374.77 V of bus, 143.0 V at
// 150 C, 62.8 V at 3.747 A and 13 V make 593.6 V.
func TestSuppressorOfUnknownSize(t *testing.T) {
	a := demoAdapter(t)
	a.ClampPulse = catalog.Datum[si.Power]{}
	b := bendOf(t, oneLot(a), 1, adapter.BendSpec{Output: 12, Current: 1.4})
	require.InDelta(t, 593.6, limitOf(t, b, "drain voltage at highest mains").Value, 0.1)
	require.False(t, b.Asked.Feasible)
}
