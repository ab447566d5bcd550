package main

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"
)

// Every kind of reading and answer keeps the schema.
func TestTuneKeepsItsSchema(t *testing.T) {
	check := schema(t, "tune")
	for _, row := range []struct {
		status int
		words  []string
	}{
		{0, []string{"--reading", "sheet=300uH"}},
		{0, []string{"--reading", "sheet=385uH"}},
		{0, []string{"--reading", "sheet=385uH", "--reading", "2x34+2x35=322uH"}},
		{0, []string{"--reading", "none=2.5mH", "--meter", "1%"}},
		{0, []string{"--reading", "none=100uH"}},
		{0, []string{"--reference", "2.508V"}},
		{0, []string{"--reference", "2.483V+-0.1%", "--set-voltage", "high=16.71V+-0.1%", "--set-voltage", "low=16.03V+-0.1%"}},
		{0, []string{"--resistor", "divider bottom 2=45k+-0.5%"}},
		{0, []string{"--resistor", "divider top=11.6k", "--set-voltage", "high=17.5V+-0.2%", "--set-voltage", "low=16.85V+-0.2%"}},
		{0, []string{"--set-current", "0.9A", "--set-voltage", "17.4V"}},
		{0, []string{"--leakage", "4uH"}},
		{1, []string{"--leakage", "20uH"}},
	} {
		out := runWords(append(append(ask("tune", fourCells...), row.words...), "--json")...)
		require.Equal(t, row.status, out.status, "%v\n%s%s", row.words, out.stdout, out.stderr)
		require.NoError(t, check.Validate(document(t, out.stdout)), "%v\n%s", row.words, out.stdout)
	}
}

// A wrong document does not pass: the schema can fail.
func TestTuneSchemaHoldsVerdicts(t *testing.T) {
	check := schema(t, "tune")
	raw := runWords(append(ask("tune", fourCells...), "--reading", "sheet=385uH", "--leakage", "20uH", "--resistor",
		"divider bottom 2=45k+-0.5%", "--json")...).stdout
	part := func(doc map[string]any, name string) map[string]any { return doc[name].(map[string]any) }
	for name, damage := range map[string]func(d map[string]any){
		"good and yet a next stack": func(d map[string]any) { part(d, "inductance")["verdict"] = "good" },
		"no walls":                  func(d map[string]any) { delete(part(d, "inductance"), "wall_power_h") },
		"a chance above 1":          func(d map[string]any) { part(part(d, "inductance"), "next")["chance"] = json.Number("1.1") },
		"good and yet a swap":       func(d map[string]any) { part(d, "voltage")["verdict"] = "good" },
		"volts in amperes":          func(d map[string]any) { part(d, "voltage")["unit"] = "A" },
		"holds and yet broken":      func(d map[string]any) { part(d, "stage")["holds"] = true },
		"no cautions":               func(d map[string]any) { d["cautions"] = []any{} },
	} {
		doc := document(t, raw).(map[string]any)
		require.NoError(t, check.Validate(doc))
		damage(doc)
		require.Error(t, check.Validate(doc), name)
	}
}
