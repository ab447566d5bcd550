package main

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/catalog/typed"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
)

// valuePlace is a value that several commands read: the figure of a part, and how a line of the
// bench and the rest of a row say it.
type valuePlace struct {
	kind    catalog.Kind
	field   string
	line    string // with %s for the value
	figures string // what the part needs beside
}

var places = []valuePlace{
	{"resistor", "resistance", "r %s", ""},
	{"trimmer", "resistance", "trimmer %s", ""},
	{"capacitor", "capacitance", "c %s 50V electrolytic", "dielectric=electrolytic;volts=50V"},
	{"capacitor", "capacitance", "c %s 50V film", "dielectric=film;volts=50V"},
	{"capacitor", "capacitance", "c %s 50V ceramic", "dielectric=ceramic;volts=50V"},
	{"wire", "diameter", "wire %s enamelled 3m", "insulation=enamelled"},
	{"film", "thickness", "put film x form=sheet thickness=%s", "form=sheet"},
	{"optocoupler", "ratio_min", "opto x isolation=5kV ratio_min=%s", "isolation=5kV"},
	{"core", "gap", "core EF20 gap %s", "shape=EF20"},
	{"resistor", "tolerance", "put resistor x resistance=47ohm tolerance=%s", "resistance=47ohm"},
	{"choke", "inductance", "choke output 1A %s", "use=output;current=1A"},
	{"zener", "voltage", "put zener x voltage=%s", ""},
}

// meanings a text has for each reader; NaN where it is refused.
func (p valuePlace) read(text string) map[string]float64 {
	out := map[string]float64{}
	take := func(reader string, part catalog.Part, ok bool) {
		out[reader] = math.NaN()
		if ok {
			if v, known := figureNamed(part, p.field); known {
				out[reader] = v.Number
			}
		}
	}
	a, err := parseBenchLine(fmt.Sprintf(p.line, text), benchSetting{})
	take("bench", a.lot.Part, err == nil && a.verb == "put")
	pairs := append(strings.Split(p.figures, ";"), p.field+"="+text)
	if p.figures == "" {
		pairs = pairs[1:]
	}
	lot, _, faults := exchange.ParseLot(string(p.kind), "x", pairs)
	take("put", lot.Part, len(faults) == 0)
	row := "kind,designation,count,figures\n" + string(p.kind) + ",x,1,\"" +
		strings.Join(pairs, ";") + "\"\n"
	whole, faults := exchange.Read(strings.NewReader(row), "x.csv")
	lots := whole.Lots
	if len(faults) == 0 {
		take("import", lots[0].Part, true)
	}
	if m, err := exchange.ParseReading(p.kind, p.field+"="+text); err == nil &&
		p.kind != catalog.KindCapacitor {
		f, _ := catalog.FieldNamed(p.kind, p.field)
		if f.Within(m.Value) {
			out["change"] = m.Value
		}
	}
	f, _ := catalog.FieldNamed(p.kind, p.field)
	if low, _, _, err := figureRange(p.kind, f, text, dielectricIn(pairs)); err == nil &&
		f.Within(low) {
		out["list"] = low
	}
	if w, _, err := parseWanted(p.kind, p.field+">="+text, dielectricIn(pairs)); err == nil &&
		f.Within(*w.Low) {
		out["swap"] = *w.Low
	}
	if p.field == "resistance" {
		if v, _, err := typed.Option[si.Resistance]("value", text, typed.Ohms); err == nil &&
			v >= 1e-4 && v <= 1e9 {
			out["network"] = float64(v)
		}
	}
	return out
}

// valueText draws what people type for values: numbers, codes, value codes, units, tolerance
// letters, in either case.
func valueText() *rapid.Generator[string] {
	return rapid.OneOf(
		rapid.StringMatching(`[0-9]{1,4}`), rapid.StringMatching(`[0-9]{0,3}\.[0-9]{1,3}`),
		rapid.StringMatching(`[0-9]{0,3}[pnumkKMRrEeGL][0-9]{0,2}[FJKM]?`),
		rapid.StringMatching(`[1-9][0-9]{1,3}[BCDFGJKMZ]`),
		rapid.StringMatching(
			`[0-9]{1,3}(\.[0-9])?(%|ppm|ohm|kohm|mohm|Mohm|uF|nF|pF|mF|um|mm|cm|V|mV|uH|mH)`),
		rapid.StringMatching(`[0-9]{2}[A-FHRSXYZ]`), rapid.StringMatching(`[1-9]e-?[0-9]`))
}

// Whatever one reader accepts, every other accepts with the same meaning or refuses: bench, put,
// import, change, list, swap and network.
func TestEveryReaderReadsTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SampledFrom(places).Draw(t, "place")
		text := valueText().Draw(t, "text")
		all := p.read(text)
		for a, x := range all {
			for b, y := range all {
				if !math.IsNaN(x) && !math.IsNaN(y) && math.Abs(x-y) > 1e-6*math.Abs(x) {
					t.Fatalf("%s %s %q: %s reads %v, %s reads %v", p.kind, p.field,
						text, a, x, b, y)
				}
			}
		}
		if x, y := all["put"], all["import"]; len(all) > 1 && !math.IsNaN(x) && x != y &&
			!math.IsNaN(y) {
			t.Fatalf("put and import are one reader: %v, %v", x, y)
		}
	})
}

// decode knows what put takes for the value of a resistor, trimmer or capacitor, among its
// meanings. Bare numbers on electrolytics are left out: decode does not know the part.
func TestDecodeKnowsWhatPutTakes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SampledFrom([]valuePlace{places[0], places[1], places[3], places[4]}).Draw(t,
			"place")
		text := rapid.OneOf(rapid.StringMatching(`[1-9][0-9]?[pnmkKMR][0-9]`),
			rapid.StringMatching(`[1-9]0?[mkM]`),
			rapid.StringMatching(`[1-9][0-9][1-4][JKM]?`)).Draw(t, "text")
		value, known := p.read(text)["put"]
		if !known || math.IsNaN(value) {
			return
		}
		found, _ := meanings(text)
		var told []string
		for _, m := range found {
			if m.Kind == string(p.kind) ||
				p.kind == catalog.KindTrimmer && m.Kind == string(catalog.KindResistor) {
				told = append(told, m.Meaning)
				if v := m.Ohm + m.Farad; math.Abs(v-value) <= 1e-6*value {
					return
				}
			}
		}
		if len(told) > 0 {
			t.Fatalf("%s %q is %v for put; decode says %v", p.kind, text, value, told)
		}
	})
}

// What E on a resistor is asked back with, decode lists too: every reading that the refusal offers.
func TestDecodeListsWhatIsAskedBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`[0-9]{1,3}[Ee][0-9]?`).Draw(t, "text")
		_, err := typed.FigureNamed(catalog.KindResistor, "resistance", text)
		var fault catalog.Fault
		if !errors.As(err, &fault) || !strings.HasPrefix(fault.Why, "may be ") {
			return
		}
		found, _ := meanings(text)
		for _, offered := range strings.Split(strings.TrimPrefix(fault.Cure, "write "), " or ") {
			want, err := si.Parse[si.Resistance](offered)
			if err != nil {
				t.Fatalf("%q: offered %q is no value", text, offered)
			}
			if !slices.ContainsFunc(found,
				func(m meaning) bool {
					return math.Abs(m.Ohm-float64(want)) <=
						1e-6*float64(want)
				}) {
				t.Fatalf("%q: %s is offered, decode says %v", text, offered, found)
			}
		}
	})
}

// E is the point of old marks or an exponent (common practice, no source): decode tells both, the
// mark first.
func TestDecodeTellsBothReadingsOfE(t *testing.T) {
	for text, want := range map[string][]float64{"4E7": {4.7, 40e6}, "1E3": {1.3, 1e3},
		"4e7": {40e6, 4.7}, "5E6": {5.6, 5e6},
		"22E": {22, 1.65e6}, "0E5": {0.5}} {
		found, _ := meanings(text)
		var ohms []float64
		for _, m := range found {
			ohms = append(ohms, m.Ohm)
		}
		require.InDeltaSlice(t, want, ohms, 1e-6, text)
	}
}

// The same words in every command, with what they must mean; refused where both readings are named.
//
// Sources: m is milli: SI prefixes, IEC 60062; 103 is 10 kohm: figure code of IEC 60062; the rest
// common practice, no source.
func TestReadersOnKnownWords(t *testing.T) {
	for line, want := range map[string]float64{
		"r 100m 1% 1W": 0.1, "r 10m 1W": 0.01, "r 220m": 0.22, "r 4m7": 4.7e-3, "r 0.1 ohm": 0.1,
		"r 10 k": 10e3, "r 4K7J": 4700,
		"c 1m 25V": 1e-3, "c 10m 16V": 10e-3, "c 47 400V electrolytic": 47e-6,
		"c 220 25V electrolytic": 220e-6,
		"c 0.1 63V film":         0.1e-6, "opto x ratio_min=50 isolation=5kV": 0.5,
		"film polyester 50": 50e-6, "core EF20 gap 0.35": 0.35e-3,
	} {
		a, err := parseBenchLine(line, benchSetting{})
		require.NoError(t, err, line)
		field := map[catalog.Kind]string{"resistor": "resistance", "capacitor": "capacitance",
			"optocoupler": "ratio_min",
			"film":        "thickness", "core": "gap"}[a.lot.Part.Kind()]
		v, ok := figureNamed(a.lot.Part, field)
		require.True(t, ok, line)
		require.InEpsilon(t, want, v.Number, 1e-9, line)
	}
	for _, line := range []string{"r 103", "r 220", "trimmer 103", "r 4E7", "r 22E", "c 47 400V",
		"c 220 50V ceramic", "r 10k B4 x2 B5 B6",
		"r 10k x2 B4 B5", "r 10k bin B4 bin B5", "r 10k 1% 5%", "r 10k resistance=1k",
		"c 100n 50V 63V film", "c 100n 50V film ceramic",
		"r 10k tested damaged", "r 10k note a note b", "opto x ratio_min=6 isolation=5kV",
		"choke 10m 1A output", "c 1n Y1"} {
		_, err := parseBenchLine(line, benchSetting{})
		require.Error(t, err, line)
	}
}

// A safety capacitor takes no voltage from the plate of the donor, and none is offered.
func TestNoPlateForSafetyCapacitors(t *testing.T) {
	set := benchSetting{donor: "brick", plates: map[string]inventory.Plate{
		"brick": inventory.ParsePlate("100-240V~ 0.5A, 5V 2A")}}
	for _, line := range []string{"c 1n Y1", "c 1n Y1 plate", "c 100n X2", "c 100n X2 plate"} {
		_, err := parseBenchLine(line, set)
		require.ErrorContains(t, err, "voltage is missing", line)
		require.NotContains(t, err.Error(), "at least", line)
	}
}

// An error without a unit behind a value with one may be percent or the unit.
func TestErrorOfAReading(t *testing.T) {
	var r reading[si.Resistance]
	require.Error(t, r.Set("2.44ohm+-1"))
	require.NoError(t, r.Set("2.44ohm+-1%"))
	require.NoError(t, r.Set("2.44+-0.02"))
	e := reading[si.Ratio]{unit: typed.Error}
	require.NoError(t, e.Set("2"))
	require.InEpsilon(t, 0.02, float64(e.value), 1e-12)
	require.Contains(t, e.said(), "2%")
	m := reading[si.Mass]{unit: typed.Mass}
	require.NoError(t, m.Set("310"))
	require.InEpsilon(t, 0.31, float64(m.value), 1e-12)
	require.ErrorContains(t, m.Set("0.5"), "0.5 kg")
}

// A value in a file of wishes may be a number or a text; a field that stands there twice is refused
// with its name.
func TestWantsAsNumbers(t *testing.T) {
	like := newTargetFlags()
	want, err := wantsFromJSON(like, "w.json", []byte(`[{"chemistry":"li-ion","cells":4,"current":1}]`))
	require.NoError(t, err)
	require.InEpsilon(t, 1, float64(want[0].Target.Current), 1e-12)
	for text, why := range map[string]string{
		`[{"chemistry":"li-ion","cells":4,"current":1,"current":2}]`: "twice",
		`[{"chemistry":"li-ion","cells":4,"volts":12,"current":1}]`:  "both say the voltage",
		`[{"chemistry":"li-ion","cells":4,"current":[1]}]`:           "must be a number or a text",
		`[{"chemistry":"li-ion","cells":4,"current":true}]`:          "must be a number or a text",
		`[{"chemistry":"li-ion","cells":4,"curent":1}]`:              "did you mean",
		`[{"chemistry":"li-ion","volts":"16,8","current":1}]`:        "decimal comma",
		`["li-ion 4 1A"]`: "a wanted charger is an object",
	} {
		_, err := wantsFromJSON(like, "w.json", []byte(text))
		require.ErrorContains(t, err, why, text)
		require.NotContains(t, err.Error(), "Go ", text)
	}
}
