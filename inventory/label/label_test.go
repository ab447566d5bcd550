package label_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/inventory/label"
)

func resistor(ohm si.Resistance, tolerance si.Ratio) catalog.Resistor {
	r := catalog.Resistor{Named: catalog.Named{Name: "film"}, Resistance: catalog.Of(ohm)}
	if tolerance > 0 {
		r.Tolerance = catalog.Of(tolerance)
	}
	return r
}

// Bands read off the table of IEC 60062 by hand, codes off IEC 60757; RD = 2, VT = 7, OG = x1000,
// GD = 5 %, BN = 1 %.
func TestBandsOfResistors(t *testing.T) {
	for _, c := range []struct {
		part catalog.Resistor
		want string
		note string
	}{
		{resistor(27e3, 0.05), "RD VT OG GD", ""},
		{resistor(4.7e3, 0.01), "YE VT BK BN BN", ""},
		{resistor(4.99e3, 0.01), "YE WH WH BN BN", ""},
		{resistor(0.22, 0.05), "RD RD SR GD", ""},
		{resistor(1e6, 0.1), "BN BK GN SR", ""},
		{resistor(33, 0.2), "OG OG BK", "no fourth band"},
		{resistor(470, 0), "YE VT BN", "tolerance not known"},
		{resistor(499, 0), "YE WH WH BK", "tolerance not known"},
		{resistor(4683, 0.01), "", ""}, // four figures: no code
		{resistor(10e3, 0.03), "", ""}, // 3 %: no colour
	} {
		l := label.Of([]inventory.Lot{{ID: 1, Part: c.part, Count: 1}})[0]
		var got []string
		for _, b := range l.Bands {
			got = append(got, b.Code)
		}
		require.Equal(t, c.want, strings.Join(got, " "), "%v", c.part)
		require.Equal(t, c.note, l.BandNote, "%v", c.part)
	}
}

// A meter does not repaint a resistor: the bands are those of the printed value, the reading stands
// among the figures.
func TestReadingsDoNotChangeBands(t *testing.T) {
	l := label.Of([]inventory.Lot{{Part: resistor(4.7e3, 0.05), Count: 1,
		Measured: []inventory.Measurement{{Field: "resistance", Value: 4683, Error: 0.002}}}})[0]
	require.Len(t, l.Bands, 4)
	require.Equal(t, "4.7 kΩ 5 %", l.Value)
	require.Equal(t, "measured resistance 4.683\u00a0kΩ", l.Figures)
}

// Labels come by bin and lot whatever the order of lots, emptied lots get none, and the page is the
// same every time.
func TestLabelsAreInTheOrderOfTheBins(t *testing.T) {
	lots := exchange.Demo().Lots
	turned := slices.Clone(lots)
	slices.Reverse(turned)
	require.Equal(t, label.Of(lots), label.Of(turned))
	empty := lots[0]
	empty.Count = 0
	require.Empty(t, label.Of([]inventory.Lot{empty}))
	paper, ok := label.PaperNamed("letter")
	require.True(t, ok)
	require.Equal(t, 7, paper.Rows)
	a, err := label.Page(label.Of(lots), paper)
	require.NoError(t, err)
	b, err := label.Page(label.Of(turned), paper)
	require.NoError(t, err)
	require.Equal(t, a, b)
	require.NotContains(t, string(a), "ZgotmplZ")
	require.NotContains(t, string(a), "src=")
	_, ok = label.PaperNamed("A5")
	require.False(t, ok)
	_, err = label.Page(nil, label.Paper{Name: "stamp"})
	require.ErrorContains(t, err, "no room")
}
