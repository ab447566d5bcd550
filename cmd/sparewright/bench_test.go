package main

import (
	"bytes"
	"context"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/inventory"
)

// parsed reads a line that has to be understood.
func parsed(t *testing.T, line string) benchAction {
	t.Helper()
	a, err := parseBenchLine(line, benchSetting{})
	require.NoError(t, err, line)
	return a
}

// Every sample the help shows is understood as the kind it stands for.
func TestBenchSamples(t *testing.T) {
	for _, f := range benchOrder {
		if strings.Contains(f.form.sample, "KIND") {
			continue
		}
		for _, line := range strings.Split(f.form.sample, "; ") {
			a := parsed(t, line)
			require.Equal(t, "put", a.verb, line)
			require.Positive(t, a.lot.Count, line)
			if f.form.kind != "" {
				require.Equal(t, f.form.kind, a.lot.Part.Kind(), line)
			}
			again, err := parseBenchLine(line, benchSetting{})
			require.NoError(t, err)
			require.Equal(t, a, again)
		}
	}
}

// The terse forms of the bench, each with what it has to become. Codes: IEC 60062 and EIA-96,
// common practice.
func TestBenchLines(t *testing.T) {
	for line, want := range map[string]struct {
		kind  catalog.Kind
		name  string
		count float64
		bin   string
		field string
		value float64
	}{
		"r 4k7 1% x20 B4":                     {catalog.KindResistor, "4k7 1%", 20, "B4", "resistance", 4700},
		"r brown-black-orange-gold x12":       {catalog.KindResistor, "10k 5%", 12, "", "resistance", 10e3},
		"r smd 01C x30":                       {catalog.KindResistor, "10k 1%", 30, "", "resistance", 10e3},
		"r 4K7J x3":                           {catalog.KindResistor, "4k7 5%", 3, "", "tolerance", 0.05},
		"r 220R 5% 1/2W plenty":               {catalog.KindResistor, "220R 5% 0.5W", 20, "", "power", 0.5},
		"c 104K 50V x15":                      {catalog.KindCapacitor, "100nF 50V", 15, "", "capacitance", 100e-9},
		"c 1H473J film 20x":                   {catalog.KindCapacitor, "47nF 50V", 20, "", "volts", 50},
		"c 0.1uF 63V film":                    {catalog.KindCapacitor, "100nF 63V", 1, "", "capacitance", 100e-9},
		"d UF4007 x4":                         {catalog.KindRectifier, "UF4007", 4, "", "reverse", 1000},
		"chip TOP223 x2 bin B2":               {catalog.KindSwitcher, "TOP223", 2, "B2", "", 0},
		"wire 0.28 enamelled 40m":             {catalog.KindWire, "0.28 mm", 40, "", "diameter", 0.28e-3},
		"wire 0.4mm tiw 80cm":                 {catalog.KindWire, "0.4 mm", 0.8, "", "diameter", 0.4e-3},
		"film polyester 50um x3":              {catalog.KindFilm, "polyester film 50 um", 3, "", "thickness", 50e-6},
		"core EF20 N87 gap 0.35mm x2":         {catalog.KindCore, "EF20 N87", 2, "", "gap", 0.35e-3},
		"put led \"front LED\" colour=red x2": {catalog.KindLED, "front LED", 2, "", "", 0},
		"fuse T3.15A 250V":                    {catalog.KindFuse, "T3.15A", 1, "", "current", 3.15},
		"zener 5V1 0.5W x4":                   {catalog.KindZener, "5V1", 4, "", "voltage", 5.1},
		"z 12V 5% 1/2W x2":                    {catalog.KindZener, "12V", 2, "", "power", 0.5},
		"zener XC5V6 x2":                      {catalog.KindZener, "XC5V6", 2, "", "tolerance", 0.05},
		"clamp P6KE6.8A":                      {catalog.KindClamp, "P6KE6.8A", 1, "", "breakdown", 6.8},
		"clamp P6KE200A":                      {catalog.KindClamp, "P6KE200A", 1, "", "breakdown", 200},
	} {
		l := parsed(t, line).lot
		require.Equal(t, want.kind, l.Part.Kind(), line)
		require.Equal(t, want.name, l.Part.Designation(), line)
		require.InDelta(t, want.count, l.Count, 1e-12, line)
		require.Equal(t, want.bin, l.Bin, line)
		if want.field != "" {
			v, ok := figureNamed(l.Part, want.field)
			require.True(t, ok, line)
			require.InEpsilon(t, want.value, v.Number, 1e-9, line)
		}
	}
}

// The meter picks the end a part is read from, and a line says when it may be something else.
func TestBenchMeterPicksTheReading(t *testing.T) {
	const bands = "r brown black black red brown"
	require.Equal(t, "10k 1%", parsed(t, bands).lot.Part.Designation())
	require.Len(t, parsed(t, bands).remarks, 1)
	require.Equal(t, "120R 1%", parsed(t, bands+" measured 119.6").lot.Part.Designation())
	require.Empty(t, parsed(t, bands+" measured 119.6").remarks)
	require.Contains(t, parsed(t, bands+" measured 55").remarks[0], "agrees with no reading")
}

// Settings hold for the lines after them; a word on a line holds for that line.
func TestBenchSettings(t *testing.T) {
	a := parsed(t, `donor "router brick" plate "12 V 1 A" dead note "hums"`)
	require.Equal(t, inventory.Donor{Name: "router brick", Plate: "12 V 1 A", State: "dead",
		Note: "hums"}, a.donor)
	set := benchSetting{bin: "B4", donor: "router brick", condition: inventory.Tested}
	l, err := parseBenchLine("r 1k x2", set)
	require.NoError(t, err)
	require.Equal(t, []any{"B4", "router brick", inventory.Tested},
		[]any{l.lot.Bin, l.lot.Donor, l.lot.Condition})
	l, err = parseBenchLine(`r 1k x2 bin C1 damaged note "one leg"`, set)
	require.NoError(t, err)
	require.Equal(t, []any{"C1", inventory.Damaged, "one leg"},
		[]any{l.lot.Bin, l.lot.Condition, l.lot.Note})
	require.Equal(t, set, parsedWith(t, "# nothing", set).setting)
	require.Empty(t, parsedWith(t, "bin -", set).setting.bin)
	for _, bad := range []string{"bin a b", "condition rusty", "undo 0", "undo x", "undo 1 2",
		`donor "x" plate`, "donor x y", `r "`} {
		_, err := parseBenchLine(bad, set)
		require.Error(t, err, bad)
	}
}

func parsedWith(t *testing.T, line string, set benchSetting) benchAction {
	t.Helper()
	a, err := parseBenchLine(line, set)
	require.NoError(t, err, line)
	return a
}

// The word plate takes figures that are not printed from the plate of the donor, as estimates, and
// only then.
func TestBenchTakesFromThePlate(t *testing.T) {
	set := benchSetting{donor: "brick", plates: map[string]inventory.Plate{
		"brick": inventory.ParsePlate("100-240V~ 50/60Hz 0.5A, 5V 2A"), "blank": {}}}
	for line, want := range map[string]map[string]float64{
		"c 470u plate x2":                                {"volts": 5},
		"d nomark technology=schottky plate":             {"reverse": 5, "average": 2},
		"d nomark technology=schottky reverse=40V plate": {"reverse": 40, "average": 2},
		"fuse T1A plate":                                 {"volts": 240, "current": 1},
		"bridge nomark average=1A plate":                 {"reverse": 339.41, "average": 1},
		"choke output 10uH plate":                        {"current": 2},
		"choke common-mode 10mH plate":                   {"current": 0.5},
	} {
		a, err := parseBenchLine(line, set)
		require.NoError(t, err, line)
		for field, value := range want {
			v, ok := figureNamed(a.lot.Part, field)
			require.True(t, ok, line)
			require.InEpsilon(t, value, v.Number, 1e-4, line)
			if !strings.Contains(line, field+"=") && line != "fuse T1A plate" {
				require.Equal(t, catalog.Estimated, v.Basis, line)
				require.Contains(t, strings.Join(a.remarks, "; "), field+" at least ", line)
			}
		}
	}
	for line, says := range map[string]string{
		"c 470u":              "or plate for at least 5 V by the plate of the donor",
		"bridge nomark plate": "average",
		// and no current: a fuse must not be taken for smaller than it may be
		"fuse plate":                  "designation",
		"put fuse glass plate":        "current: missing",
		"r 4k7 plate":                 "says nothing of a resistor",
		"c 470u donor blank plate":    "the voltage is missing",
		"fuse T1A donor blank plate":  "its plate is not known",
		"c 470u plate donor stranger": "the voltage is missing",
		"c 470u 16V plate":            "says nothing of a capacitor that is not written",
	} {
		_, err := parseBenchLine(line, set)
		require.ErrorContains(t, err, says, line)
	}
	set.donor = ""
	_, err := parseBenchLine("c 470u plate", set)
	require.ErrorContains(t, err, "no donor is named")
}

// Undo happens whole or not at all: when another process has taken parts meanwhile, no step of it
// is done.
func TestBenchUndoIsWhole(t *testing.T) {
	file := t.TempDir() + "/d.db"
	in, feed := io.Pipe()
	var out, errs bytes.Buffer
	done := make(chan int)
	go func() {
		done <- run(context.Background(), in, &out, &errs,
			[]string{"bench", "--drawers", file})
	}()
	_, err := io.WriteString(feed, "r 1k x5\nr 2k x5\n# both are stored when this line has been "+
		"read\n# and this\n")
	require.NoError(t, err)
	require.Eventually(t, func() bool {
		return runWords("show", "2", "--drawers", file).status ==
			statusDone
	}, 5*time.Second,
		10*time.Millisecond)
	require.Equal(t, statusDone, runWords("take", "1", "1", "--drawers", file).status)
	_, err = io.WriteString(feed, "undo 2\nundo\n")
	require.NoError(t, err)
	require.NoError(t, feed.Close())
	require.Equal(t, statusData, <-done)
	require.Contains(t, errs.String(), `line 5: lot "1": 5 asked, 4 available`)
	require.Contains(t, out.String(), "6: took back line 2: 5 of lot 2, 0 now")
	require.Contains(t, runWords("show", "1", "--drawers", file).stdout, "lot\tcount\t4\n")
}

// Whatever is typed, a line is either understood as a lot that can be stored, or refused with a
// reason on one line.
func FuzzParseBenchLine(f *testing.F) {
	for _, o := range benchOrder {
		f.Add(o.form.sample)
	}
	for _, s := range []string{`donor "a" plate "b"`, "undo 3", "r measured 3k x2", "c 220 =",
		`put core "x" a=1`, "r = x",
		"trimmer = x"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, line string) {
		a, err := parseBenchLine(line, benchSetting{bin: "B1"})
		if err != nil {
			require.NotEmpty(t, complaint(err), line)
			require.NotEqual(t, statusInternal, statusOf(err), "%q: %v", line, err)
			return
		}
		if a.verb == "put" {
			require.NoError(t, a.lot.Validate(), line)
		}
	})
}
