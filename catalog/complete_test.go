package catalog_test

import (
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/catalog"
	"sparewright/catalog/complete"
	"sparewright/catalog/si"
)

func named(name string) catalog.Named { return catalog.Named{Name: name} }

// Completing never changes what is stated, is idempotent, and does not make a sound part contradict
// itself.
func TestCompleteKeepsWhatIsStated(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		p, err := catalog.Build(anyRecord(r))
		if err != nil {
			return
		}
		full := complete.Part(p)
		require.Equal(r, full, complete.Part(full))
		a, b := reflect.ValueOf(p), reflect.ValueOf(full)
		for i := range a.NumField() {
			if !a.Field(i).IsZero() && !unknown(a.Field(i)) {
				name := a.Type().Field(i).Name
				if name == "Ferrite" {
					// an unknown grade of high permeability becomes unknown-filter; see its own
					// test
					continue
				}
				require.Equal(r, a.Field(i).Interface(), b.Field(i).Interface(), name)
			}
		}
	})
}

// unknown reports whether a field is a figure without a basis.
func unknown(v reflect.Value) bool {
	return v.Kind() == reflect.Struct && v.NumField() == 2 && v.Field(1).Kind() == reflect.Uint8 &&
		v.Field(1).Uint() == 0
}

// A listed switcher by its bare name. ST VIPer12A-E (Doc ID 11977 Rev 2): 60 kHz, 730 V, 9 to 38 V,
// 13 W and 8 W, 45 and 55 K/W in DIP-8 and SO-8; ST AN1514: 0.32 A at least, the other ends of its
// limit are from memory. Philips TEA152x: 0.47/0.50/0.53 V. onsemi NCP1050-1055 p. 8:
// 0.632/0.68/0.728 A.
func TestCompleteSwitcher(t *testing.T) {
	p, err := catalog.ParseFields(catalog.KindSwitcher, "VIPer12A", nil)
	require.NoError(t, err)
	v := complete.Part(p).(catalog.Switcher)
	require.Equal(t, catalog.Of[si.Frequency](60e3), v.Frequency)
	require.Equal(t, catalog.Of[si.Voltage](730), v.Breakdown)
	require.Equal(t, catalog.Of[si.Voltage](9), v.SupplyMin)
	require.Equal(t, catalog.Of[si.Voltage](38), v.SupplyMax)
	require.Equal(t, catalog.Of[si.Power](5), v.OpenWide)
	require.Equal(t, catalog.Of[si.ThermalResistance](55), v.JunctionAir,
		"the worse of the two packages")
	require.Equal(t, catalog.Of[si.Current](0.32), v.LimitMin)
	require.Equal(t, catalog.Guess[si.Current](0.48), v.LimitMax)
	require.Equal(t, "feeds-in", v.Feedback)
	require.Equal(t, catalog.Datum[si.Ratio]{Value: 0.6, Basis: catalog.Assumed}, v.DutyMax)
	v.Package, v.JunctionAir, v.OpenWide = "8-DIP", catalog.Datum[si.ThermalResistance]{},
		catalog.Datum[si.Power]{}
	v = complete.Part(v).(catalog.Switcher)
	require.Equal(t, catalog.Of[si.ThermalResistance](45), v.JunctionAir, "the package stated")
	require.Equal(t, catalog.Of[si.Power](8), v.OpenWide)
	tea, ok := catalog.SwitcherNamed("TEA1522")
	require.True(t, ok)
	require.Equal(t, "external", tea.Setting)
	require.Equal(t, []si.Voltage{0.47, 0.5, 0.53},
		[]si.Voltage{tea.SenseMin.Value, tea.Sense.Value, tea.SenseMax.Value})
	ncp, ok := catalog.SwitcherNamed("NCP1055")
	require.True(t, ok)
	require.Equal(t, catalog.Of[si.Current](0.632), ncp.LimitMin)
	require.Equal(t, catalog.Of[si.Current](0.728), ncp.LimitMax)
	require.Equal(t, "yes", ncp.SelfSupply)
}

// A stated typical limit beyond the listed ends keeps them out; the ends are then its own 12 %.
func TestCompleteKeepsOrder(t *testing.T) {
	p, err := build(t, catalog.KindSwitcher, "NCP1055", "limit=0.9A")
	require.NoError(t, err)
	v := complete.Part(p).(catalog.Switcher)
	require.NoError(t, v.Validate())
	near(t, float64(v.LimitMax.Value), 1.008, 1e-9, "highest limit")
	require.Equal(t, catalog.Assumed, v.LimitMax.Basis)
	near(t, float64(v.LimitMin.Value), 0.632, 1e-9, "the listed lowest limit is still in order")
}

// Two makers' parts of one number are not mixed up, and a word that differs from the table keeps
// its figures out.
func TestCompleteLeavesTheAmbiguousAlone(t *testing.T) {
	p, err := build(t, catalog.KindSwitcher, "AP8012", "control=fixed-frequency")
	require.NoError(t, err)
	require.Equal(t, catalog.Assumed, complete.Part(p).(catalog.Switcher).Breakdown.Basis)
	p, err = build(t, catalog.KindSwitcher, "NCP1014", "control=on-off")
	require.NoError(t, err)
	require.Equal(t, catalog.Assumed, complete.Part(p).(catalog.Switcher).Breakdown.Basis)
}

// The other listed parts: Sharp PC817 rank C 200 to 400 % at 5 mA, 5000 V, 35 V; TI SLOS068P LM358:
// 3 to 32 V, VCC-2 over temperature, 9 mV; onsemi LM258/LM358/LM2904 p.4: over temperature 500 nA,
// 10 mA out and 5 mA in, 3.0 mA at 30 V; TI SLOS068W 7.7: output up to 4 V below 30 V; TI SGLS302G
// TL431: 2.440 to 2.550 V, 1 mA, 36 V; Pan Jit SB560: 60 V, 5 A, 0.70 V; onsemi MUR120 series:
// MUR160 600 V, 1.25 V and 1.05 V hot at 1 A.
func TestCompleteListedParts(t *testing.T) {
	o := complete.Part(catalog.Optocoupler{Named: named("PC817C")}).(catalog.Optocoupler)
	require.Equal(t, catalog.Of[si.Ratio](2), o.RatioMin)
	require.Equal(t, catalog.Of[si.Ratio](4), o.RatioMax)
	require.Equal(t, catalog.Of[si.Current](5e-3), o.RatioAt)
	require.Equal(t, catalog.Of[si.Voltage](5000), o.Isolation)
	a := complete.Part(catalog.Amplifier{Named: named("LM358")}).(catalog.Amplifier)
	require.Equal(t, catalog.Of[si.Voltage](32), a.SupplyMax)
	require.Equal(t, catalog.Of[si.Voltage](2), a.Headroom)
	require.Equal(t, catalog.Of[si.Voltage](9e-3), a.Offset)
	require.Equal(t, catalog.Of[si.Current](10e-3), a.Source)
	require.Equal(t, catalog.Of[si.Current](5e-3), a.Sink)
	require.Equal(t, catalog.Of[si.Current](500e-9), a.BiasCurrent)
	require.Equal(t, catalog.Of[si.Current](3e-3), a.SupplyCurrent)
	near(t, float64(a.OutputHeadroom(30)), 4, 1e-9, "at 30 V")
	ref := complete.Part(catalog.Reference{Named: named("TL431")}).(catalog.Reference)
	require.Equal(t, catalog.Of[si.Voltage](2.44), ref.VrefMin)
	require.Equal(t, catalog.Of[si.Voltage](2.55), ref.VrefMax)
	require.Equal(t, catalog.Of[si.Current](1e-3), ref.CathodeMin)
	require.Equal(t, catalog.Of[si.Voltage](36), ref.CathodeVolts)
	r := complete.Part(catalog.Rectifier{Named: named("SB560 Pan Jit")}).(catalog.Rectifier)
	require.Equal(t, catalog.Of[si.Voltage](0.7), r.Forward)
	mur, ok := catalog.RectifierNamed("MUR160")
	require.True(t, ok)
	require.Equal(t, catalog.Of[si.Voltage](1.25), mur.Forward)
	require.Equal(t, catalog.Of[si.Voltage](1.05), mur.ForwardHot)
	b := complete.Part(catalog.Bridge{Named: named("DB107")}).(catalog.Bridge)
	require.Equal(t, catalog.Guess[si.Voltage](1000), b.Reverse)
}

// Parts without a table get cautious stand-ins, all marked as assumed. Lelon RGA data sheet: 20 %,
// loss factor 0.14 at 25 V and 0.25 at 400 V, 120 Hz: 47 uF 400 V gives 7.05 ohm. E24 carbon film
// of 5 % and 0.25 W: common practice.
func TestCompletePassives(t *testing.T) {
	r := complete.Part(catalog.Resistor{Named: named("r"),
		Resistance: catalog.Of[si.Resistance](10e3)}).(catalog.Resistor)
	require.Equal(t, catalog.Datum[si.Ratio]{Value: 0.05, Basis: catalog.Assumed}, r.Tolerance)
	require.Equal(t, catalog.Datum[si.Power]{Value: 0.25, Basis: catalog.Assumed}, r.Rating)
	trim := complete.Part(catalog.Trimmer{Named: named("t"),
		Resistance: catalog.Of[si.Resistance](5e3)}).(catalog.Trimmer)
	require.Equal(t, catalog.Datum[si.Resistance]{Value: 100, Basis: catalog.Assumed}, trim.End)
	require.Equal(t, catalog.Datum[si.Ratio]{Value: 0.2, Basis: catalog.Assumed}, trim.Tolerance)
	c := complete.Part(catalog.Capacitor{Named: named("c"), Dielectric: "electrolytic",
		Capacitance: catalog.Of[si.Capacitance](47e-6),
		Volts:       catalog.Of[si.Voltage](400)}).(catalog.Capacitor)
	near(t, float64(c.ESR.Value), 7.05, 0.001, "series resistance")
	require.Equal(t, catalog.Datum[si.Ratio]{Value: 0.2, Basis: catalog.Assumed}, c.Tolerance)
	low := complete.Part(catalog.Capacitor{Named: named("c"), Dielectric: "electrolytic",
		Capacitance: catalog.Of[si.Capacitance](1000e-6),
		Volts:       catalog.Of[si.Voltage](25)}).(catalog.Capacitor)
	near(t, float64(low.ESR.Value), 0.1857, 0.001, "0.14/(2 pi 120 Hz 1000 uF)")
	require.Less(t, float64(low.Ripple.Value), 1.04,
		"below the 10 x 20 mm can of a low-impedance series, United Chemi-Con LXF")
	f := complete.Part(catalog.Fuse{Named: named("T1A"),
		Current: catalog.Of[si.Current](1)}).(catalog.Fuse)
	// IEC 60127-2 low breaking capacity, from memory
	require.Equal(t, si.Current(35), f.Breaking.Value)
	for _, p := range []catalog.Part{
		catalog.Clamp{Named: named("P6KE200"), Breakdown: catalog.Of[si.Voltage](200)},
		catalog.LED{Named: named("red"), Colour: "red"},
		catalog.Choke{Named: named("bead"), Use: "output",
			Inductance: catalog.Of[si.Inductance](10e-6),
			Current:    catalog.Of[si.Current](2)},
		catalog.Thermistor{Named: named("10D-9"), Cold: catalog.Of[si.Resistance](10)},
		catalog.Zener{Named: named("5V1"), Voltage: catalog.Of[si.Voltage](5.1)},
		catalog.Zener{Named: named("270"), Voltage: catalog.Of[si.Voltage](270),
			Rating: catalog.Of[si.Power](0.05)},
	} {
		require.NoError(t, complete.Part(p).Validate(), p.Designation())
	}
}

// United Chemi-Con LXF, ratings in LTspice standard.cap: 8 x 15 mm 0.555 A and 0.130 ohm, 10 x 20
// mm 1.04 A and 0.062 ohm up to 35 V, 0.945 A and 0.075 ohm at 50 V.
func TestCans(t *testing.T) {
	found := map[string]catalog.Can{}
	for _, c := range catalog.Cans() {
		found[c.Name] = c
		require.NotEmpty(t, c.Source.Document, c.Name)
		require.Equal(t, strings.HasPrefix(c.Class, "very"),
			c.ESR.Basis == catalog.Estimated, c.Name)
	}
	for name, want := range map[string][2]float64{"low-impedance 8x15": {0.555, 0.13},
		"low-impedance 10x20":      {1.04, 0.062},
		"low-impedance 10x20 50 V": {0.945, 0.075}} {
		near(t, float64(found[name].Ripple.Value), want[0], 1e-9, name)
		near(t, float64(found[name].ESR.Value), want[1], 1e-9, name)
	}
}

// Stand-off voltages of the Littelfuse P6KE series: P6KE200 162 V, P6KE200A 171 V (data sheet,
// table of ratings).
func TestStandoffOfTheGrade(t *testing.T) {
	p := catalog.Clamp{Named: named("suppressor"), Breakdown: catalog.Of[si.Voltage](200)}
	require.InDelta(t, 162, float64(complete.Part(p).(catalog.Clamp).Standoff.Value), 0.1)
	p.Tolerance = catalog.Of[si.Ratio](0.05)
	require.InDelta(t, 171, float64(complete.Part(p).(catalog.Clamp).Standoff.Value), 0.1)
	p.Tolerance = catalog.Of[si.Ratio](0.001)
	require.InDelta(t, 171, float64(complete.Part(p).(catalog.Clamp).Standoff.Value), 0.1,
		"no closer grade is made")
}
