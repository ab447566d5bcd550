package identify

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/catalog/typed"
	"sparewright/substitute/magnetics"
)

// twentyShapes are catalogue cores of the families that come out of small supplies, with all six
// letters listed (Magnetics 2013 catalog, Ferroxcube and TDK data sheets; the source of each is in
// the catalog row).
var twentyShapes = []string{"E13/6/3", "E13/6/6", "E17/7/4", "E19/8/5", "E19/8/10", "E25/10/7",
	"E25/13/7", "E25/16/6",
	"E25/13/11", "E30/15/7", "E31/13/9", "E34/14/9", "E35/21/9", "ETD29/16/10", "ETD34/17/11",
	"ETD39/20/13", "ER28/14/11",
	"EFD15/8/5", "EFD20/10/7", "EFD25/13/9"}

// Twenty catalogue cores read with a caliper that is off by 0.1 mm (one standard deviation) on
// every side: the best match is the core itself, or the same shape of another maker, in at least 95
// % of 2,000 readings. The family is seen by eye.
func TestCaliperFindsTheShape(t *testing.T) {
	require.Len(t, twentyShapes, 20)
	r := rand.New(rand.NewPCG(6, 20))
	right, trials := 0, 0
	for _, name := range twentyShapes {
		s, ok := catalog.ShapeNamed(name)
		require.True(t, ok, name)
		for range 100 {
			read := magnetics.Outline{Family: s.Family, A: s.A.Value, B: s.B.Value, C: s.C.Value,
				D: s.D.Value, E: s.E.Value,
				F: s.F.Value}
			for _, side := range outlineSides(&read)[:6] {
				require.Positive(t, float64(*side.at), name)
				*side.at += si.Length(r.NormFloat64() * 0.1e-3)
			}
			matches, err := magnetics.MatchShapes(read, listedShapes(), 0.1e-3)
			require.NoError(t, err)
			found, _, _ := strings.Cut(matches[0].Name, " ")
			trials++
			if found == name {
				right++
			}
		}
	}
	t.Logf("%d of %d right", right, trials)
	require.GreaterOrEqual(t, right*100, 95*trials)
}

// Every option of identify is used by a method, and every method names only options there are.
func TestIdentifyOptions(t *testing.T) {
	known := map[string]bool{}
	for _, f := range identifyFlags() {
		known[f.Names()[0]] = true
	}
	used := map[string]bool{"store": true, "drawers": true, "demo": true, "json": true,
		"header": true, "color": true}
	for _, m := range Methods {
		for _, o := range m.Options {
			require.True(t, known[o], "%s: --%s", m.Name, o)
			used[o] = true
		}
	}
	for o := range known {
		require.True(t, used[o], "--%s is used by no method", o)
	}
}

// Readings with their errors as typed.
func TestReadingOption(t *testing.T) {
	for text, want := range map[string][2]float64{
		"2.44ohm+-1%": {2.44, 0.0244}, "2.44 +/- 0.02": {2.44, 0.02}, "1k±5%": {1000, 50},
		"4R7": {4.7, 0.047},
	} {
		var r Reading[si.Resistance]
		require.NoError(t, r.Set(text), text)
		k := r.Known(0.01)
		require.InEpsilon(t, want[0], float64(k.Value), 1e-12, text)
		require.InEpsilon(t, want[1], float64(k.Band.Width())/2, 1e-9, text)
	}
	mm := Reading[si.Length]{Unit: typed.Millimetres}
	require.NoError(t, mm.Set("0.44+-0.02"))
	require.InEpsilon(t, 0.44e-3, float64(mm.Value), 1e-12)
	require.InEpsilon(t, 0.02e-3, float64(mm.Half), 1e-12)
	for _, bad := range []string{"0", "-1", "", "1+-60%", "1+-2", "1+-x", "NaN", "1+--1%"} {
		var r Reading[si.Resistance]
		require.Error(t, r.Set(bad), bad)
	}
}

// An error without a unit behind a value with one may be percent or the unit.
func TestErrorOfAReading(t *testing.T) {
	var r Reading[si.Resistance]
	require.Error(t, r.Set("2.44ohm+-1"))
	require.NoError(t, r.Set("2.44ohm+-1%"))
	require.NoError(t, r.Set("2.44+-0.02"))
	e := Reading[si.Ratio]{Unit: typed.Error}
	require.NoError(t, e.Set("2"))
	require.InEpsilon(t, 0.02, float64(e.Value), 1e-12)
	require.Contains(t, e.Said(), "2%")
	m := Reading[si.Mass]{Unit: typed.Mass}
	require.NoError(t, m.Set("310"))
	require.InEpsilon(t, 0.31, float64(m.Value), 1e-12)
	require.ErrorContains(t, m.Set("0.5"), "0.5 kg")
}
