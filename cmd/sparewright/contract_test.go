package main

import (
	"encoding/json"
	"fmt"
	"math"
	"sort"
	"strings"
	"sync"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/require"

	"sparewright/substitute"
	"sparewright/substitute/advise"
)

// fourCells is the target of most tests: four lithium-ion cells at 1 A.
var fourCells = []string{"--chemistry", "li-ion", "--cells", "4", "--current", "1", "--mains",
	"195-265", "--case", "sealed",
	"--ambient", "35", "--demo"}

// ask puts a command before its words, in a list of its own.
func ask(command string, words ...string) []string { return append([]string{command}, words...) }

// surveyed is the survey of the built-in drawer, run once for all tests.
var surveyed = sync.OnceValue(func() outcome { return runWords("survey", "--demo", "--json") })

func document(t *testing.T, text string) any {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(strings.NewReader(text))
	require.NoError(t, err)
	return doc
}

// contract lists the fields of one build that scripts rely on; "[]" stands for every element of a
// list. Source: the written contract of the program (field names of BUILD).
const contract = `
rank kind verdict efficiency junction_c transformer_c inside_c
switcher.lot switcher.designation switcher.control switcher.frequency_hz switcher.limit_min_a switcher.limit_max_a switcher.breakdown_v
core.lot core.designation core.area_m2 core.area_min_m2 core.path_m core.volume_m3 core.initial_permeability core.flux_limit_t
gap.method gap.shim_m gap.ground_m gap.fringing
gap.layers[].lot gap.layers[].designation gap.layers[].thickness_m gap.layers[].count
transformer.primary_turns transformer.secondary_turns transformer.bias_turns transformer.inductance_h transformer.inductance_low_h
transformer.inductance_high_h transformer.wall_power_h transformer.wall_saturation_h transformer.flux_peak_t transformer.flux_swing_t
transformer.reflected_v transformer.barrier transformer.window_fill
windings[].name windings[].turns windings[].wire_m windings[].overall_m windings[].strands windings[].layers windings[].length_m
windings[].resistance_ohm windings[].ac_factor
stage.bus_min_v stage.bus_max_v stage.mode stage.duty_max stage.primary_peak_a stage.primary_rms_a stage.secondary_peak_a
stage.secondary_rms_a stage.drain_peak_v stage.rectifier_reverse_v stage.capacitor_ripple_a
losses_w.switch losses_w.core losses_w.copper losses_w.clamp losses_w.rectifier losses_w.shunt losses_w.bridge losses_w.other
regulation.reference_v regulation.top_ohm regulation.bottom_ohm regulation.trimmer_ohm regulation.set_low_v regulation.set_high_v
regulation.worst_low_v regulation.worst_high_v regulation.open_wiper_v regulation.shunt_ohm regulation.shunt_w regulation.sense_v
regulation.current_low_a regulation.current_high_a regulation.current_worst_high_a regulation.bias_ohm regulation.bias_min_a
regulation.bias_max_a regulation.lowest_regulated_v
regulation.networks[].role regulation.networks[].ohm regulation.networks[].wiring
regulation.networks[].parts[].lot regulation.networks[].parts[].ohm regulation.networks[].parts[].count
parts[].role parts[].lot parts[].designation parts[].quantity parts[].unit parts[].source
checks[].name checks[].value checks[].limit checks[].unit checks[].sense checks[].margin checks[].hard checks[].passed checks[].basis`

func TestBuildHasEveryFieldOfTheContract(t *testing.T) {
	builds := advised(t)["builds"].([]any)
	for _, path := range strings.Fields(contract) {
		require.NoError(t, holds(builds[0], strings.Split(path, ".")), path)
	}
}

// advised is the document of the usual target.
func advised(t *testing.T) map[string]any {
	t.Helper()
	out := runWords(append(ask("advise", fourCells...), "--json")...)
	require.Equal(t, 0, out.status, out.stderr)
	return document(t, out.stdout).(map[string]any)
}

// holds tells whether a value has the field a path leads to, in every element of the lists on the
// way, which are not empty.
func holds(v any, path []string) error {
	if len(path) == 0 {
		return nil
	}
	name, list := strings.CutSuffix(path[0], "[]")
	object, _ := v.(map[string]any)
	field, ok := object[name]
	switch {
	case !ok:
		return fmt.Errorf("no field %s", name)
	case !list:
		return holds(field, path[1:])
	}
	elements := field.([]any)
	if len(elements) == 0 {
		return fmt.Errorf("%s is empty", name)
	}
	for i, e := range elements {
		if err := holds(e, path[1:]); err != nil {
			return fmt.Errorf("%s %d: %w", name, i, err)
		}
	}
	return nil
}

// Taking any field of the contract away breaks the schema, so that a renamed field cannot pass. The
// exceptions are fields that are left out when there is nothing to say: lots of bought parts, and
// the trimmer of a divider without one.
func TestSchemaMissesEveryField(t *testing.T) {
	check := schema(t, "build")
	raw, err := json.Marshal(advised(t)["builds"].([]any)[0])
	require.NoError(t, err)
	for _, path := range strings.Fields(contract) {
		if path != "parts[].lot" && (strings.HasSuffix(path, ".lot") ||
			path == "regulation.trimmer_ohm") {
			continue
		}
		build := document(t, string(raw))
		strike(build, strings.Split(path, "."))
		require.Error(t, check.Validate(build), "%s may be missing", path)
	}
}

// strike takes the field a path leads to out of the first element of every list on the way.
func strike(v any, path []string) {
	name, list := strings.CutSuffix(path[0], "[]")
	m := v.(map[string]any)
	if len(path) == 1 {
		delete(m, name)
		return
	}
	next := m[name]
	if list {
		next = next.([]any)[0]
	}
	strike(next, path[1:])
}

// The values that schemas can say: a feasible build buys nothing and keeps its hard limits.
func TestSchemaHoldsVerdicts(t *testing.T) {
	check := schema(t, "build")
	raw, err := json.Marshal(advised(t)["builds"].([]any)[0])
	require.NoError(t, err)
	for name, damage := range map[string]func(b map[string]any){
		"unknown verdict": func(b map[string]any) { b["verdict"] = "maybe" },
		"bought and ready": func(b map[string]any) {
			first(b, "parts")["source"] = "buy"
			delete(first(b, "parts"), "lot")
		},
		"nothing to buy":    func(b map[string]any) { b["verdict"] = "needs-parts" },
		"failed hard limit": func(b map[string]any) { first(b, "checks")["passed"] = false },
		"frequency in words": func(b map[string]any) {
			b["switcher"].(map[string]any)["frequency_hz"] = "66 kHz"
		},
		"half a turn": func(b map[string]any) {
			first(b, "windings")["turns"] = json.Number("10.5")
		},
		"efficiency above 1": func(b map[string]any) { b["efficiency"] = json.Number("1.2") },
	} {
		build := document(t, string(raw)).(map[string]any)
		require.NoError(t, check.Validate(build))
		damage(build)
		require.Error(t, check.Validate(build), name)
	}
}

func first(m map[string]any, list string) map[string]any {
	return m[list].([]any)[0].(map[string]any)
}

// The margin of a check is the share of the way from its ideal value to its limit that is left, at
// most 1. Where the ideal is nought that is (limit - value)/limit for a maximum and (value -
// limit)/limit for a minimum; an ideal between nought and the limit makes no margin smaller.
func TestMarginsFollowTheContract(t *testing.T) {
	var doc substitute.Result
	require.NoError(t, json.Unmarshal([]byte(
		runWords(append(ask("advise", fourCells...), "--json")...).stdout), &doc))
	require.NotEmpty(t, doc.Builds)
	for _, b := range doc.Builds {
		for _, c := range b.Checks {
			want := (c.Limit - c.Value) / c.Limit
			if c.Sense == "min" {
				want = -want
			}
			// value, limit and margin are printed with six digits each
			printed := 5e-6 * (2 + math.Abs(c.Value/c.Limit) + math.Abs(c.Margin))
			if c.Sense == "max" {
				require.GreaterOrEqual(t, c.Margin, min(1, want)-printed, "build %d, %s",
					b.Rank, c.Name)
			}
			if c.Unit == "T" || c.Unit == "W" || c.Unit == "m" {
				require.InDelta(t, min(1, want), c.Margin, printed, "build %d, %s", b.Rank, c.Name)
			}
			require.Equal(t, c.Margin >= 0, c.Passed, "build %d, %s", b.Rank, c.Name)
		}
	}
	require.True(t, sort.SliceIsSorted(doc.Builds,
		func(i, j int) bool { return doc.Builds[i].Rank < doc.Builds[j].Rank }))
}

// The built-in drawer answers at least thirty targets, at least eight of them buildable, some after
// buying and some refused with a cure. Source of the counts: the issue that asks for the command.
func TestSurveyOfTheBuiltInDrawer(t *testing.T) {
	var doc advise.Survey
	require.NoError(t, json.Unmarshal([]byte(surveyed().stdout), &doc))
	buildable, bought, cured := 0, 0, 0
	for _, l := range doc.Targets {
		switch {
		case l.Best == nil:
			require.NotEmpty(t, l.Refused, l.Target.Name)
			if l.Refused[0].Cure != "" {
				cured++
			}
		case l.Best.Verdict == substitute.Feasible:
			require.Empty(t, l.Missing)
			buildable++
		default:
			require.NotEmpty(t, l.Missing)
			bought++
		}
	}
	require.GreaterOrEqual(t, len(doc.Targets), 30)
	require.GreaterOrEqual(t, buildable, 8)
	require.Positive(t, bought)
	require.Positive(t, cured)
}

// --pick cuts the document to one build and changes nothing else; --builds cuts the end of the
// list.
func TestPickAndBuilds(t *testing.T) {
	whole := advised(t)
	words := append(ask("advise", fourCells...), "--json")
	picked := document(t, runWords(append(words, "--pick", "3")...).stdout).(map[string]any)
	require.Equal(t, whole["builds"].([]any)[2:3], picked["builds"])
	few := document(t, runWords(append(words, "--builds", "2")...).stdout).(map[string]any)
	require.Equal(t, whole["builds"].([]any)[:2], few["builds"])
	for _, field := range []string{"target", "refused", "searched", "cautions"} {
		require.Equal(t, whole[field], picked[field])
		require.Equal(t, whole[field], few[field])
	}
	require.NotContains(t, whole["searched"], "seconds")
}
