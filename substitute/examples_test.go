package substitute_test

import (
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The ledger of worked examples: testdata/reference/worked-examples.json holds published
// calculations with their inputs and printed results. Every printed result is computed here through
// the exported functions of this program and held against the print; what came out is kept in
// worked-examples.md beside it.
//
//	go test ./substitute -run TestWorkedExamples -update     writes the table anew
var updateLedger = flag.Bool("update", false, "write testdata/reference/worked-examples.md anew")

// publishedExample is one entry of the file.
type publishedExample struct {
	ID       string                     `json:"id"`
	Group    string                     `json:"group"`
	Title    string                     `json:"title"`
	Document string                     `json:"document"`
	Place    string                     `json:"place"`
	Inputs   []publishedInput           `json:"inputs"`
	Tables   map[string]json.RawMessage `json:"tables"`
	Results  []publishedResult          `json:"results"`
}

type publishedInput struct {
	Name  string          `json:"name"`
	Value json.RawMessage `json:"value"`
	Unit  string          `json:"unit"`
}

// publishedResult is a figure as printed. Kind is calc, chart, limit or source_error.
type publishedResult struct {
	Name      string   `json:"name"`
	Printed   string   `json:"printed"`
	Unit      string   `json:"unit"`
	Kind      string   `json:"kind"`
	Corrected *float64 `json:"corrected"`
}

// value is the printed figure as a number.
func (r publishedResult) value() float64 {
	x, err := strconv.ParseFloat(strings.ReplaceAll(r.Printed, ",", ""), 64)
	if err != nil {
		return math.NaN()
	}
	return x
}

// digit is one unit in the last printed place: 0.01 for 3.82, 1 for 4500, 1e-6 for 4.3e-5.
func (r publishedResult) digit() float64 {
	mantissa, exponent, _ := strings.Cut(strings.ReplaceAll(r.Printed, ",", ""), "e")
	_, decimals, _ := strings.Cut(mantissa, ".")
	power, _ := strconv.Atoi(exponent)
	return math.Pow10(power - len(decimals))
}

// in reads an input by its name.
func (e publishedExample) in(t *testing.T, name string) float64 {
	t.Helper()
	var x float64
	e.decode(t, name, &x)
	return x
}

// list reads an input that is a list of numbers.
func (e publishedExample) list(t *testing.T, name string) []float64 {
	t.Helper()
	var x []float64
	e.decode(t, name, &x)
	return x
}

func (e publishedExample) decode(t *testing.T, name string, into any) {
	t.Helper()
	for _, i := range e.Inputs {
		if i.Name == name {
			require.NoError(t, json.Unmarshal(i.Value, into), "%s input %q", e.ID, name)
			return
		}
	}
	require.Failf(t, "no such input", "%s %q", e.ID, name)
}

// result reads a printed result of the same entry, for sources that go on with their own rounded
// figures.
func (e publishedExample) result(t *testing.T, name string) float64 {
	t.Helper()
	for _, r := range e.Results {
		if r.Name == name {
			return r.value()
		}
	}
	require.Failf(t, "no such result", "%s %q", e.ID, name)
	return math.NaN()
}

// The ways a figure of ours may stand to the printed one.
const (
	byDigit  = "last digit" // equal within one unit of the last printed digit
	byFigure = "figures"    // the same where the source prints zeros for digits it rounded away
	// equal within the last digit and a spread that the inputs or the source state
	bySpread = "spread"
	byChart  = "chart"    // the source read a chart by eye
	byLimit  = "limit"    // the source guarantees no more than the printed figure
	byBand   = "band"     // the printed figure lies in our band
	byCap    = "envelope" // ours is an envelope that must not lie below
	// the source contradicts its own equation or data; ours must not be the printed figure
	byWrong  = "source"
	byNobody = "no figure" // not a figure of this program
)

// ledgerFigure is our figure for a printed result, in the unit of the file, and how it is to be
// judged.
type ledgerFigure struct {
	how       string
	ours      float64
	low, high float64 // byBand
	step      float64 // byFigure: how many figures the source prints
	rel       float64 // bySpread, byLimit: relative allowance
	// byWrong: the figure that the source's own equation or data give, from elsewhere than our code
	right float64
	why   string
}

// ledgerFigures maps the name of a result to our figure.
type ledgerFigures map[string]ledgerFigure

func lastDigit(v float64) ledgerFigure { return ledgerFigure{how: byDigit, ours: v} }

func toFigures(v float64, n int) ledgerFigure {
	return ledgerFigure{how: byFigure, ours: v, step: float64(n),
		why: fmt.Sprintf("printed to %d figures", n)}
}

func withSpread(v, rel float64, why string) ledgerFigure {
	return ledgerFigure{how: bySpread, ours: v, rel: rel, why: why}
}

// chartReading allows 5 %: what a careful eye reads off a logarithmic chart (common practice, no
// source).
func chartReading(v float64) ledgerFigure {
	return ledgerFigure{how: byChart, ours: v, rel: 0.05,
		why: "read by eye off a logarithmic chart"}
}

func belowLimit(v, rel float64, why string) ledgerFigure {
	return ledgerFigure{how: byLimit, ours: v, rel: rel, why: why}
}

func insideBand(v, low, high float64, why string) ledgerFigure {
	return ledgerFigure{how: byBand, ours: v, low: low, high: high, why: why}
}

func envelopeAbove(v float64, why string) ledgerFigure {
	return ledgerFigure{how: byCap, ours: v, why: why}
}

func sourceWrong(v, right float64, why string) ledgerFigure {
	return ledgerFigure{how: byWrong, ours: v, right: right, why: why}
}

func noFigure(why string) ledgerFigure {
	return ledgerFigure{how: byNobody, ours: math.NaN(), why: why}
}

// fault says what is wrong with the figure, nothing when it holds. NaN never holds.
func (f ledgerFigure) fault(r publishedResult) string {
	printed, digit := r.value(), r.digit()*(1+1e-9)
	off := math.Abs(f.ours - printed)
	ok := false
	switch f.how {
	case byDigit:
		ok = off <= digit
	case byFigure:
		ok = off <= math.Pow(10, math.Floor(math.Log10(math.Abs(printed)))-f.step+1)*(1+1e-9)
	case bySpread, byChart:
		ok = f.rel > 0 && off <= digit+f.rel*math.Abs(f.ours)
	case byLimit:
		// a limit is not that far from typical
		ok = f.ours <= printed*(1+f.rel) && f.ours > printed/2
	case byBand:
		ok = f.low <= printed && printed <= f.high && f.low < f.high
	case byCap:
		// an envelope far above everything would refuse every core
		ok = f.ours >= printed && f.ours < 7*printed
	case byWrong:
		ok = math.Round(f.ours/r.digit()) != math.Round(printed/r.digit()) &&
			math.Abs(f.ours-f.right) <= 2e-3*math.Abs(f.right)
	case byNobody:
		ok = true
	}
	if ok {
		return ""
	}
	return fmt.Sprintf("%s: ours %.7g (%.7g to %.7g), printed %s %s (%s)",
		f.how, f.ours, f.low, f.high, r.Printed, r.Unit, f.why)
}

// allowedFor keeps the judgement in line with the kind the collection gives a result.
func (f ledgerFigure) allowedFor(kind string) bool {
	switch kind {
	case "calc":
		return f.how != byLimit && f.how != byChart && f.how != byCap
	case "chart":
		return f.how == byChart || f.how == byWrong
	case "limit":
		return f.how == byLimit
	case "source_error":
		return f.how == byWrong
	case "data": // rows made from the tables of an entry without results
		return true
	}
	return false
}

// workedExamples computes our figures of every entry.
var workedExamples = map[string]func(*testing.T, publishedExample) ledgerFigures{
	"D1-01": dixonFlyback, "D1-03": planarFlyback, "D1-04": offlineFlyback,
	"D1-06": integratedFlyback,
	"D1-07": multiOutputFlyback,
	"D2-01": dixonChoke, "D2-02": gapsETD29, "D2-04": gapsE14E65, "D2-05": flybackEPC17,
	"D2-07": regulatorChoke,
	"D3-01": outlinesE, "D3-03": effectiveFigures, "D4-01": finishedSets, "D4-03": tdkLosses,
	"D4-04": magneticsLosses,
	"D5-01": layerReadings, "D5-03": copperConstants, "D6-01": bulkProcedure, "D7-01": drainBudget,
	"D7-03": leakageSnubber,
	"D8-01": procedureDivider, "D8-02": sharedSensing, "D8-04": twoCellBridge,
	"D8-05": referenceLimits, "D8-06": trimmerCharger,
	"D9-01": outputCapacitors, "D9-03": junctions, "D9-05": riseByVolume,
	"D10-01": preferredNumbers, "D10-02": gaugeTable,
	"D10-04": heavyFilm,
}

// dataPoints turns the tables and measured points of the entries without results into rows of the
// ledger.
var dataPoints = map[string]func(*testing.T, publishedExample) []publishedResult{
	"D4-03": lossPoints, "D4-04": lossPoints, "D8-06": trimmerPoints, "D10-01": seriesPoints,
}

func readWorkedExamples(t *testing.T) []publishedExample {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "testdata", "reference", "worked-examples.json"))
	require.NoError(t, err)
	var file struct {
		Entries []publishedExample `json:"entries"`
	}
	require.NoError(t, json.Unmarshal(data, &file))
	for i, e := range file.Entries {
		if points, ok := dataPoints[e.ID]; ok {
			require.Empty(t, e.Results, e.ID)
			file.Entries[i].Results = points(t, e)
		}
		require.NotEmpty(t, file.Entries[i].Results, e.ID)
	}
	return file.Entries
}

// TestWorkedExamples walks the whole file: no entry and no printed result may be left without a
// judgement, and no judgement without a result.
func TestWorkedExamples(t *testing.T) {
	entries := readWorkedExamples(t)
	require.Len(t, entries, len(workedExamples))
	var rows []ledgerRow
	for _, e := range entries {
		compute, ok := workedExamples[e.ID]
		require.True(t, ok, "nothing computes %s", e.ID)
		figures := compute(t, e)
		for _, r := range e.Results {
			f, ok := figures[r.Name]
			require.True(t, ok, "%s %q has no figure and no reason for having none", e.ID, r.Name)
			delete(figures, r.Name)
			require.True(t, f.allowedFor(r.Kind), "%s %q is of kind %s and judged by %s", e.ID,
				r.Name, r.Kind, f.how)
			require.False(t, f.why == "" && f.how != byDigit, "%s %q needs a reason", e.ID, r.Name)
			if r.Corrected != nil {
				require.InEpsilon(t, *r.Corrected, f.right, 1e-9, "%s %q", e.ID, r.Name)
			}
			require.Empty(t, f.fault(r), "%s %q", e.ID, r.Name)
			rows = append(rows, ledgerRow{e, r, f})
		}
		require.Empty(t, figures, "%s: figures without a printed result", e.ID)
	}
	compareLedger(t, rows)
}

// TestLedgerCanFail holds the judgement itself: figures that must not pass.
func TestLedgerCanFail(t *testing.T) {
	r := publishedResult{Name: "x", Printed: "0.0590", Unit: "ohm"}
	require.Equal(t, 1e-4, r.digit())
	require.Equal(t, 1e-6, publishedResult{Printed: "4.3e-5"}.digit())
	require.Equal(t, 18700.0, publishedResult{Printed: "18,700"}.value())
	require.True(t, math.IsNaN(publishedResult{Printed: "none"}.value()))
	for _, f := range []ledgerFigure{
		lastDigit(0.05911), lastDigit(math.NaN()), toFigures(0.0611, 2), withSpread(0.0597, 0.01,
			"y"), withSpread(0.059, 0, "y"),
		chartReading(0.0625), belowLimit(0.0591, 0, "y"), belowLimit(0.029, 0,
			"y"), insideBand(0.06, 0.0591, 0.07, "y"),
		envelopeAbove(0.0589, "y"), sourceWrong(0.05904, 0.05904,
			"y"), sourceWrong(0.0622, 0.0620, "y"),
		sourceWrong(math.NaN(), 0.06, "y"), {},
	} {
		require.NotEmpty(t, f.fault(r), "%+v", f)
	}
}
