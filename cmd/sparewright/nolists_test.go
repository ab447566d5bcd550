package main

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/catalog/si"
	"sparewright/cmd/sparewright/internal/ui"
)

// noAnswers are calls that find nothing: a target that is refused whole, one beyond every build, a
// drawer without lots, one with too few. EMPTY and FEW stand for drawer files. The schema says what
// every list is.
var noAnswers = []struct {
	schema string
	status int
	call   string
}{
	{"advise", 1, "advise --demo --chemistry nimh --cells 8 --current 1"},
	{"advise", 1, "advise --demo --chemistry nicd --cells 8 --current 1"},
	{"advise", 1, "advise --demo --chemistry li-ion --cells 1 --current 10"},
	{"advise", 1, "advise --demo --chemistry lifepo4 --cells 16 --current 10 --ambient 60"},
	{"advise", 1, "advise --drawers EMPTY --chemistry nimh --cells 8 --current 1"},
	{"advise", 1, "advise --drawers EMPTY --chemistry li-ion --cells 4 --current 1"},
	{"advise", 1, "advise --drawers FEW --chemistry li-ion --cells 1 --current 10"},
	{"advise", 1, "advise --drawers FEW --chemistry li-ion --cells 4 --current 1 --builds 1"},
	{"survey", 1, "survey --drawers EMPTY"},
	{"shop", 1, "shop --demo --chemistry nimh --cells 8 --current 1"},
	{"shop", 1, "shop --drawers EMPTY --chemistry li-ion --cells 1 --current 10"},
	{"shop", 1, "shop --drawers EMPTY --chemistry nimh --cells 2 --current 1 --also li-ion_1S_10A"},
	{"plan", 1, "plan --demo --want nimh_8_1A"},
	{"plan", 1, "plan --drawers EMPTY --want li-ion_4_1A"},
	{"network", 1, "network --drawers EMPTY 12.1k"},
	{"network", 1, "network --drawers EMPTY --reference 2.495 --output 12.6"},
	{"swapoutside", 1, "swap --drawers EMPTY --kind capacitor --need volts>=5kV"},
	{"list", 0, "list --drawers EMPTY"},
	{"history", 0, "history --drawers EMPTY"},
	{"donor", 0, "donor --drawers EMPTY"},
	{"check", 0, "check --drawers EMPTY"},
	{"reserved", 0, "reserved --drawers EMPTY"},
	{"bench", 0, "bench --drawers EMPTY"},
}

// Every "no" keeps its schema as a "yes" does: no list is null, no field that is always there is
// missing.
func TestEveryNoKeepsItsSchema(t *testing.T) {
	dir := t.TempDir()
	empty, few, list := filepath.Join(dir, "empty.db"), filepath.Join(dir, "few.db"),
		filepath.Join(dir, "few.csv")
	require.NoError(t, os.WriteFile(list,
		[]byte("kind,designation,count,figures\nresistor,1k odd,3,resistance=1k\n"), 0o600))
	require.Zero(t, runWords("import", list, "--drawers", few).status)
	require.Zero(t, runWords("import", list, "--drawers", empty).status)
	require.Zero(t, runWords("take", "1", "3", "--drawers", empty).status)
	for _, row := range noAnswers {
		words := strings.Fields(strings.NewReplacer("EMPTY", empty, "FEW", few).Replace(row.call))
		for i := range words {
			if !strings.HasPrefix(words[i], dir) {
				words[i] = strings.ReplaceAll(words[i], "_", " ")
			}
		}
		got := runWords(append(words, "--json")...)
		require.Equal(t, row.status, got.status, "%s\n%s%s", row.call, got.stdout, got.stderr)
		require.NoError(t, schema(t, row.schema).Validate(document(t, got.stdout)), "%s\n%s",
			row.call, got.stdout)
	}
}

// No list of any document can be null: every type that is printed, filled down to its last struct
// with nothing in the lists, then with one element in each, has an array wherever the type has a
// list.
func TestNoListOfAnyTypeIsNull(t *testing.T) {
	lists := 0
	for name, values := range documentTypes {
		for _, v := range values {
			for _, elements := range []int{0, 1} {
				filled := emptied(reflect.TypeOf(v), elements, map[reflect.Type]int{})
				var out bytes.Buffer
				require.NoError(t, ui.WriteJSON(&out, ui.Numbered(filled.Interface())), name)
				var doc any
				require.NoError(t, json.Unmarshal(out.Bytes(), &doc))
				lists += requireLists(t, name, reflect.TypeOf(v), doc)
			}
		}
	}
	require.Greater(t, lists, 100)
	t.Logf("%d lists", lists)
}

// emptied is a value of a type with all pointers set and so many elements in every list; a type
// inside itself ends.
func emptied(typ reflect.Type, elements int, above map[reflect.Type]int) reflect.Value {
	out := reflect.New(typ).Elem()
	if above[typ] > 1 {
		return out
	}
	above[typ]++
	defer func() { above[typ]-- }()
	switch typ.Kind() {
	case reflect.Pointer:
		out.Set(reflect.New(typ.Elem()))
		out.Elem().Set(emptied(typ.Elem(), elements, above))
	case reflect.Slice:
		if elements > 0 {
			out.Set(reflect.Append(out, emptied(typ.Elem(), elements, above)))
		}
	case reflect.Struct:
		for i := range typ.NumField() {
			if tag := typ.Field(i).Tag.Get("json"); typ.Field(i).IsExported() &&
				tag != "" && tag != "-" {
				out.Field(i).Set(emptied(typ.Field(i).Type, elements, above))
			}
		}
	}
	return out
}

// requireLists walks a type and a document of it together and counts the lists.
func requireLists(t *testing.T, at string, typ reflect.Type, doc any) (lists int) {
	if typ.Kind() == reflect.Pointer {
		typ = typ.Elem()
	}
	switch typ.Kind() {
	case reflect.Slice:
		elements, is := doc.([]any)
		require.True(t, is, "%s is %v, not a list", at, doc)
		for _, e := range elements {
			lists += requireLists(t, at+"[]", typ.Elem(), e)
		}
		return lists + 1
	case reflect.Struct:
		object, is := doc.(map[string]any)
		for _, f := range printedFields(typ) {
			name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
			if field, there := object[name]; is && there {
				lists += requireLists(t, at+"."+name, f.Type, field)
			}
		}
	}
	return lists
}

// Figures that were worked out have at most six digits, wherever they stand in a document of
// advice.
func TestWorkedOutFiguresHaveSixDigits(t *testing.T) {
	out := runWords(append(ask("advise", fourCells...), "--json")...).stdout
	many := 0
	for word := range strings.FieldsSeq(
		strings.NewReplacer(",", " ", ":", " ", "[", " ", "]", " ").Replace(out)) {
		v, err := strconv.ParseFloat(word, 64)
		if err != nil || v == math.Trunc(v) {
			continue
		}
		many++
		require.Equal(t, strconv.FormatFloat(si.Derived(v), 'g', -1, 64),
			strconv.FormatFloat(v, 'g', -1, 64), word)
	}
	require.Greater(t, many, 1000)
}

// A figure that was typed in comes back as typed, all its digits, and so does a count.
func TestTypedFiguresKeepTheirDigits(t *testing.T) {
	drawer := filepath.Join(t.TempDir(), "d.db")
	lot := 0
	rapid.Check(t, func(r *rapid.T) {
		if lot == 20 {
			return // each is two calls on a file
		}
		lot++
		digits := rapid.IntRange(100_000_000, 999_999_999).Draw(r, "digits")
		text := strconv.FormatFloat(float64(digits)/1e6, 'f', -1, 64)
		metres := strconv.FormatFloat(float64(digits)/1e3, 'f', -1, 64)
		put := runWords("put", "wire", "w"+strconv.Itoa(lot), "insulation=enamelled",
			"diameter="+text+"um", "--count", metres+"m",
			"--drawers", drawer)
		require.Zero(r, put.status, put.stderr)
		shown := runWords("show", strconv.Itoa(lot), "--json", "--drawers", drawer)
		want, err := strconv.ParseFloat(text+"e-6", 64)
		require.NoError(r, err)
		require.Contains(r, shown.stdout, `"diameter_m": `+string(jsonOf(r, want))+",")
		require.Contains(r, shown.stdout, `"count": `+metres+",")
	})
}

func jsonOf(t require.TestingT, v any) []byte {
	out, err := json.Marshal(v)
	require.NoError(t, err)
	return out
}
