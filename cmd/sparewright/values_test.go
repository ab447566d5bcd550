package main

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog/si"
)

// near holds a float against its expectation; NaN never passes.
func near(t *testing.T, got, want, rel float64) {
	t.Helper()
	d := got - want
	require.True(t, d <= rel*want && -d <= rel*want, "got %g, want %g", got, want)
}

func TestQuantityOption(t *testing.T) {
	var q quantity[si.Current]
	require.False(t, q.given())
	for text, want := range map[string]float64{"1A": 1, "500mA": 0.5, "1": 1, "0.4 A": 0.4} {
		require.NoError(t, q.Set(text), text)
		near(t, float64(q.value), want, 1e-12)
		require.True(t, q.given())
		require.Equal(t, text, q.String())
	}
	for _, text := range []string{"NaN", "Inf", "1,5", "0x1p4", "", "1V", "one"} {
		require.Error(t, (&quantity[si.Current]{}).Set(text), text)
	}
}

// 100 is 10 ohm as a code (IEC 60062).
func TestOhmSpanOption(t *testing.T) {
	var s ohmSpan
	for _, text := range []string{"85-265R", "85..265ohm", "85-265 ohm", "85R-265R"} {
		require.NoError(t, s.Set(text), text)
		near(t, float64(s.value.Low), 85, 1e-12)
		near(t, float64(s.value.High), 265, 1e-12)
	}
	for _, text := range []string{"265R-85R", "NaN-265", "85R-", "85,5-265R", "100-470"} {
		require.Error(t, (&ohmSpan{}).Set(text), text)
	}
}

func TestWholeOption(t *testing.T) {
	w := whole{low: 1, high: 40}
	require.NoError(t, w.Set("4"))
	require.Equal(t, 4, w.value)
	for text, why := range map[string]string{
		"4.5":  "not a whole number; write digits only, such as 1",
		"four": "not a whole number; write digits only, such as 1",
		"+4":   "not a whole number; write digits only, such as 1", "0": "must be from 1 to 40",
		"41":                   "must be from 1 to 40",
		"99999999999999999999": "not a whole number; write digits only, such as 1",
	} {
		require.EqualError(t, w.Set(text), why, text)
	}
	require.Equal(t, 4, w.value, "a refused text changes nothing")
}

func TestChoiceOption(t *testing.T) {
	c := choice{words: chemistryWords}
	require.NoError(t, c.Set("LiFePO4"))
	require.Equal(t, "lifepo4", c.word)
	require.ErrorContains(t, c.Set("lifepo"), "did you mean lifepo4?")
	require.ErrorContains(t, c.Set("li"), "must be one of li-ion")
}

func TestBoxOption(t *testing.T) {
	for _, text := range []string{"90x60x40", "90X60X40", "90×60×40", "9cmx60mmx0.04m"} {
		var b box
		require.NoError(t, b.Set(text), text)
		for i, want := range []float64{0.09, 0.06, 0.04} {
			near(t, float64(b.sides[i]), want, 1e-12)
		}
	}
	for _, text := range []string{"90x60", "90x60x40x10", "90x60xNaN", "90x-60x40",
		"90x60x0", "axbxc", ""} {
		require.Error(t, (&box{}).Set(text), text)
	}
}

func TestTextsKeepCommas(t *testing.T) {
	var list texts
	require.NoError(t, list.Set("a=1,5"))
	require.NoError(t, list.Set("b=2"))
	require.Equal(t, texts{"a=1,5", "b=2"}, list)
}
