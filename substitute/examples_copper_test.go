package substitute_test

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/substitute/magnetics"
	"sparewright/testdata/handbook"
)

// layerReadings: two of the nine readings are not what the equation behind the chart gives. The
// figures beside them are the evaluation of that equation in the collection the examples came from.
func layerReadings(t *testing.T, e publishedExample) ledgerFigures {
	v := ledgerFigures{}
	for _, r := range e.Results {
		var q, layers float64
		_, err := fmt.Sscanf(r.Name, "F_R at Q=%g, p=%g", &q, &layers)
		require.NoError(t, err, r.Name)
		f := float64(magnetics.LayerFactor(si.Ratio(q), layers))
		switch {
		case q == 0.225:
			v[r.Name] = sourceWrong(f, 1.36896,
				"misread: 1.6 belongs to about 46 layers of that thickness")
		case q == 1.6 && layers == 2:
			v[r.Name] = sourceWrong(f, 3.19574,
				"misread: the same line prints two different multipliers")
		default:
			v[r.Name] = chartReading(f)
		}
	}
	return v
}

func copperConstants(t *testing.T, e publishedExample) ledgerFigures {
	const spread = "sources differ by 1 to 2 % in hot copper: 0.0038 to 0.0042 per kelvin " +
		"against 0.00393 of IEC 60028"
	depth := func(f, celsius float64) float64 { // cm
		return 100 * float64(magnetics.SkinDepth(si.Frequency(f), si.Celsius(celsius)))
	}
	bare := magnetics.WireResistance(0.01, si.Length(2*depth(100e3, 20)*1e-2), 1, 20)
	return ledgerFigures{
		"rho at 100 C":                 withSpread(1e8*si.CopperResistivity(100), 0.02, spread),
		"delta 100 kHz 100 C":          lastDigit(depth(100e3, 100)),
		"delta 200 kHz 100 C":          lastDigit(depth(200e3, 100)),
		"delta 100 kHz 20 C (McLyman)": lastDigit(depth(100e3, 20)),
		"constant 6.62 cm sqrt(Hz)": sourceWrong(depth(1, 20), 6.60828,
			"the book's own 1.724e-6 ohm cm gives 6.61; 6.62 belongs to 1.730e-6"),
		"constant at 60 C":                  withSpread(1e4*depth(1e3, 60), 0.02, spread),
		"largest wire at 100 kHz: diameter": lastDigit(2 * depth(100e3, 20)),
		"its area": lastDigit(si.CopperResistivity(20) * 0.01 /
			float64(bare) * 1e4),
	}
}

// gaugeTable: the book's sections come from diameters rounded to 0.1 mil, its resistances from
// those sections.
func gaugeTable(t *testing.T, e publishedExample) ledgerFigures {
	v := ledgerFigures{}
	// cm, ASTM B258
	formula := map[int]float64{12: 0.205253, 20: 0.0811821, 26: 0.0404892, 30: 0.0254639}
	for _, r := range e.Results {
		var n int
		var what string
		_, err := fmt.Sscanf(r.Name, "AWG %d %s", &n, &what)
		require.NoError(t, err, r.Name)
		d := float64(handbook.GaugeDiameter(n))
		require.InDelta(t, d, float64(wireRow(t, n).Diameter.Value), 0.051e-6,
			"the wires table prints 0.1 um")
		switch what {
		case "bare":
			v[r.Name] = withSpread(math.Pi/4*d*d*1e7, 2*0.05*25.4e-6/d,
				"the book's diameter is rounded to 0.1 mil")
		case "resistance":
			section := e.result(t, fmt.Sprintf("AWG %d bare area", n)) * 1e-3 // cm2
			ohm := magnetics.WireResistance(0.01, roundWire(section), 1, 20)
			v[r.Name] = withSpread(1e6*float64(ohm), 0.0015,
				"resistance and section of one line of the book disagree by up to 0.15 %")
		case "diameter":
			v[r.Name] = sourceWrong(100*d, formula[n],
				"ASTM B258 defines the gauge; table 4-13 of the book strays from it")
		default:
			require.Failf(t, "unknown figure", "%s", r.Name)
		}
	}
	return v
}

func wireRow(t *testing.T, gauge int) catalog.Wire {
	t.Helper()
	p, _, ok := catalog.Lookup(catalog.KindWire, fmt.Sprintf("AWG %d", gauge))
	require.True(t, ok, "AWG %d", gauge)
	w, ok := p.(catalog.Wire)
	require.True(t, ok)
	return w
}

// heavyFilm: the wires table carries the inch column of the same handbook table in mm.
func heavyFilm(t *testing.T, e publishedExample) ledgerFigures {
	v := ledgerFigures{}
	for _, r := range e.Results {
		var n int
		_, err := fmt.Sscanf(r.Name, "AWG %d heavy max OD", &n)
		require.NoError(t, err, r.Name)
		v[r.Name] = lastDigit(100 * float64(wireRow(t, n).Overall.Value))
	}
	return v
}

// printedSeriesOf reads one of the printed lists of D10-01.
func printedSeriesOf(t *testing.T, e publishedExample, name string) []float64 {
	t.Helper()
	var list []float64
	require.NoError(t, json.Unmarshal(e.Tables[name], &list), name)
	require.NotEmpty(t, list, name)
	return list
}

const seriesExceptions = "E24_exceptions (standard, computed)"

// seriesPoints makes a row of every printed value of the lists, and of the values of E24 that are
// not the rounded step.
func seriesPoints(t *testing.T, e publishedExample) []publishedResult {
	var rows []publishedResult
	for _, name := range []string{"E24", "E48", "E96"} {
		n := len(printedSeriesOf(t, e, name))
		rows = append(rows, publishedResult{Name: name + " values in the list",
			Printed: fmt.Sprint(n), Unit: "-", Kind: "data"})
	}
	var exceptions [][2]float64
	require.NoError(t, json.Unmarshal(e.Tables[seriesExceptions], &exceptions))
	for _, x := range exceptions {
		rows = append(rows, publishedResult{
			Name:    fmt.Sprintf("E24 value where rounding gives %g", x[1]),
			Printed: fmt.Sprint(x[0]), Unit: "-", Kind: "data"})
	}
	return append(rows, publishedResult{Name: "E192 value 186 (from memory)", Printed: "920",
		Unit: "-", Kind: "data"})
}

// preferredNumbers: a list counts as many values as ours and the print have in common at the same
// place.
func preferredNumbers(t *testing.T, e publishedExample) ledgerFigures {
	v := ledgerFigures{}
	for _, name := range []string{"E24", "E48", "E96"} {
		scale := 100.0
		if name == "E24" {
			scale = 10
		}
		printed, ours := printedSeriesOf(t, e, name), catalog.ESeries(name)
		require.Len(t, ours, len(printed))
		for i := range printed {
			require.InDelta(t, printed[i], scale*ours[i], 1e-9, "%s value %d", name, i+1)
		}
		v[name+" values in the list"] = lastDigit(float64(len(ours)))
	}
	exceptions := 0
	for i, x := range catalog.ESeries("E24") {
		step := math.Round(10 * math.Pow(10, float64(i)/24))
		if standard := math.Round(10 * x); standard != step {
			v[fmt.Sprintf("E24 value where rounding gives %g", step)] = sameNumber(t, e,
				step, standard)
			exceptions++
		}
	}
	require.Equal(t, 8, exceptions, "E24 differs from the rounded steps in exactly 8 values")
	require.True(t, strings.Contains(string(e.Tables["E192_note"]),
		"920 (standard) instead of 919"))
	e192 := 100 * catalog.ESeries("E192")[185]
	require.InDelta(t, 920, e192, 1e-9)
	v["E192 value 186 (from memory)"] = lastDigit(e192)
	return v
}

// sameNumber insists on equality before the ledger allows a digit.
func sameNumber(t *testing.T, e publishedExample, step, ours float64) ledgerFigure {
	t.Helper()
	require.Equal(t, e.result(t, fmt.Sprintf("E24 value where rounding gives %g", step)), ours)
	return lastDigit(ours)
}
