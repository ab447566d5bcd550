package magnetics_test

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/substitute/magnetics"
)

// example is one published worked example of testdata/reference/magnetics.json.
type example struct {
	ID       string `json:"id"`
	Document string `json:"document"`
	Place    string `json:"place"`
	Inputs   []struct {
		Name  string          `json:"name"`
		Value json.RawMessage `json:"value"`
	} `json:"inputs"`
	Results []result `json:"results"`
}

type result struct {
	Name      string   `json:"name"`
	Printed   float64  `json:"printed"`
	Unit      string   `json:"unit"`
	LastDigit float64  `json:"last_digit"`
	Kind      string   `json:"kind"`
	Corrected *float64 `json:"corrected"`
}

// in returns a numeric input by its name in the file.
func (e example) in(t *testing.T, name string) float64 {
	t.Helper()
	for _, i := range e.Inputs {
		if i.Name == name {
			var x float64
			require.NoError(t, json.Unmarshal(i.Value, &x), "%s input %q", e.ID, name)
			return x
		}
	}
	require.Failf(t, "no such input", "%s %q", e.ID, name)
	return math.NaN()
}

// inList is in for inputs that are lists of numbers.
func (e example) inList(t *testing.T, name string) []float64 {
	t.Helper()
	for _, i := range e.Inputs {
		if i.Name == name {
			var x []float64
			require.NoError(t, json.Unmarshal(i.Value, &x), "%s input %q", e.ID, name)
			return x
		}
	}
	require.Failf(t, "no such input", "%s %q", e.ID, name)
	return nil
}

// verdict says how our figure is held against the printed one, in the unit of the file.
type verdict struct {
	value     float64
	extra     float64 // allowance beside the last digit, in the unit of the file
	low, high float64 // band that must hold the printed figure
	how       string  // "digit", "band", "off", "most", "elsewhere"
	why       string
}

// digit: equal within one unit of the last printed digit.
func digit(v float64) verdict { return verdict{value: v, how: "digit"} }

// rounded: as digit, plus a relative allowance that the rounding of the printed inputs explains.
func rounded(v, rel float64, why string) verdict {
	return verdict{value: v, extra: rel * math.Abs(v), how: "digit", why: why}
}

// exactly: equal to nine figures, for counts and normalised figures whose last digit would allow
// anything.
func exactly(v float64) verdict { return verdict{value: v, how: "exact"} }

// inBand: the printed figure lies in our band.
func inBand(low, high float64, why string) verdict {
	return verdict{low: low, high: high, how: "band", why: why}
}

// off: the source is wrong and ours must differ by more than the last digit.
func off(v float64, why string) verdict { return verdict{value: v, how: "off", why: why} }

// most: a guaranteed upper limit, which the typical figure may pass by the fraction extra at most.
func most(v, extra float64, why string) verdict {
	return verdict{value: v, extra: extra, how: "most", why: why}
}

// elsewhere: not a figure of this package.
func elsewhere(why string) verdict { return verdict{how: "elsewhere", why: why} }

func (v verdict) judge(t *testing.T, id string, r result) {
	t.Helper()
	name := id + " " + r.Name
	switch v.how {
	case "digit":
		if !(math.Abs(v.value-r.Printed) <= r.LastDigit*(1+1e-9)+v.extra) {
			require.Failf(t, "differs from the printed figure", "%s: %g, printed %g %s (%s)", name,
				v.value, r.Printed, r.Unit, v.why)
		}
	case "exact":
		near(t, v.value, r.Printed, 1e-9, name)
	case "band":
		require.LessOrEqual(t, v.low, r.Printed, name)
		require.GreaterOrEqual(t, v.high, r.Printed, name)
	case "off":
		require.Greater(t, math.Abs(v.value-r.Printed), r.LastDigit,
			"%s: meant to differ: %s", name, v.why)
		if r.Corrected != nil {
			near(t, v.value, *r.Corrected, 2e-3, name+" corrected")
		}
	case "most":
		require.LessOrEqual(t, v.value, r.Printed*(1+v.extra), name)
		require.Greater(t, v.value, r.Printed/2, "%s: a limit is not that far from typical", name)
	case "elsewhere":
		require.NotEmpty(t, v.why, name)
	default:
		require.Failf(t, "no verdict", "%s: neither computed nor placed elsewhere", name)
	}
}

// near fails unless got lies within rel of want; NaN never passes.
func near(t testing.TB, got, want, rel float64, what ...any) {
	t.Helper()
	if !(math.Abs(got-want) <= rel*math.Abs(want)) {
		require.Failf(t, "not near", "got %g, want %g within %g: %v", got, want, rel, what)
	}
}

func reference(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "reference", name))
	require.NoError(t, err)
	return data
}

// computations maps an example to the verdicts on its results by name.
var computations = map[string]func(*testing.T, example) map[string]verdict{
	"D1-01": flybackETD34, "D2-01": chokeETD34, "D2-02": gapETD29, "D2-04": gapE14E65,
	"D2-05": flybackEPC17, "D2-07": chokeTurns,
	"D3-01": outlines, "D3-03": consistency, "D4-01": finishedCore, "D4-03": noResults,
	"D4-04": noResults,
	"D5-01": dowellReadings, "D5-03": skinConstants, "D9-05": thermalResistance, "D10-02": gauges,
	"D10-04": heavyBuild,
}

func TestPublishedExamples(t *testing.T) {
	var file struct {
		Entries []example `json:"entries"`
	}
	require.NoError(t, json.Unmarshal(reference(t, "magnetics.json"), &file))
	require.Len(t, file.Entries, len(computations))
	for _, e := range file.Entries {
		t.Run(e.ID, func(t *testing.T) {
			compute, ok := computations[e.ID]
			require.True(t, ok, "no computation for %s", e.ID)
			verdicts := compute(t, e)
			for _, r := range e.Results {
				verdicts[r.Name].judge(t, e.ID, r)
				delete(verdicts, r.Name)
			}
			require.Empty(t, verdicts, "verdicts without a result")
		})
	}
}

// noResults is for collections of data points, which loss_test.go uses.
func noResults(t *testing.T, e example) map[string]verdict {
	require.Empty(t, e.Results)
	require.NotEmpty(t, e.Inputs)
	return map[string]verdict{}
}

func thermalResistance(t *testing.T, e example) map[string]verdict {
	v := map[string]verdict{}
	for core, volume := range map[string]float64{ // cm3, as in the inputs of the entry
		"E 16/8/5 (EF16)": 0.7558, "E 19/8/5": 0.9, "E 20/10/6 (EF20)": 1.5041,
		"E 25/13/7 (EF25)": 2.99, "E 65/32/27": 78.65,
	} {
		v[core+" by formula"] = digit(float64(magnetics.RiseResistance(cm3(volume))))
	}
	return v
}
