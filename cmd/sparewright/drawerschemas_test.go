package main

import (
	"bytes"
	"context"
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/cmd/sparewright/internal/frame"
)

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

// identifyCalls has a call of every method that finds something a lot can keep. The inductances
// over films are 40 turns on the field solution of EF25 with 0.2 mm ground (342.3, 191.8 and 142.0
// nH; substitute/magnetics/fieldlaw_test.go), in whole microhenries.
var identifyCalls = [][]string{
	{"core", "--a", "25.1", "--b", "12.5", "--c", "7.2", "--d", "9", "--e", "18", "--f", "7.3"},
	{"al", "--reading", "10=14.2uH", "--reading", "20=56.9uH"},
	{"permeability", "--shape", "E25/13/7", "--al", "2000nH"},
	{"gap", "--shape", "E25/13/7", "--grade", "N87", "--reading", "40=420uH"},
	{"gap", "--shape", "E25/13/7", "--turns", "40", "--film", "0.1mm+-5%", "--step", "0=548uH",
		"--step", "1=307uH", "--step", "2=227uH"},
	{"saturation", "--shape", "E25/13/7", "--turns", "60", "--volts", "24V", "--time", "50us",
		"--knee", "1.5A", "--ohms", "1.2ohm"},
	{"wire", "--ohms", "2.44ohm", "--length", "10m"},
	{"spool", "--ohms", "30", "--diameter", "0.3"},
	{"film", "--stack", "0.44mm", "--layers", "8"},
	{"film", "--before", "1.2mH", "--after", "320uH", "--turns", "25", "--shape", "E25/13/7",
		"--grade", "N87"},
	{"inductance", "--resonance", "10nF+-1%=50.3kHz"},
}

// Whatever a method finds, one option keeps it in a lot of its kind as measured, and without it the
// answer says so.
func TestEveryMethodStores(t *testing.T) {
	const lots = "core E25/13/7 N87\nwire 0.3 enamelled 200m\nfilm polyester 50um x3\nchoke " +
		"output 1mH 1A\n"
	lotOf := map[string]string{"wire": "2", "spool": "2", "film": "3", "inductance": "4"}
	fields := map[string]string{"core": "a", "saturation": "saturation", "wire": "diameter",
		"film": "thickness"}
	for _, words := range identifyCalls {
		asked := runWords(ask("identify", words...)...)
		require.Contains(t, asked.stdout, "keep it: the same with --store LOT", "%v", words)
		file := filepath.Join(t.TempDir(), "d.db")
		var out, errs bytes.Buffer
		require.Equal(t, frame.StatusDone,
			run(context.Background(), strings.NewReader(lots), &out, &errs,
				[]string{"bench", "--drawers", file}))
		lot := frame.Or(lotOf[words[0]], "1")
		kept := runWords(append(ask("identify", words...), "--store", lot, "--drawers",
			file, "--json")...)
		require.Equal(t, frame.StatusDone, kept.status, "%v\n%s", words, kept.stderr)
		require.NoError(t, schema(t, "identify").Validate(document(t, kept.stdout)), "%v\n%s",
			words, kept.stdout)
		var shown struct {
			Count    float64
			Measured []struct{ Figure string }
		}
		require.NoError(t, json.Unmarshal(
			[]byte(runWords("show", lot, "--json", "--drawers", file).stdout), &shown))
		if words[0] == "spool" {
			require.Less(t, shown.Count, 200.0)
			continue
		}
		require.NotEmpty(t, shown.Measured, "%v", words)
		require.True(t,
			strings.HasPrefix(shown.Measured[0].Figure, frame.Or(fields[words[0]], words[0])),
			"%v kept %v", words, shown.Measured)
	}
}

// The closed schemas refuse what is missing and what is not described, so that a renamed field
// cannot pass.
func TestClosedSchemasRefuse(t *testing.T) {
	doc := document(t, runWords("donor", "laptop brick 19 V 3.4 A, no. 5", "--demo",
		"--json").stdout).(map[string]any)
	s := schema(t, "donor")
	require.NoError(t, s.Validate(doc))
	for _, path := range []string{"donor", "at_least", "lots", "offers"} {
		kept := doc[path]
		delete(doc, path)
		require.Error(t, s.Validate(doc), path)
		doc[path] = kept
	}
	for _, place := range []map[string]any{doc, doc["donor"].(map[string]any),
		first(doc, "at_least"), first(doc, "lots")} {
		place["stray"] = "x"
		require.Error(t, s.Validate(doc))
		delete(place, "stray")
	}
	require.NoError(t, s.Validate(doc))
}
