package main

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/typed"
	"sparewright/cmd/sparewright/internal/drawer"
	"sparewright/cmd/sparewright/internal/frame"
)

// Every figure a part can have can be listed by range.
func TestEveryFigureHasARangeReader(t *testing.T) {
	for _, k := range catalog.Kinds() {
		for _, f := range catalog.Schema(k) {
			if !f.Numeric {
				_, _, _, err := drawer.FigureRange(k, f, "1-2", "")
				require.ErrorContains(t, err, "is a word")
				continue
			}
			text := typed.Exact(f.Dimension(), 1) + "-" + typed.Exact(f.Dimension(), 2)
			low, high, said, err := drawer.FigureRange(k, f, text, "")
			require.NoError(t, err, "%s %s", k, f.Name)
			require.InEpsilon(t, 1, low, 1e-12)
			require.InEpsilon(t, 2, high, 1e-12)
			require.Empty(t, said)
		}
	}
}

// A range reads bare numbers as put does, in the units the trade prints (common practice, no
// source), and refuses what put refuses: 100 is 10 ohm as a code (IEC 60062).
func TestRangesReadAsPut(t *testing.T) {
	for _, x := range []struct {
		kind, figure, text, dielectric string
		low, high                      float64
	}{
		{"film", "thickness", "50-100", "", 50e-6, 100e-6},
		{"wire", "diameter", "0.2-0.5", "", 0.2e-3, 0.5e-3},
		{"resistor", "tolerance", "1-5", "", 0.01, 0.05},
		{"switcher", "frequency", "60-130", "", 60e3, 130e3},
		{"core", "al", "1500-2500", "", 1500e-9, 2500e-9},
		{"optocoupler", "ratio_min", "50-100", "", 0.5, 1},
		{"capacitor", "capacitance", "100-470uF", "", 100e-6, 470e-6},
		{"resistor", "resistance", "1k-10k", "", 1e3, 10e3},
		{"capacitor", "capacitance", "10-47", "electrolytic", 10e-6, 47e-6},
		{"resistor", "resistance", "4K7J-5K6", "", 4700, 5600},
		{"rectifier", "reverse", "60-200", "", 60, 200},
		{"capacitor", "capacitance", "104", "film", 100e-9, 100e-9},
	} {
		f, ok := catalog.FieldNamed(catalog.Kind(x.kind), x.figure)
		require.True(t, ok)
		low, high, _, err := drawer.FigureRange(catalog.Kind(x.kind), f, x.text, x.dielectric)
		require.NoError(t, err, x.text)
		require.InEpsilon(t, x.low, low, 1e-12, x.text)
		require.InEpsilon(t, x.high, high, 1e-12, x.text)
	}
	for _, x := range [][3]string{{"resistor", "resistance", "100-470"},
		{"resistor", "resistance", "103"}, {"film", "thickness", "0.05-100"},
		{"capacitor", "capacitance", "10-47"}, {"resistor", "resistance", "10k-1k"},
		{"resistor", "resistance", "1k-4E7"},
		{"choke", "inductance", "1-10"}} {
		f, _ := catalog.FieldNamed(catalog.Kind(x[0]), x[1])
		_, _, _, err := drawer.FigureRange(catalog.Kind(x[0]), f, x[2], "")
		require.Error(t, err, x)
	}
}

// list and swap say how they read a bare number, and ask where kinds would read it differently.
func TestListAndSwapSayWhatTheyRead(t *testing.T) {
	r := runWords("list", "film", "--between", "40-60", "--demo")
	require.Contains(t, r.stderr, "note: thickness 40 is read as 40um")
	r = runWords("swap", "--kind", "resistor", "--need", "tolerance<=1 resistance=1k-10k", "--demo")
	require.Contains(t, r.stdout, "note: tolerance 1 is read as 1%")
	r = runWords("swap", "--kind", "resistor", "--need", "resistance>=103", "--demo")
	require.Equal(t, frame.StatusUsage, r.status)
	require.Contains(t, r.stderr, "the code for 10 kohm")
	r = runWords("list", "--figure", "current", "--between", "1-20", "--demo")
	require.Equal(t, frame.StatusUsage, r.status)
	require.Contains(t, r.stderr, "read it differently")
}
