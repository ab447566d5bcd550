package codes_test

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/codes"
	"sparewright/catalog/si"
)

// readCap reads a code that has a reading and returns the likeliest.
func readCap(t *testing.T, text string) codes.Capacitor {
	t.Helper()
	all, err := codes.ReadCapacitor(text)
	require.NoError(t, err, text)
	return all[0]
}

// The whole table of testdata/reference/capacitor_codes.csv: tolerance letters, voltage codes,
// multipliers, class 2 letters.
func TestCapacitorTable(t *testing.T) {
	seen := map[string]int{}
	for _, row := range rows(t, "capacitor_codes.csv") {
		code := row["code"]
		seen[row["kind"]]++
		switch row["kind"] {
		case "tolerance_letter":
			checkTolerance(t, code, row)
		case "voltage_code":
			want, err := strconv.ParseFloat(row["value"], 64)
			require.NoError(t, err)
			c := readCap(t, code+"104K")
			near(t, float64(c.Volts), want, 1e-12, code)
			near(t, float64(c.Capacitance), 100e-9, 1e-12, code)
		case "third_digit_multiplier":
			if factor, err := strconv.ParseFloat(row["value"], 64); err == nil && len(code) == 1 &&
				code >= "0" && code <= "9" {
				near(t, float64(readCap(t, "22"+code+"K").Capacitance),
					22*factor*1e-12, 1e-12, code)
			}
		case "class2_temp_low", "class2_temp_high", "class2_change":
			checkCeramic(t, row)
		}
	}
	require.GreaterOrEqual(t, seen["tolerance_letter"], 14)
	require.GreaterOrEqual(t, seen["voltage_code"], 31)
	require.GreaterOrEqual(t, seen["third_digit_multiplier"], 8)
	require.Equal(t, 12, seen["class2_change"])
	require.Equal(t, 9, seen["class2_temp_low"]+seen["class2_temp_high"])
}

// checkTolerance holds a letter on a large value, and on 4.7 pF where it means picofarads, against
// its printed meaning.
func checkTolerance(t *testing.T, code string, row map[string]string) {
	t.Helper()
	large := readCap(t, "104"+code).Tolerance
	switch code {
	case "P":
		require.Equal(t, [2]si.Ratio{0, 1}, [2]si.Ratio{large.Below, large.Above})
	case "S", "T", "Z":
		below, above, ok := strings.Cut(
			strings.NewReplacer(" ", "", "-", "", "%", "").Replace(row["meaning"]), "/+")
		require.True(t, ok, row["meaning"])
		b, err := strconv.ParseFloat(below, 64)
		require.NoError(t, err)
		a, err := strconv.ParseFloat(above, 64)
		require.NoError(t, err)
		near(t, float64(large.Below), b/100, 1e-9, code)
		near(t, float64(large.Above), a/100, 1e-9, code)
	default:
		p, err := strconv.ParseFloat(row["value"], 64)
		require.NoError(t, err)
		near(t, float64(large.Below), p/100, 1e-9, code)
		near(t, float64(large.Above), p/100, 1e-9, code)
	}
	// "+-0.1 pF (C < 10 pF)" in the table
	if pf, ok := map[string]float64{"B": 0.1, "C": 0.25, "D": 0.5}[code]; ok {
		require.Contains(t, row["meaning"], strconv.FormatFloat(pf, 'f', -1, 64)+" pF")
		near(t, float64(readCap(t, "4R7"+code).Tolerance.Absolute), pf*1e-12, 1e-9, code)
	}
}

func checkCeramic(t *testing.T, row map[string]string) {
	t.Helper()
	code := map[string]string{"class2_temp_low": row["code"] + "7R",
		"class2_temp_high": "X" + row["code"] + "R",
		"class2_change":    "X7" + row["code"]}[row["kind"]]
	c, ok := codes.ReadCeramic(code)
	require.True(t, ok, code)
	value := strings.TrimPrefix(row["value"], "+-")
	switch row["kind"] {
	case "class2_temp_low":
		require.Equal(t, value, signed(float64(c.Low)))
	case "class2_temp_high":
		require.Equal(t, value, signed(float64(c.High)))
	default:
		above, below, both := strings.Cut(value, "/-")
		a, err := strconv.ParseFloat(strings.TrimPrefix(above, "+"), 64)
		require.NoError(t, err)
		near(t, float64(c.Above), a/100, 1e-9, code)
		if both {
			b, err := strconv.ParseFloat(below, 64)
			require.NoError(t, err)
			near(t, float64(c.Below), b/100, 1e-9, code)
		} else {
			require.Equal(t, c.Above, c.Below)
		}
	}
}

func signed(v float64) string {
	text := strconv.FormatFloat(v, 'f', -1, 64)
	if v > 0 {
		return "+" + text
	}
	return text
}

// Printed examples, common practice: 104 = 100 nF, 4n7 = 4.7 nF, p47 = 0.47 pF, 229 = 2.2 pF, 47 =
// 47 pF, .047 = 47 nF, 1H104K = 100 nF 10 % 50 V, 220 = 22 pF or 220 pF.
func TestKnownCapacitorCodes(t *testing.T) {
	for text, farad := range map[string]float64{
		"104": 100e-9, "104K": 100e-9, "4n7": 4.7e-9, "4N7J": 4.7e-9, "p47": 0.47e-12,
		"229": 2.2e-12, "47": 47e-12,
		".047": 47e-9, "1H104K": 100e-9, "100n": 100e-9, "100nF": 100e-9, "2u2": 2.2e-6,
		"470u": 470e-6, "4R7C": 4.7e-12,
		"220": 22e-12, "2P2": 2.2e-12, "47NK": 47e-9, "1n0M": 1e-9, "330p": 330e-12,
		"2A473J": 47e-9, "104N": 100e-9,
		"100N": 100e-9, "0.1": 100e-9, "222M": 2.2e-9,
	} {
		near(t, float64(readCap(t, text).Capacitance), farad, 1e-12, text)
	}
	all, err := codes.ReadCapacitor("220")
	require.NoError(t, err)
	require.Len(t, all, 3, "coded, plain pF, and uF on an electrolytic")
	near(t, float64(all[1].Capacitance), 220e-12, 1e-12)
	near(t, float64(all[2].Capacitance), 220e-6, 1e-12)
	near(t, float64(readCap(t, "104N").Tolerance.Above), 0.3, 1e-12)
	require.False(t, readCap(t, "100n").Tolerance.Known(), "a small n is nano")
	near(t, float64(readCap(t, "4R7C").Tolerance.Of(4.7e-12)), 0.25/4.7, 1e-9)
	near(t, float64(readCap(t, "104Z").Tolerance.Of(100e-9)), 0.8, 1e-12)
	for _, bad := range []string{"", "104Y", "1Q104K", "n", "K", "104KK", "000", "0", "4k7"} {
		_, err := codes.ReadCapacitor(bad)
		require.Error(t, err, bad)
	}
}

// Every E24 value from 1 pF to 10 uF is written and read back.
func TestCapacitorCodeReadBack(t *testing.T) {
	for _, v := range catalog.ESeries("E24") {
		for decade := 0; decade <= 6; decade++ {
			pf := v * math.Pow(10, float64(decade))
			code, err := codes.CapacitorCode(si.Capacitance(pf * 1e-12))
			require.NoError(t, err)
			near(t, float64(readCap(t, code).Capacitance), pf*1e-12, 1e-9, code)
		}
	}
	for farad, part := range map[float64]string{1e-15: "no three-figure", 1e-3: "no three-figure",
		4.75e-9: "more than two"} {
		_, err := codes.CapacitorCode(si.Capacitance(farad))
		require.ErrorContains(t, err, part)
	}
}

func FuzzReadCapacitor(f *testing.F) {
	for _, s := range []string{"104K", "4n7", "1H104K", "µ1", ".047", "220", "9999", "\xb5"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		all, err := codes.ReadCapacitor(text)
		require.Equal(t, err == nil, len(all) > 0)
		for _, c := range all {
			require.True(t, c.Capacitance > 0 && float64(c.Capacitance) < 1e3, text)
		}
		codes.ReadCeramic(text)
		codes.VoltageCode(text)
	})
}
