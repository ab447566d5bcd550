package main

import (
	"bytes"
	"context"
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/require"
)

// closedSchema is a schema of testdata/schema in which no object may hold a field that is not described. The schemas
// themselves are open, because readers must ignore unknown fields; what this program writes must be described in full.
func closedSchema(t *testing.T, name string) *jsonschema.Schema {
	t.Helper()
	if s, made := closedSchemas[name]; made {
		return s
	}
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	files, err := filepath.Glob(filepath.Join("..", "..", "testdata", "schema", "*.json"))
	require.NoError(t, err)
	for _, f := range files {
		raw, err := os.ReadFile(f)
		require.NoError(t, err)
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(raw))
		require.NoError(t, err)
		root := doc.(map[string]any)
		closeBelow(root)
		if filepath.Base(f) == name+".json" {
			root["unevaluatedProperties"] = false
		}
		require.NoError(t, c.AddResource("mem:///"+filepath.Base(f), doc))
	}
	s, err := c.Compile("mem:///" + name + ".json")
	require.NoError(t, err)
	closedSchemas[name] = s
	return s
}

// closedSchemas keeps what closedSchema has made; tests of this package run one after the other.
var closedSchemas = map[string]*jsonschema.Schema{}

// closeBelow closes the schemas of members and elements. What is composed by allOf and oneOf is closed where it is used.
func closeBelow(schema map[string]any) {
	shut := func(v any) {
		if s, ok := v.(map[string]any); ok {
			closeBelow(s)
			s["unevaluatedProperties"] = false
		}
	}
	for _, v := range members(schema["properties"]) {
		shut(v)
	}
	shut(schema["items"])
	for _, v := range members(schema["$defs"]) {
		closeBelow(v.(map[string]any))
	}
	for _, word := range []string{"allOf", "oneOf", "anyOf"} {
		list, _ := schema[word].([]any)
		for _, v := range list {
			closeBelow(v.(map[string]any))
		}
	}
}

func members(v any) []any {
	m, _ := v.(map[string]any)
	return slices.Collect(maps.Values(m))
}

// benchText is a session with everything a bench document can hold.
const benchText = `donor "brick" was "wall adapter" plate "100-240V~ 50/60Hz 0.5A, 5V 2A, 99999V" dead note "hums"
c 470u plate x2
fuse T1A
r brown black black red brown x6
r 4k7 1% measured 4.68k+-0.5% x3 B4
wire 0.3 enamelled 40m
core E25/13/7 N87
nonsense
undo
help
`

// Every command about the drawer keeps its schema, and its document says nothing the schema does not describe.
func TestDrawerDocumentsKeepTheirSchemas(t *testing.T) {
	file := filepath.Join(t.TempDir(), "d.db")
	mine := []string{"--json", "--drawers", file}
	var out, errs bytes.Buffer
	status := run(context.Background(), strings.NewReader(benchText), &out, &errs, append([]string{"bench"}, mine...))
	require.Equal(t, statusData, status)
	require.NoError(t, closedSchema(t, "bench").Validate(document(t, out.String())))
	list := filepath.Join(t.TempDir(), "list.csv")
	require.NoError(t, os.WriteFile(list, []byte("kind,designation,count,donor,condition,note,figures\n"+
		"resistor,1k,3,brick,,,resistance=1k\ndonor,other,,board,dead,,plate=230V~ 12V~ 0.5A\n"), 0o644))
	for _, row := range []struct {
		schema string
		words  []string
	}{
		{"put", ask("put", "resistor", "10k", "resistance=10k", "--note", "n", "--bin", "B1", "--measured", "resistance=9.9k")},
		{"take", ask("take", "1", "1")},
		{"change", ask("change", "1", "--bin", "Z1")},
		{"show", ask("show", "1")},
		{"import", ask("import", list, "--dry-run")},
		{"import", ask("import", list)},
		{"list", ask("list")},
		{"donor", ask("donor")},
		{"donor", ask("donor", "brick")},
		{"donor", ask("donor", "other", "--note", "a bare transformer")},
		{"donor", ask("donor", "third", "--plate", "115/230V~ 2A/1A 60/50Hz 100W; 12VDC 3-5A 36W")},
		{"donor", ask("donor", "fourth", "--plate", "INPUT 12VDC 20W OUTPUT 5V 1A 5W")},
		{"labels", ask("labels")},
		{"history", ask("history")},
		{"undo", ask("undo", "2")},
		{"history", ask("history", "--last", "3")},
	} {
		got := runWords(append(row.words, mine...)...)
		require.Equal(t, statusDone, got.status, "%v\n%s", row.words, got.stderr)
		require.NoError(t, closedSchema(t, row.schema).Validate(document(t, got.stdout)), "%v\n%s", row.words, got.stdout)
	}
	for _, row := range []struct {
		schema string
		words  []string
	}{
		{"list", ask("list", "--demo")}, {"show", ask("show", "9", "--demo")}, {"labels", ask("labels", "--demo")},
		{"labels", ask("labels", "--demo", "--paper", "Letter")}, {"donor", ask("donor", "--demo")},
		{"donor", ask("donor", "laptop brick 19 V 3.4 A, no. 5", "--demo")}, {"history", ask("history", "--demo")},
	} {
		got := runWords(append(row.words, "--json")...)
		require.Equal(t, statusDone, got.status, "%v\n%s", row.words, got.stderr)
		require.NoError(t, closedSchema(t, row.schema).Validate(document(t, got.stdout)), "%v\n%s", row.words, got.stdout)
	}
}

// decode and identify, every reader and every method.
func TestReadingDocumentsKeepTheirSchemas(t *testing.T) {
	for _, text := range []string{"brown-black-orange-gold", "104K", "22R", "UF4007", "01C", "1H473J", "X7R", "4R7", "2A", "4p7C",
		"brown black black red brown red"} {
		got := runWords("decode", text, "--json")
		require.Equal(t, statusDone, got.status, "%s\n%s", text, got.stderr)
		require.NoError(t, closedSchema(t, "decode").Validate(document(t, got.stdout)), "%s\n%s", text, got.stdout)
	}
	used := map[string]bool{}
	for _, words := range identifyCalls {
		got := runWords(append(ask("identify", words...), "--json")...)
		require.Equal(t, statusDone, got.status, "%v\n%s", words, got.stderr)
		require.NoError(t, closedSchema(t, "identify").Validate(document(t, got.stdout)), "%v\n%s", words, got.stdout)
		used[words[0]] = true
	}
	for _, m := range methods {
		require.True(t, used[m.name], "%s is not tried", m.name)
	}
}

// identifyCalls has a call of every method that finds something a lot can keep.
var identifyCalls = [][]string{
	{"core", "--a", "25.1", "--b", "12.5", "--c", "7.2", "--d", "9", "--e", "18", "--f", "7.3"},
	{"al", "--reading", "10=14.2uH", "--reading", "20=56.9uH"},
	{"permeability", "--shape", "E25/13/7", "--al", "2000nH"},
	{"gap", "--shape", "E25/13/7", "--grade", "N87", "--reading", "40=420uH"},
	{"gap", "--shape", "E25/13/7", "--turns", "40", "--film", "0.1mm+-5%", "--step", "0=420uH", "--step", "1=232uH", "--step", "2=161uH"},
	{"saturation", "--shape", "E25/13/7", "--turns", "60", "--volts", "24V", "--time", "50us", "--knee", "1.5A", "--ohms", "1.2ohm"},
	{"wire", "--ohms", "2.44ohm", "--length", "10m"},
	{"spool", "--ohms", "30", "--diameter", "0.3"},
	{"film", "--stack", "0.44mm", "--layers", "8"},
	{"film", "--before", "1.2mH", "--after", "320uH", "--turns", "25", "--shape", "E25/13/7", "--grade", "N87"},
	{"inductance", "--resonance", "10nF+-1%=50.3kHz"},
}

// Whatever a method finds, one option keeps it in a lot of its kind as measured, and without it the answer says so.
func TestEveryMethodStores(t *testing.T) {
	const lots = "core E25/13/7 N87\nwire 0.3 enamelled 200m\nfilm polyester 50um x3\nchoke output 1mH 1A\n"
	lotOf := map[string]string{"wire": "2", "spool": "2", "film": "3", "inductance": "4"}
	fields := map[string]string{"core": "a", "saturation": "saturation", "wire": "diameter", "film": "thickness"}
	for _, words := range identifyCalls {
		asked := runWords(ask("identify", words...)...)
		require.Contains(t, asked.stdout, "keep it: the same with --store LOT", "%v", words)
		file := filepath.Join(t.TempDir(), "d.db")
		var out, errs bytes.Buffer
		require.Equal(t, statusDone, run(context.Background(), strings.NewReader(lots), &out, &errs, []string{"bench", "--drawers", file}))
		lot := or(lotOf[words[0]], "1")
		kept := runWords(append(ask("identify", words...), "--store", lot, "--drawers", file, "--json")...)
		require.Equal(t, statusDone, kept.status, "%v\n%s", words, kept.stderr)
		require.NoError(t, closedSchema(t, "identify").Validate(document(t, kept.stdout)), "%v\n%s", words, kept.stdout)
		var shown struct {
			Count    float64
			Measured []struct{ Figure string }
		}
		require.NoError(t, json.Unmarshal([]byte(runWords("show", lot, "--json", "--drawers", file).stdout), &shown))
		if words[0] == "spool" {
			require.Less(t, shown.Count, 200.0)
			continue
		}
		require.NotEmpty(t, shown.Measured, "%v", words)
		require.True(t, strings.HasPrefix(shown.Measured[0].Figure, or(fields[words[0]], words[0])), "%v kept %v", words, shown.Measured)
	}
}

// The closed schemas refuse what is missing and what is not described, so that a renamed field cannot pass.
func TestClosedSchemasRefuse(t *testing.T) {
	doc := document(t, runWords("donor", "laptop brick 19 V 3.4 A, no. 5", "--demo", "--json").stdout).(map[string]any)
	s := closedSchema(t, "donor")
	require.NoError(t, s.Validate(doc))
	for _, path := range []string{"donor", "at_least", "lots", "offers"} {
		kept := doc[path]
		delete(doc, path)
		require.Error(t, s.Validate(doc), path)
		doc[path] = kept
	}
	for _, place := range []map[string]any{doc, doc["donor"].(map[string]any), first(doc, "at_least"), first(doc, "lots")} {
		place["stray"] = "x"
		require.Error(t, s.Validate(doc))
		delete(place, "stray")
	}
	require.NoError(t, s.Validate(doc))
}
