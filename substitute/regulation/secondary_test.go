package regulation_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/catalog/si"
	"sparewright/substitute/regulation"
	"sparewright/substitute/regulation/resistors"
)

func supply(lo, hi si.Voltage) si.Interval[si.Voltage] {
	return si.Interval[si.Voltage]{Low: lo, High: hi}
}

// hand is one 5 % resistor of a quarter watt of each value.
func hand(values ...si.Resistance) resistors.Stock {
	var pieces []resistors.Piece
	for i, r := range values {
		pieces = append(pieces, resistors.Piece{Lot: int64(i + 1), Ohm: r, Tolerance: 0.05,
			Count: 1, Power: 0.25})
	}
	return resistors.NewStock(pieces)
}

// Shunt choice by hand: 1 A and 100 to 250 mV need 0.1 to 0.25 ohm. A single 0R15 of 1 W takes 0.15
// W; a single 0R15 of unknown size counts as 1/16 W and is refused.
func TestShunt(t *testing.T) {
	spec := regulation.CurrentSpec{Set: 1, HighLimit: 1.1, Vref: si.Around(si.Voltage(2.5), 0.01),
		SenseMin: 0.1, SenseMax: 0.25,
		Shunts: []resistors.Piece{{Lot: 1, Ohm: 0.15, Tolerance: 0.01, Count: 1, Power: 1}}}
	out, short := regulation.DesignCurrent(spec,
		resistors.NewStock(seriesStock(0.01, 3)), trimmerSet())
	require.False(t, short.Missing)
	near(t, out[0].ShuntPower, 0.15, 1e-12)
	near(t, out[0].ShuntLoad, 0.15, 1e-12)
	near(t, out[0].Sense, 0.15, 1e-12)
	for _, c := range out {
		require.LessOrEqual(t, c.WorstHigh, spec.HighLimit)
		require.Equal(t, si.Current(0.15/float64(c.Bottom.Ohm)), c.Draw)
		if c.HasTrimmer {
			require.LessOrEqual(t, c.ReachLow, spec.Set)
			require.GreaterOrEqual(t, c.ReachHigh, spec.Set)
		} else {
			require.GreaterOrEqual(t, c.WorstLow, si.Current(0.9))
		}
	}

	spec.Shunts[0].Power = 0
	out, short = regulation.DesignCurrent(spec,
		resistors.NewStock(seriesStock(0.01, 3)), trimmerSet())
	require.Empty(t, out)
	require.Equal(t, regulation.RoleShunt, short.Role)
	near(t, short.Value, 0.15/0.0625, 1e-9)
	require.Equal(t, 0.5, short.Limit)
	// geometric middle 0.158 ohm; 0.16 W at half rating
	require.Equal(t, "1 x 0R16 1 %, 0.5 W", short.Need)

	spec.Shunts = []resistors.Piece{{Lot: 1, Ohm: 1, Tolerance: 0.05, Count: 2, Power: 5}}
	_, short = regulation.DesignCurrent(spec,
		resistors.NewStock(seriesStock(0.01, 3)), trimmerSet())
	require.Equal(t, "sense voltage", short.Check)
	near(t, short.Value, 0.5, 1e-12) // two in parallel
	require.Equal(t, 0.25, short.Limit)
}

// Four parallel parts are not offered, three are: 3 x 0R47 of 0.25 W at 1 A take 52 mW each.
func TestParallelShunt(t *testing.T) {
	spec := regulation.CurrentSpec{Set: 1, HighLimit: 1.2, Vref: si.Exactly(si.Voltage(2.5)),
		SenseMin: 0.1, SenseMax: 0.2,
		Shunts: []resistors.Piece{{Lot: 1, Ohm: 0.47, Tolerance: 0.05, Count: 3, Power: 0.25}}}
	out, short := regulation.DesignCurrent(spec,
		resistors.NewStock(seriesStock(0.01, 3)), trimmerSet())
	require.False(t, short.Missing)
	require.Equal(t, "0R47 || 0R47 || 0R47", out[0].Shunt.String())
	near(t, out[0].ShuntLoad, 0.47/9/0.25, 1e-9)
}

// A loose shunt in a tight limit: refused, and measuring it is what helps.
func TestLooseShunt(t *testing.T) {
	spec := regulation.CurrentSpec{Set: 1, HighLimit: 1.05, Vref: si.Around(si.Voltage(2.5), 0.004),
		SenseMin: 0.1, SenseMax: 0.2,
		Shunts: []resistors.Piece{{Lot: 1, Ohm: 0.15, Tolerance: 0.1, Count: 1, Power: 1}}}
	stock := resistors.NewStock(seriesStock(0.001, 3))
	out, short := regulation.DesignCurrent(spec, stock, trimmerSet())
	require.Empty(t, out)
	require.Contains(t, short.Need, "measure the shunt to ")
	out, short = regulation.DesignCurrent(
		spec.Measured(regulation.Meter{Shunt: short.Cures[0].Shunt}), stock, trimmerSet())
	require.NotEmpty(t, out, "%+v", short)
}

// Reference bias by hand: 12 to 16.8 V, 2.5 V, 1 mA least, 0.2 mA for the divider: at most 9.5
// V/1.2 mA = 7917 ohm. TL431 limits: TI SLVS543S (1 mA and 100 mA).
func TestBias(t *testing.T) {
	spec := regulation.BiasSpec{Supply: supply(12, 16.8), Vref: 2.5, CathodeMin: 1e-3,
		CathodeMax: 100e-3, Draw: 0.2e-3}
	stock := hand(8.2e3, 6.8e3, 330)
	b, short := regulation.DesignBias(spec, stock)
	require.False(t, short.Missing)
	require.Equal(t, "6k8", b.Resistor.String()) // 8k2 starves the reference, 330 ohm burns
	near(t, b.MinCathode, 9.5/(6.8e3*1.05)-0.2e-3, 1e-12)
	near(t, b.MaxCathode, 14.3/(6.8e3*0.95)-0.2e-3, 1e-12)
	near(t, b.Power, 14.3*14.3/(6.8e3*0.95), 1e-12)

	b, _ = regulation.DesignBias(spec, resistors.NewStock(seriesStock(0.05, 2)))
	require.Equal(t, 1, b.Resistor.N)
	mid := 11.9/float64(b.Resistor.Ohm) - 0.2e-3
	// 5 to 10 mA wanted, a tenth of an octave either way ranks the same
	require.GreaterOrEqual(t, mid, 4.6e-3)
	require.LessOrEqual(t, mid, 10.7e-3)
	require.LessOrEqual(t, b.PowerShare, si.Ratio(0.5))

	_, short = regulation.DesignBias(spec, hand(22e3))
	require.True(t, short.Missing)
	near(t, short.Value, 22e3*1.05, 1e-9)
	near(t, short.Limit, 9.5/1.2e-3, 1e-9)
	fixed, short2 := regulation.DesignBias(spec,
		resistors.NewStock([]resistors.Piece{
			{Lot: 1, Ohm: short.NeedOhm, Tolerance: 0.05, Count: 1, Power: 0.5}}))
	require.False(t, short2.Missing)
	require.GreaterOrEqual(t, fixed.MinCathode, spec.CathodeMin)

	// A reference of 1 to 15 mA on 3 to 42 V cannot be fed by one resistor.
	_, short = regulation.DesignBias(regulation.BiasSpec{Supply: supply(3, 42), Vref: 2.5,
		CathodeMin: 1e-3, CathodeMax: 15e-3}, resistors.NewStock(seriesStock(0.01, 2)))
	require.True(t, short.Missing)
	require.Empty(t, short.Need)
}

// Whatever the stock, the cathode limits hold in every corner, also with nothing drawn, and the
// power stays derated.
func TestBiasKeepsItsLimits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := si.Voltage(rapid.Float64Range(4, 20).Draw(t, "low"))
		high := low * si.Voltage(rapid.Float64Range(1, 2).Draw(t, "ratio"))
		spec := regulation.BiasSpec{Supply: supply(low, high), Vref: 2.5, CathodeMin: 0.4e-3,
			CathodeMax: 20e-3,
			Draw:       si.Current(rapid.Float64Range(0, 1e-3).Draw(t, "draw"))}
		stock := resistors.NewStock(anyPieces(t, 300, 30e3))
		b, short := regulation.DesignBias(spec, stock)
		if short.Missing {
			return
		}
		require.GreaterOrEqual(t, float64(b.MinCathode), float64(spec.CathodeMin)*(1-1e-9))
		require.LessOrEqual(t, float64(b.MaxCathode+spec.Draw), float64(spec.CathodeMax)*(1+1e-9))
		require.LessOrEqual(t, b.PowerShare, resistors.Derating)
	})
}

// LED resistor by hand. Feedback current 1.25 mA, transfer ratio 80 %: 1.5625 mA. Supply 9 to 16.8
// V, LED 1.2 V, joined by a diode of 0.7 V, amplifier down to 0.2 V: at most 6.9 V/1.5625 mA = 4416
// ohm; at least 16.8 V/10 mA = 1680 ohm.
func TestLED(t *testing.T) {
	spec := regulation.LEDSpec{Supply: supply(9, 16.8), Forward: 1.2, Diode: 0.7, OutputLow: 0.2,
		Need: regulation.LEDNeed(1.25e-3, 0.8), SinkMax: 10e-3}
	near(t, spec.Need, 1.5625e-3, 1e-12)
	require.True(t, math.IsInf(float64(regulation.LEDNeed(1e-3, 0)), 1))
	r := spec.Range()
	near(t, r.High, 6.9/1.5625e-3, 1e-12)
	near(t, r.Low, 1680, 1e-12)
	l, short := regulation.DesignLED(spec, hand(4.3e3, 3.9e3, 2.2e3))
	require.False(t, short.Missing)
	require.Equal(t, "3k9", l.Resistor.String()) // 4k3 is too much at its upper end, 4515 ohm
	near(t, l.Least, 6.9/(3.9e3*1.05), 1e-12)
	near(t, l.Most, 16.8/(3.9e3*0.95), 1e-12)

	// LM358 output to 1.5 V below its supply: TI SLOS068P
	spec.Drive, spec.OutputDrop = regulation.DriveUp, 1.5
	near(t, spec.Range().High, (9-1.2-0.7-1.5)/1.5625e-3, 1e-12)

	_, short = regulation.DesignLED(spec, hand(100e3))
	require.True(t, short.Missing)
	l, short = regulation.DesignLED(spec,
		resistors.NewStock([]resistors.Piece{
			{Lot: 1, Ohm: short.NeedOhm, Tolerance: 0.05, Count: 1, Power: 1}}))
	require.False(t, short.Missing)
	require.GreaterOrEqual(t, l.Least, spec.Need)

	spec.Supply.Low = 3 // nothing is left for a resistor at 3 V
	_, short = regulation.DesignLED(spec, resistors.NewStock(seriesStock(0.05, 2)))
	require.True(t, short.Missing)
	require.Empty(t, short.Need)
}

// Lowest regulated output by hand: LED 1.2 + 0.7 + 0.2 + 1.5625 mA x 4k095 = 8.498 V; reference 2.5
// + 1.2 mA x 7140 = 11.07 V; amplifier 3 V; inputs 0.15 + 1.5 V. The reference decides.
func TestLowestRegulated(t *testing.T) {
	s := regulation.LiveSpec{AmplifierMin: 3, HighestInput: 0.15, InputHeadroom: 1.5,
		LED:         regulation.LEDSpec{Forward: 1.2, Diode: 0.7, OutputLow: 0.2, Need: 1.5625e-3},
		LEDResistor: one(3.9e3, 0.05),
		Bias: regulation.BiasSpec{Vref: 2.5, CathodeMin: 1e-3,
			Draw: 0.2e-3}, BiasResistor: one(6.8e3, 0.05)}
	near(t, regulation.LowestRegulated(s), 2.5+1.2e-3*6.8e3*1.05, 1e-12)
	floors := regulation.Floors(s)
	require.Equal(t, []string{"reference bias", "optocoupler LED", "amplifier supply",
		"amplifier input range"},
		[]string{floors[0].Name, floors[1].Name, floors[2].Name, floors[3].Name})
	near(t, floors[1].Output, 2.1+1.5625e-3*3.9e3*1.05, 1e-12)
	s.BiasResistor = one(1e3, 0.05)
	near(t, regulation.LowestRegulated(s), 2.1+1.5625e-3*3.9e3*1.05, 1e-12)
	s.AmplifierMin = 15
	near(t, regulation.LowestRegulated(s), 15, 1e-12)
}

// 16.8 V at the node, 1 A in 0.15 ohm: the knee lies 0.15 V below on the converter side; on the
// battery side the battery voltage is right and the 20 mA of the circuit are missing from the
// current.
func TestGrounds(t *testing.T) {
	b := regulation.AtBattery(regulation.ConverterSide, 16.8, 1, 20e-3, 0.15)
	near(t, b.Knee, 16.65, 1e-12)
	near(t, b.Full, 16.8, 1e-12)
	near(t, b.Current, 1, 1e-12)
	b = regulation.AtBattery(regulation.BatterySide, 16.8, 1, 20e-3, 0.15)
	near(t, b.Knee, 16.8, 1e-12)
	near(t, b.Current, 0.98, 1e-12)
	require.NotEqual(t, regulation.ConverterSide.String(), regulation.BatterySide.String())
}

// faultSpec is 22k over 3k6 + 200 ohm at 2.5 V, and 0.15 ohm with 24k + 1k over 1k6, without
// overvoltage protection.
func faultSpec() regulation.FaultSpec {
	volt := regulation.VoltageSpec{Set: 16.8, Absolute: 17, Vref: si.Exactly(si.Voltage(2.5))}
	v := regulation.CheckVoltage(volt, one(22e3, 0), one(3.6e3, 0),
		&resistors.TrimmerPiece{Ohm: 500, Count: 1})
	amp := regulation.CurrentSpec{Set: 1, HighLimit: 1.1, Vref: si.Exactly(si.Voltage(2.5)),
		Shunts: []resistors.Piece{{Ohm: 0.15, Count: 1, Power: 1}}}
	c := regulation.CheckCurrent(amp, one(0.15, 0), one(24e3, 0), one(1.6e3, 0),
		&resistors.TrimmerPiece{Ohm: 2e3, Count: 1})
	spec := regulation.FaultSpec{Voltage: v, Current: c,
		Bias: regulation.BiasNetwork{Resistor: one(1.5e3, 0)}, Vref: 2.5, Set: 16.8, SetCurrent: 1,
		Absolute: 17, HighLimit: 1.1, Ceiling: 24, CurrentCeil: 3,
		Loop:  regulation.LoopFaultSpec{LEDs: true, Middle: 9, Swing: 5.5},
		Power: regulation.PowerFaultSpec{LEDNeed: 2e-3, LEDMost: 3e-3}}
	spec.Loop.Drive = regulation.DriveUp
	return spec
}

// Every single fault by hand, for the network of faultSpec.
func TestFaults(t *testing.T) {
	spec := faultSpec()
	got := map[string]regulation.Fault{}
	for _, f := range regulation.Faults(spec) {
		require.NotEmpty(t, f.Why)
		got[f.Part+" "+f.Kind] = f
	}
	for name, want := range map[string]struct {
		output  si.Voltage
		limit   si.Current
		danger  bool
		voltage regulation.Direction
	}{
		"divider top open":    {24, 1, true, regulation.Rises},
		"divider top short":   {2.5, 1, false, regulation.Falls},
		"divider bottom open": {2.5, 1, false, regulation.Falls},
		// 246 ohm left: 2.5 (1 + 22000/246) = 226 V, so the ceiling
		"divider bottom short":       {24, 1, true, regulation.Rises},
		"voltage trimmer wiper open": {2.5 * (1 + 22e3/4.1e3), 1, false, regulation.Falls},
		"voltage trimmer track open": {2.5, 1, false, regulation.Falls},
		// 17.78 V: such an upper stop is refused by the design
		"voltage trimmer short":    {2.5 * (1 + 22e3/3.6e3), 1, true, regulation.Rises},
		"current divider top open": {16.8, 0, false, regulation.Stays},
		// 2.5 V x 1.6/(1.6+1.067)/0.15 = 10 A, so the converter's 3 A
		"current divider top short": {16.8, 3, true, regulation.Stays},
		// 2.5 V/0.15 ohm = 16.7 A, so the converter's 3 A
		"current divider bottom open":  {16.8, 3, true, regulation.Stays},
		"current divider bottom short": {16.8, 0, false, regulation.Stays},
		"shunt open":                   {16.8, 0, false, regulation.Stays},
		"shunt short":                  {16.8, 3, true, regulation.Stays},
		"current trimmer wiper open":   {16.8, 2.5 * 1.6 / 27.6 / 0.15, false, regulation.Stays},
		"current trimmer track open":   {16.8, 0, false, regulation.Stays},
		"current trimmer short":        {16.8, 2.5 * 1.6 / 25.6 / 0.15, false, regulation.Stays},
		// the node is at 16.8 x 26.67/28.17 = 15.9 V of the output
		"reference open":                     {24, 3, true, regulation.Rises},
		"reference short":                    {0, 0, false, regulation.Falls},
		"bias resistor open":                 {0, 0, false, regulation.Falls},
		"bias resistor short":                {24, 3, true, regulation.Rises},
		"optocoupler transistor short":       {0, 0, false, regulation.Falls},
		"optocoupler LED or transistor open": {24, 3, true, regulation.Rises},
		"LED, full open":                     {24, 1, true, regulation.Rises},
		"LED, full short":                    {16.8, 3, true, regulation.Stays},
		"LED, charging open":                 {16.8, 3, true, regulation.Stays},
		"LED, charging short":                {24, 1, true, regulation.Rises},
		"LED resistor open":                  {24, 3, true, regulation.Rises},
		"amplifier without supply":           {24, 3, true, regulation.Rises},
		// gain 9 at FB, 8 from REF: 9 x FB = 5.5 V + 8 x 2.5 V, FB = 2.8333 V, which is 16.8 V x
		// 2.8333/2.5
		"loop capacitor, voltage short": {19.04, 1, true, regulation.Rises},
		// 5.5 V/0.15 ohm = 37 A, so the converter's 3 A
		"loop capacitor, current short": {16.8, 3, true, regulation.Stays},
		"loop resistor, voltage open":   {24, 1, true, regulation.Rises},
		"loop resistor, current open":   {16.8, 3, true, regulation.Stays},
		// mains side and output: what stops, and what lets the converter run free
		"feedback pin wire off": {24, 3, true, regulation.Rises},
		// 3 mA x 2/3 are the 2 mA needed
		"optocoupler ratio down to a third": {16.8, 1, false, regulation.Stays},
		"switcher drain to source short":    {0, 0, false, regulation.Falls},
		"switcher open":                     {0, 0, false, regulation.Falls},
		"bridge one diode short":            {0, 0, false, regulation.Falls},
		"bulk capacitor short":              {0, 0, false, regulation.Falls},
		"bulk capacitor open":               {16.8, 1, false, regulation.Stays},
		"drain clamp open":                  {0, 0, false, regulation.Falls},
		"drain clamp short":                 {0, 0, false, regulation.Falls},
		"output rectifier open":             {0, 0, false, regulation.Falls},
		"output rectifier short":            {0, 0, false, regulation.Falls},
		"output capacitor open":             {24, 3, true, regulation.Rises},
		"output capacitor short":            {0, 0, false, regulation.Falls},
		"output fuse open":                  {0, 0, false, regulation.Falls},
		"chip supply capacitor open":        {16.8, 1, false, regulation.Stays},
	} {
		f, ok := got[name]
		require.True(t, ok, name)
		require.InDelta(t, float64(want.output), float64(f.Output), 1e-9, name)
		require.InDelta(t, float64(want.limit), float64(f.Limit), 1e-9, name)
		require.Equal(t, want.danger, f.Dangerous, name)
		require.Equal(t, want.voltage, f.Voltage, name)
		delete(got, name)
	}
	require.Empty(t, got)

	// Pulling down, a shorted capacitor lights the LED too early. Gain 0: the amplifier stands at
	// 2.5 V, the LED at 2.5 + 5.5 V. Gain 9: 2.5 - 9 (2.5/16.8 V - 2.5) = V - 5.5, so V =
	// 30.5/2.3393. The current loop stands at twice its level of 0.15 V.
	spec.Loop = regulation.LoopFaultSpec{Drive: regulation.PullDown, Swing: 5.5}
	for gain, want := range map[si.Ratio]si.Voltage{0: 8, 9: 13.038} {
		spec.Loop.Middle = gain
		pulling := map[string]regulation.Fault{}
		for _, f := range regulation.Faults(spec) {
			pulling[f.Part+" "+f.Kind] = f
		}
		require.InDelta(t, float64(want),
			float64(pulling["loop capacitor, voltage short"].Output), 1e-3)
		require.InDelta(t, 5.8, float64(pulling["loop capacitor, current short"].Output), 1e-9)
		require.False(t, pulling["loop capacitor, voltage short"].Dangerous)
		require.True(t, pulling["diode of the voltage loop open"].Dangerous)
		// there is none at the divider
		require.NotContains(t, pulling, "loop resistor, voltage open")
	}
}
