package main

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/cmd/sparewright/internal/ui"
)

// formOf writes every field of every schema on a line: table, path, type, unit, whether it is
// always there, and the words it may hold. It is what a reader may rely on as long as the number of
// the form stays.
func formOf(set schemaSet) string {
	var lines []string
	for _, t := range set.everyTable() {
		for _, r := range t.rows {
			there := "always"
			if r.optional {
				there = "optional"
			}
			cells := []string{t.name, r.path, r.kind, r.unit, there, strings.Join(r.words, " ")}
			lines = append(lines, strings.TrimRight(strings.Join(cells, "\t"), "\t"))
		}
	}
	slices.Sort(lines)
	return fmt.Sprintf("form %d\n%s\n", ui.FormatNumber, strings.Join(lines, "\n"))
}

// formLines takes a form apart into the cells of each field, by table and path.
func formLines(form string) map[string][]string {
	out := map[string][]string{}
	for line := range strings.Lines(form) {
		if cells := strings.Split(strings.TrimSuffix(line, "\n"), "\t"); len(cells) > 2 {
			out[cells[0]+": "+cells[1]] = append(cells[2:], make([]string, 6-len(cells))...)
		}
	}
	return out
}

// brokenPromises are the reasons why a reader of the old form may fail on the new one. Fields and
// words that are added break nothing, nor does a field that is always there from now on.
func brokenPromises(was, is string) (broken []string) {
	now := formLines(is)
	for at, old := range formLines(was) {
		cells, there := now[at]
		if !there {
			broken = append(broken, at+" is gone")
			continue
		}
		if cells[0] != old[0] || cells[1] != old[1] {
			broken = append(broken, fmt.Sprintf("%s was %s %s and is %s %s", at, old[0], old[1],
				cells[0], cells[1]))
		}
		if old[2] == "always" && cells[2] != "always" {
			broken = append(broken, at+" may be absent now")
		}
		words := strings.Fields(cells[3])
		if old[3] != "" && len(words) == 0 {
			broken = append(broken, at+" may hold any text now")
		}
		for _, w := range strings.Fields(old[3]) {
			if len(words) > 0 && !slices.Contains(words, w) {
				broken = append(broken, at+" never says "+w+" now")
			}
		}
	}
	slices.Sort(broken)
	return broken
}

// What was promised under a number is kept under it: testdata/schema/form.txt has every field as it
// was when the form was last written, and is not written anew while a promise is broken and the
// number is the same.
func TestSchemaFormKeepsItsNumber(t *testing.T) {
	text, err := os.ReadFile(schemaFile("form.txt"))
	require.NoError(t, err)
	kept := 0
	_, err = fmt.Sscanf(string(text), "form %d\n", &kept)
	require.NoError(t, err)
	require.GreaterOrEqual(t, ui.FormatNumber, kept, "the number of the form never falls")
	is := formOf(allSchemas(t))
	if kept == ui.FormatNumber {
		require.Empty(t, brokenPromises(string(text), is),
			"readers of form %d would fail: raise ui.FormatNumber and the number in the schemas",
			kept)
	}
	requireFile(t, "form.txt", is)
}

func TestBrokenPromisesAreFound(t *testing.T) {
	const was = "form 1\na\tx_v\tnumber\tV\talways\na\ty\tstring\t\toptional\tp q\na\tz\tlist of " +
		"lot\t\talways\n"
	require.Len(t, formLines(was), 3)
	for change, want := range map[string]string{
		"a\tx_v\tnumber\tV\talways\n=>":              "a: x_v is gone",
		"x_v\tnumber=>u_v\tnumber":                   "a: x_v is gone",
		"x_v\tnumber=>x_v\tstring":                   "a: x_v was number V and is string V",
		"number\tV=>number\tmV":                      "a: x_v was number V and is number mV",
		"V\talways=>V\toptional":                     "a: x_v may be absent now",
		"p q=>p":                                     "a: y never says q now",
		"optional\tp q=>optional":                    "a: y may hold any text now",
		"list of lot=>lot":                           "a: z was list of lot  and is lot ",
		"p q=>p q r":                                 "",
		"y\tstring\t\toptional=>y\tstring\t\talways": "",
		"a\tx_v\tnumber\tV\talways\n=>a\tx_v\tnumber\tV\talways\na\tn\tnumber\tA\toptional\n": "",
	} {
		from, to, _ := strings.Cut(change, "=>")
		require.Contains(t, was, from)
		got := brokenPromises(was, strings.Replace(was, from, to, 1))
		if want == "" {
			require.Empty(t, got, change)
			continue
		}
		require.Equal(t, []string{want}, got, change)
	}
}
