package catalog_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
)

var nan, inf = math.NaN(), math.Inf(1)

// build makes a part from "field=text" words and returns the error.
func build(t *testing.T, k catalog.Kind, name string, words ...string) (catalog.Part, error) {
	t.Helper()
	var entries []catalog.Entry
	for _, w := range words {
		field, text, ok := strings.Cut(w, "=")
		require.True(t, ok, w)
		entries = append(entries, catalog.Entry{Field: field, Text: text})
	}
	return catalog.ParseFields(k, name, entries)
}

func TestNames(t *testing.T) {
	good := []string{"x", "10k 1%", "\u03a9-meter", strings.Repeat("\u00e4", 64)}
	bad := map[string]string{
		"": "no name", "   ": "no name", strings.Repeat("x",
			65): "longer than 64", "a\x00b": "control character",
		"a\nb":     "control character",
		"a\u202eb": "writing direction", "a\u2066b": "writing direction",
		"a\xffb": "not valid UTF-8", "a\u200bb": "invisible",
		"\ufeffa": "invisible", "a\u0085b": "control character",
	}
	r := catalog.Resistor{Resistance: catalog.Of[si.Resistance](1)}
	for _, name := range good {
		r.Name = name
		require.NoError(t, r.Validate(), "%q", name)
	}
	for name, says := range bad {
		r.Name = name
		require.ErrorContains(t, r.Validate(), says, "%q", name)
	}
	r.Name = " x"
	require.ErrorContains(t, r.Validate(), "blanks at the ends")
}

// Contradictions inside a part, each with a word of the message; and beside it a part that is
// sound.
func TestContradictions(t *testing.T) {
	for _, c := range []struct {
		kind  catalog.Kind
		words []string
		says  string // empty: sound
	}{
		// Magnetics 2013 catalogue: E25/13/7 51.8 mm2, 57.8 mm, 2990 mm3
		{catalog.KindCore, []string{"area=51.8mm2", "path=57.8mm", "volume=2990mm3"}, ""},
		{catalog.KindCore, []string{"area=51.8mm2", "path=57.8mm", "volume=2.99mm3"}, "volume"},
		{catalog.KindCore, []string{"area=51.8mm2", "path=57.8mm", "volume=3300mm3"}, "area times path gives 2994 mm"},
		{catalog.KindCore, []string{"area=51.8mm2", "path=57.8mm", "volume=~3300mm3"}, ""},
		{catalog.KindCore, []string{"d=9mm", "window_height=18mm"}, ""},
		{catalog.KindCore, []string{"d=9mm", "window_height=9mm"}, "the halves give 18 mm"},
		{catalog.KindCore, []string{"family=EI", "d=10.2mm", "window_height=10.2mm"}, ""},
		{catalog.KindCore, []string{"family=EI", "d=10.2mm", "window_height=20.4mm"}, "the halves give 10.2 mm"},
		{catalog.KindCore, []string{"a=25mm", "e=26mm"}, `a "25mm": 25 mm is below the e of 26 mm`},
		{catalog.KindCore, []string{"area=50mm2", "area_min=70mm2"}, "smallest section"},
		{catalog.KindCore, []string{"area=50mm2", "area_min=51mm2"}, ""},
		{catalog.KindCore, []string{"window_width=5mm", "former_height=6mm"}, "window_width"},
		{catalog.KindWire, []string{"insulation=enamelled", "diameter=0.5mm", "overall=0.4mm"}, "overall"},
		{catalog.KindWire, []string{"insulation=enamelled", "diameter=0.5mm", "resistance=87.8mohm/m"}, ""}, // 1/58 / area
		{catalog.KindWire, []string{"insulation=enamelled", "diameter=0.5mm",
			"resistance=878mohm/m"},
			"copper of that diameter has 87.81"},
		{catalog.KindFilm, []string{"form=sheet", "thickness=50um", "thickness_min=55um"}, "thickness"},
		{catalog.KindSwitcher, []string{"control=on-off", "limit_min=0.5A", "limit=0.4A"}, "limit"},
		{catalog.KindSwitcher, []string{"control=on-off", "limit_min=0.5A", "limit_max=0.4A"}, "limit_max"},
		{catalog.KindSwitcher, []string{"control=on-off", "frequency=100k", "frequency_max=90k"}, "frequency_max"},
		{catalog.KindSwitcher, []string{"control=on-off", "sealed_230v=10W", "sealed_wide=12W"}, "sealed_230v"},
		{catalog.KindSwitcher, []string{"control=on-off", "setting=internal", "sense=0.5V"}, "use setting=external"},
		{catalog.KindSwitcher, []string{"control=valley-duty", "setting=external", "sense=0.5V"}, ""},
		{catalog.KindSwitcher, []string{"control=on-off", "on_resistance=10ohm", "on_hot=5ohm"}, "on_hot"},
		{catalog.KindRectifier, []string{"technology=schottky", "reverse=60V", "average=5A", "legs=1.5"}, "one leg or two"},
		{catalog.KindRectifier, []string{"technology=schottky", "reverse=60V", "average=5A", "surge=1A"}, "surge"},
		{catalog.KindClamp, []string{"breakdown=200V", "standoff=220V"}, "breakdown"},
		// 100 V x 10 mA = 1 W
		{catalog.KindZener, []string{"voltage=100V", "power=0.5W", "at=10mA"}, "at"},
		{catalog.KindOptocoupler, []string{"ratio_min=2", "ratio_max=1", "isolation=5kV"}, "ratio_max"},
		{catalog.KindAmplifier, []string{"function=combined", "supply_min=3V", "supply_max=32V"}, "has a reference"},
		{catalog.KindAmplifier, []string{"function=dual", "supply_min=3V", "supply_max=32V", "vref=2.5V"}, "combined one"},
		{catalog.KindAmplifier, []string{"function=dual", "supply_min=33V", "supply_max=32V"}, "outside the possible range"},
		{catalog.KindAmplifier, []string{"function=dual", "supply_min=10V", "supply_max=5V"}, "supply_max"},
		{catalog.KindReference, []string{"vref=2.495V", "vref_min=2.5V"}, "vref"},
		{catalog.KindTrimmer, []string{"resistance=100R", "end=200R"}, "resistance"},
		{catalog.KindCapacitor, []string{"dielectric=electrolytic", "capacitance=1u",
			"volts=50V", "safety=Y1"},
			"film and ceramic only"},
		{catalog.KindCapacitor, []string{"dielectric=ceramic", "capacitance=2n2", "volts=250V", "safety=Y1"}, ""},
		{catalog.KindCapacitor, []string{"dielectric=ceramic", "capacitance=2u2", "volts=250V", "safety=Y2"}, "nanofarads"},
		{catalog.KindCapacitor, []string{"dielectric=film", "capacitance=470n", "volts=275V", "safety=X2"}, ""},
	} {
		_, err := build(t, c.kind, "x", c.words...)
		if c.says == "" {
			require.NoError(t, err, "%v", c.words)
			continue
		}
		require.ErrorContains(t, err, c.says, "%v", c.words)
	}
}

// A measured figure may lie outside the printed limits: the part is then what it is.
func TestMeasuredMayLeaveThePrintedLimits(t *testing.T) {
	p, err := build(t, catalog.KindSwitcher, "x", "control=on-off", "limit_min=0.3A", "limit=0.4A",
		"limit_max=0.5A")
	require.NoError(t, err)
	p, err = catalog.WithMeasured(p, "limit", 0.6)
	require.NoError(t, err)
	require.NoError(t, p.Validate())
}
