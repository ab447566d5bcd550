package main

import (
	"encoding/json"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/substitute"
)

// tuned is build 1 of the usual target, whose figures the readings of these tests are taken from.
func tuned(t *testing.T) substitute.Build {
	t.Helper()
	var doc substitute.Result
	require.NoError(t, json.Unmarshal([]byte(
		runWords(append(ask("advise", fourCells...), "--json")...).stdout), &doc))
	return doc.Builds[0]
}

// off writes a figure of the build, changed by a factor, as a reading with a close error.
func off[Q ~float64](q Q, factor float64, unit string) string {
	return fmt.Sprintf("%.6g%s+-0.05%%", float64(q)*factor, unit)
}

// outOfReach are readings of both trimmer stops, with the reference that explains them, that leave
// the set voltage out of reach.
func outOfReach(b substitute.Build) []string {
	r := b.Regulation
	down := 0.997 * float64(16.8/r.SetHigh)
	return []string{"--reference", off(r.Reference, down, "V"), "--set-voltage",
		"high=" + off(r.SetHigh, down, "V"),
		"--set-voltage", "low=" + off(r.SetLow, down, "V")}
}

// tuneCalls has every kind of reading, good and bad.
func tuneCalls(b substitute.Build) [][]string {
	x, r := b.Transformer, b.Regulation
	return [][]string{
		{"--reading", "sheet=" + off(x.Inductance, 1, "H")},
		{"--reading", "sheet=" + off(x.WallSaturation, 1.05, "H")},
		{"--reading", "sheet=" + off(x.WallSaturation, 1.05, "H"), "--reading",
			"none=" + off(x.WallSaturation, 6, "H")},
		{"--reading", fmt.Sprintf("sheet=%.6gH", float64(x.WallPower)*1.005), "--meter", "1%"},
		{"--reading", "none=" + off(x.WallPower, 0.5, "H")},
		{"--reference", off(r.Reference, 1, "V")},
		outOfReach(b),
		{"--resistor", "divider top=" + off(r.Top, 1.05, "")},
		{"--resistor", "shunt=" + off(r.Shunt, 0.9, ""), "--set-current",
			"high=" + off(r.CurrentHigh, 1.1, "A")},
		{"--set-current", off(b.Regulation.CurrentLow, 1.01, "A"), "--set-voltage", "17.4V"},
		{"--leakage", off(x.Leakage, 1.1, "H")},
		{"--leakage", off(x.Inductance, 0.4, "H")},
	}
}

// Every kind of reading and answer is among the documents, and the exit status says whether
// something in stock helps.
func TestTuneStatusFollowsTheAnswer(t *testing.T) {
	verdicts := map[string]bool{}
	for _, p := range corpus(t) {
		if p.schema != "tune" {
			continue
		}
		doc := p.doc.(map[string]any)
		require.Equal(t, doc["helped"], p.status == frame.StatusDone, "%v", p.words)
		for _, topic := range []string{"inductance", "voltage", "current"} {
			if part, is := doc[topic].(map[string]any); is {
				verdicts[topic+" "+part["verdict"].(string)] = true
			}
		}
	}
	for _, v := range []string{"inductance good", "inductance high", "inductance low",
		"inductance unsure",
		"voltage good", "voltage low", "voltage broken",
		"current good"} {
		require.Contains(t, verdicts, v)
	}
}

// A wrong document does not pass: the schema can fail.
func TestTuneSchemaHoldsVerdicts(t *testing.T) {
	check := schema(t, "tune")
	b := tuned(t)
	words := append(ask("tune", fourCells...), "--reading",
		"sheet="+off(b.Transformer.WallSaturation, 1.05, "H"), "--leakage",
		off(b.Transformer.Inductance, 0.4, "H"), "--json")
	raw := runWords(append(words, outOfReach(b)...)...).stdout
	part := func(doc map[string]any, name string) map[string]any {
		return doc[name].(map[string]any)
	}
	for name, damage := range map[string]func(d map[string]any){
		"good and yet a next stack": func(d map[string]any) {
			part(d, "inductance")["verdict"] = "good"
		},
		"no walls": func(d map[string]any) {
			delete(part(d, "inductance"), "wall_power_h")
		},
		"a chance above 1": func(d map[string]any) {
			part(part(d, "inductance"), "next")["chance"] = json.Number("1.1")
		},
		"good and yet a swap": func(d map[string]any) {
			part(d, "voltage")["verdict"] = "good"
		},
		"volts in amperes":     func(d map[string]any) { part(d, "voltage")["unit"] = "A" },
		"holds and yet broken": func(d map[string]any) { part(d, "stage")["holds"] = true },
		"no cautions":          func(d map[string]any) { d["cautions"] = []any{} },
	} {
		doc := document(t, raw).(map[string]any)
		require.NoError(t, check.Validate(doc))
		require.NotNil(t, part(doc, "inductance")["next"])
		require.NotNil(t, part(doc, "voltage")["swap"])
		damage(doc)
		require.Error(t, check.Validate(doc), name)
	}
}
