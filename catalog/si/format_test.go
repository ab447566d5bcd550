package si_test

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/catalog/si"
)

func TestFormat(t *testing.T) {
	require.Equal(t, "4.7 k\u03a9", si.Format(si.Resistance(4700), 3))
	require.Equal(t, "4.7 kohm", si.FormatASCII(si.Resistance(4700), 3))
	require.Equal(t, "16.8 V", si.Text(si.Voltage(16.8)))
	require.Equal(t, "4.185 V", si.Text(si.Voltage(4.185)))
	require.Equal(t, "130 \u00b5m", si.Text(si.Length(0.13e-3)))
	require.Equal(t, "130 um", si.ASCII(si.Length(0.13e-3)))
	require.Equal(t, "51.8 mm\u00b2", si.Text(si.Area(51.8e-6)))
	require.Equal(t, "2990 mm3", si.ASCII(si.Volume(2990e-9)))
	require.Equal(t, "35 \u00b0C", si.Text(si.Celsius(35)))
	require.Equal(t, "35 degC", si.ASCII(si.Celsius(35)))
	require.Equal(t, "100 ppm/K", si.Text(si.TempCo(100e-6)))
	require.Equal(t, "16 g", si.Text(si.Mass(0.016)))
	require.Equal(t, "2300", si.Text(si.Ratio(2300)))
	require.Equal(t, "0.05", si.Text(si.Ratio(0.05)))
	require.Equal(t, "300 kW/m3", si.ASCII(si.LossDensity(300e3)))
	require.Equal(t, "0 V", si.Text(si.Voltage(math.Copysign(0, -1))))
	require.Equal(t, "-2.5 mV", si.Text(si.Voltage(-2.5e-3)))
	require.Equal(t, "1e18 ohm", si.ASCII(si.Resistance(1e18)))
	require.Equal(t, "1e-18 F", si.ASCII(si.Capacitance(1e-18)))
	require.Equal(t, "NaN", si.Text(si.Voltage(math.NaN())))
	require.Equal(t, "5 %", si.Percent(0.05, 3))
	require.Equal(t, "-12.3 %", si.Percent(-0.1234, 3))
	require.Equal(t, "0 %", si.Percent(0, 3))
	require.Equal(t, "0.071 %", si.Percent(0.00071, 3))
	require.Equal(t, "120 %", si.Percent(1.2, 3))
	require.Equal(t, "4.7 kohm", si.FormatExact(si.Resistance(4700)))
	require.Equal(t, "100 nF", si.FormatExact(si.Capacitance(100e-9)))
}

// Source: IEC 60062:2016 letter and digit code, examples as in TestParseValueCodes.
func TestRKM(t *testing.T) {
	for want, r := range map[string]si.Resistance{
		"4k7": 4700, "0R22": 0.22, "10k": 10e3, "1M5": 1.5e6, "100R": 100, "4R7": 4.7,
		"0R005": 0.005, "1G": 1e9,
		"1k": 999.99, "0R": 0,
	} {
		require.Equal(t, want, si.RKM(r))
	}
}

// types lists a value of every quantity type whose written scales step by a thousand.
var types = []any{
	si.Voltage(0), si.Current(0), si.Power(0), si.Energy(0), si.Charge(0), si.Resistance(0),
	si.Capacitance(0), si.Inductance(0),
	si.InductanceFactor(0), si.Frequency(0), si.Time(0), si.Length(0), si.FluxDensity(0),
	si.LossDensity(0),
	si.LineResistance(0),
	si.LineMass(0), si.Mass(0),
}

// At every decade and at the float just below it, the figure stays under 1000 and the text is read
// back to the printed digits.
func TestFormatDecades(t *testing.T) {
	for _, as := range types {
		d, _ := si.DimensionFor(reflect.TypeOf(as))
		for exp := -18; exp <= 18; exp++ {
			decade := math.Pow10(exp)
			for _, v := range []float64{decade, math.Nextafter(decade, 0),
				math.Nextafter(decade, 2*decade), 0.9996 * decade,
				9.994 * decade} {
				for digits := 1; digits <= 17; digits++ {
					text := d.FormatASCII(v, digits)
					number, _, _ := strings.Cut(text, " ")
					require.NotRegexp(t, `^[0-9]{4,}`, number, "%T %g", as, v)
					back, err := d.Parse(text)
					require.NoError(t, err, text)
					near(t, back, v, 0.5*math.Pow10(1-digits)+last, text)
				}
			}
		}
	}
}

// FormatExact is read back as the same number for every quantity type.
func TestFormatExactRoundTrip(t *testing.T) {
	all := append([]any{si.Area(0), si.Volume(0), si.Celsius(0), si.Kelvin(0),
		si.ThermalResistance(0), si.TempCo(0),
		si.Ratio(0),
		si.Reluctance(0)}, types...)
	rapid.Check(t, func(r *rapid.T) {
		as := rapid.SampledFrom(all).Draw(r, "type")
		d, _ := si.DimensionFor(reflect.TypeOf(as))
		v := rapid.Float64Range(-1e20, 1e20).Draw(r, "value")
		if math.Abs(v) < 1e-290 {
			v = 0
		}
		back, err := d.Parse(d.FormatExact(v))
		if err != nil || math.Abs(back-v) > math.Abs(v)*last {
			r.Fatalf("%T %g -> %q -> %g, %v", as, v, d.FormatExact(v), back, err)
		}
	})
}

// A text with so many digits is read back within half of its last digit.
func TestFormatRoundTrip(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		v := si.Resistance(math.Pow(10, rapid.Float64Range(-7, 13).Draw(r, "decade")))
		digits := rapid.IntRange(1, 12).Draw(r, "digits")
		text := si.Format(v, digits)
		back, err := si.Parse[si.Resistance](text)
		if err != nil || math.Abs(float64(back/v)-1) > 0.5*math.Pow10(1-digits)*(1+1e-9)+last {
			r.Fatalf("%g with %d digits -> %q -> %g, %v", float64(v), digits, text,
				float64(back), err)
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, seed := range []string{"4k7", "0R22", "100 nF", "14,4", "1e-9", "85-265", "5 %",
		"12.5 degC", "\u00b54", "R",
		"1e3k", "..", "-0"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, as := range types {
			d, _ := si.DimensionFor(reflect.TypeOf(as))
			v, err := d.Parse(text)
			if err != nil {
				require.NotContains(t, err.Error(), "\n")
				require.Zero(t, v)
				continue
			}
			require.False(t, math.IsNaN(v) || math.IsInf(v, 0))
			back, err := d.Parse(d.FormatExact(v))
			require.NoError(t, err)
			require.Equal(t, v, back)
		}
		_, _ = si.ParseRange[si.Voltage](text)
	})
}

// Whatever is typed for a range, it is refused on one line, or its ends are finite and in order.
func FuzzParseRange(f *testing.F) {
	for _, seed := range []string{"85-265", "85..265V", "1-10k", "-5-5", "1e-9-2e-9", "4k7",
		"5\u202610", "--",
		"1k-1", "NaN-Inf"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		r, err := si.ParseRange[si.Voltage](text)
		if err != nil {
			require.NotContains(t, err.Error(), "\n")
			require.Zero(t, r)
			return
		}
		require.False(t, math.IsNaN(float64(r.Low)) || math.IsInf(float64(r.Low), 0) ||
			math.IsInf(float64(r.High), 0))
		require.LessOrEqual(t, r.Low, r.High)
	})
}
