package catalog_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
)

// Kinds and figures are read by the words of earlier versions, and only by words that are none
// today.
func TestEarlierWords(t *testing.T) {
	k, err := catalog.ParseKind(" Lamp ")
	require.NoError(t, err)
	require.Equal(t, catalog.KindLED, k)
	for word := range catalog.EarlierKinds {
		require.NotContains(t, catalog.Kinds(), catalog.Kind(word))
	}
	p, err := catalog.ParseFields(catalog.KindAdapter, "brick", []catalog.Entry{
		{Field: "volts", Text: "12V"}, {Field: "amps", Text: "1A"}, {Field: "lamp_resistor",
			Text: "470R"}})
	require.NoError(t, err)
	require.Equal(t, si.Resistance(470), p.(catalog.Adapter).LEDResistor.Value)
	_, err = catalog.ParseFields(catalog.KindAdapter, "brick", []catalog.Entry{
		{Field: "led_resistor", Text: "470R"}, {Field: "lamp_resistor", Text: "470R"}})
	require.ErrorContains(t, err, "given twice")
	require.Equal(t, "an adapter", catalog.KindAdapter.WithArticle())
	require.Equal(t, "a core", catalog.KindCore.WithArticle())
	require.Equal(t, "an led", catalog.KindLED.WithArticle())
}
