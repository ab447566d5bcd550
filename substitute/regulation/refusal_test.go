package regulation_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog/si"
	"sparewright/substitute/regulation"
	"sparewright/substitute/regulation/resistors"
)

// fourCells is four Li-ion cells: 4.20 V set, 4.25 V never exceeded (charging.md section 9 of the
// reference collection, IEC 62133-2 from memory), band 50 mV a cell from the cell sheets.
func fourCells(reference si.Ratio) regulation.VoltageSpec {
	return regulation.VoltageSpec{Set: 16.8,
		Band: si.Interval[si.Voltage]{Low: 16.6, High: 17}, Absolute: 17,
		Vref: si.Around(si.Voltage(2.495), reference), VrefNominal: 2.495, BiasCurrent: 50e-9,
		DividerCurrent: si.Interval[si.Current]{Low: 0.2e-3, High: 2e-3}}
}

// keeps checks the hard rules on every design by going through all corners.
func keeps(t *testing.T, spec regulation.VoltageSpec, out []regulation.VoltageNetwork) {
	for _, v := range out {
		r, tol := 0.0, 0.0
		if v.HasTrimmer {
			r, tol = float64(v.Trimmer.Ohm), float64(v.Trimmer.Tolerance)
			require.LessOrEqual(t, v.ReachLow, spec.Set)
			require.GreaterOrEqual(t, v.ReachHigh, spec.Set)
		} else {
			lo, hi := outputs(spec, v.Top, v.Bottom, [2]float64{})
			require.GreaterOrEqual(t, lo, float64(spec.Band.Low)-1e-9)
			require.LessOrEqual(t, hi, float64(spec.Band.High)+1e-9)
		}
		_, hi := outputs(spec, v.Top, v.Bottom, [2]float64{0, r * (1 + tol)})
		require.LessOrEqual(t, hi, float64(spec.Absolute)+1e-9)
		require.LessOrEqual(t, v.OpenWiper, spec.Absolute)
		require.GreaterOrEqual(t, v.Current, regulation.BiasShare*spec.BiasCurrent)
	}
}

// Common parts cannot be trimmed blind for Li-ion: the margin above the set point is 1.19 %, twice
// the error has to fit in. With 1 % resistors and a 1 % reference the design is refused with what
// to measure, and after measuring just that it succeeds.
func TestLithiumIonBlindIsRefusedAndMeasuredIsBuilt(t *testing.T) {
	pieces, trimmers := seriesStock(0.01, 5), trimmerSet()
	spec := fourCells(0.01)
	out, short := regulation.DesignVoltage(spec, resistors.NewStock(pieces), trimmers)
	require.Empty(t, out)
	require.True(t, short.Missing)
	require.Equal(t, regulation.RoleVoltage, short.Role)
	require.NotEmpty(t, short.Need)
	require.Equal(t, "V", short.Unit)
	// the trimmed ones miss by more
	require.Equal(t, "lowest voltage of an untrimmed divider", short.Check)
	require.Less(t, short.Value, short.Limit)
	require.Equal(t, 16.6, short.Limit)
	cure := short.Cures[0]
	require.True(t, cure.Measure)
	require.Positive(t, cure.Resistors)
	require.Positive(t, cure.Reference)
	require.Contains(t, short.Need, "measure the divider resistors to")

	m := regulation.Meter{Resistors: cure.Resistors, Reference: cure.Reference}
	after := spec.Measured(m)
	out, short = regulation.DesignVoltage(after,
		resistors.NewStock(pieces).Within(m.Resistors), trimmers)
	require.NotEmpty(t, out)
	require.False(t, short.Missing)
	keeps(t, after, out)
}

// With everything known to 0.1 % the sum of errors is 0.1 + 2 x 0.1 x (1 - 2.495/16.8) = 0.27 %,
// well under the 0.59 %: a trimmed network exists, and all of it keeps the rules. With 0.2 %
// resistors and a 0.4 % reference the sum is 0.74 %: more than 0.59, less than 1.19, so there is an
// untrimmed network and no trimmed one.
func TestLithiumIonTightParts(t *testing.T) {
	out, _ := regulation.DesignVoltage(fourCells(0.001),
		resistors.NewStock(seriesStock(0.001, 5)), trimmerSet())
	require.True(t, out[0].HasTrimmer)
	keeps(t, fourCells(0.001), out)

	out, _ = regulation.DesignVoltage(fourCells(0.004),
		resistors.NewStock(seriesStock(0.002, 5)), trimmerSet())
	require.NotEmpty(t, out)
	for _, v := range out {
		require.False(t, v.HasTrimmer)
	}
	keeps(t, fourCells(0.004), out)
}

// Four LiFePO4 cells: 3.65 V set, 3.90 V absolute (LFP-26650-3300 specification, AA Portable
// Power). 6.8 % of margin: printed 1 % parts and a 1 % reference can be trimmed blind.
func TestLithiumIronBlind(t *testing.T) {
	spec := regulation.VoltageSpec{Set: 14.6, Absolute: 15.6,
		Vref: si.Around(si.Voltage(2.495), 0.01)}
	out, short := regulation.DesignVoltage(spec,
		resistors.NewStock(seriesStock(0.01, 5)), trimmerSet())
	require.False(t, short.Missing)
	require.True(t, out[0].HasTrimmer)
	spec.Band = si.Interval[si.Voltage]{Low: 13.6, High: 15.6} // what an empty band stands for
	keeps(t, spec, out)
}

// What a shortfall says to get is enough: with it the design succeeds.
func TestCuresCure(t *testing.T) {
	spec := regulation.VoltageSpec{Set: 14.6, Absolute: 15.6,
		Band: si.Interval[si.Voltage]{Low: 14.3,
			High: 14.9}, Vref: si.Around(si.Voltage(2.495), 0.005)}
	pieces := []resistors.Piece{{Lot: 1, Ohm: 22e3, Tolerance: 0.01, Count: 1},
		{Lot: 2, Ohm: 220, Tolerance: 0.01, Count: 1}}
	trimmers := []resistors.TrimmerPiece{{Lot: 3, Ohm: 500, Tolerance: 0.2, End: 5, Count: 1}}
	out, short := regulation.DesignVoltage(spec, resistors.NewStock(pieces), trimmers)
	require.Empty(t, out)
	require.Len(t, short.Cures, 1)
	require.Equal(t, short.NeedOhm, short.Cures[0].Ohm)
	require.Equal(t, "1 x "+resistors.ValueText(short.NeedOhm)+" 1 %", short.Need)
	out, _ = regulation.DesignVoltage(spec,
		resistors.NewStock(append(pieces,
			resistors.Piece{Lot: 4, Ohm: short.NeedOhm, Tolerance: 0.01, Count: 1})), trimmers)
	require.NotEmpty(t, out)
	keeps(t, spec, out)

	// 22k over 4k3 give 15.26 V with a spread of 2.2 %: above the band untrimmed, right with a
	// trimmer.
	pieces = []resistors.Piece{{Lot: 1, Ohm: 22e3, Tolerance: 0.01, Count: 1},
		{Lot: 2, Ohm: 4.3e3, Tolerance: 0.01, Count: 1}}
	spec.Band = si.Interval[si.Voltage]{Low: 14.5, High: 14.7}
	out, short = regulation.DesignVoltage(spec, resistors.NewStock(pieces), nil)
	require.Empty(t, out)
	require.True(t, short.Cures[0].Trimmer)
	require.Contains(t, short.Need, "1 x trimmer ")
	bought := resistors.TrimmerPiece{Lot: 5, Ohm: short.NeedOhm, Tolerance: 0.2,
		End: 0.02 * short.NeedOhm, Count: 1}
	out, _ = regulation.DesignVoltage(spec, resistors.NewStock(pieces),
		[]resistors.TrimmerPiece{bought})
	require.NotEmpty(t, out)
	keeps(t, spec, out)

	// Nothing on hand at all: two resistors to get.
	out, short = regulation.DesignVoltage(spec, resistors.NewStock(nil),
		[]resistors.TrimmerPiece{bought})
	require.Empty(t, out)
	require.Equal(t, regulation.NoParts, short.Check)
	require.Contains(t, short.Need, " and 1 x ")
}

// A spec that cannot be met by any divider is a shortfall, not a crash.
func TestSenselessSpecs(t *testing.T) {
	for _, spec := range []regulation.VoltageSpec{{},
		{Set: 2, Absolute: 3, Vref: si.Exactly(si.Voltage(2.5))},
		{Set: 12, Absolute: 11, Vref: si.Exactly(si.Voltage(2.5))}} {
		out, short := regulation.DesignVoltage(spec,
			resistors.NewStock(seriesStock(0.01, 1)), trimmerSet())
		require.Empty(t, out)
		require.True(t, short.Missing)
	}
	_, short := regulation.DesignVoltage(
		regulation.VoltageSpec{Set: 12, Absolute: 13,
			Vref: si.Exactly(si.Voltage(2.5))}, resistors.Stock{}, nil)
	require.True(t, short.Missing)
	for _, spec := range []regulation.CurrentSpec{{},
		{Set: 1, HighLimit: 0.5, SenseMin: 0.1, SenseMax: 0.2,
			Shunts: []resistors.Piece{{Lot: 1, Ohm: 0.15, Count: 1, Power: 2}},
			Vref:   si.Exactly(si.Voltage(2.5))}} {
		out, short := regulation.DesignCurrent(spec,
			resistors.NewStock(seriesStock(0.01, 1)), trimmerSet())
		require.Empty(t, out)
		require.True(t, short.Missing)
	}
	_, short = regulation.DesignBias(regulation.BiasSpec{}, resistors.Stock{})
	require.True(t, short.Missing)
	_, short = regulation.DesignLED(regulation.LEDSpec{}, resistors.Stock{})
	require.True(t, short.Missing)
}

// Small stocks fall back on legs of three parts: only 2k2 and 1k are there, and 14.6 V need 22 :
// 4.5.
func TestThreeParts(t *testing.T) {
	spec := regulation.VoltageSpec{Set: 14.6, Absolute: 15.2,
		Band: si.Interval[si.Voltage]{Low: 14, High: 15.2}, Vref: si.Around(si.Voltage(2.5), 0.004),
		DividerCurrent: si.Interval[si.Current]{Low: 0.1e-3, High: 5e-3}}
	pieces := []resistors.Piece{{Lot: 1, Ohm: 10e3, Tolerance: 0.002, Count: 1},
		{Lot: 2, Ohm: 1e3, Tolerance: 0.002, Count: 1},
		{Lot: 3, Ohm: 820, Tolerance: 0.002, Count: 1}, {Lot: 4, Ohm: 240,
			Tolerance: 0.002, Count: 1}}
	// 10k over 2066: 1k + 820 + 240 = 2060
	out, short := regulation.DesignVoltage(spec, resistors.NewStock(pieces), nil)
	require.False(t, short.Missing)
	require.Equal(t, "1k + 820R + 240R", out[0].Bottom.String())
	keeps(t, spec, out)
}
