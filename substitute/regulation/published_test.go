package regulation_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog/si"
	"sparewright/substitute/regulation"
	"sparewright/substitute/regulation/resistors"
)

// The divider equation in both directions. printed is the figure as printed, rel half a unit of its
// last digit, wider only where the source cut off instead of rounding, which the note says.
func TestPublishedDividers(t *testing.T) {
	for _, c := range []struct {
		source      string
		vref        si.Voltage
		top, bottom si.Resistance
		printed     si.Voltage
		rel         float64
	}{
		// STMicroelectronics, TSM102 data sheet, p. 8/10: two-cell charger, R1 131.5k over R2 56k +
		// R3 0.68k. The voltage is taken at R2, so R3 counts to the top leg; end of charge is taken
		// at R2 + R3.
		{"TSM102 Vout", 2.5, 131.5e3 + 680, 56e3, 8.4, 0.001 / 8.4},
		{"TSM102 end of charge", 2.5, 131.5e3, 56.68e3, 8.3, 0.0005 / 8.3},
		{"TSM102 low battery", 2.5, 12.4e3, 10e3, 5.6, 0.05 / 5.6},
		// Texas Instruments, SLUS224F equation 13 and SLUS223E figure 25 print 9.462k for 12 V over
		// 2.49k.
		{"a TI/Unitrode procedure", 2.5, 9.462e3, 2.49e3, 12, 0.0005 / 9.462},
		// Power Supply Cookbook, 2nd ed. (Newnes 2001), section 3.15.3, pp. 118-119: the branch of
		// the 12 V output alone carries 0.2 of the 0.926 mA that the book rounds 2.5 V/2.7k to and
		// goes on with; it prints 51,295 ohm, cut off from 51295.9 (unrounded it would be 51,300),
		// likewise the others.
		{"Cookbook, 12 V branch", 2.5, 51295, 2.5 / (0.2 * 0.926e-3), 12, 1.0 / 51295},
		{"Cookbook, 5 V branch", 2.5, 3856, 2.5 / (0.7 * 0.926e-3), 5, 1.0 / 3856},
		{"Cookbook, 24 V branch", 2.5, 232e3, 2.5 / (0.1 * 0.926e-3), 24, 0.5 / 232},
		// The 28 W example of the same section uses 0.96 mA where 2.5 V/2.7k is 0.926 mA, an error
		// of the book; the branch resistors follow from the current it used.
		{"Cookbook, 28 W, 5 V branch", 2.5, 4340, 2.5 / (0.6 * 0.96e-3), 5, 0.5 / 4340},
		{"Cookbook, 28 W, 12.3 V branch", 2.5, 51e3, 2.5 / (0.2 * 0.96e-3), 12.3, 0.5 / 51},
		{"Cookbook, 28 W, 24.4 V branch", 2.5, 114e3, 2.5 / (0.2 * 0.96e-3), 24.4, 0.5 / 114},
	} {
		t.Run(c.source, func(t *testing.T) {
			spec := regulation.VoltageSpec{Set: c.printed, Absolute: c.printed * 1.1,
				Vref: si.Exactly(c.vref)}
			v := regulation.CheckVoltage(spec, one(c.top, 0), one(c.bottom, 0), nil)
			near(t, v.SetHigh, c.printed, c.rel)
			require.Equal(t, v.SetHigh, v.SetLow)
		})
	}
}

// Texas Instruments, SLUS224F equation 13 and SLUS223E figure 25: the procedure ends with 9.53k
// over 2.49k for 11.75 to 12.25 V. The reference collection's own arithmetic (not printed by the
// source) gives 12.0683 V and, with 1 % parts and a reference of 1 %, 11.760 to 12.384 V; the
// extremes are computed here a second time by hand. So the procedure's choice does not keep its own
// window, and the design must refuse it with those parts and no trimmer.
func TestPublishedChoiceBreaksItsOwnWindow(t *testing.T) {
	spec := regulation.VoltageSpec{Set: 12, Band: si.Interval[si.Voltage]{Low: 11.75, High: 12.25},
		Absolute: 12.25,
		Vref: si.Around(si.Voltage(2.5),
			0.01), DividerCurrent: si.Interval[si.Current]{Low: 0.5e-3, High: 2e-3}}
	v := regulation.CheckVoltage(spec, one(9.53e3, 0.01), one(2.49e3, 0.01), nil)
	near(t, v.SetHigh, 12.0683, 0.00005/12)
	near(t, v.WorstLow, 2.475*(1+9.53*0.99/(2.49*1.01)), 1e-12)
	near(t, v.WorstHigh, 2.525*(1+9.53*1.01/(2.49*0.99)), 1e-12)
	near(t, v.WorstLow, 11.760, 0.0005/11.76)
	near(t, v.WorstHigh, 12.384, 0.0005/12.384)

	pieces := []resistors.Piece{{Lot: 1, Ohm: 9.53e3, Tolerance: 0.01, Count: 1},
		{Lot: 2, Ohm: 2.49e3, Tolerance: 0.01, Count: 1}}
	out, short := regulation.DesignVoltage(spec, resistors.NewStock(pieces), nil)
	require.Empty(t, out)
	require.True(t, short.Missing)
	require.Equal(t, "highest voltage of an untrimmed divider", short.Check)
	near(t, short.Value, 12.384, 0.0005/12.384)
	require.Equal(t, 12.25, short.Limit)
}

// STMicroelectronics, TSM101/A data sheet, section 3.1, p. 6: 12k over 1k with a 220 ohm trimmer at
// 1.24 V is set to 15.2 V. Only the range can be checked: the source gives no trimmer position.
// With the trimmer wholly in the bottom leg the output is 1.24 (1 + 12/1.22) = 13.44 V, with it
// wholly in the top leg 16.39 V (the collection's arithmetic); wired as rheostat in the bottom leg
// the upper stop is 1.24 x 13 = 16.12 V. 15.2 V lies inside.
func TestPublishedTrimmerRange(t *testing.T) {
	spec := regulation.VoltageSpec{Set: 15.2, Absolute: 17, Vref: si.Exactly(si.Voltage(1.24))}
	v := regulation.CheckVoltage(spec, one(12e3, 0), one(1e3, 0),
		&resistors.TrimmerPiece{Ohm: 220, Count: 1})
	near(t, v.SetLow, 13.44, 0.005/13.44)
	near(t, v.SetHigh, 1.24*13, 1e-12)
	require.Less(t, v.ReachLow, si.Voltage(15.2))
	require.Greater(t, v.ReachHigh, si.Voltage(15.2))
	require.Equal(t, v.SetLow, v.OpenWiper)
}

// Limits printed for references and sense levels: STMicroelectronics TSM1051/TSM1052, TI ATL431
// SLVSCV5D, TI TL103W SLOS437R.
func TestPublishedLimits(t *testing.T) {
	for _, c := range []struct {
		what    string
		nominal float64
		tol     si.Ratio
		lo, hi  float64
		digit   float64 // last printed digit
	}{
		{"TSM1051 reference, 25 C", 1.21, 0.01, 1.198, 1.222, 0.001},
		{"TSM1051 reference, over temperature", 1.21, 0.02, 1.186, 1.234, 0.001},
		{"TSM1051 sense", 0.2, 0.02, 0.196, 0.204, 0.001},
		{"ATL431 B", 2.5, 0.005, 2.487, 2.512, 0.001},
	} {
		t.Run(c.what, func(t *testing.T) {
			// A divider of equal exact legs doubles the reference and keeps its band.
			v := regulation.CheckVoltage(
				regulation.VoltageSpec{Set: si.Voltage(2 * c.nominal),
					Absolute: si.Voltage(3 * c.nominal),
					Vref:     si.Around(si.Voltage(c.nominal), c.tol)}, one(1e4, 0),
				one(1e4, 0), nil)
			require.InDelta(t, c.lo, float64(v.WorstLow/2), c.digit)
			require.InDelta(t, c.hi, float64(v.WorstHigh/2), c.digit)
		})
	}
}

// TI TL103W data sheet SLOS437R, section 7.2.1.2.1: 10 mohm at 6 A give 60 mV.
func TestPublishedShunt(t *testing.T) {
	stock := resistors.NewStock([]resistors.Piece{
		{Lot: 1, Ohm: 0.01, Tolerance: 0.01, Count: 1, Power: 1}})
	shunt, ok := stock.Best(si.Around(si.Resistance(0.01), 0.02), 1)
	require.True(t, ok)
	spec := regulation.CurrentSpec{Set: 6, HighLimit: 6.6, Vref: si.Exactly(si.Voltage(2.5)),
		Shunts: stock.Pieces}
	c := regulation.CheckCurrent(spec, shunt, one(24.4e3, 0), one(600, 0), nil)
	near(t, c.Sense, 0.060, 1e-12)
	near(t, c.ShuntPower, 0.36, 1e-12) // 6 A squared times 10 mohm
	near(t, c.High, 6, 1e-12)          // 2.5 V x 600/25000 = 60 mV
}

// Power Supply Cookbook, 2nd ed., section 3.15.2, p. 110: 5 V supply, LED drop 1.4 V, 6 mA. The
// book takes off the LED and 2.5 V at the cathode of the reference below it: (5 - 1.4 - 2.5)/6 mA =
// 183 ohm, cut off from 183.3.
func TestPublishedLEDResistor(t *testing.T) {
	r := regulation.LEDSpec{Supply: si.Exactly(si.Voltage(5)), Forward: 1.4, OutputLow: 2.5,
		Need: 6e-3, SinkMax: 50e-3}.Range()
	near(t, r.High, 183, 0.5/183)
}

// Band a Li-ion cell sheet allows: 50 mV on 4.20 V, 1.19 %. What the reference grade leaves of it
// (TI SGLS302G, SLVS543S, SLVS543R: 2.440-2.550 V, 2.470-2.520 V, 2.483-2.507 V; combined parts 0.4
// %: ST TSM103/A, BCD AP4310 Rev 1.8). A grade that leaves nothing must be refused even with exact
// resistors; one that leaves margin must be served by exact ones.
func TestReferenceGrades(t *testing.T) {
	for _, c := range []struct {
		grade   string
		vref    si.Interval[si.Voltage]
		nominal si.Voltage
		left    float64 // percent left for everything else
		digit   float64
	}{
		{"TL431", si.Interval[si.Voltage]{Low: 2.440, High: 2.550}, 2.495, -1.0, 0.05},
		{"TL431A", si.Interval[si.Voltage]{Low: 2.470, High: 2.520}, 2.495, 0.19, 0.005},
		// the source takes 0.5 %; 12 mV are 0.48 %
		{"TL431B", si.Interval[si.Voltage]{Low: 2.483, High: 2.507}, 2.495, 0.69, 0.02},
		{"AP4310A", si.Around(si.Voltage(2.5), 0.004), 2.5, 0.79, 0.005},
	} {
		t.Run(c.grade, func(t *testing.T) {
			spec := regulation.VoltageSpec{Set: 16.8,
				Band: si.Interval[si.Voltage]{Low: 16.6, High: 17}, Absolute: 17,
				Vref: c.vref, VrefNominal: c.nominal,
				DividerCurrent: si.Interval[si.Current]{Low: 0.1e-3, High: 2e-3}}
			bottom := si.Resistance(10e3)
			top := bottom * si.Resistance(16.8/c.nominal-1)
			v := regulation.CheckVoltage(spec, one(top, 0), one(bottom, 0), nil)
			// AP4310A and TL431A are within 0.2 mV of the exact grade, so half a digit is the
			// tolerance.
			spread := 100 * float64(v.WorstHigh/16.8-1)
			require.InDelta(t, c.left, 100*0.05/4.20-spread, c.digit+0.01)
			out, short := regulation.DesignVoltage(spec,
				resistors.NewStock([]resistors.Piece{{Lot: 1, Ohm: top, Count: 1},
					{Lot: 2, Ohm: bottom, Count: 1}}), nil)
			require.Equal(t, c.left > 0, len(out) > 0)
			require.Equal(t, c.left < 0, short.Missing)
		})
	}
}

// Two 1 % resistors add up to 2 x 1 % x (1 - Vref/Vout): 1.70 % for 16.8 V and 2.495 V (derived in
// the reference collection, first order). The exact corners differ from it by second order only,
// 0.5 % of the figure times 2.
func TestResistorsAddUp(t *testing.T) {
	spec := regulation.VoltageSpec{Set: 16.8, Absolute: 18, Vref: si.Exactly(si.Voltage(2.495))}
	bottom := si.Resistance(10e3)
	v := regulation.CheckVoltage(spec, one(bottom*(16.8/2.495-1), 0.01), one(bottom, 0.01), nil)
	spread := float64(v.WorstHigh-v.WorstLow) / 2 / 16.8
	near(t, spread, 0.0170, 0.00005/0.0170+2e-4)
}

// Worst cases of a 12.6 V divider, computed here by hand (the collection prints the same as own
// arithmetic, needs N30: 328 mV and 83 mV). First order: reference tolerance plus twice the
// resistor tolerance times (1 - 2.5/12.6).
func TestThreeCellBands(t *testing.T) {
	for _, c := range []struct {
		ref, tol si.Ratio
		printed  float64 // mV, own arithmetic of the collection
	}{{0.01, 0.01, 328}, {0.005, 0.001, 83}} {
		spec := regulation.VoltageSpec{Set: 12.6, Absolute: 13.5,
			Vref: si.Around(si.Voltage(2.5), c.ref)}
		v := regulation.CheckVoltage(spec, one(4.04e4, c.tol), one(1e4, c.tol), nil)
		byHand := 12.6 * (float64(c.ref) + 2*float64(c.tol)*(1-2.5/12.6))
		half := float64(v.WorstHigh-v.WorstLow) / 2
		near(t, half, byHand, 5e-4) // second order
		near(t, half*1000, c.printed, 0.5/c.printed)
	}
}

// Offset: 7 mV (TI SLOS068P, LM358 at 25 C) against the drop, needs N33: 14 % of 50 mV, 3.5 % of
// 200 mV. Copper shunt 40 K warmer: 1/(1 + 40 x 3.93e-3) = 13.6 % less current, needs N31;
// coefficient IEC 60028.
func TestOffsetAndCopper(t *testing.T) {
	for _, c := range []struct {
		ohm  si.Resistance
		want si.Ratio
	}{{0.05, 0.14}, {0.2, 0.035}} {
		shunts := []resistors.Piece{{Lot: 1, Ohm: c.ohm, Count: 1, Power: 1,
			Drift: si.CopperTempCo}}
		spec := regulation.CurrentSpec{Set: 1, HighLimit: 1.5, Vref: si.Exactly(si.Voltage(2.5)),
			Offset: 7e-3, Shunts: shunts}
		shunt := one(c.ohm, 0)
		near(t, regulation.CheckCurrent(spec, shunt, one(1e4, 0), one(1e3, 0), nil).OffsetError,
			c.want, 1e-12)
		spec.ShuntRise = 40
		hot := regulation.CheckCurrent(spec, shunt, one(1e4, 0), one(1e3, 0), nil).Hot
		near(t, 1-float64(hot), 0.136, 0.0005/0.136)
	}
}
