package catalog_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
)

func TestKinds(t *testing.T) {
	kinds := catalog.Kinds()
	require.Len(t, kinds, 22)
	require.Equal(t, catalog.KindCore, kinds[0])
	kinds[0] = "changed"
	require.Equal(t, catalog.KindCore, catalog.Kinds()[0], "the slice is a copy")
	for _, k := range catalog.Kinds() {
		got, err := catalog.ParseKind(" " + string(k) + " ")
		require.NoError(t, err)
		require.Equal(t, k, got)
	}
	_, err := catalog.ParseKind("resister")
	require.EqualError(t, err, `kind "resister": no such kind; did you mean resistor?`)
	_, err = catalog.ParseKind("banana")
	require.ErrorContains(t, err, "use one of core, wire")
}

// Every field has a description, a range or words, and a name of its own; the schema does not
// depend on the call.
func TestSchema(t *testing.T) {
	for _, k := range catalog.Kinds() {
		seen := map[string]bool{}
		fields := catalog.Schema(k)
		require.NotEmpty(t, fields, k)
		for _, f := range fields {
			require.Regexp(t, `^[a-z][a-z0-9_]*$`, f.Name, k)
			require.False(t, seen[f.Name], "%s %s twice", k, f.Name)
			seen[f.Name] = true
			require.NotEmpty(t, f.Doc, "%s %s", k, f.Name)
			if f.Numeric {
				require.Less(t, f.Low, f.High, "%s %s", k, f.Name)
				require.NotEmpty(t, f.Quantity, "%s %s", k, f.Name)
				require.NotNil(t, f.Dimension(), "%s %s", k, f.Name)
			}
			again, ok := catalog.FieldNamed(k, f.Name)
			require.True(t, ok)
			require.Equal(t, f, again)
		}
	}
	require.Empty(t, catalog.Schema("banana"))
	f, ok := catalog.FieldNamed(catalog.KindResistor, "resistance")
	require.True(t, ok)
	require.True(t, f.Required)
	require.Equal(t, "100 \u00b5\u03a9 to 1 G\u03a9", f.Range())
}
