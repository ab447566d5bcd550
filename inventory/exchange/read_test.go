package exchange_test

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
)

func read(text string) ([]inventory.Lot, []exchange.Fault) {
	return exchange.ReadCSV(strings.NewReader(text), "p.csv")
}

func TestReadCSV(t *testing.T) {
	lots, faults := read("kind,designation,count,unit,bin,donor,condition,note,figures,measured\n" +
		`resistor,10k 1%,x40,piece,B4,router,Tested,"two` + "\n" +
		`""lines""",resistance=10k; tolerance=1%; power=0.25W,resistance=9.98k +-0.2%` + "\n" +
		"\n" +
		"wire,hank,12.5m,metres,,,,,insulation=enamelled; diameter=0.3mm,\n" +
		"capacitor,heap,some,,,,new,,dielectric=film; capacitance=~100n; " +
		"volts=63V;,capacitance=98nF; esr=0.1\n" +
		",,,,,,,,,\n")
	require.Empty(t, faults)
	require.Equal(t, []inventory.Lot{
		{
			Part: catalog.Resistor{Named: catalog.Named{Name: "10k 1%"},
				Resistance: catalog.Of(si.Resistance(10e3)),
				Tolerance:  catalog.Of(si.Ratio(0.01)), Rating: catalog.Of(si.Power(0.25))},
			Count: 40, Bin: "B4", Donor: "router", Condition: inventory.Tested,
			Note: "two\n\"lines\"",
			Measured: []inventory.Measurement{
				{Field: "resistance", Value: 9980, Error: 0.002, Text: "9.98k +-0.2%"}},
		},
		{
			Part: catalog.Wire{Named: catalog.Named{Name: "hank"}, Insulation: "enamelled",
				Diameter: catalog.Of(si.Length(0.3e-3))},
			Count: 12.5, Condition: inventory.Untested,
		},
		{
			Part: catalog.Capacitor{Named: catalog.Named{Name: "heap"}, Dielectric: "film",
				Capacitance: catalog.Guess(si.Capacitance(100e-9)),
				Volts:       catalog.Of(si.Voltage(63))},
			Count: 3, Condition: inventory.New,
			Measured: []inventory.Measurement{
				{Field: "capacitance", Value: 98e-9, Error: 0.01, Text: "98nF"},
				{Field: "esr", Value: 0.1, Error: 0.01, Text: "0.1"}},
		},
	}, lots)
}

// The same table must be read whatever editor it comes from: byte order mark, CRLF, columns in
// another order, no last line end, header in capitals.
func TestReadCSVForms(t *testing.T) {
	want,
		faults := read("kind,designation,count,note,figures\nresistor,a,2,\"x\ny\",resistance=1k\n")
	require.Empty(t, faults)
	for name, text := range map[string]string{
		"byte order mark": "\ufeffkind,designation,count,note,figures\nresistor,a,2,\"x\ny\",resistance=1k\n",
		"CRLF":            "kind,designation,count,note,figures\r\nresistor,a,2,\"x\r\ny\",resistance=1k\r\n",
		"no end":          "kind,designation,count,note,figures\nresistor,a,2,\"x\ny\",resistance=1k",
		"other order": "figures,count,note,Designation, KIND " +
			"\nresistance=1k,2,\"x\ny\",a,resistor\n",
		"all quoted": "\"kind\",\"designation\",\"count\",\"note\",\"figures\"\n\"resistor\",\"a\",\"2\",\"x\ny\",\"resistance=1k\"\n",
	} {
		got, faults := read(text)
		require.Empty(t, faults, name)
		require.Equal(t, want, got, name)
	}
}

const good = "kind,designation,count,unit,bin,donor,condition,note,figures,measured\n"

// Lines and columns were counted by hand; columns in characters from 1.
func TestBadCSV(t *testing.T) {
	for _, c := range []struct {
		name, text string
		line, col  int
		says       string
	}{
		{"empty", "", 1, 1, "empty; the first line names the columns"},
		{"blank lines only", "\n\n", 1, 1, "empty"},
		{"semicolons", "kind;designation;count;preis\n", 1, 24, `column "preis": unknown`},
		{"tabs", "kind\tdesignation\n", 1, 1, `column "count": missing`},
		{"too few between semicolons", "kind;designation;count\nresistor;a\n", 2, 1, "check quotes and semicolons"},
		{"unknown column", "kind,designation,count,dnor\n", 1, 24, `column "dnor": unknown; did you mean donor?`},
		{"strange column", "kind,designation,count,preis\n", 1, 24, `use one of kind, designation`},
		{"column twice", "kind,designation,count,kind\n", 1, 24, "named twice"},
		{"missing column", "kind,designation\n", 1, 1, `column "count": missing`},
		{"UTF-16", "\xff\xfek\x00", 1, 1, "UTF-16"},
		{"Latin-1", good + "resistor,\"\u00b5\",1,,,M\xfcll,,,resistance=1,\n", 2, 19, "not UTF-8"},
		{"NUL", "kind,designation,count\nresistor,a\x00,1\n", 2, 11, "not UTF-8 text"},
		{"unknown kind", good + "\nresitor,a,1,,,,,,resistance=1k,\n", 3, 1, "did you mean resistor?"},
		{"no name", good + "resistor,,1,,,,,,resistance=1k,\n", 2, 10, "no name"},
		{"escape in name", good + "resistor,\x1b[31m,1,,,,,,resistance=1k,\n", 2, 10, "control character"},
		{"no count", good + "resistor,a,,,,,,,resistance=1k,\n", 2, 12, `count "": empty`},
		{"negative count", good + "resistor,a,-3,,,,,,resistance=1k,\n", 2, 12, `count "-3": negative`},
		{"comma in count", good + "resistor,a,\"1,5\",,,,,,resistance=1k,\n", 2, 12, "decimal comma"},
		{"half a piece", good + "resistor,a,1.5,,,,,,resistance=1k,\n", 2, 12, "fraction"},
		{"wrong unit", good + "resistor,a,1,metre,,,,,resistance=1k,\n", 2, 14, `unit "metre": this is counted in pieces`},
		{"bad bin", good + "resistor,a,1,,a\u202eb,,,,resistance=1k,\n", 2, 15, "U+202E"},
		{"bad donor", good + "resistor,a,1,,,\"x\ny\",,,resistance=1k,\n", 2, 16, `donor "x\ny"`},
		{"bad condition", good + "resistor,a,1,,,,used,,resistance=1k,\n", 2, 17, `condition "used": unknown`},
		{"bad note", good + "resistor,a,1,,,,,\x07,resistance=1k,\n", 2, 18, "U+0007"},
		{"no required figure", good + "resistor,a,1,,,,,,tolerance=1%,\n", 2, 19, "resistance: missing"},
		{"no figures column", "kind,designation,count\nresistor,a,1\n", 2, 1, "resistance: missing"},
		{"unknown figure", good + "resistor,a,1,,,,,,resistance=1k; tolerence=1%,\n", 2, 34, "did you mean tolerance?"},
		{"figure without value", good + "resistor,a,1,,,,,,resistance=1k; 1%,\n", 2, 34, `figure "1%": has no value`},
		{"figure twice", good + "resistor,a,1,,,,,,resistance=1k; resistance=2k,\n", 2, 34, "given twice"},
		{"wrong unit of figure", good + "resistor,a,1,,,,,,resistance=1k;power=3V,\n", 2, 33, "power"},
		{"out of range", good + "resistor,\u00b5\u03a9,1,,,,,,\"resistance=1k;\n  tolerance=90%\",\n", 3, 3, "tolerance"},
		{"after doubled quotes", good + "core,a,1,,,,,\"say \"\"so\"\"\",\"shape=\"\"x\"\"; a=9m\",\n", 2, 41, "9 m is outside"},
		{"word not known", good + "capacitor,a,1,,,,,,dielectric=papr;capacitance=1n;volts=50,\n", 2, 20, "papr"},
		{"reading without name", good + "resistor,a,1,,,,,,resistance=1k,990\n", 2, 33, "no figure named"},
		{"reading of no figure", good + "resistor,a,1,,,,,,resistance=1k,resistence=990\n", 2, 33, "did you mean resistance?"},
		{"reading of a word", good + "resistor,a,1,,,,,,resistance=1k,type=990\n", 2, 33, "no such figure"},
		{"reading twice", good + "resistor,a,1,,,,,,resistance=1k,resistance=990; resistance=991\n", 2, 49, "read twice"},
		{"absolute meter error", good + "resistor,a,1,,,,,,resistance=1k,resistance=990+-5\n", 2, 33, "no percentage"},
		{"huge meter error", good + "resistor,a,1,,,,,,resistance=1k,resistance=990+-60%\n", 2, 33, "meter error"},
		{"no meter error", good + "resistor,a,1,,,,,,resistance=1k,resistance=990+-x%\n", 2, 33, "meter error"},
		{"reading out of range", good + "resistor,a,1,,,,,,resistance=1k,resistance=2e9\n", 2, 33, "range"},
		{"reading no number", good + "resistor,a,1,,,,,,resistance=1k,resistance=abc\n", 2, 33, "resistance"},
		{"too few fields", good + "resistor,a,1\n", 2, 1, "3 fields, the header has 10"},
		{"too many fields", good + "resistor,a,1,,,,,,,,\n", 2, 1, "11 fields"},
		{"bare quote", good + "resistor,1/4\" x,1,,,,,,resistance=1k,\n", 2, 13, "quote inside a bare field"},
		{"text after quote", good + "resistor,\"a\"b,1,,,,,,resistance=1k,\n", 2, 13, "text after a closing quote"},
		{"open quote", good + "resistor,\"a,1,,,,,,resistance=1k,\n", 2, 10, "never closed"},
		{"lone CR", good + "resistor,a\r,1\n", 2, 11, "lone carriage return"},
		{"lone CR in quotes", good + "resistor,a,1,,,,,\"x\ry\",resistance=1k,\n", 2, 18, "U+000D"},
		{"long field", good + "resistor,a,1,,,,," + strings.Repeat("n", 4097) + ",resistance=1k,\n", 2, 18, "4097 bytes, at most 4096"},
		{"many fields", good + strings.Repeat(",", 100) + "\n", 2, 65, "more than 64 fields"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, faults := read(c.text)
			require.Len(t, faults, 1, "%v", faults)
			require.True(t, strings.HasPrefix(faults[0].Error(),
				fmt.Sprintf("p.csv:%d:%d: ", c.line, c.col)), faults[0].Error())
			require.Contains(t, faults[0].Msg, c.says)
		})
	}
}

func TestAllFaultsAreCollected(t *testing.T) {
	_, faults := read(good +
		"resistor,\"a\"b,1,,,,,,resistance=1k,\n" +
		"resistor,,-1,metre,,,used,,resistance=1kk; colour=red,power\n" +
		"valve,a,1,,,,,,,\n")
	var at []string
	for _, f := range faults {
		at = append(at, fmt.Sprintf("%d:%d", f.Line, f.Column))
	}
	require.Equal(t, []string{"2:13", "3:10", "3:11", "3:14", "3:22", "3:28", "3:44", "3:55",
		"4:1"}, at, "%v", faults)
}

// endless gives the same bytes over and over.
type endless struct{ text string }

func (e endless) Read(p []byte) (int, error) {
	n := 0
	for n < len(p) {
		n += copy(p[n:], e.text)
	}
	return n, nil
}

// The limits are the project's own: 16 MiB, 100,000 rows, 1000 faults. They bound time and memory.
func TestLimits(t *testing.T) {
	const fuses = "kind,designation,count,figures\n"
	for _, c := range []struct {
		name string
		r    io.Reader
		says string
	}{
		{"endless", endless{"resistor,a,1,,,,,,resistance=1k,\n"}, "larger than 16 MiB"},
		{"rows", strings.NewReader(fuses + strings.Repeat("fuse,a,1,current=1\n", 100_001)), "more than 100000 rows"},
		{"faults", strings.NewReader(good + strings.Repeat("x\n", 90_000)), "too much is wrong"},
		{"a million columns", strings.NewReader(strings.Repeat(",", 1_000_000)), "more than 64 fields"},
		{"endless quote", strings.NewReader(good + `"` + strings.Repeat("x", 15<<20)), "never closed"},
		{"quotes only", strings.NewReader(good + strings.Repeat(`"`, 15<<20)), "at most 4096 fit"},
		{"broken pipe", iotest.ErrReader(errors.New("pipe broke")), "pipe broke"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, faults := exchange.ReadCSV(c.r, "p.csv")
			require.NotEmpty(t, faults)
			require.Contains(t, faults[len(faults)-1].Msg, c.says)
			require.LessOrEqual(t, len(faults), 1001)
		})
	}
	lots, faults := read(fuses + strings.Repeat("fuse,a,1,current=1\n", 100_000))
	require.Empty(t, faults)
	require.Len(t, lots, 100_000)
}

func TestParseLot(t *testing.T) {
	l, _, faults := exchange.ParseLot("Resistor", "10k 1%",
		[]string{"resistance=10k", " tolerance = 1% ", "type=Film"})
	require.Empty(t, faults)
	require.Equal(t, inventory.Lot{Condition: inventory.Untested,
		Part: catalog.Resistor{Named: catalog.Named{Name: "10k 1%"},
			Resistance: catalog.Of(si.Resistance(10e3)), Tolerance: catalog.Of(si.Ratio(0.01)),
			Type: "film"}}, l)
	_, _, faults = exchange.ParseLot("resitor", "x", nil)
	require.Len(t, faults, 1)
	require.Equal(t, `kind "resitor": no such kind; did you mean resistor?`, faults[0].Error())
	_, _, faults = exchange.ParseLot("resistor", "", []string{"resistance", "colour=red"})
	require.Len(t, faults, 4, "no value, no such figure, no name, no resistance: %v", faults)
	require.Zero(t, faults[0].Line)
}

func TestParseReading(t *testing.T) {
	for text, want := range map[string]inventory.Measurement{
		"resistance=4.683k +-0.2%":    {Field: "resistance", Value: 4683, Error: 0.002, Text: "4.683k +-0.2%"},
		"Resistance = 4k683 +/- 0.2%": {Field: "resistance", Value: 4683, Error: 0.002, Text: "4k683 +/- 0.2%"},
		"resistance=4683\u00b1500ppm": {Field: "resistance", Value: 4683, Error: 0.0005, Text: "4683\u00b1500ppm"},
		"resistance=4.683k":           {Field: "resistance", Value: 4683, Error: 0.01, Text: "4.683k"},
	} {
		got, err := exchange.ParseReading(catalog.KindResistor, text)
		require.NoError(t, err)
		require.Equal(t, want, got)
	}
	_, err := exchange.ParseReading(catalog.KindResistor, "4.683k")
	require.ErrorContains(t, err, "no figure named; write it as")
}

func TestDemo(t *testing.T) {
	s := exchange.Demo()
	require.NotEmpty(t, s.Lots)
	require.Equal(t, int64(1), s.Lots[0].ID)
	require.Len(t, inventory.Coalesce(s.Lots), len(s.Lots), "no lot stands twice")
	for _, l := range s.Lots {
		require.NoError(t, l.Validate())
	}
	s.Lots[0].Count = 77
	require.NotEqual(t, 77.0, exchange.Demo().Lots[0].Count, "each caller has its own copy")
}

// A spreadsheet of a country with decimal commas writes semicolons between the fields: the numbers
// are the same (RFC 4180 knows commas only; common practice, no source). What may be a thousand is
// refused, as a comma always was.
func TestReadSemicolonsAndDecimalCommas(t *testing.T) {
	const commas = "kind,designation,count,figures\nwire,spool,12.5,insulation=enamelled; diameter=0.28mm\n"
	const semicolons = "kind;designation;count;figures\nwire;spool;12,5;\"insulation=enamelled; diameter=0,28mm\"\n"
	plain, faults := exchange.Read(strings.NewReader(commas), "a.csv")
	require.Empty(t, faults)
	for _, text := range []string{semicolons, strings.ReplaceAll(strings.ReplaceAll(semicolons,
		"; ", "\x00"), ";", "\t")} {
		text = strings.ReplaceAll(text, "\x00", "; ")
		got, faults := exchange.Read(strings.NewReader(text), "a.csv")
		require.Empty(t, faults)
		require.Equal(t, plain.Lots, got.Lots)
		require.Regexp(t, `^a.csv:1: separated by (semicolons|tabs), decimal commas read as points$`,
			got.Notes[0].Error())
	}
	_, faults = exchange.Read(strings.NewReader(strings.ReplaceAll(semicolons, "12,5", "1,000")), "a.csv")
	require.Len(t, faults, 1)
	require.Contains(t, faults[0].Msg, "decimal comma or thousands separator")
	table, faults := exchange.ReadTable(strings.NewReader("A;B\n0,28 1,000 12,5 1,2,3 ,5;0,28\n"),
		"a.csv", func(columns []string) []bool { return []bool{true, false} })
	require.Empty(t, faults)
	require.Equal(t, []exchange.Row{{Line: 2, Cells: []string{"0.28 1,000 12.5 1,2,3 .5", "0,28"}}},
		table.Rows)
	require.True(t, table.Decimal)
}
