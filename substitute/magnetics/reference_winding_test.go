package magnetics_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog/si"
	"sparewright/substitute/magnetics"
	"sparewright/testdata/handbook"
)

// dowellReadings is D5-01: readings off a logarithmic chart. Seven agree within 5 % or one last
// digit.
func dowellReadings(t *testing.T, _ example) map[string]verdict {
	read := func(q, layers float64) verdict {
		return rounded(float64(magnetics.LayerFactor(ratio(q), layers)), 0.05,
			"read by eye off a logarithmic chart")
	}
	wrong := func(q, layers float64, why string) verdict {
		return off(float64(magnetics.LayerFactor(ratio(q), layers)), why)
	}
	return map[string]verdict{
		"F_R at Q=0.625, p=6": read(0.625, 6),
		"F_R at Q=6, p=5":     read(6, 5),
		"F_R at Q=0.225, p=36": wrong(0.225, 36,
			"the equation gives 1.37; the reading 1.6 belongs to about 46 layers at "+
				"that thickness"),
		"F_R at Q=1.6, p=2": wrong(1.6, 2,
			"the equation gives 3.20; the same line prints two different multipliers"),
		"F_R at Q=1.6, p=1":   read(1.6, 1),
		"F_R at Q=0.375, p=8": read(0.375, 8),
		"F_R at Q=0.375, p=4": read(0.375, 4),
		"F_R at Q=4, p=1":     read(4, 1),
		"F_R at Q=4, p=2":     read(4, 2),
	}
}

func skinConstants(t *testing.T, _ example) map[string]verdict {
	const spread = "sources differ by 1 to 2 % in copper at temperature: alpha 0.0038 to 0.0042 " +
		"against IEC 60028 0.00393"
	depth := func(f, temp float64) float64 {
		return 100 * float64(magnetics.SkinDepth(si.Frequency(f), si.Celsius(temp)))
	}
	d := depth(100e3, 20)
	return map[string]verdict{
		"rho at 100 C":                 rounded(si.CopperResistivity(100)*1e8, 0.02, spread),
		"delta 100 kHz 100 C":          digit(depth(100e3, 100)),
		"delta 200 kHz 100 C":          digit(depth(200e3, 100)),
		"delta 100 kHz 20 C (McLyman)": digit(d),
		"constant 6.62 cm sqrt(Hz)": off(depth(1, 20),
			"6.62 belongs to 1.730e-8 ohm m; the book's own 1.724e-8 gives 6.61"),
		"constant at 60 C":                  rounded(depth(1e3, 60)*1e4, 0.02, spread),
		"largest wire at 100 kHz: diameter": digit(2 * d),
		"its area":                          digit(math.Pi * d * d),
	}
}

// gauges is D10-02. The bare areas of the handbook come from diameters rounded to 0.1 mil and are
// printed with four figures; its resistances follow from those areas with 1.724e-8 ohm m up to 0.15
// %, which is the book's own inconsistency, or to the last digit.
func gauges(t *testing.T, e example) map[string]verdict {
	v := map[string]verdict{}
	for _, r := range e.Results {
		var n int
		var what string
		_, err := fmt.Sscanf(r.Name, "AWG %d %s", &n, &what)
		require.NoError(t, err, r.Name)
		d := float64(handbook.GaugeDiameter(n))
		switch {
		case what == "bare":
			mils := math.Round(d/25.4e-6*10) / 10
			if n >= 36 { // 5.0, 4.0 and 3.1 mil
				require.InDelta(t, d/25.4e-6, mils, 0.0501)
			}
			area := math.Pi / 4 * mils * mils * 25.4e-6 * 25.4e-6 * 1e7 // 1e-3 cm2
			v[r.Name] = rounded(area, 5e-4, "four printed figures")
			exact := math.Pi / 4 * d * d * 1e7
			if n == 26 { // 15.9 mil is 1.281; the line prints 1.280
				v[r.Name] = rounded(area, 1e-3, "three printed figures")
			}
			near(t, r.Printed, exact, 2*0.05/mils+1e-3, r.Name, "diameter rounded to 0.1 mil")
		case what == "resistance":
			printed := printedArea(t, e, n) // 1e-3 cm2
			bare := si.Length(math.Sqrt(4 / math.Pi * printed * 1e-7))
			uohmcm := float64(magnetics.WireResistance(1, bare, 1, 20)) * 1e4
			v[r.Name] = rounded(uohmcm, 0.0015,
				"the printed resistance contradicts the printed area of the same line by "+
					"up to 0.15 %")
			if n == 10 { // 32.7 is cut, not rounded: 1.724e-6/0.05261 = 32.77
				v[r.Name] = rounded(uohmcm, 0.0001, "cut after one decimal")
			}
		default: // diameter of table 4-13
			v[r.Name] = rounded(d*100, 0.011,
				"tables 4-9 and 4-13 of the same book differ by 0.1 to 1.1 %")
		}
	}
	return v
}

func printedArea(t *testing.T, e example, gauge int) float64 {
	for _, r := range e.Results {
		if r.Name == fmt.Sprintf("AWG %d bare area", gauge) {
			return r.Printed
		}
	}
	require.Failf(t, "no area", "AWG %d", gauge)
	return math.NaN()
}

// heavyBuild is D10-04: largest overall diameters of heavy film wire, in inch, from the same table
// 4-10. One layer must be as thick as the table says in cm.
func heavyBuild(t *testing.T, _ example) map[string]verdict {
	inches := map[int]float64{20: 0.0353, 22: 0.0284, 24: 0.0229, 26: 0.0185, 28: 0.0148,
		30: 0.0120, 32: 0.0098, 34: 0.0078, 36: 0.0063}
	v := map[string]verdict{}
	for gauge, inch := range inches {
		former := magnetics.Former{Width: cm(1), Height: cm(1), CoreAround: cm(3)}
		ls, build, ok := magnetics.Wind(former,
			[]magnetics.Section{{Turns: 1, Strands: 1, Overall: si.Length(inch * 0.0254)}})
		require.True(t, ok)
		require.Equal(t, ls[0].Build, build)
		require.Equal(t, int(1/(inch*2.54)), ls[0].TurnsPerLayer)
		v[fmt.Sprintf("AWG %d heavy max OD", gauge)] = digit(100 * float64(build))
	}
	return v
}
