package report_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/substitute"
	"sparewright/substitute/report/sheet"
	"sparewright/substitute/seats"
)

// donorCase is the sheet of one kind of donor build.
func donorCase(t *testing.T, kind substitute.BuildKind) sheetCase {
	t.Helper()
	for _, k := range sheetCases(t) {
		if k.sheet.Build.Kind == kind {
			return k
		}
	}
	t.Fatalf("no sheet of kind %s", kind)
	return sheetCase{}
}

// joined is a text without its line breaks.
func joined(text string) string { return strings.Join(strings.Fields(text), " ") }

// The sheet of an unopened transformer tells its pins by what was measured: a secondary has the
// primary's inductance over the square of the ratio (L goes with N2), and nothing is wound.
func TestSheetOfUnopenedTransformer(t *testing.T) {
	k := donorCase(t, substitute.DonorTransformer)
	b, text := k.sheet.Build, joined(k.sheet.Text())
	require.Empty(t, b.Windings)
	require.Empty(t, k.sheet.Ends)
	require.NotContains(t, text, "WINDING CARD")
	require.NotContains(t, string(k.page), "Winding card")
	require.Contains(t, text, "TRANSFORMER CARD")
	require.Contains(t, string(k.page), "Transformer card")
	for _, line := range k.sheet.Card {
		require.Contains(t, text, joined(line))
	}
	// demo lot 282: 0.62 mH within 2 %, ratio 6.5: 620/6.5^2 = 14.7 uH within 2 % is 14.4 to 15.0
	// uH; leakage 8.5 uH as measured
	require.Contains(t, text, "Primary, A and C: the pair of pins with 608 µH to 632 µH, "+
		"1.3 Ω cold.")
	require.Contains(t, text, "the pair with about 14 µH to 15 µH, 40 mΩ cold")
	require.Contains(t, text, "must fall to about 8.5 µH")
	require.Contains(t, text, "never heat more than its pins")
}

// The sheet of an adapter says what is done to it, with its own optocoupler exchanged, and warns of
// its bulk capacitor.
func TestSheetOfWholeAdapter(t *testing.T) {
	k := donorCase(t, substitute.DonorAdapter)
	text := joined(k.sheet.Text())
	require.Equal(t, k.sheet.Build.Adapter.Steps, k.sheet.Card)
	for _, line := range k.sheet.Card {
		require.Contains(t, text, joined(line))
		require.Contains(t, joined(string(k.page)), strings.ReplaceAll(joined(line), "'", "&#39;"))
	}
	for _, none := range []string{"WINDING CARD", "Gap:", "T1 core", "0 t"} {
		require.NotContains(t, text, none)
	}
	require.NotContains(t, string(k.page), "MAINS SIDE")
	for _, id := range []seats.ID{seats.Adapter, seats.Amplifier, seats.Reference,
		seats.Optocoupler, seats.Shunt, seats.OutputFuse} {
		require.NotEmpty(t, sheet.Role(k.sheet.Build, id), id)
	}
}
