package codes_test

import (
	"fmt"
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/codes"
	"sparewright/catalog/si"
)

// All 96 x 12 codes of EIA-96, against testdata/reference/eia96.csv (its sources are named there).
func TestEIA96Table(t *testing.T) {
	var digits, letters []map[string]string
	for _, row := range rows(t, "eia96.csv") {
		if row["kind"] == "digits" {
			digits = append(digits, row)
		} else {
			letters = append(letters, row)
		}
	}
	require.Len(t, digits, 96)
	require.Len(t, letters, 12)
	for _, d := range digits {
		for _, l := range letters {
			value, err := strconv.ParseFloat(d["value"], 64)
			require.NoError(t, err)
			factor, err := strconv.ParseFloat(l["multiplier"], 64)
			require.NoError(t, err)
			all, err := codes.ReadSMD(d["code"] + l["code"])
			require.NoError(t, err, d["code"]+l["code"])
			last := all[len(all)-1] // the value code comes first where there is one, as in 22R
			require.Equal(t, codes.EIA96, last.Standard)
			near(t, float64(last.Resistance), value*factor, 1e-12, d["code"]+l["code"])
			near(t, float64(last.Tolerance), 0.01, 1e-12)
			back, err := codes.EIA96Code(last.Resistance)
			require.NoError(t, err)
			again, err := codes.ReadSMD(back)
			require.NoError(t, err)
			near(t, float64(again[0].Resistance), value*factor, 1e-12, back)
		}
	}
}

// Printed examples: 01C = 10 kohm, 68X = 49.9 ohm, 29B = 1.96 kohm (EIA-96 pages); 103 = 10 kohm,
// 1002 = 10 kohm, 4R7 = 4.7 ohm, R047 = 47 milliohm, 5L0 = 5 milliohm, 0 = link (makers' marking
// sheets, from memory).
func TestKnownChipCodes(t *testing.T) {
	for text, ohm := range map[string]float64{
		"01C": 10e3, "68X": 49.9, "29B": 1960, "103": 10e3, "1002": 10e3, "4R7": 4.7, "R047": 0.047,
		"5L0": 0.005, "472": 4700,
		"4701": 4700, "2R20": 2.2, "100": 10, "220": 22, "7681": 7680, "01c": 10e3,
	} {
		all, err := codes.ReadSMD(text)
		require.NoError(t, err, text)
		near(t, float64(all[0].Resistance), ohm, 1e-12, text)
	}
	link, err := codes.ReadSMD("000")
	require.NoError(t, err)
	require.Zero(t, link[0].Resistance)
	both, err := codes.ReadSMD("22R")
	require.NoError(t, err)
	require.Len(t, both, 2)
	near(t, float64(both[0].Resistance), 22, 1e-12)
	near(t, float64(both[1].Resistance), 1.65, 1e-12) // 22nd value of E96 is 165, R is x0.01
	for _, bad := range []string{"", "97C", "00A", "012", "12345", "R", "abc", "1Q2"} {
		_, err := codes.ReadSMD(bad)
		require.Error(t, err, bad)
	}
}

// Every value of E24 and E96 that a chip code can hold is written and read back.
func TestSMDReadBack(t *testing.T) {
	for _, series := range []string{"E24", "E96"} {
		for _, v := range catalog.ESeries(series) {
			for decade := -1; decade <= 6; decade++ {
				ohm := v * math.Pow(10, float64(decade))
				code, err := codes.SMD(si.Resistance(ohm))
				require.NoError(t, err)
				all, err := codes.ReadSMD(code)
				require.NoError(t, err, code)
				near(t, float64(all[0].Resistance), ohm, 1e-9, code)
			}
		}
	}
	_, err := codes.SMD(1234)
	require.ErrorContains(t, err, "more than three figures")
	_, err = codes.EIA96Code(4700)
	require.ErrorContains(t, err, "nearest is 4k75")
}

// IEC 60062 examples as printed on public pages: R47, 4R7, 470R, 4K7, 47K, 470K, 4M7, with J 5 %, F
// 1 %, K 10 %, M 20 %.
func TestValueCodes(t *testing.T) {
	for text, want := range map[string][2]float64{
		"R47": {0.47, 0}, "4R7": {4.7, 0}, "470R": {470, 0}, "4K7": {4700, 0}, "47K": {47e3, 0},
		"470K": {470e3, 0}, "4M7": {4.7e6, 0}, "4K7J": {4700, 0.05}, "1K0F": {1000, 0.01},
		"6K8G": {6800, 0.02}, "33KK": {33e3, 0.1}, "4M7M": {4.7e6, 0.2}, "R33M": {0.33, 0.2},
		"8k2j": {8200, 0.05}, "1R0B": {1, 0.001}, "1R0D": {1, 0.005}, "1R0C": {1, 0.0025},
		"5L0": {0.005, 0}, "0R0": {0, 0}, "R000": {0, 0},
	} {
		r, err := codes.ReadValueCode(text)
		require.NoError(t, err, text)
		near(t, float64(r.Resistance), want[0], 1e-12, text)
		near(t, float64(r.Tolerance), want[1], 1e-12, text)
	}
	for _, bad := range []string{"4k7x", "k", "47", "0K0", "100mf", "5mh", "10mm", "100kW"} {
		_, err := codes.ReadValueCode(bad)
		require.Error(t, err, bad)
	}
}

func FuzzReadSMD(f *testing.F) {
	for _, s := range []string{"103", "4R7", "01C", "96F", "R", "0000", "\x00", "9999"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		all, err := codes.ReadSMD(text)
		require.Equal(t, err == nil, len(all) > 0)
		for _, r := range all {
			require.False(t, math.IsNaN(float64(r.Resistance)) || r.Resistance < 0 ||
				r.Resistance > 1e13)
			require.NotEmpty(t, r.Standard)
		}
	})
}

func FuzzReadValueCode(f *testing.F) {
	for _, s := range []string{"4k7", "R47", "1M0F", "\u03a9"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		r, err := codes.ReadValueCode(text)
		require.Equal(t, err == nil, r.Standard != "", fmt.Sprint(r))
		require.False(t, r.Resistance < 0 || r.Resistance > 1e17, fmt.Sprint(r))
	})
}
