package codes_test

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/catalog"
	"sparewright/catalog/codes"
	"sparewright/catalog/si"
)

// as reads a mark as a part of a kind and returns all readings.
func as(t require.TestingT, kind catalog.Kind, mark string) []codes.Reading {
	all, err := codes.ReadMark(kind, mark)
	require.NoError(t, err, mark)
	return all
}

// Resistance codes. Sources: IEC 60062:2016, clause on the letter and digit code for resistance and
// its table of examples (R10, R332, 3R32, 33K2, 1G0 ...; from memory of the standard); R004 to 0R0
// and L for milliohm: the same table and makers' marking sheets of shunts and links, from memory; a
// point and a letter (4.7k), E for the ohm: common practice, no source.
func TestResistorMarks(t *testing.T) {
	for mark, ohm := range map[string]float64{
		"R10": 0.1, "R332": 0.332, "1R0": 1, "3R32": 3.32, "10R": 10, "33R2": 33.2, "590R": 590,
		"1K0": 1e3, "3K32": 3320,
		"33K2": 33.2e3, "332K": 332e3, "1M0": 1e6, "33M2": 33.2e6, "1G0": 1e9, "1T0": 1e12,
		"59K04": 59040, "R0005": 5e-4,
		"R004": 0.004, "R005": 0.005, "R025": 0.025, "R250": 0.25, "0R5": 0.5, "0R25": 0.25,
		"2R5": 2.5, "5K": 5e3, "50K": 50e3,
		"500K": 500e3, "4.7k": 4700, "2.2K": 2200, "1.5M": 1.5e6, "4.7R": 4.7, "5L0": 0.005,
		"R22": 0.22, "100m": 0.1, "10m": 0.01,
		"22m": 0.022, "220m": 0.22, "4m7": 0.0047, "47m": 0.047, "100M": 100e6, "4M7": 4.7e6,
		"22E": 22, "4E7": 4.7, "4.7E": 4.7,
		"103": 10e3, "1002": 10e3, "01C": 10e3, "01c": 10e3, "103J": 10e3, "1002F": 10e3, "470": 47,
		"4.7 kohm": 4700, "10kΩ": 10e3,
	} {
		near(t, float64(as(t, catalog.KindResistor, mark)[0].Resistance), ohm, 1e-12, mark)
	}
	for _, mark := range []string{"0R0", "R000", "0R", "0R00", "0", "000", "0000"} {
		r := as(t, catalog.KindResistor, mark)[0]
		require.True(t, r.Link && r.Resistance == 0, mark)
	}
	for _, mark := range []string{"", "100kW", "10mm", "100mf", "5mh", "0K0", "97C", "abc", "R",
		"1Q2", "12345", "007"} {
		_, err := codes.ReadMark(catalog.KindResistor, mark)
		require.Error(t, err, mark)
	}
	_, err := codes.ReadMark(catalog.KindWire, "103")
	require.ErrorContains(t, err, "carry no value codes")
}

// Two meanings of one mark, both told, the first one first.
func TestMarksOfTwoMeanings(t *testing.T) {
	for mark, want := range map[string][2]float64{
		"22R": {22, 1.65}, "22E": {22, 1.65e6}, "1E3": {1.3, 1e3}, "1e3": {1e3, 1.3},
		"4E7": {4.7, 40e6}, "4e7": {40e6, 4.7}, "470": {47, 470}, "104K": {104e3, 100e3},
	} {
		all := as(t, catalog.KindResistor, mark)
		require.GreaterOrEqual(t, len(all), 2, mark)
		near(t, float64(all[0].Resistance), want[0], 1e-12, mark)
		near(t, float64(all[1].Resistance), want[1], 1e-12, mark)
	}
}

// A mark on a trimmer is the figure code (makers' sheets of trimmers, from memory): 103 is 10 kohm,
// never 103 ohm.
func TestTrimmerMarks(t *testing.T) {
	for mark, ohm := range map[string]float64{
		"103": 10e3, "502": 5e3, "501": 500, "254": 250e3, "201": 200, "5k": 5e3, "5K": 5e3,
		"500R": 500, "1M": 1e6, "2k2": 2200,
		"22E": 0, "01C": 0,
	} {
		all, err := codes.ReadMark(catalog.KindTrimmer, mark)
		if ohm == 0 {
			require.Error(t, err, mark)
			continue
		}
		require.NoError(t, err, mark)
		near(t, float64(all[0].Resistance), ohm, 1e-12, mark)
		require.False(t, all[0].Tolerance.Known(), "a trimmer carries no tolerance")
	}
}

// Capacitance codes. Sources: IEC 60062:2016, clause on the letter and digit code for capacitance
// (p10, 3p32, 33n2, 1m0; from memory), voltage codes before figures by JIS C 5101; on electrolytics
// a number is in uF (common practice, no source).
func TestCapacitorMarks(t *testing.T) {
	for mark, want := range map[string][2]float64{
		"3p32": {3.32e-12, 0}, "33p2": {33.2e-12, 0}, "1n5": {1.5e-9, 0}, "1µ5": {1.5e-6, 0},
		"1m0": {1e-3, 0}, "10m": {10e-3, 0}, "1G104K": {100e-9, 40}, "0J226M": {22e-6, 6.3},
		"3A103K": {10e-9, 1000}, "3D102K": {1e-9, 2000}, "1h104k": {100e-9, 50},
		"4.7uF": {4.7e-6, 0}, "0.47F": {0.47, 0}, "A475": {4.7e-6, 10}, "107C": {100e-6, 16},
		"10M": {10e-12, 0}, "104m": {100e-9, 0}, "R22": {220e-9, 0}, "100mF": {0.1, 0},
	} {
		r := as(t, catalog.KindCapacitor, mark)[0]
		near(t, float64(r.Capacitance), want[0], 1e-9, mark)
		near(t, float64(r.Volts), want[1], 1e-12, mark)
	}
	for mark, farad := range map[string]float64{"47": 47e-6, "220": 220e-6, "470u": 470e-6,
		"107": 100e-6, "2.2": 2.2e-6, "1000": 1e-3,
		"476": 47e-6, "4R7": 4.7e-6} {
		all, err := codes.ReadElectrolytic(mark)
		require.NoError(t, err, mark)
		near(t, float64(all[0].Capacitance), farad, 1e-9, mark)
	}
	for _, mark := range []string{"R004", "R005", "4M7", "U2J", "N750"} {
		all, err := codes.ReadMark(catalog.KindCapacitor, mark)
		require.False(t, err == nil && all[0].Capacitance < 1e-13, "%s %v", mark, all)
		if mark != "R005" && mark != "R004" {
			require.Error(t, err, mark)
		}
	}
}

// Tolerance letters of IEC 60062:2016, tables of symmetrical and asymmetrical tolerances (from
// memory of the standard): below, above, on a resistor where it is one.
func TestToleranceLetters(t *testing.T) {
	for letter, want := range map[string][3]float64{
		"E": {0.00005, 0.00005, 1}, "L": {0.0001, 0.0001, 1}, "P": {0.0002, 0.0002, 1},
		"W": {0.0005, 0.0005, 1}, "B": {0.001, 0.001, 1}, "C": {0.0025, 0.0025, 1},
		"D": {0.005, 0.005, 1}, "F": {0.01, 0.01, 1}, "G": {0.02, 0.02, 1}, "H": {0.03, 0.03, 1},
		"J": {0.05, 0.05, 1}, "K": {0.1, 0.1, 1}, "M": {0.2, 0.2, 1}, "N": {0.3, 0.3, 1},
		"Q": {0.1, 0.3, 0}, "T": {0.1, 0.5, 0}, "S": {0.2, 0.5, 0}, "Z": {0.2, 0.8, 0},
	} {
		has := func(r codes.Reading) bool {
			return math.Abs(float64(r.Tolerance.Below)-want[0]) < 1e-12 &&
				math.Abs(float64(r.Tolerance.Above)-want[1]) < 1e-12
		}
		require.True(t, slices.ContainsFunc(as(t, catalog.KindCapacitor, "104"+letter), has),
			letter)
		require.True(t, slices.ContainsFunc(as(t, catalog.KindCapacitor, "4n7"+letter), has),
			letter)
		all, err := codes.ReadMark(catalog.KindResistor, "4K7"+letter)
		require.Equal(t, want[2] == 1, err == nil && slices.ContainsFunc(all, has), letter)
	}
}

// Voltage codes: EIA and JIS C 5101 ladder, a figure for the decade and a letter (printed table,
// and from memory).
func TestVoltageCodes(t *testing.T) {
	for code, volts := range map[string]float64{
		"0E": 2.5, "0G": 4, "0J": 6.3, "0K": 8, "1A": 10, "1B": 12.5, "1C": 16, "1D": 20, "1E": 25,
		"1V": 35, "1G": 40, "1H": 50, "1J": 63,
		"1K": 80, "2A": 100, "2B": 125, "2C": 160, "2D": 200, "2E": 250, "2F": 315, "2V": 350,
		"2G": 400, "2W": 450, "2H": 500,
		"2J": 630, "2K": 800, "3A": 1000, "3B": 1250, "3C": 1600, "3D": 2000, "3E": 2500,
		"3F": 3150, "3G": 4000, "3H": 5000, "3J": 6300,
	} {
		v, ok := codes.VoltageCode(code)
		require.True(t, ok, code)
		near(t, float64(v), volts, 1e-12, code)
	}
	for _, no := range []string{"", "1", "1Y", "9A", "A1", "1AA"} {
		_, ok := codes.VoltageCode(no)
		require.False(t, ok, no)
	}
}

// Temperature characteristics of EIA-198-1 (from memory): class 1 coefficient and spread in ppm/K,
// class 2 limits.
func TestCharacteristics(t *testing.T) {
	for code, want := range map[string][2]float64{
		"C0G": {0, 30}, "NP0": {0, 30}, "U2J": {-750, 120}, "S2H": {-330, 60}, "P2H": {-150, 60},
		"R2H": {-220, 60}, "T2H": {-470, 60}, "U1G": {-75, 30}, "P3K": {-1500, 250},
		"M7G": {100, 30}, "C0K": {0, 250}, "N750": {-750, 0}, "N150": {-150, 0}, "CH": {0, 60},
		"UJ": {-750, 120}, "SH": {-330, 60}, "c0g": {0, 30},
	} {
		c, ok := codes.ReadCharacteristic(code)
		require.True(t, ok && c.Class == 1, code)
		near(t, float64(c.Coefficient), want[0]*1e-6, 1e-9, code)
		near(t, float64(c.Spread), want[1]*1e-6, 1e-9, code)
		require.Equal(t, "ceramic-class1", c.Dielectric(), code)
	}
	c, ok := codes.ReadCharacteristic("X8L") // EIA-198: -55 to 150 degC, +15/-40 %
	require.True(t, ok && c.Class == 2 && c.Dielectric() == "ceramic")
	require.Equal(t, codes.Ceramic{Low: -55, High: 150, Below: 0.4, Above: 0.15}, c.Limits)
	for _, no := range []string{"", "N751", "Q2J", "X7Q", "QQ", "104"} {
		_, ok := codes.ReadCharacteristic(no)
		require.False(t, ok, no)
	}
}

// Breakdown voltages as printed, lowest and highest at test current, and stand-off voltage.
// Sources: data sheet "SMBJ Series, Surface Mount 600 W" (agency file E230531), electrical
// characteristics; "1.5KE Series (axial, 1500 W)" sheet, electrical characteristics; EIC P6KE
// Series Rev. 03 for the type without A, Comchip P6KE-G for the one with it. Three figures are
// printed.
func TestSuppressorNames(t *testing.T) {
	for name, want := range map[string][3]float64{
		"SMBJ5.0A": {6.40, 7.00, 5}, "SMBJ10A": {11.1, 12.3, 10}, "SMBJ15A": {16.7, 18.5, 15},
		"SMBJ28A": {31.1, 34.4, 28}, "SMBJ58A": {64.4, 71.2, 58}, "SMBJ100A": {111, 123, 100},
		"SMBJ170A": {189, 209, 170}, "SMBJ188A": {209, 231, 188}, "SMBJ200A": {224, 247, 200},
		"SMBJ300A": {335, 371, 300}, "SMBJ440A": {492, 543, 440}, "1.5KE200A": {190, 210, 171},
		"1.5KE440A": {418, 462, 376}, "1.5KE18A": {17.1, 18.9, 15.3}, "P6KE6.8": {6.12, 7.48, 0},
		"P6KE6.8A": {6.45, 7.14, 0}, "1.5KE150A": {143, 158, 128}, "SMBJ170CA": {189, 209, 170},
		"smbj170a": {189, 209, 170},
	} {
		r := as(t, catalog.KindClamp, name)[0]
		near(t, float64(r.Volts)*(1-float64(r.Tolerance.Below)), want[0], 0.011, name)
		near(t, float64(r.Volts)*(1+float64(r.Tolerance.Above)), want[1], 0.011, name)
		if want[2] > 0 {
			near(t, float64(r.Standoff), want[2], 0.006, name)
		}
		require.Equal(t, strings.HasSuffix(name, "CA"), r.Both, name)
	}
	// Comchip P6KE-G note 4: A or CA 5 %, none or C 10 %; C and CA for both directions.
	for name, want := range map[string]float64{"P6KE200A": 0.05, "P6KE200CA": 0.05, "P6KE200": 0.1,
		"P6KE200C": 0.1, "P4KE200A": 0.05} {
		r := as(t, catalog.KindClamp, name)[0]
		near(t, float64(r.Tolerance.Above), want, 1e-12, name)
		near(t, float64(r.Volts), 200, 1e-12, name)
		require.False(t, r.Derived, name)
		require.Equal(t, strings.Contains(name[4:], "C"), r.Both, name)
	}
	for _, no := range []string{"P6KE", "SMBJ2", "SMBJ1000A", "P6KE200B", "XYZ170A"} {
		_, err := codes.ReadMark(catalog.KindClamp, no)
		require.Error(t, err, no)
	}
}

// Voltages of zener diodes by their names: BZX letter C 5 % (European type key), 1N4733A 5.1 V 1 W
// 5 %, 1N5231B 5.1 V 0.5 W, 1N5349B 12 V 5 W, 1N5245B 15 V (makers' data sheets, from memory).
func TestZenerMarks(t *testing.T) {
	for name, want := range map[string][3]float64{
		"5V1": {5.1, 0, 0}, "12V": {12, 0, 0}, "3V3": {3.3, 0, 0}, "BZX55C5V1": {5.1, 0.05, 0},
		"BZX84C12": {12, 0.05, 0}, "BZX55B5V1": {5.1, 0.02, 0}, "BZV85-C15": {15, 0.05, 0},
		"ZPD5.1": {5.1, 0, 0}, "1N4733A": {5.1, 0.05, 1}, "1N4728A": {3.3, 0.05, 1},
		"1N4742A": {12, 0.05, 1}, "1N4764A": {100, 0.05, 1}, "1N5231B": {5.1, 0.05, 0.5},
		"1N5245B": {15, 0.05, 0.5}, "1N5281B": {200, 0.05, 0.5}, "1N5349B": {12, 0.05, 5},
		"1N5388B": {200, 0.05, 5},
	} {
		r := as(t, catalog.KindZener, name)[0]
		near(t, float64(r.Volts), want[0], 1e-9, name)
		near(t, float64(r.Tolerance.Above), want[1], 1e-9, name)
		near(t, float64(r.Power), want[2], 1e-9, name)
	}
	for _, no := range []string{"1N4007", "1N4148", "1N5819", "1V", "500V", "UF4007", "5.1"} {
		_, err := codes.ReadMark(catalog.KindZener, no)
		require.Error(t, err, no)
	}
}

// What a mark that may stand on any part is first taken for; the kinds in the order told.
func TestMarksOfAnyKind(t *testing.T) {
	for mark, kinds := range map[string]string{
		"R005": "resistor", "0R25": "resistor", "2R5": "resistor",
		"5K": "trimmer resistor capacitor", "50K": "trimmer resistor capacitor",
		"4.7k": "resistor", "2.2K": "resistor capacitor", "1G104K": "capacitor", "U2J": "capacitor",
		"5V1": "zener", "P6KE200A": "clamp",
		"104": "resistor capacitor trimmer", "105K": "capacitor resistor resistor",
		"4R7C": "capacitor resistor", "1G": "capacitor resistor",
		"100m": "resistor capacitor", "229": "capacitor", ".047": "capacitor resistor",
		"2K": "resistor capacitor trimmer", "0R0": "resistor",
	} {
		var got []string
		for _, r := range codes.ReadAny(mark) {
			got = append(got, string(r.Kind))
		}
		require.True(t, strings.HasPrefix(strings.Join(got, " "), kinds), "%s: %v", mark, got)
	}
	for _, no := range []string{"", "hello", "UF4007", "100kW", "1e9999"} {
		require.Empty(t, codes.ReadAny(no), no)
	}
}

// No mark of up to four signs that is a jellybean code is first read as a value that is not made,
// when another reading is.
func TestNoAbsurdFirstReading(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		mark := rapid.StringMatching(`[0-9]{0,3}[RKMGLEpnum]?[0-9]{0,3}[BCDFGJKM]?`).Draw(r, "mark")
		all := codes.ReadAny(mark)
		sound := func(x codes.Reading) bool {
			return x.Link || x.Resistance >= 4.9e-4 && x.Resistance < 23e6 ||
				x.Capacitance >= 0.4e-12 && x.Capacitance < 0.11 ||
				x.Says != "" || x.Kind == catalog.KindZener
		}
		if slices.ContainsFunc(all, func(x codes.Reading) bool {
			return sound(x) && (x.Series == "E3" || x.Series == "E24")
		}) {
			require.True(r, sound(all[0]), "%s: %v", mark, all[0])
		}
	})
}

// rkm prints digits as IEC 60062 does: the letter stands for the point, and where there are no
// decimals behind the figures. The mantissa has as many figures as written; exponent is the power
// of ten of its last figure.
func rkm(mantissa, exponent int, letters map[int]string) string {
	digits := strconv.Itoa(mantissa)
	for len(digits) > 2 && digits[len(digits)-1] == '0' {
		digits, exponent = digits[:len(digits)-1], exponent+1
	}
	decade := exponent + len(digits) - 1 // of the first figure
	step := int(math.Floor(float64(decade)/3)) * 3
	letter, whole := letters[step], decade-step+1
	if letter == "" { // below the smallest letter: behind it, with noughts
		step += 3
		letter, whole = letters[step], decade-step+1
	}
	for len(digits) < whole {
		digits += "0"
	}
	if whole <= 0 {
		return letter + strings.Repeat("0", -whole) + digits
	}
	return digits[:whole] + letter + digits[whole:]
}

// Every value of E24 and E96 over the whole range, printed by IEC 60062 with every tolerance
// letter, is read back as that value, first of all readings, with that tolerance among them.
func TestValueCodesReadBack(t *testing.T) {
	ohms := map[int]string{0: "R", 3: "K", 6: "M", 9: "G"}
	farads := map[int]string{-12: "p", -9: "n", -6: "µ", -3: "m"}
	tolerances := map[string]float64{"": 0, "E": 0.00005, "L": 0.0001, "P": 0.0002, "W": 0.0005,
		"B": 0.001, "C": 0.0025, "D": 0.005,
		"F": 0.01, "G": 0.02, "H": 0.03, "J": 0.05, "K": 0.1, "M": 0.2, "N": 0.3}
	for _, v := range slices.Concat(catalog.ESeries("E24"), catalog.ESeries("E96")) {
		m := int(math.Round(v * 100))
		for letter, tol := range tolerances {
			for e := -4; e <= 7; e++ { // 10 milliohm to 9.76 Gohm
				mark := rkm(m, e, ohms) + letter
				readBack(t, catalog.KindResistor, mark, float64(m)*math.Pow10(e), tol)
			}
			for e := -15; e <= -5; e++ { // 0.1 pF to 9.76 mF
				if strings.Contains("BCDFG", letter) && letter != "" &&
					tol*1e2 > float64(m)*math.Pow10(e+12)/2 {
					// below 10 pF the letter is 0.1 to 2 pF, and no part has half its value as
					// tolerance
					continue
				}
				readBack(t, catalog.KindCapacitor, rkm(m, e, farads)+letter,
					float64(m)*math.Pow10(e), tol)
			}
		}
	}
}

func readBack(t *testing.T, kind catalog.Kind, mark string, want, tol float64) {
	t.Helper()
	all := as(t, kind, mark)
	got := float64(all[0].Resistance)
	if kind == catalog.KindCapacitor {
		got = float64(all[0].Capacitance)
	}
	if math.Abs(got/want-1) > 1e-9 {
		require.Fail(t, "another value first", "%s %s: got %g, want %g", kind, mark, got, want)
	}
	if !slices.ContainsFunc(all, func(r codes.Reading) bool {
		pf := si.Ratio(0)
		if r.Tolerance.Absolute > 0 { // below 10 pF B to G mean pF: 0.1 % is 0.1 pF there
			pf = si.Ratio(float64(r.Tolerance.Absolute) * 1e10)
		}
		return math.Abs(float64(r.Tolerance.Above+pf)-tol) < 1e-12
	}) {
		require.Fail(t, "tolerance is not among the readings", fmt.Sprint(kind, mark, tol, all))
	}
}

func FuzzReadAny(f *testing.F) {
	for _, s := range []string{"104K", "4E7", "1G104K", "U2J", "SMBJ170A", "5V1", "0R0", "100m",
		"1N4733A", "µ1", "\xff", "red-red-red"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, r := range codes.ReadAny(text) {
			for _, v := range []float64{float64(r.Resistance), float64(r.Capacitance),
				float64(r.Volts), float64(r.Standoff)} {
				require.False(t, math.IsNaN(v) || math.IsInf(v, 0) || v < 0, text)
			}
			require.NotEmpty(t, r.Standard)
			require.True(t, r.Link || r.Says != "" ||
				r.Resistance+si.Resistance(r.Capacitance)+si.Resistance(r.Volts) > 0, text)
		}
	})
}
