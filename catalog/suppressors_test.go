package catalog_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/complete"
	"sparewright/catalog/si"
)

// What the number means, and whose figures a suppressor has. 1.5KE150A and SMBJ170A: electrical
// characteristics of the 1.5KE and SMBJ sheets of suppressors.tsv (143 to 158 V, 207 V at 7.3 A;
// 189 to 209 V, 275 V at 2.2 A). P6KE150A: the clamping voltage of the same number at the 2.9 A
// that 600 W make of it (Good-Ark, EIC and Comchip sheets of the P6KE series, 600 W); Comchip
// P6KE-G, note 4: A or CA 5 %, none or C 10 %. EIC P6KE, Rev. 03: P6KE6.8 6.12 to 7.48 V, 10.8 V at
// 55.5 A; Comchip: P6KE6.8A 10.5 V at 57 A. SMAJ, SMCJ, P6SMB: the meaning of the number from
// memory.
func TestSuppressorNumbers(t *testing.T) {
	for _, c := range []struct {
		name, found                     string
		least, most, clamping, standoff float64 // V
		at                              float64 // A
	}{
		{"1.5KE150A", "1.5KE150A", 143, 158, 207, 128, 7.3},
		{"P6KE150A", "P6KE150A", 143, 158, 207, 128, 2.9},
		{"P6KE150", "P6KE150", 135, 165, 216, 121.5, 2.78},
		{"p6ke 150 ca", "P6KE150A", 143, 158, 207, 128, 2.9},
		{"P4KE150A", "P4KE150A", 143, 158, 207, 128, 1.93},
		{"SMBJ170A", "SMBJ170A", 189, 209, 275, 170, 2.2},
		{"SMAJ170A", "SMAJ170A", 189, 209, 275, 170, 1.45},
		{"1.5SMCJ170CA", "1.5SMCJ170A", 189, 209, 275, 170, 5.45},
		{"SMBJ170", "SMBJ170", 189, 231, 303, 170, 1.98},
		{"P6SMB150A", "P6SMB150A", 143, 158, 207, 128, 2.9},
		{"P6KE6.8", "P6KE6.8", 6.12, 7.48, 10.8, 5.5, 55.5},
		{"P6KE6V8A", "P6KE6.8A", 6.45, 7.14, 10.5, 5.8, 57},
		{"SMBJ5A", "SMBJ5.0A", 6.4, 7, 9.2, 5, 65.3},
	} {
		p, _, ok := catalog.Lookup(catalog.KindClamp, c.name)
		require.True(t, ok, c.name)
		require.Equal(t, c.found, p.Designation(), c.name)
		s := complete.Part(p).(catalog.Clamp)
		tol := float64(s.Tolerance.Value)
		near(t, float64(s.Breakdown.Value)*(1-tol), c.least, 0.012, c.name+" lowest")
		near(t, float64(s.Breakdown.Value)*(1+tol), c.most, 0.012, c.name+" highest")
		near(t, float64(s.Clamping.Value), c.clamping, 0.02, c.name+" clamping")
		near(t, float64(s.ClampingAt.Value), c.at, 0.02, c.name+" pulse current")
		near(t, float64(s.Standoff.Value), c.standoff, 0.01, c.name+" stand-off")
	}
	_, ok := catalog.SuppressorNamed("P6KE68")
	require.True(t, ok)
	_, ok = catalog.SuppressorNamed("P6KE")
	require.False(t, ok, "a family is no part")
}

// Whatever the family, a suppressor of less pulse power has the larger dynamic resistance, 10 %
// parts start lower and clamp higher than 5 % ones, and the clamping ratio lies in the span of the
// printed rows, 1.28 to 1.50.
func TestSuppressorFamilies(t *testing.T) {
	require.Len(t, catalog.SuppressorFamilies(), 10)
	for _, p := range catalog.Suppressors() {
		full := complete.Part(p).(catalog.Clamp)
		require.NoError(t, full.Validate(), p.Name)
		require.InDelta(t, 1.39, float64(full.ClampRatio()), 0.11, p.Name)
		require.Positive(t, float64(full.Resistance.Value), p.Name)
		if narrow, ok := catalog.SuppressorNamed(p.Name + "A"); ok && narrow.Name == p.Name+"A" {
			narrow = complete.Part(narrow).(catalog.Clamp)
			require.Greater(t, full.Clamping.Value, narrow.Clamping.Value, p.Name)
		}
	}
	p4, _ := catalog.SuppressorNamed("P4KE200A")
	p6, _ := catalog.SuppressorNamed("P6KE200A")
	big, _ := catalog.SuppressorNamed("1.5KE200A")
	require.Greater(t, p4.Resistance.Value, p6.Resistance.Value)
	require.Greater(t, p6.Resistance.Value, big.Resistance.Value)
}

// A stand-off voltage typed as the breakdown voltage would put the clamp a sixth too low: SMBJ170A
// breaks down at 189 to 209 V.
func TestStandoffTypedAsBreakdown(t *testing.T) {
	_, err := catalog.ParseFields(catalog.KindClamp, "SMBJ170A",
		[]catalog.Entry{{Field: "breakdown", Text: "170V"}})
	require.ErrorContains(t, err, "stand-off")
	for _, c := range [][2]string{{"SMBJ170A", "199V"}, {"SMBJ170A", "!171V"},
		{"P6KE170A", "170V"}} {
		_, err = catalog.ParseFields(catalog.KindClamp, c[0],
			[]catalog.Entry{{Field: "breakdown", Text: c[1]}})
		require.NoError(t, err, c)
	}
	p, err := catalog.ParseFields(catalog.KindClamp, "SMBJ170A", nil)
	require.NoError(t, err, "the bare name is enough")
	require.Equal(t, si.Voltage(199), p.(catalog.Clamp).Breakdown.Value)
}

// A breakdown voltage far from that of the name takes no figure of the row.
func TestSuppressorOfAnotherVoltage(t *testing.T) {
	p := complete.Part(catalog.Clamp{Named: named("P6KE150A"),
		Breakdown: catalog.Of[si.Voltage](300)}).(catalog.Clamp)
	require.NoError(t, p.Validate())
	require.Equal(t, catalog.Assumed, p.Clamping.Basis)
}

// Sharp PC817 Series, Fig. 11: 84 kHz at 100 ohm, 25 kHz at 1 kohm, 3.6 kHz at 10 kohm; the part
// prints 80 kHz at 100 ohm.
func TestOptocouplerPole(t *testing.T) {
	p := complete.Part(catalog.Optocoupler{Named: named("PC817C")}).(catalog.Optocoupler)
	for load, want := range map[si.Resistance]float64{100: 80e3, 1000: 25e3 * 80 / 84,
		10e3: 3.6e3 * 80 / 84} {
		near(t, float64(p.Pole(load).Value), want, 1e-9, si.Text(load))
	}
	last := p.Pole(10).Value
	for load := si.Resistance(11); load < 1e6; load *= 1.1 {
		now := p.Pole(load).Value
		require.LessOrEqual(t, now, last, "slower with more resistance, at %g ohm", load)
		last = now
	}
	require.Less(t, float64(p.Pole(16e3).Value), 2.4e3,
		"below the straight line through the last two points")
	require.False(t, p.Pole(0).Known())
	unlisted := complete.Part(
		catalog.Optocoupler{Named: named("x"), Output: "darlington"}).(catalog.Optocoupler)
	require.Equal(t, catalog.Assumed, unlisted.Pole(1000).Basis)
	require.Less(t, unlisted.Pole(1000).Value, p.Pole(1000).Value)
}

// TI SLOS068W 7.7: the output of the LM358 stays up to 1.5 V below 5 V, 4 V below 30 V with 2 kohm;
// its inputs 2 V over temperature.
func TestOutputHeadroom(t *testing.T) {
	a := complete.Part(catalog.Amplifier{Named: named("LM358")}).(catalog.Amplifier)
	require.GreaterOrEqual(t, float64(a.OutputHeadroom(5)), 1.5)
	near(t, float64(a.OutputHeadroom(30)), 4, 1e-9, "at 30 V")
	require.Greater(t, a.OutputHeadroom(24), a.OutputHeadroom(12))
	require.Equal(t, a.OutputHeadroom(30), a.OutputHeadroom(36))
}

// What a pin that was not read is taken for: never a smaller resistance, a larger span or a smaller
// stopping current than those printed for its kind (TOP242-250 Rev. M p.34: 22 ohm, 7.0 mA; AiT
// AP8022 p.4: 1.2 kohm, 0.9 mA; onsemi NCP1028 p.5: 16 kohm).
func TestFeedbackStandIns(t *testing.T) {
	for _, c := range []struct {
		feedback        string
		ohm, span, stop float64
	}{{"feeds-control", 22, 2.7e-3, 7e-3}, {"feeds-in", 1200, 0.9e-3, 0.9e-3}, {"pulls-down", 16e3,
		0.7e-3, 0.9e-3}} {
		p := complete.Part(catalog.Switcher{Named: named("x"), Control: "fixed-frequency",
			Feedback: c.feedback}).(catalog.Switcher)
		require.GreaterOrEqual(t, float64(p.FeedbackOhm.Value), c.ohm, c.feedback)
		require.LessOrEqual(t, float64(p.FeedbackSpan.Value), c.span, c.feedback)
		require.GreaterOrEqual(t, float64(p.FeedbackStop.Value), c.stop, c.feedback)
		require.Equal(t, catalog.Assumed, p.FeedbackSpan.Basis)
	}
}

// The same number in two packages: the bare number has the worse figures, the package named
// decides. Power Integrations TOP221-227 p.1: TOP223 25/15 W in P, 50/30 W in Y; ST VIPer12ADIP/AS:
// 45 and 55 K/W.
func TestPackageDecides(t *testing.T) {
	power := func(name, pack string) si.Power {
		p := catalog.Switcher{Named: named(name), Control: "fixed-frequency", Package: pack}
		return complete.Part(p).(catalog.Switcher).OpenWide.Value
	}
	require.Equal(t, si.Power(15), power("TOP223", ""))
	require.Equal(t, si.Power(15), power("TOP223", "DIP-8 (P)"))
	require.Equal(t, si.Power(30), power("TOP223Y", ""))
	require.Equal(t, si.Power(30), power("TOP223", "TO-220 (Y)"))
	require.Equal(t, si.Power(5), power("VIPer12A", ""))
	require.Equal(t, si.Power(8), power("VIPer12A", "8-DIP"))
	require.Equal(t, si.Power(7), power("AP8022 (AiT)", "SOP8"))
	require.Equal(t, si.Power(12), power("AP8022 (AiT)", "DIP-8"))
}
