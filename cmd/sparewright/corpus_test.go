package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/require"

	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/identify"
)

// schema compiles one of the schemas of testdata/schema (JSON Schema, draft 2020-12).
func schema(t *testing.T, name string) *jsonschema.Schema {
	t.Helper()
	if s, made := compiledSchemas[name]; made {
		return s
	}
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	s, err := c.Compile(filepath.Join(schemaFolder, name+".json"))
	require.NoError(t, err)
	compiledSchemas[name] = s
	return s
}

// compiledSchemas keeps what schema has made; tests of this package run one after the other.
var compiledSchemas = map[string]*jsonschema.Schema{}

// schemaFolder is an absolute path: some tests change the folder they are in.
var schemaFolder = func() string {
	dir, err := filepath.Abs(filepath.Join("..", "..", "testdata", "schema"))
	if err != nil {
		panic(err)
	}
	return dir
}()

// printedDocument is a document as a command printed it.
type printedDocument struct {
	schema string
	words  []string
	status int
	doc    any
}

// corpus is one document or more of every command in every form it takes, made once. What all
// schemas promise is held against all of it.
func corpus(t *testing.T) []printedDocument {
	t.Helper()
	if madeCorpus == nil {
		c := &corpusMaker{t: t, dir: t.TempDir()}
		for _, part := range []func(){c.rare, c.answers, c.donors, c.drawer, c.readings, c.tunings,
			c.storage, c.aside} {
			part()
		}
		madeCorpus = c.made
	}
	return madeCorpus
}

var madeCorpus []printedDocument

type corpusMaker struct {
	t    *testing.T
	dir  string
	made []printedDocument
}

// add runs a call that must end with a status and keeps its document.
func (c *corpusMaker) add(schema string, status int, words ...string) map[string]any {
	c.t.Helper()
	return c.read(schema, status, "", words...)
}

// read is add with standard input.
func (c *corpusMaker) read(schema string, status int, stdin string,
	words ...string) map[string]any {
	c.t.Helper()
	var out, errs bytes.Buffer
	got := run(context.Background(), strings.NewReader(stdin), &out, &errs, append(words, "--json"))
	require.Equal(c.t, status, got, "%v\n%s%s", words, out.String(), errs.String())
	doc := document(c.t, out.String()).(map[string]any)
	c.made = append(c.made, printedDocument{schema, words, status, doc})
	return doc
}

// file writes a file and gives its path.
func (c *corpusMaker) file(name, text string) string {
	path := filepath.Join(c.dir, name)
	require.NoError(c.t, os.WriteFile(path, []byte(text), 0o600))
	return path
}

// demoTarget are the words for a battery from the built-in drawer.
func demoTarget(chemistry, cells, current string, more ...string) []string {
	return append([]string{"--chemistry", chemistry, "--cells", cells, "--current", current,
		"--demo"}, more...)
}

// answers are the documents about chargers.
func (c *corpusMaker) answers() {
	bought, nickel := demoTarget("lifepo4", "4", "2"), demoTarget("nimh", "8", "1")
	prices := c.file("prices.csv", "designation,price,source,postage\n*,2,shop,1.5\nBlue widget,1,shop,\n")
	for _, row := range []struct {
		schema string
		status int
		words  []string
	}{
		{"advise", 0, ask("advise", fourCells...)},
		{"advise", 0, ask("advise", append([]string{"--pick", "2", "--timing"}, fourCells...)...)},
		{"advise", 1, ask("advise", bought...)},
		{"advise", 1, ask("advise", nickel...)},
		{"advise", 0, ask("advise", demoTarget("lead-acid-agm", "6", "1", "--duty", "float", "--box", "100x60x40")...)},
		{"advise", 0, ask("advise", demoTarget("li-ion", "3", "1.2")...)}, // all three kinds of build
		{"shop", 0, ask("shop", fourCells...)},
		{"shop", 0, ask("shop", bought...)},
		{"shop", 1, ask("shop", nickel...)},
		{"shop", 0, ask("shop", append([]string{"--prices", prices}, bought...)...)},
		{"shop", 0, ask("shop", append([]string{"--also", "li-ion 2S 1A"}, fourCells...)...)},
		{"shop", 1, ask("shop", append([]string{"--also", "nimh 8 1A"}, fourCells...)...)},
		{"swap", 0, ask("swap", append([]string{"--role", "output rectifier"}, fourCells...)...)},
		{"swap", 0, ask("swap", append([]string{"--role", "divider top", "--pick", "2"}, fourCells...)...)},
		{"swap", 1, ask("swap", append([]string{"--role", "wire, secondary"}, fourCells...)...)},
		{"swap", 0, ask("swap", append([]string{"--lot", "82"}, fourCells...)...)},
		{"swapoutside", 0, ask("swap", "--kind", "rectifier", "--need", "reverse>=60V average>=3A technology=schottky", "--demo")},
		{"swapoutside", 1, ask("swap", "--kind", "capacitor", "--need", "volts>=5kV", "--demo")},
		{"plan", 0, ask("plan", "--want", "li-ion 4 1A x2", "--want", "nimh 8 1A", "--demo")},
		{"network", 0, ask("network", "12.1k", "--demo")},
		{"network", 1, ask("network", "12.1k", "--tolerance", "1ppm", "--demo")},
		{"network", 0, ask("network", "--reference", "2.495", "--output", "12.6", "--parts", "3", "--demo")},
		{"bend", 0, ask("bend", "281", "--demo")},
		{"bend", 0, ask("bend", "281", "--volts", "13", "--current", "1", "--demo")},
		{"bend", 1, ask("bend", "281", "--volts", "15", "--demo")},
		{"sheet", 0, ask("sheet", fourCells...)},
		{"netlist", 0, ask("netlist", fourCells...)},
	} {
		c.add(row.schema, row.status, row.words...)
	}
	require.Equal(c.t, 0, surveyed().status)
	c.made = append(c.made, printedDocument{"survey", []string{"survey"}, 0,
		document(c.t, surveyed().stdout)})
}

// donors are the sheets of builds that take over a transformer or a whole adapter.
func (c *corpusMaker) donors() {
	words := demoTarget("li-ion", "3", "1")
	seen := map[string]bool{}
	for _, b := range c.add("advise", 0,
		ask("advise", append(words, "--builds", "100")...)...)["builds"].([]any) {
		build := b.(map[string]any)
		if kind := build["kind"].(string); kind != "wound" && !seen[kind] {
			seen[kind] = true
			c.add("sheet", 0, ask("sheet",
				append(words, "--pick", fmt.Sprint(build["rank"]))...)...)
		}
	}
	require.Len(c.t, seen, 2, "the drawer has a build with a transformer and one with an adapter")
}

// drawer are the documents about lots, in a drawer that grows.
func (c *corpusMaker) drawer() {
	mine := []string{"--drawers", filepath.Join(c.dir, "d.db")}
	c.read("bench", frame.StatusData, benchText, append(ask("bench"), mine...)...)
	list := c.file("list.csv", "kind,designation,count,donor,condition,note,figures\n"+
		"resistor,1k,3,brick,,,resistance=1k\ndonor,other,,board,dead,,plate=230V~ 12V~ 0.5A\n")
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
		{"redo", ask("redo", "--dry-run")},
		{"redo", ask("redo", "2")},
		{"undo", ask("undo", "2", "--dry-run")},
		{"undo", ask("undo", "2")},
		{"history", ask("history", "--last", "3")},
	} {
		c.add(row.schema, frame.StatusDone, append(row.words, mine...)...)
	}
	for _, row := range []struct {
		schema string
		words  []string
	}{
		{"list", ask("list")}, {"show", ask("show", "9")}, {"labels", ask("labels")}, {"labels", ask("labels", "--paper", "Letter")},
		{"donor", ask("donor")}, {"donor", ask("donor", "laptop brick 19 V 3.4 A, no. 5")}, {"history", ask("history")},
	} {
		c.add(row.schema, frame.StatusDone, append(row.words, "--demo")...)
	}
}

// readings are decode and identify, every reader and every method.
func (c *corpusMaker) readings() {
	for _, text := range []string{"brown-black-orange-gold", "104K", "22R", "UF4007", "01C",
		"1H473J", "X7R", "4R7", "2A", "4p7C",
		"brown black black red brown red", "104P", "5V1", "SMBJ170A", "EE19", "0R0"} {
		c.add("decode", frame.StatusDone, "decode", text)
	}
	used := map[string]bool{}
	for _, words := range identifyCalls {
		c.add("identify", frame.StatusDone, ask("identify", words...)...)
		used[words[0]] = true
	}
	for _, m := range identify.Methods {
		require.True(c.t, used[m.Name], "%s is not tried", m.Name)
	}
	mine := []string{"--drawers", filepath.Join(c.dir, "kept.db")}
	c.read("bench", frame.StatusDone, "wire 0.3 enamelled 200m\n", append(ask("bench"), mine...)...)
	c.add("identify", frame.StatusDone, append(
		ask("identify", "wire", "--ohms", "2.44ohm", "--length", "10m", "--store",
			"1"), mine...)...)
}

// tunings has every kind of reading.
func (c *corpusMaker) tunings() {
	for _, words := range tuneCalls(tuned(c.t)) {
		status := runWords(append(append(ask("tune", fourCells...), words...), "--json")...).status
		require.Contains(c.t, []int{frame.StatusDone, frame.StatusNothing}, status, words)
		c.add("tune", status, append(ask("tune", fourCells...), words...)...)
	}
	// a reading between the walls at which the chip gets too hot, and a leakage that another clamp
	// of the drawer bears
	c.add("tune", frame.StatusDone, "tune", "--demo", "--chemistry", "li-ion", "--cells", "4",
		"--current", "1", "--pick", "3",
		"--reading", "sheet=0.000753744H+-0.05%")
	c.add("tune", frame.StatusDone, "tune", "--demo", "--chemistry", "li-ion", "--cells", "4",
		"--current", "1", "--pick", "2",
		"--leakage", "7.01uH")
}

// storage are the documents about the drawer file itself.
func (c *corpusMaker) storage() {
	mine := []string{"--drawers", filepath.Join(c.dir, "stored.db")}
	copied := filepath.Join(c.dir, "copy.db")
	c.add("put", 0, append(ask("put", "fuse", "T1A", "current=1A"), mine...)...)
	c.add("check", 0, append(ask("check"), mine...)...)
	c.add("backup", 0, append(ask("backup", copied), mine...)...)
	c.add("check", 0, append(ask("check"), mine...)...)
	c.add("restore", 0, append(ask("restore", copied), mine...)...)
	c.add("history", 0, append(ask("history"), mine...)...)
	c.add("undo", 0, append(ask("undo"), mine...)...)
	c.add("redo", 0, append(ask("redo"), mine...)...)
	c.add("restore", 0, ask("restore", copied, "--drawers", filepath.Join(c.dir, "other.db"))...)
}

// aside are the documents about parts set aside.
func (c *corpusMaker) aside() {
	path := demoFile(c.t, everyPart)
	c.add("reserved", 0, fourCellsFrom(path, "reserve", "--as", "shed", "--dry-run")...)
	c.add("reserved", 0, fourCellsFrom(path, "reserve", "--as", "shed")...)
	c.add("reserved", 0, ask("reserved", "--drawers", path)...)
	c.add("reserved", 0, ask("reserve", "--as", "bought", "--what-there-is", "--chemistry",
		"lifepo4", "--cells", "4", "--current", "2",
		"--drawers", path)...)
	c.add("reserved", 0, ask("release", "shed", "--drawers", path, "--dry-run")...)
	c.add("reserved", 0, ask("consume", "shed", "--drawers", path)...)
	c.add("history", 0, ask("history", "--drawers", path)...)
	c.add("undo", 0, ask("undo", "--drawers", path)...)
	c.add("redo", 0, ask("redo", "--drawers", path)...)
}

// Every document keeps its schema, which describes all that is printed and no more.
func TestDocumentsKeepTheirSchemas(t *testing.T) {
	tried := map[string]int{}
	for _, p := range corpus(t) {
		require.NoError(t, schema(t, p.schema).Validate(p.doc), "%v", p.words)
		tried[p.schema]++
	}
	for name := range documentTypes {
		require.Positive(t, tried[name], "no document of %s.json is tried", name)
	}
	t.Logf("%d documents of %d forms", len(corpus(t)), len(tried))
}

// seenPlaces walks a document with its schema and tells for every place of a schema that a document
// fills where it was found.
type seenPlaces struct {
	set   schemaSet
	found map[*schemaNode]bool
	each  func(owner *schemaNode, name string, object map[string]any)
}

func (s *seenPlaces) walk(n *schemaNode, v any) {
	if n.Ref != "" {
		s.walk(s.set.target(n), v)
	}
	for _, p := range n.AllOf {
		s.walk(p, v)
	}
	for _, p := range slices.Concat(n.AnyOf, n.OneOf) {
		if _, is := v.(map[string]any); is && len(n.AnyOf) <= 2 &&
			(p.Ref != "" || slices.Contains(p.Type, "object")) {
			// left out: what says only which fields go together, and kinds of part (see if)
			s.walk(p, v)
		}
	}
	if cond := n.If; cond != nil && n.Then != nil && len(cond.Properties.names) == 1 {
		for name, c := range cond.Properties.of {
			if object, is := v.(map[string]any); is && c.Const != nil && object[name] == c.Const {
				s.walk(n.Then, v)
			}
		}
	}
	switch v := v.(type) {
	case map[string]any:
		for _, name := range n.Properties.names {
			field, there := v[name]
			if !there {
				continue
			}
			place := n.Properties.of[name]
			s.found[place] = true
			s.walk(place, field)
		}
		if s.each != nil {
			for _, name := range n.Required {
				s.each(n, name, v)
			}
		}
	case []any:
		for _, e := range v {
			if n.Items != nil {
				s.walk(n.Items, e)
			}
		}
	}
}

// notTried are advice of tune, and more than twelve lists to buy at one cost, by schema and field:
// it takes minutes of searching to bring them about here. The tests of tune in substitute bring
// film to buy and new turns about; TestSchemasAgreeWithTheTypes holds the fields of all of them.
var notTried = map[string]bool{"tune: buy": true, "tune: turns": true, "tune: hot": true,
	"shop: more_alternatives": true}

// No field is promised that never comes: every property of every schema is in some document.
func TestEveryFieldIsPrinted(t *testing.T) {
	s := &seenPlaces{set: allSchemas(t), found: map[*schemaNode]bool{}}
	for _, p := range corpus(t) {
		s.walk(s.set[p.schema], p.doc)
	}
	missing, exempt := []string{}, map[string]bool{}
	for _, name := range s.set.names() {
		for _, n := range valuePlaces(s.set[name]) {
			for _, field := range n.Properties.names {
				if !notTried[name+": "+field] {
					continue
				}
				require.False(t, exempt[name+": "+field], "%s: %s is at two places", name, field)
				exempt[name+": "+field] = true
				for _, below := range valuePlaces(n.Properties.of[field]) {
					s.found[below] = true
				}
			}
		}
		for _, n := range valuePlaces(s.set[name]) {
			for _, field := range n.Properties.names {
				if place := n.Properties.of[field]; !s.found[place] && !place.never {
					missing = append(missing,
						fmt.Sprintf("%s.json: %s (%s)", name, field, place.Description))
				}
			}
		}
	}
	require.Empty(t, missing, "%s", strings.Join(missing, "\n"))
	require.Equal(t, notTried, exempt, "an exemption for a field that no schema has")
}

// No required field may be missing: taken out of a real document, the whole document fails.
func TestEveryRequiredFieldIsMissed(t *testing.T) {
	type promise struct {
		owner *schemaNode
		name  string
	}
	done := map[promise]bool{}
	s := &seenPlaces{set: allSchemas(t), found: map[*schemaNode]bool{}}
	for _, p := range corpus(t) {
		check := schema(t, p.schema)
		s.each = func(owner *schemaNode, name string, object map[string]any) {
			if done[promise{owner, name}] {
				return
			}
			done[promise{owner, name}] = true
			kept, there := object[name]
			require.True(t, there, "%v: %s", p.words, name)
			delete(object, name)
			require.Error(t, check.Validate(p.doc), "%v: %s may be missing", p.words, name)
			object[name] = kept
		}
		s.walk(s.set[p.schema], p.doc)
	}
	t.Logf("%d required fields taken out", len(done))
}
