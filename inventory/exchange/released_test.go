package exchange_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/inventory/exchange"
)

const wholeHeader = "kind,designation,count,unit,bin,donor,condition,note,figures,measured\n"

// Rows as older versions exported them keep their meaning: bare ratios, figures of many digits in
// the base unit, readings in ohms, and designations that nothing was held against. The rows were
// written by those versions.
func TestEarlierExportsKeepTheirMeaning(t *testing.T) {
	for row, want := range map[string]map[string]float64{
		`resistor,4k7,1,piece,,,tested,,resistance=4.7 kohm; tolerance=0.1,`: {
			"resistance": 4700, "tolerance": 0.1},
		`resistor,4k7,1,piece,,,tested,,resistance=4.7 kohm; tolerance=~0.05; type=film,`: {
			"tolerance": 0.05},
		`optocoupler,x,1,piece,,,tested,,ratio_min=6; isolation=5 kV,`: {
			"ratio_min": 6},
		`choke,x,1,piece,,,tested,,use=output; inductance=10 mH; current=1 A,`: {
			"inductance": 0.01},
		`resistor,10k 1%,1,piece,,,tested,,resistance=1 kohm,`: {
			"resistance": 1000},
		`resistor,x,1,piece,,,tested,,resistance=472 ohm,resistance=472+-0.5%`: {
			"resistance": 472},
	} {
		lots, faults := exchange.ReadCSV(strings.NewReader(wholeHeader+row+"\n"), "old.csv")
		require.Empty(t, faults, row)
		for name, number := range want {
			for _, v := range catalog.Describe(lots[0].Part).Values {
				if v.Field == name {
					require.InEpsilon(t, number, v.Number, 1e-12, row)
				}
			}
		}
		if strings.Contains(row, "472+-") {
			require.InEpsilon(t, 472, lots[0].Measured[0].Value, 1e-12)
		}
		var again strings.Builder
		require.NoError(t, exchange.WriteCSV(&again, lots, false))
		back, faults := exchange.ReadCSV(strings.NewReader(again.String()), "new.csv")
		require.Empty(t, faults, again.String())
		require.Equal(t, lots, back, again.String())
	}
}

// What was typed by hand is read strictly, whatever the header: a figure with two readings is
// refused with both.
func TestTypedRowsAreReadStrictly(t *testing.T) {
	for _, row := range []string{
		`resistor,4k7,1,piece,,,tested,,resistance=4k7; tolerance=0.1,`,
		`resistor,x,1,piece,,,tested,,resistance=103,`,
		`resistor,10k 1%,1,piece,,,tested,,resistance=1k,`,
	} {
		_, faults := exchange.ReadCSV(strings.NewReader(wholeHeader+row+"\n"), "typed.csv")
		require.NotEmpty(t, faults, row)
	}
	const short = "kind,designation,count,figures\n"
	_, faults := exchange.ReadCSV(strings.NewReader(short+
		"resistor,x,1,resistance=4.7 kohm; tolerance=0.1\n"), "typed.csv")
	require.NotEmpty(t, faults)
}
