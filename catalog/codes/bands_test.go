package codes_test

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/catalog"
	"sparewright/catalog/codes"
	"sparewright/catalog/si"
)

// first reads bands and returns the likeliest reading.
func first(t *testing.T, text string) codes.Resistor {
	t.Helper()
	all, err := codes.ReadBands(text)
	require.NoError(t, err, text)
	return all[0]
}

// among reports whether a resistance and tolerance are among the readings.
func among(all []codes.Resistor, ohm, tol float64) bool {
	for _, r := range all {
		if math.Abs(float64(r.Resistance)/ohm-1) < 1e-9 &&
			math.Abs(float64(r.Tolerance)-tol) < 1e-12 {
			return true
		}
	}
	return false
}

// Every colour in every place, against the IEC 60062 table of
// testdata/reference/iec60062_colours.csv (its sources are named there): figures and multipliers in
// four-band parts, tolerances and temperature coefficients in six-band parts.
func TestColourTable(t *testing.T) {
	seen := map[string]int{}
	for _, row := range rows(t, "iec60062_colours.csv") {
		name := row["colour"]
		if row["digit"] != "" && row["digit"] != "0" {
			d, err := strconv.Atoi(row["digit"])
			require.NoError(t, err)
			all, err := codes.ReadBands(name + "-black-orange-silver")
			require.NoError(t, err)
			require.True(t, among(all, float64(d)*1e4, 0.1), name)
			require.Equal(t, catalog.InSeries(si.Resistance(d), "E24"), all[0].Series != "", name)
			seen["digit"]++
		}
		if row["exponent"] != "" {
			e, err := strconv.Atoi(row["exponent"])
			require.NoError(t, err)
			all, err := codes.ReadBands("yellow-violet-" + name + "-silver")
			require.NoError(t, err)
			require.True(t, among(all, 47*math.Pow(10, float64(e)), 0.1), name)
			seen["multiplier"]++
		}
		if row["tolerance_pct"] != "" {
			p, err := strconv.ParseFloat(row["tolerance_pct"], 64)
			require.NoError(t, err)
			all, err := codes.ReadBands("red-violet-pink-" + name)
			require.NoError(t, err)
			require.True(t, among(all, 0.027, p/100), name)
			seen["tolerance"]++
		}
		if row["tempco_ppm_per_k"] != "" {
			p, err := strconv.ParseFloat(row["tempco_ppm_per_k"], 64)
			require.NoError(t, err)
			r := first(t, "brown-black-black-gold-brown-"+name)
			near(t, float64(r.Resistance), 10, 1e-12, name)
			near(t, float64(r.Drift), p*1e-6, 1e-9, name)
			seen["drift"]++
		}
	}
	require.Equal(t, map[string]int{"digit": 9, "multiplier": 13, "tolerance": 11, "drift": 9},
		seen)
}

// Textbook readings, common practice: brown-black-orange-gold is 10 kohm 5 %;
// yellow-violet-red-gold 4.7 kohm 5 %; brown-black-black-red-brown 10 kohm 1 %, which from the
// other end is 120 ohm 1 %; three bands are 20 %.
func TestKnownBands(t *testing.T) {
	all, err := codes.ReadBands("brown-black-orange-gold")
	require.NoError(t, err)
	require.Len(t, all, 1)
	near(t, float64(all[0].Resistance), 10e3, 1e-12)
	near(t, float64(all[0].Tolerance), 0.05, 1e-12)
	near(t, float64(first(t, "gold red violet yellow").Resistance), 4700, 1e-12)
	require.Equal(t, "read from the other end", first(t, "gold red violet yellow").How)
	both, err := codes.ReadBands("brown black black red brown")
	require.NoError(t, err)
	require.Len(t, both, 2, "both ends are legal and both are told")
	near(t, float64(both[0].Resistance), 10e3, 1e-12)
	near(t, float64(both[1].Resistance), 120, 1e-12)
	near(t, float64(first(t, "orange-orange-brown").Tolerance), 0.2, 1e-12)
	near(t, float64(first(t, "BN/BK/OG/GD").Resistance), 10e3, 1e-12)
	require.Zero(t, first(t, "black").Resistance)
}

// The series picks the end. Yellow-white-white-brown-brown is 4.99 kohm of E96; from the other end
// it would be 119 x10^9 ohm, and 119 is in no series of IEC 60063.
func TestSeriesPicksTheEnd(t *testing.T) {
	near(t, float64(first(t, "yellow-white-white-brown-brown").Resistance), 4990, 1e-12)
	near(t, float64(first(t, "brown-brown-white-white-yellow").Resistance), 4990, 1e-12)
	// 2.37 kohm of E96; from the other end 117 kohm 2 %, which E192 has: both are told.
	all, err := codes.ReadBands("red-orange-violet-brown-brown")
	require.NoError(t, err)
	require.Len(t, all, 2)
	near(t, float64(all[0].Resistance), 2370, 1e-12)
	// 2.32 kohm of E96; from the other end 112 kohm, which is in no series: dropped.
	all, err = codes.ReadBands("red-orange-red-brown-brown")
	require.NoError(t, err)
	require.Len(t, all, 1)
}

func TestBandFaults(t *testing.T) {
	for text, part := range map[string]string{
		"brown-blakc-red": `colour "blakc": unknown`, "brown": "three to six",
		"red-red-red-red-red-red-red": "more than six",
		"gold-gold-gold-gold":         "no reading", "black-black-black": "no reading",
		"": "three to six",
	} {
		_, err := codes.ReadBands(text)
		require.ErrorContains(t, err, part, text)
	}
}

// What Bands writes is read back, and the value written is among the readings, for every value of
// E96 and E24 in every decade from 0.1 ohm to 10 Mohm and every tolerance that has a colour.
func TestBandsReadBack(t *testing.T) {
	for _, series := range []string{"E24", "E96"} {
		for _, v := range catalog.ESeries(series) {
			for decade := -1; decade <= 6; decade++ {
				ohm := v * math.Pow(10, float64(decade))
				for _, tol := range []float64{0.2, 0.1, 0.05, 0.02, 0.01, 0.005, 0.0025, 0.001} {
					bands, err := codes.Bands(si.Resistance(ohm), si.Ratio(tol))
					require.NoError(t, err)
					all, err := codes.ReadBands(codes.BandText(bands))
					require.NoError(t, err, codes.BandText(bands))
					require.True(t, among(all, ohm, tol), "%g %g: %s", ohm, tol,
						codes.BandText(bands))
				}
			}
		}
	}
	_, err := codes.Bands(12345, 0.01)
	require.ErrorContains(t, err, "more than three figures")
	_, err = codes.Bands(1000, 0.03)
	require.ErrorContains(t, err, "has no colour")
	bands, err := codes.Bands(4700, 0.05)
	require.NoError(t, err)
	// textbook example, common practice
	require.Equal(t, "yellow-violet-red-gold", codes.BandText(bands))
}

// Turning a part round never changes the set of readings.
func TestTurningRoundProperty(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		words := rapid.SliceOfN(rapid.SampledFrom(codes.Colours()), 3, 6).Draw(r, "bands")
		var typed, turned []string
		for i := range words {
			typed = append(typed, string(words[i]))
			turned = append(turned, string(words[len(words)-1-i]))
		}
		a, errA := codes.ReadBands(strings.Join(typed, "-"))
		b, errB := codes.ReadBands(strings.Join(turned, "-"))
		require.Equal(r, errA == nil, errB == nil)
		require.Len(r, b, len(a))
		for _, x := range a {
			require.True(r, among(b, float64(x.Resistance), float64(x.Tolerance)))
		}
	})
}

func FuzzReadBands(f *testing.F) {
	for _, s := range []string{"brown-black-red-gold", "none", "BN BK", "\xff-red", "red,red;red"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		all, err := codes.ReadBands(text)
		require.Equal(t, err == nil, len(all) > 0)
		for _, r := range all {
			require.False(t, math.IsNaN(float64(r.Resistance)) || r.Resistance < 0 ||
				r.Resistance > 1e13)
		}
	})
}
