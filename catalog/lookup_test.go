package catalog_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
)

func TestLookup(t *testing.T) {
	for _, c := range []struct {
		kind        catalog.Kind
		typed, want string
		firm        bool // the same name, or a suffix known to name only the case
	}{
		{catalog.KindSwitcher, "viper12a", "VIPer12A", true},
		{catalog.KindSwitcher, "VIPer12ADIP", "VIPer12ADIP", true},
		{catalog.KindSwitcher, "NCP1014AP06", "NCP1014", false},
		{catalog.KindSwitcher, "TOP 244 Y", "TOP244Y", true},
		{catalog.KindSwitcher, "TOP223PN", "TOP223", false},
		{catalog.KindSwitcher, "AP8012 Chipown", "AP8012 (Chipown)", true},
		{catalog.KindOptocoupler, "PC817 C", "PC817C", true},
		{catalog.KindOptocoupler, "pc817", "PC817", true},
		{catalog.KindOptocoupler, "PC817X3NSZ0F", "PC817C", false},
		{catalog.KindOptocoupler, "4N35M", "4N35", false},
		{catalog.KindAmplifier, "LM358N", "LM358", true},
		{catalog.KindAmplifier, "LM358AN", "LM358A", true},
		{catalog.KindReference, "TL431CLP", "TL431", true},
		{catalog.KindReference, "TL431ACLP", "TL431A", true},
		{catalog.KindReference, "TL431XYZ", "TL431", false},
		{catalog.KindRectifier, "SB560", "SB560", true},
		{catalog.KindRectifier, "mur460-e3", "MUR460", false}, {catalog.KindFilm,
			"Polyester film 50 um",
			"polyester film 50 um", true},
		{catalog.KindWire, "awg24", "AWG 24", true}, {catalog.KindWire, "0.5mm", "IEC 0.500", true},
	} {
		p, source, ok := catalog.Lookup(c.kind, c.typed)
		require.True(t, ok, c.typed)
		require.Equal(t, c.want, p.Designation(), c.typed)
		require.NotEmpty(t, source.Document)
		listed, _, _ := catalog.Lookup(c.kind, c.want)
		if c.firm {
			require.Equal(t, listed, p, c.typed)
			continue
		}
		for _, v := range catalog.Describe(p).Values {
			require.True(t, !v.Numeric || v.Basis <= catalog.Estimated, "%s %s", c.typed, v.Field)
		}
	}
	for kind, names := range map[catalog.Kind][]string{
		catalog.KindSwitcher: {"", "AP8012", "TOP2", "VIPer", "NCP10145", "NCP1014ABCDEFGHI"},
		// reverse pairs, and another type number
		catalog.KindRectifier: {"MBR20100CTR", "MBR20100CTS", "SB5600"},
		catalog.KindResistor:  {"10k"},
	} {
		for _, name := range names {
			_, _, ok := catalog.Lookup(kind, name)
			require.False(t, ok, name)
		}
	}
}

func TestSuggest(t *testing.T) {
	require.Equal(t, []string{"AP8012 (Chipown)", "AP8012 (Chipown) DIP8", "AP8012 (AiT)",
		"AP8012A (AiT)"},
		catalog.Suggest(catalog.KindSwitcher, "AP8012"))
	require.Contains(t, catalog.Suggest(catalog.KindSwitcher, "NCP1041"), "NCP1014")
	require.Contains(t, catalog.Suggest(catalog.KindOptocoupler, "PC871"), "PC817")
	require.Empty(t, catalog.Suggest(catalog.KindSwitcher, "zzzzzzzzzzzz"))
	require.Empty(t, catalog.Suggest(catalog.KindSwitcher, ""))
	require.Empty(t, catalog.Suggest(catalog.KindResistor, "10k"))
	for _, k := range catalog.Kinds() {
		require.LessOrEqual(t, len(catalog.Suggest(k, "TOP")), 5)
	}
}

func TestNotesAndMakers(t *testing.T) {
	require.Contains(t, catalog.NoteOf(catalog.KindAmplifier, "TS103"), "18 V")
	require.Equal(t, "onsemi", catalog.MakerOf(catalog.KindSwitcher, "NCP1014"))
	require.Empty(t, catalog.NoteOf(catalog.KindResistor, "10k"))
	require.Equal(t, catalog.Source{}, catalog.SourceOf(catalog.KindSwitcher, "banana"))
}

func TestNamedLookups(t *testing.T) {
	f, ok := catalog.FilmNamed("polyimide film 25 um")
	require.True(t, ok)
	near(t, float64(f.Thickness.Value), 25.4e-6, 1e-9, "1 mil Kapton HN")
	o, ok := catalog.OptocouplerNamed("CNY17F-3")
	require.True(t, ok)
	near(t, float64(o.RatioMin.Value), 1, 1e-9, "Infineon CNY17F group 3: 100 to 200 %")
	a, ok := catalog.AmplifierNamed("AP4310A")
	require.True(t, ok)
	near(t, float64(a.SupplyMax.Value), 36, 1e-9, "BCD AP4310A")
	r, ok := catalog.ReferenceNamed("TLV431")
	require.True(t, ok)
	near(t, float64(r.CathodeVolts.Value), 6, 1e-9, "TI SLVS139: 6 V cathode")
	_, ok = catalog.ReferenceNamed("banana")
	require.False(t, ok)
	require.Equal(t, "published", catalog.Published.String())
}
