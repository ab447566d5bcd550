package typed_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/catalog/typed"
)

func figure(t *testing.T, k catalog.Kind, name, text, dielectric string) (typed.Value, error) {
	t.Helper()
	f, ok := catalog.FieldNamed(k, name)
	require.True(t, ok, name)
	return typed.Figure(k, f, text, dielectric)
}

// What is typed for a figure, with what it must become. said tells whether the answer has to say
// how it was read.
//
// Sources: m, M, K: IEC 60062 with SI prefixes; 103, 104, 107: figure code of IEC 60062; 0R22,
// 4K7J: IEC 60062; current transfer ratio in percent, capacitance of electrolytics in uF, film in
// uF, spool in g, wire in mm, film in um: common practice, no source.
func TestFigures(t *testing.T) {
	for _, x := range []struct {
		kind              catalog.Kind
		field, text, make string
		want              float64
		said              bool
	}{
		{"resistor", "resistance", "100m", "", 0.1, false},
		{"resistor", "resistance", "4m7", "", 4.7e-3, false},
		{"resistor", "resistance", "100M", "", 100e6, false},
		{"resistor", "resistance", "0.1 ohm", "", 0.1, false},
		{"resistor", "resistance", "4K7J", "", 4700, false},
		{"resistor", "resistance", "0R22", "", 0.22, false},
		{"resistor", "resistance", "10", "", 10, false},
		{"trimmer", "resistance", "5k", "", 5000, false},
		{"optocoupler", "ratio_min", "50", "", 0.5, true},
		{"optocoupler", "ratio_min", "50%", "", 0.5, false},
		{"optocoupler", "ratio_max", "600", "", 6, true},
		{"optocoupler", "ratio_min", "0.5", "", 0.5, true},
		{"capacitor", "capacitance", "47", "electrolytic", 47e-6, true},
		{"capacitor", "capacitance", "220", "electrolytic", 220e-6, true},
		{"capacitor", "capacitance", "107", "polymer", 100e-6, true},
		{"capacitor", "capacitance", "0.1", "film", 0.1e-6, true},
		{"capacitor", "capacitance", "104", "film", 100e-9, true},
		{"capacitor", "capacitance", "47", "ceramic", 47e-12, true},
		{"capacitor", "capacitance", "1m", "", 1e-3, false},
		{"capacitor", "capacitance", "10m", "", 10e-3, false},
		{"capacitor", "capacitance", "4n7", "", 4.7e-9, false},
		{"wire", "diameter", "0.35", "", 0.35e-3, true},
		{"film", "thickness", "50", "", 50e-6, true},
		{"film", "thickness", "0.05", "", 50e-6, true},
		{"core", "gap", "0.35", "", 0.35e-3, true},
		{"core", "al", "250", "", 250e-9, true},
		{"resistor", "tolerance", "5", "", 0.05, true},
		{"switcher", "frequency", "132", "", 132e3, true},
		{"rectifier", "recovery", "75", "", 75e-9, true},
	} {
		v, err := figure(t, x.kind, x.field, x.text, x.make)
		require.NoError(t, err, x)
		require.InEpsilon(t, x.want, v.Number, 1e-12, x)
		require.Equal(t, x.said, v.Said != "", "%v %q", x, v.Said)
	}
}

// What has two readings is refused with both named.
func TestAmbiguousFigures(t *testing.T) {
	for _, x := range []struct {
		kind              catalog.Kind
		field, text, make string
		both              [2]string
	}{
		{"resistor", "resistance", "103", "", [2]string{"103 ohm", "10 kohm"}},
		{"resistor", "resistance", "220", "", [2]string{"220 ohm", "22 ohm"}},
		{"trimmer", "resistance", "103", "", [2]string{"103 ohm", "10 kohm"}},
		{"trimmer", "resistance", "500", "", [2]string{"500 ohm", "50 ohm"}},
		{"adapter", "top", "472", "", [2]string{"472 ohm", "4.7 kohm"}},
		{"resistor", "resistance", "4E7", "", [2]string{"4.7 ohm", "40 Mohm"}},
		{"resistor", "resistance", "22E", "", [2]string{"22 ohm", "1.65 Mohm"}},
		{"capacitor", "capacitance", "47", "", [2]string{"47 pF", "47 uF"}},
		{"capacitor", "capacitance", "220", "ceramic", [2]string{"22 pF", "220 pF"}},
		{"optocoupler", "ratio_min", "6", "", [2]string{"6%", "600%"}},
		{"resistor", "tolerance", "0.1", "", [2]string{"0.1%", "10%"}},
		{"film", "width", "1", "", [2]string{"1mm", "1 m"}},
	} {
		_, err := figure(t, x.kind, x.field, x.text, x.make)
		var fault catalog.Fault
		require.ErrorAs(t, err, &fault, x)
		require.Contains(t, fault.Why, x.both[0], x)
		require.Contains(t, fault.Why, x.both[1], x)
		for _, cure := range strings.Split(strings.TrimPrefix(fault.Cure, "write "), " or ") {
			v, err := figure(t, x.kind, x.field, cure, x.make)
			require.NoError(t, err, "the cure %q of %v", cure, x)
			require.Empty(t, v.Said, "the cure %q of %v says itself", cure, x)
		}
	}
}

// A prefix keeps its meaning whatever the kind of part: the case of m tells milli from mega.
func TestCaseOfThePrefix(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		digits := rapid.StringMatching(`[1-9][0-9]{0,2}`).Draw(t, "digits")
		behind := rapid.StringMatching(`[0-9]{0,2}`).Draw(t, "decimals")
		kind := rapid.SampledFrom([]catalog.Kind{"resistor", "trimmer", "capacitor"}).Draw(t,
			"kind")
		field := map[bool]string{true: "capacitance", false: "resistance"}[kind == "capacitor"]
		f, _ := catalog.FieldNamed(kind, field)
		v, err := typed.Figure(kind, f, digits+"m"+behind, "")
		want, parseErr := f.Dimension().Parse(digits + "." + behind + "0e-3")
		if err != nil || parseErr != nil {
			t.Fatal(err, parseErr)
		}
		if off := v.Number/want - 1; off > 1e-9 || off < -1e-9 {
			t.Fatalf("%sm%s is %v, not %v", digits, behind, v.Number, want)
		}
	})
}

// What Exact writes is read back as the same number, and says itself.
func TestExactSaysItself(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kind := rapid.SampledFrom(catalog.Kinds()).Draw(t, "kind")
		var fields []catalog.Field
		for _, f := range catalog.Schema(kind) {
			if f.Numeric && len(f.Usual) > 0 {
				fields = append(fields, f)
			}
		}
		if len(fields) == 0 {
			return
		}
		f := rapid.SampledFrom(fields).Draw(t, "figure")
		number := rapid.Float64Range(f.Low, f.High).Draw(t, "number")
		if !f.Within(number) {
			return
		}
		v, err := typed.Figure(kind, f, typed.Exact(f.Dimension(), number), "")
		if err != nil || v.Number != number || v.Said != "" && number != 0 {
			t.Fatalf("%s %v written %q is read as %+v, %v", f.Name, number,
				typed.Exact(f.Dimension(), number), v, err)
		}
	})
}

// One number is the nominal voltage of a public supply: 10 % either way (EN 50160, 4.2.2.2).
func TestMains(t *testing.T) {
	v, said, err := typed.Mains("230")
	require.NoError(t, err)
	require.Equal(t, si.Interval[si.Voltage]{Low: 207, High: 253}, v)
	require.Contains(t, said, "EN 50160")
	for text, want := range map[string]si.Interval[si.Voltage]{"195-265": {Low: 195, High: 265},
		"230-230":  {Low: 230, High: 230},
		"85..265V": {Low: 85, High: 265}} {
		v, said, err := typed.Mains(text)
		require.NoError(t, err, text)
		require.Equal(t, want, v)
		require.Empty(t, said)
	}
}

// A unit behind the last side counts for all; one behind some of them is refused.
func TestBox(t *testing.T) {
	for text, want := range map[string][3]si.Length{"90x60x40": {0.09, 0.06, 0.04},
		"9x6x4cm":    {0.09, 0.06, 0.04},
		"90x60x40cm": {0.9, 0.6, 0.4}, "9cm x 60mm x 4cm": {0.09, 0.06, 0.04}} {
		sides, err := typed.Box(text)
		require.NoError(t, err, text)
		for i := range sides {
			require.InEpsilon(t, float64(want[i]), float64(sides[i]), 1e-12, text)
		}
	}
	for _, bad := range []string{"9cmx6x4", "9cmx6cmx40", "9x6cmx4", "9x6"} {
		_, err := typed.Box(bad)
		require.Error(t, err, bad)
	}
}

// A designation gives what is missing and contradicts nothing.
func TestDesignation(t *testing.T) {
	p, _, err := typed.Part("resistor", "10k 1%", nil)
	require.NoError(t, err)
	require.Equal(t, catalog.Of(si.Resistance(10e3)), p.(catalog.Resistor).Resistance)
	require.Equal(t, catalog.Of(si.Ratio(0.01)), p.(catalog.Resistor).Tolerance)
	for _, bad := range [][]string{
		{"resistor", "10k 1%", "resistance=1k"},
		{"resistor", "10k 1%", "resistance=10k", "tolerance=5%"},
		{"resistor", "old 10k", "resistance=1k"}, {"resistor", "4K7J", "resistance=47k"},
		{"capacitor", "100n 400V X2", "dielectric=film", "capacitance=100n", "volts=250V"},
		{"capacitor", "2n2 Y2", "dielectric=ceramic", "capacitance=2n2", "volts=400V", "safety=Y1"},
		{"wire", "enamelled 0.3 mm", "insulation=triple-insulated", "diameter=0.3mm"},
		{"wire", "0.3 mm", "insulation=enamelled", "diameter=0.4mm"}, {"fuse", "T1A", "current=2A"},
		{"core", "EF20 pair", "shape=EF25"}, {"zener", "5V1", "voltage=5.6V"},
	} {
		_, _, err := typed.Part(catalog.Kind(bad[0]), bad[1], entries(bad[2:]))
		require.Error(t, err, bad)
	}
	for _, good := range [][]string{
		{"resistor", "R47 of the board", "resistance=10k"},
		{"resistor", "10k 1%", "resistance=!9.93k", "tolerance=1%"},
		{"capacitor", "2n2 Y1 X1", "dielectric=ceramic", "capacitance=2n2", "volts=400V",
			"safety=Y1"},
		{"resistor", "10 k", "resistance=10000ohm"},
	} {
		_, _, err := typed.Part(catalog.Kind(good[0]), good[1], entries(good[2:]))
		require.NoError(t, err, good)
	}
}

func entries(pairs []string) []catalog.Entry {
	var out []catalog.Entry
	for _, p := range pairs {
		name, text, _ := strings.Cut(p, "=")
		out = append(out, catalog.Entry{Field: name, Text: text})
	}
	return out
}

// A wire of which only the diameter is known is no triple-insulated one.
func TestNothingSuggestedUpward(t *testing.T) {
	for _, name := range []string{"0.35 mm", "0.5 mm", "0,35 mm", "0.35mm", "TIW"} {
		_, _, err := typed.Part("wire", name, entries([]string{"diameter=0.35mm"}))
		require.Error(t, err, name)
		require.NotContains(t, err.Error(), "TIW 0", name)
	}
}
