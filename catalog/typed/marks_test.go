package typed_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/typed"
)

// lineOf reads the words of a line of the bench and makes the part.
func lineOf(t *testing.T, k catalog.Kind, words string) catalog.Part {
	t.Helper()
	line := typed.Line{Kind: k, Words: strings.Fields(words)}
	require.NoError(t, line.Read(), words)
	p, _, err := typed.Part(k, line.Designation, entries(line.Figures))
	require.NoError(t, err, words)
	return p
}

// The characteristic on a ceramic capacitor tells its class. Source: EIA-198-1 (U2J: -750 ppm/K,
// +-120) and JIS C 5101 (CH), from memory. n220 is a value, 0.22 nF (IEC 60062).
func TestCharacteristicTellsTheDielectric(t *testing.T) {
	for words, want := range map[string]string{"1n U2J 50V": "ceramic-class1",
		"22p N750 50V": "ceramic-class1",
		"22p CH 50V":   "ceramic-class1", "1n c0g 50V": "ceramic-class1", "100n X7R 50V": "ceramic",
		"100n x7r 50V": "ceramic",
		"10n Z5U 50V":  "ceramic"} {
		require.Equal(t, want, lineOf(t, catalog.KindCapacitor,
			words).(catalog.Capacitor).Dielectric, words)
	}
	c := lineOf(t, catalog.KindCapacitor, "n220 film 50V").(catalog.Capacitor)
	require.InEpsilon(t, 0.22e-9, float64(c.Capacitance.Value), 1e-9)
}

// A type name of a zener tells its voltage: European type key, BZX55C5V1 is 5.1 V 5 %; JEDEC
// registrations 1N4733A, 5.1 V 5 % 1 W, and 1N5242B, 12 V 5 % 0.5 W (from memory).
func TestNameOfAZener(t *testing.T) {
	for words, want := range map[string][3]float64{"5V1": {5.1, 0, 0}, "12V": {12, 0, 0},
		"5.1V 5%":   {5.1, 0.05, 0},
		"BZX55C5V1": {5.1, 0.05, 0}, "1N4733A": {5.1, 0.05, 1}, "1N5242B": {12, 0.05, 0.5}} {
		z := lineOf(t, catalog.KindZener, words).(catalog.Zener)
		require.InDelta(t, want[0], float64(z.Voltage.Value), 1e-9, words)
		require.InDelta(t, want[1], float64(z.Tolerance.Value), 1e-9, words)
		require.InDelta(t, want[2], float64(z.Rating.Value), 1e-9, words)
	}
}

// E is the point of old marks, the exponent of numbers and a letter of EIA-96 (IEC 60062 names no
// E; common practice, no source).
func TestEOnResistors(t *testing.T) {
	for _, text := range []string{"1E3", "4E7", "1e3", "22E", "1e3k", "1E3K"} {
		for _, k := range []catalog.Kind{catalog.KindResistor, catalog.KindTrimmer} {
			_, err := typed.FigureNamed(k, "resistance", text)
			require.Error(t, err, text)
			require.Less(t, len(err.Error()), 200, text)
		}
	}
	v, err := typed.FigureNamed(catalog.KindResistor, "resistance", "4E7J")
	require.NoError(t, err)
	require.InDelta(t, 4.7, v.Number, 1e-9)
	require.NotEmpty(t, v.Said)
	v, err = typed.FigureNamed(catalog.KindResistor, "resistance", "1e300")
	require.True(t, err != nil || v.Number > 1e9, "left to the range")
}

// Lines that a person may not have meant so are refused.
func TestLinesAskedBack(t *testing.T) {
	for _, x := range [][2]string{{"capacitor", "1M 16V"}, {"wire", "0,35 enamelled"},
		{"fuse", "500m"}, {"choke", "output 1A 10mH 10mH"}, {"choke", "output 1A 47"},
		{"capacitor", "4,7u 50V"},
		{"trimmer", "502"}, {"resistor", "101M"}, {"film", "polyester 0,05"}} {
		line := typed.Line{Kind: catalog.Kind(x[0]), Words: strings.Fields(x[1])}
		require.Error(t, line.Read(), x)
	}
}
