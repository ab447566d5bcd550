package catalog_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/complete"
)

// A core of which only family and letters are known gets area and path from them: on every listed
// shape of a family with a rule and all its letters read in a document as means they are the
// printed ones within 6 % of the area and 3 % of the path, half of them within 1.5 %, as the rule
// is known for. Rows whose drawing prints a least d or e say so and are left out: their legs come
// out too wide.
func TestAreaAndPathFromTheLetters(t *testing.T) {
	var areas, paths []float64
	least := map[string]bool{}
	for _, row := range table(t, "shapes.tsv") {
		least[row["designation"]] = strings.Contains(row["note"], "=min") ||
			strings.Contains(row["note"], "(min)")
	}
	for _, s := range catalog.Shapes() {
		bare := catalog.Core{Named: catalog.Named{Name: "no name"}, Family: s.Family, A: s.A,
			B: s.B, C: s.C, D: s.D, E: s.E, F: s.F, I: s.I, K: s.K}
		got := complete.Part(bare).(catalog.Core)
		letters := []catalog.Basis{s.A.Basis, s.B.Basis, s.C.Basis, s.D.Basis, s.E.Basis, s.F.Basis}
		if !got.Area.Known() || slices.ContainsFunc(letters,
			func(b catalog.Basis) bool { return b != catalog.Published }) ||
			least[s.Name] {
			continue
		}
		require.True(t, got.Path.Known() && got.Volume.Known() && got.AreaMin.Known(), s.Name)
		require.False(t, got.Area.Firm(), "what a rule gives is no published figure")
		area, path := float64(got.Area.Value/s.Area.Value)-1, float64(got.Path.Value/s.Path.Value)-1
		require.LessOrEqual(t, math.Abs(area), 0.06, "%s: area %+.3f", s.Name, area)
		require.LessOrEqual(t, math.Abs(path), 0.03, "%s: path %+.3f", s.Name, path)
		areas, paths = append(areas, math.Abs(area)), append(paths, math.Abs(path))
	}
	require.Greater(t, len(areas), 15)
	slices.Sort(areas)
	slices.Sort(paths)
	require.Less(t, areas[len(areas)/2], 0.015)
	require.Less(t, paths[len(paths)/2], 0.015)
}

// Published figures are not replaced, and what has no rule is left unknown.
func TestLettersDoNotReplaceFigures(t *testing.T) {
	s, ok := catalog.ShapeNamed("E25/13/7")
	require.True(t, ok)
	full := complete.Part(s).(catalog.Core)
	require.Equal(t, s.Area, full.Area)
	require.Equal(t, s.Path, full.Path)
	s.Name, s.Shape, s.Family = "no name", "", "EPC"
	s.Area, s.AreaMin, s.Path, s.Volume = catalog.Core{}.Area, catalog.Core{}.Area,
		catalog.Core{}.Path, catalog.Core{}.Volume
	require.False(t, complete.Part(s).(catalog.Core).Area.Known())
}
