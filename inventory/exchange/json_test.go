package exchange_test

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
)

// The names in the first lines are those fixed by the project's contract for scripts.
func TestLotsDocument(t *testing.T) {
	l := inventory.Lot{ID: 12, Count: 40, SetAside: 2, Bin: "B4", Condition: inventory.Tested,
		Note: "a<b \u00b5",
		Part: catalog.Resistor{Named: catalog.Named{Name: "10k 1%"},
			Resistance: catalog.Of(si.Resistance(10e3)),
			Tolerance:  catalog.Of(si.Ratio(0.01)), Rating: catalog.Guess(si.Power(0.25)),
			Drift: catalog.Of(si.TempCo(1e-4)), Type: "film"},
		Measured: []inventory.Measurement{
			{Field: "resistance", Value: 9980, Error: 0.002, Text: "9.98k +-0.2%"}}}
	var b bytes.Buffer
	require.NoError(t, exchange.EncodeLots(&b, []inventory.Lot{l}))
	require.Equal(t, `{
  "lots": [
    {
      "lot": 12,
      "kind": "resistor",
      "designation": "10k 1%",
      "count": 40,
      "available": 38,
      "unit": "piece",
      "bin": "B4",
      "condition": "tested",
      "note": "a<b µ",
      "part": {
        "resistance_ohm": 9980,
        "tolerance": 0.002,
        "power_w": 0.25,
        "drift_per_k": 0.0001,
        "type": "film",
        "basis": {
          "resistance_ohm": "measured",
          "tolerance": "measured",
          "power_w": "estimated",
          "drift_per_k": "published"
        }
      },
      "measured": [
        {
          "figure": "resistance_ohm",
          "value": 9980,
          "meter_error": 0.002,
          "text": "9.98k +-0.2%"
        }
      ]
    }
  ]
}
`, b.String())
}

func TestEmptyDocument(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, exchange.EncodeLots(&b, nil))
	require.Equal(t, "{\n  \"lots\": []\n}\n", b.String(), "an array, never null")
	plain, err := json.Marshal(exchange.PartDocument(catalog.LED{Colour: "red"}))
	require.NoError(t, err)
	require.Equal(t, `{"colour":"red"}`, string(plain))
}

// Every figure carries its unit, and no two figures of a kind fall under one name.
func TestFigureNames(t *testing.T) {
	for _, k := range catalog.Kinds() {
		seen := map[string]bool{"basis": true}
		for _, f := range catalog.Schema(k) {
			name := exchange.FigureName(f)
			require.False(t, seen[name], "%s %s", k, name)
			seen[name] = true
			if f.Numeric && f.Unit != "" {
				require.NotEqual(t, f.Name, name, "%s %s has no unit", k, f.Name)
			}
		}
	}
	for _, c := range []struct {
		kind        catalog.Kind
		field, want string
	}{
		{catalog.KindCore, "gap", "gap_m"}, {catalog.KindCore, "area", "area_m2"},
		{catalog.KindCore, "volume", "volume_m3"}, {catalog.KindCore, "saturation", "saturation_t"},
		{catalog.KindCore, "rise", "rise_k_per_w"},
		{catalog.KindWire, "resistance", "resistance_ohm_per_m"},
		{catalog.KindSwitcher, "limit_min", "limit_min_a"},
		{catalog.KindSwitcher, "frequency", "frequency_hz"},
		{catalog.KindCapacitor, "capacitance", "capacitance_f"},
		{catalog.KindCapacitor, "heat", "heat_c"}, {catalog.KindResistor, "tolerance", "tolerance"},
	} {
		f, ok := catalog.FieldNamed(c.kind, c.field)
		require.True(t, ok)
		require.Equal(t, c.want, exchange.FigureName(f))
	}
}

func TestMovementsDocument(t *testing.T) {
	when := time.Date(2026, 3, 14, 12, 0, 0, 0, time.FixedZone("", 3600))
	require.Equal(t, []exchange.MovementJSON{
		{Delta: -2, Reason: "used", When: "2026-03-14T11:00:00Z"}},
		exchange.MovementsDocument([]inventory.Movement{{Delta: -2, Reason: "used", When: when}}))
}

// A number that JSON does not know must not slip out as something else.
func TestNaNIsRefused(t *testing.T) {
	p := catalog.Fuse{Named: catalog.Named{Name: "f"}, Current: catalog.Of(si.Current(math.NaN()))}
	_, err := json.Marshal(exchange.PartDocument(p))
	require.ErrorContains(t, err, "NaN")
}

func TestDemoDocumentIsJSON(t *testing.T) {
	var b strings.Builder
	require.NoError(t, exchange.EncodeLots(&b, exchange.Demo().Lots))
	var doc struct {
		Lots []struct {
			Lot       int64
			Available float64
			Part      map[string]any
		}
	}
	require.NoError(t, json.Unmarshal([]byte(b.String()), &doc))
	require.Len(t, doc.Lots, len(exchange.Demo().Lots))
	for _, l := range doc.Lots {
		require.NotEmpty(t, l.Part)
	}
}
