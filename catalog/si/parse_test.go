package si_test

import (
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog/si"
)

// last is one unit in the last place of a float64, relative.
const last = 2.3e-16

// parseAny reads text as the quantity type of sample.
func parseAny(t *testing.T, sample any, text string) (float64, error) {
	t.Helper()
	d, ok := si.DimensionFor(reflect.TypeOf(sample))
	require.True(t, ok)
	return si.ParseAs(d, text)
}

// The ways people write values; the meaning of each is fixed by SI and by the words themselves.
func TestParseWritings(t *testing.T) {
	for _, c := range []struct {
		as   any
		text string
		want float64
	}{
		{si.Resistance(0), "4k7", 4700}, {si.Resistance(0), "4.7k", 4700},
		{si.Resistance(0), "4.7k\u03a9", 4700}, {si.Resistance(0), "4.7k\u2126", 4700},
		{si.Resistance(0), "4.7 kohm", 4700}, {si.Resistance(0), "4R7", 4.7},
		{si.Resistance(0), "0R22", 0.22}, {si.Resistance(0), "R22", 0.22},
		{si.Resistance(0), "100R", 100}, {si.Resistance(0), "10K", 10e3},
		{si.Resistance(0), "1M", 1e6}, {si.Resistance(0), "1m", 1e-3},
		{si.Resistance(0), "4m7", 4.7e-3}, {si.Resistance(0), "4M7", 4.7e6},
		{si.Resistance(0), "47 mohm", 0.047}, {si.Resistance(0), "4k7\u03a9", 4700},
		{si.Resistance(0), "4700", 4700}, {si.Resistance(0), "4.7e3", 4700},
		{si.Resistance(0), "4.7E+3 ohm", 4700}, {si.Resistance(0), "+10", 10},
		{si.Resistance(0), " 12 Ohm ", 12}, {si.Capacitance(0), "100n", 100e-9},
		{si.Capacitance(0), "100 nF", 100e-9}, {si.Capacitance(0), "4n7", 4.7e-9},
		{si.Capacitance(0), "4n7F", 4.7e-9}, {si.Capacitance(0), "4u7", 4.7e-6},
		{si.Capacitance(0), "4\u00b57", 4.7e-6}, {si.Capacitance(0), "4\u03bc7", 4.7e-6},
		{si.Capacitance(0), "1e-9", 1e-9}, {si.Capacitance(0), "1000uf", 1e-3},
		{si.Capacitance(0), "22p", 22e-12},
		{si.Inductance(0), "2.2 mH", 2.2e-3}, {si.Inductance(0), "2m2", 2.2e-3},
		{si.Inductance(0), "680uH", 680e-6}, {si.InductanceFactor(0), "2000 nH", 2e-6},
		{si.InductanceFactor(0), "2000 nH/N2", 2e-6}, {si.Frequency(0), "132kHz", 132e3},
		{si.Frequency(0), "132k", 132e3}, {si.Frequency(0), "0.1 MHz", 1e5},
		{si.Current(0), "0.4A", 0.4}, {si.Current(0), "400 mA", 0.4}, {si.Current(0), "1A5", 1.5},
		{si.Current(0), "50u", 50e-6}, {si.Voltage(0), "5V1", 5.1}, {si.Voltage(0), "16.8 V", 16.8},
		{si.Voltage(0), "230 Vac", 230},
		{si.Voltage(0), "-0.2V", -0.2},
		{si.Voltage(0), "\u22120.2V", -0.2}, {si.Voltage(0), "5kV", 5e3}, {si.Ratio(0), "5%", 0.05},
		{si.Ratio(0), "5 %", 0.05}, {si.Ratio(0), "250 ppm", 250e-6},
		{si.Ratio(0), "\u00b15%", 0.05}, {si.Ratio(0), "+/-1%", 0.01}, {si.Ratio(0), "2300", 2300},
		{si.Ratio(0), "2k3", 0}, {si.Ratio(0), ".5", 0.5}, {si.TempCo(0), "100 ppm/K", 100e-6},
		{si.TempCo(0), "50ppm", 50e-6}, {si.TempCo(0), "0.39%/K", 3.9e-3},
		{si.Length(0), "0.3mm", 0.3e-3}, {si.Length(0), "25um", 25e-6},
		{si.Length(0), "25\u00b5m", 25e-6}, {si.Length(0), "5m", 5},
		{si.Length(0), "1.5 cm", 15e-3}, {si.Length(0), "1 in", 25.4e-3},
		{si.Length(0), "2mil", 50.8e-6}, {si.Area(0), "52 mm2", 52e-6},
		{si.Area(0), "52mm\u00b2", 52e-6}, {si.Area(0), "0.52 cm2", 52e-6},
		{si.Area(0), "52 mm^2", 52e-6},
		{si.Volume(0), "2990 mm3", 2990e-9}, {si.Volume(0), "2.99 cm3", 2.99e-6},
		{si.Mass(0), "16 g", 16e-3}, {si.Mass(0), "1.2 kg", 1.2},
		{si.LineMass(0), "0.62 g/m", 0.62e-3}, {si.FluxDensity(0), "320 mT", 0.32},
		{si.LossDensity(0), "300 kW/m3", 300e3}, {si.LossDensity(0), "300 mW/cm3", 300e3},
		{si.Celsius(0), "12.5 degC", 12.5}, {si.Celsius(0), "35C", 35},
		{si.Celsius(0), "-10 \u00b0C", -10}, {si.Kelvin(0), "40 K", 40},
		{si.ThermalResistance(0), "40 K/W", 40}, {si.ThermalResistance(0), "40 C/W", 40},
		{si.LineResistance(0), "0.24 ohm/m", 0.24}, {si.LineResistance(0), "240 ohm/km", 0.24},
		{si.Time(0), "75 ns", 75e-9}, {si.Time(0), "2 min", 120}, {si.Charge(0), "2.5 Ah", 9000},
		{si.Energy(0), "1 Wh", 3600}, {si.Reluctance(0), "3.2e6 1/H", 3.2e6},
		{si.Power(0), "0.25 W", 0.25}, {si.Power(0), "0W25", 0.25},
	} {
		got, err := parseAny(t, c.as, c.text)
		if c.want == 0 {
			require.Errorf(t, err, "%T %q", c.as, c.text)
			continue
		}
		require.NoErrorf(t, err, "%T %q", c.as, c.text)
		near(t, got, c.want, last, c.text)
	}
}

// Source: IEC 60062:2016, tables of examples of the letter and digit code for resistance (4.1) and
// capacitance (4.2); read from memory of the standard.
func TestParseValueCodes(t *testing.T) {
	ohms := map[string]float64{
		"R10": 0.10, "R15": 0.15, "R332": 0.332, "R59": 0.59, "1R0": 1, "1R5": 1.5, "3R32": 3.32,
		"5R9": 5.9, "10R": 10,
		"15R": 15, "33R2": 33.2, "59R": 59, "100R": 100, "150R": 150, "332R": 332, "590R": 590,
		"1K0": 1e3, "1K5": 1.5e3,
		"3K32": 3.32e3, "5K9": 5.9e3, "10K": 10e3, "33K2": 33.2e3, "332K": 332e3, "1M0": 1e6,
		"1M5": 1.5e6, "3M32": 3.32e6,
		"10M": 10e6, "33M2": 33.2e6, "1G0": 1e9, "1G5": 1.5e9, "1T0": 1e12,
	}
	for code, want := range ohms {
		got, err := si.Parse[si.Resistance](code)
		require.NoError(t, err, code)
		near(t, float64(got), want, last, code)
	}
	farads := map[string]float64{
		"p10": 0.10e-12, "p332": 0.332e-12, "1p0": 1e-12, "1p5": 1.5e-12, "3p32": 3.32e-12,
		"5p9": 5.9e-12, "10p": 10e-12,
		"33p2": 33.2e-12, "100p": 100e-12, "1n0": 1e-9, "1n5": 1.5e-9, "3n32": 3.32e-9,
		"10n": 10e-9, "100n": 100e-9,
		"1\u00b50": 1e-6, "1\u00b55": 1.5e-6, "3\u00b532": 3.32e-6, "100\u00b5": 100e-6,
		"1m0": 1e-3, "10m": 10e-3,
	}
	for code, want := range farads {
		got, err := si.Parse[si.Capacitance](code)
		require.NoError(t, err, code)
		near(t, float64(got), want, last, code)
	}
}

// What is refused, with the word that tells the cure.
func TestParseRefusals(t *testing.T) {
	for _, c := range []struct {
		as         any
		text, says string
	}{
		{si.Voltage(0), "14,4", "decimal comma; write 14.4"},
		{si.Voltage(0), "14,4 V", "write 14.4 V"},
		{si.Resistance(0), "1,5k", "write 1.5k"},
		{si.Resistance(0), "4,700", "write 4700 or 4.700"},
		{si.Resistance(0), "1'000", "write 1000"}, {si.Resistance(0), "1 000 000", "write 1000000"},
		{si.Resistance(0), "1_000", "write 1000"}, {si.Resistance(0), "1\u202f000", "write 1000"},
		{si.Resistance(0), "1.234,5", "a comma in a number"},
		{si.Resistance(0), "NaN", "not a finite number"},
		{si.Resistance(0), "inf", "not a finite number"},
		{si.Resistance(0), "-Infinity", "not a finite number"},
		{si.Resistance(0), "0x1F", "hexadecimal"},
		{si.Resistance(0), "1e3k", "an exponent and a prefix"},
		{si.Length(0), "1e3 mm", "an exponent and a prefix"},
		{si.Resistance(0), "", "nothing is written"},
		{si.Resistance(0), "   ", "nothing is written"}, {si.Resistance(0), "-", "write it like"},
		{si.Resistance(0), "ohm", "no number"}, {si.Resistance(0), ".", "no number"},
		{si.Resistance(0), strings.Repeat("1", 65), "longer than 64 bytes"},
		{si.Resistance(0), "\xff1", "not valid UTF-8"}, {si.Resistance(0), "1e400", "too large"},
		{si.Resistance(0), "1e999", "exponent is out of bounds"},
		{si.Resistance(0), "1e-320", "too small"}, {si.Capacitance(0), "1e-400", "too small"},
		{si.Resistance(0), "4k7J", "not understood"}, {si.Resistance(0), "4R7k", "not understood"},
		{si.Resistance(0), "1.2.3", "unit of resistance"},
		{si.Resistance(0), "\u0664\u0667", "no number"}, {si.Voltage(0), "--5", "no number"},
		{si.Celsius(0), "5k", "unit of temperature"},
		{si.Kelvin(0), "5 k", "unit of temperature difference"},
	} {
		_, err := parseAny(t, c.as, c.text)
		require.ErrorContainsf(t, err, c.says, "%T %q", c.as, c.text)
	}
}

// A text of another quantity is named as such, together with the wanted one.
func TestParseNamesBothQuantities(t *testing.T) {
	for _, c := range []struct {
		as                any
		text, has, wanted string // with their articles
	}{
		{si.Resistance(0), "5V", "a voltage", "a resistance"},
		{si.Resistance(0), "5 kV", "a voltage", "a resistance"},
		{si.Voltage(0), "4.7 kohm", "a resistance", "a voltage"},
		{si.Voltage(0), "4R7", "a resistance", "a voltage"},
		{si.Length(0), "5 mm2", "an area", "a length"},
		{si.Capacitance(0), "10 uH", "an inductance", "a capacitance"},
		{si.Current(0), "60kHz", "a frequency", "a current"},
		{si.Power(0), "5%", "a number", "a power"},
	} {
		_, err := parseAny(t, c.as, c.text)
		require.ErrorContains(t, err, c.has+" does not fit where "+c.wanted+" is wanted")
	}
}

// Zero is zero without a sign.
func TestParseZero(t *testing.T) {
	for _, text := range []string{"0", "-0", "-0.0 V", "0e300"} {
		v, err := si.Parse[si.Voltage](text)
		require.NoError(t, err, text)
		require.Equal(t, "0 V", si.Text(v))
	}
}

func TestParseRange(t *testing.T) {
	for text, want := range map[string]si.Interval[si.Voltage]{
		"85-265": {Low: 85, High: 265}, "85..265V": {Low: 85, High: 265},
		"85-265 V":     {Low: 85, High: 265},
		"85 V - 265 V": {Low: 85, High: 265},
		"85\u2013265V": {Low: 85, High: 265}, "85\u2026265": {Low: 85, High: 265},
		"230":     {Low: 230, High: 230},
		"230-230": {Low: 230, High: 230},
		"1-2kV":   {Low: 1000, High: 2000}, "-5-5V": {Low: -5, High: 5},
		"-5..-3":    {Low: -5, High: -3},
		"1e-3-2e-3": {Low: 1e-3, High: 2e-3},
		"500mV-2V":  {Low: 0.5, High: 2},
	} {
		got, err := si.ParseRange[si.Voltage](text)
		require.NoError(t, err, text)
		require.Equal(t, want, got, text)
	}
	for text, says := range map[string]string{
		"265-85": "write the smaller end first", "85-": "not understood",
		"85-265 ohm": "not understood", "": "nothing is written",
		"85 to 265": "unit of voltage", "85-265-300": "not understood", "85-2,65": "not understood",
	} {
		_, err := si.ParseRange[si.Voltage](text)
		require.ErrorContains(t, err, says, text)
	}
}

// Every quantity type has a dimension whose base unit is read back as one.
func TestEveryDimensionReadsItsOwnUnit(t *testing.T) {
	for _, as := range []any{
		si.Voltage(0), si.Current(0), si.Power(0), si.Energy(0), si.Charge(0), si.Resistance(0),
		si.Capacitance(0),
		si.Inductance(0),
		si.InductanceFactor(0), si.Reluctance(0), si.Frequency(0), si.Time(0), si.Length(0),
		si.Area(0), si.Volume(0), si.Mass(0),
		si.FluxDensity(0), si.LossDensity(0), si.Celsius(0), si.Kelvin(0), si.ThermalResistance(0),
		si.LineResistance(0),
		si.LineMass(0), si.TempCo(0), si.Ratio(0),
	} {
		d, ok := si.DimensionFor(reflect.TypeOf(as))
		require.True(t, ok)
		for _, unit := range []string{d.Symbol, d.ASCII} {
			v, err := d.Parse("7 " + unit)
			require.NoErrorf(t, err, "%T", as)
			require.Equalf(t, 7.0, v, "%T", as)
			v, err = d.Parse("7e2 " + unit) // the base unit counts as unprefixed, kilogram included
			require.NoErrorf(t, err, "%T", as)
			require.Equalf(t, 700.0, v, "%T", as)
		}
	}
	require.Equal(t, "\u03a9", si.UnitOf[si.Resistance]())
	require.Equal(t, "", si.UnitOf[si.Ratio]())
}
