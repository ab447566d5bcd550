package catalog_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
)

// What these parts are stands on the first page of their data sheets (from memory).
func TestOutOfScopeSaysWhy(t *testing.T) {
	for name, what := range map[string]string{
		"LM7805": "a linear regulator", "L7812CV": "a linear regulator",
		"78L05": "a linear regulator", "7805": "a linear regulator", "LM317T": "a linear regulator",
		"lm 317": "a linear regulator", "AMS1117-3.3": "a linear regulator",
		"L6562D": "a power-factor controller", "NCP1606B": "a power-factor controller",
		"MC33262P": "a power-factor controller", "TDA2030A": "an audio amplifier",
		"LM386N-1": "an audio amplifier", "TDA7294": "an audio amplifier",
		"L6599D":      "a half-bridge or push-pull controller",
		"MC34063A":    "a converter for low d.c. voltages",
		"LM2596S-ADJ": "a converter for low d.c. voltages", "NE555P": "a timer",
		"MOC3041": "a triac optocoupler", "MJE13005": "a bipolar transistor",
		"2SC5027": "a bipolar transistor", "BT136-600E": "a thyristor, triac or diac",
		"TEA1761T": "a synchronous-rectifier controller",
		"LM324N":   "an operational amplifier or comparator that no loop here uses",
	} {
		got, ok := catalog.OutOfScope(name)
		require.True(t, ok, name)
		require.Equal(t, what, got.What, name)
		require.NotEmpty(t, got.Why, name)
	}
}

// A part that a table lists, a value and a word are never called useless.
func TestOutOfScopeLeavesTheRestAlone(t *testing.T) {
	for _, k := range catalog.Kinds() {
		for _, p := range parts(k) {
			_, stranger := catalog.OutOfScope(p.Designation())
			require.False(t, stranger, "%s %s", k, p.Designation())
		}
	}
	for _, name := range []string{"", "4k7", "103", "1k", "grey pair", "12V", "EF20", "LM358",
		"TL431",
		"PC817", "LM31", "LM3170", "LM78", "TDA", "TDA2", "L656", "resistor"} {
		_, stranger := catalog.OutOfScope(name)
		require.False(t, stranger, name)
	}
}
