package magnetics_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/catalog/si"
	"sparewright/substitute/magnetics"
)

func TestGapFromALInverts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g, mu := anyPair(t), ratio(rapid.Float64Range(800, 5000).Draw(t, "mu"))
		gap := magnetics.Gap{Ground: mm(rapid.Float64Range(0.005, 3).Draw(t, "ground")),
			Residual: um(7)}
		al := magnetics.InductanceFactor(g, mu, gap)
		if back := magnetics.GapFromAL(g, mu, gap.Residual,
			al); math.Abs(float64(back-gap.Ground)) > 1e-9 {
			t.Fatalf("ground %g mm comes back as %g", inMM(gap.Ground), inMM(back))
		}
		shim := mm(rapid.Float64Range(0.01, 1).Draw(t, "shim"))
		gap.Shim = shim
		after := magnetics.InductanceFactor(g, mu, gap)
		if back := magnetics.ShimFromAL(g, mu, gap.Residual, al,
			after); math.Abs(float64(back-shim)) > 1e-8 {
			t.Fatalf("shim %g mm comes back as %g", inMM(shim), inMM(back))
		}
	})
}

func TestGapFromALEnds(t *testing.T) {
	g := ef20(t)
	require.Zero(t, magnetics.GapFromAL(g, 2300, um(7), nH(5000)))
	require.Equal(t, mm(10), magnetics.GapFromAL(g, 2300, um(7), nH(1)))
	require.Zero(t, magnetics.ShimFromAL(g, 2300, um(7), nH(500), nH(600)))
}

// The gap that a field solution was made with, from its AL: 5 % in AL is about 7 % in a gap of 0.4
// mm.
func TestGapFromFieldSolution(t *testing.T) {
	g := ef20(t)
	near(t, inMM(magnetics.GapFromAL(g, 2300, 0, nH(130.51))), 0.4, 0.03)
	near(t, inMM(magnetics.ShimFromAL(g, 2300, 0,
		magnetics.InductanceFactor(g, 2300, magnetics.Gap{}), nH(131.26))), 0.2, 0.03)
}

// Bench notes, section 3: E25/13/7, mu_i 2300 +-25 %, without stray field 0.30 mm reads 0.283 to
// 0.317. Only the permeability part is in GapBandFromAL; it must stay inside.
func TestGapBand(t *testing.T) {
	g := magnetics.Geometry{Area: mm2(52.5), Path: mm(57.5), LegWidth: mm(7.25), LegDepth: mm(7.2),
		WindowWidth: mm(5.35), WindowHeight: mm(18)}
	al := magnetics.InductanceFactor(g, 2300, magnetics.Gap{Ground: mm(0.3)})
	b := magnetics.GapBandFromAL(g, si.Around(ratio(2300), 0.25), si.Interval[si.Length]{},
		si.Exactly(al))
	require.True(t, b.Contains(mm(0.3)))
	require.Greater(t, inMM(b.Low), 0.283)
	require.Less(t, inMM(b.High), 0.317)
	require.Greater(t, inMM(b.Width()), 0.008, "le/mu alone changes by 13 um")
}

// Bench notes, section 2: EE16 with le 35.0 mm, Ae 19.2 mm2, AL 1140 nH reads mu_e 1654; with a
// joint of 4, 7, 10 um mu_i is 2040, 2470, 3130.
func TestPermeabilityOfEE16(t *testing.T) {
	g := magnetics.Geometry{Area: mm2(19.2), Path: mm(35)}
	require.InDelta(t, 1654, float64(magnetics.EffectivePermeability(g, nH(1140))), 1)
	for joint, mu := range map[float64]float64{4: 2040, 7: 2470, 10: 3130} {
		require.InDelta(t, mu, float64(magnetics.PermeabilityFromAL(g, nH(1140), um(joint))), 10)
	}
	b := magnetics.PermeabilityBand(g, si.Exactly(nH(1140)),
		si.Interval[si.Length]{Low: um(4), High: um(10)})
	require.InDelta(t, 2040, float64(b.Low), 10)
	require.InDelta(t, 3130, float64(b.High), 10)
	// mu_i 2470 with joints of 30, 15, 7 and 5 um: 548, 832, 1149, 1270 nH in the same notes.
	for joint, al := range map[float64]float64{30: 548, 15: 832, 7: 1149, 5: 1270} {
		near(t, inNH(magnetics.InductanceFactor(g, 2500, magnetics.Gap{Residual: um(joint)})), al,
			0.01)
	}
	near(t, float64(magnetics.MagneticLength(g, nH(1140)))*1e6, 35e3/1654, 1e-3)
}

func windings(al float64, lead float64, turns ...int) []magnetics.Reading {
	var rs []magnetics.Reading
	for _, n := range turns {
		rs = append(rs, magnetics.Reading{Turns: n,
			Inductance: si.Inductance(al*float64(n*n) + lead)})
	}
	return rs
}

func TestFitAL(t *testing.T) {
	f, err := magnetics.FitAL(windings(1140e-9, 0.2e-6, 5, 10, 20), 0.02)
	require.NoError(t, err)
	require.True(t, f.Agree)
	require.Empty(t, f.Suspects)
	near(t, inNH(f.AL), 1140, 1e-6)
	near(t, float64(f.Lead)*1e6, 0.2, 1e-4)

	one, err := magnetics.FitAL(windings(1140e-9, 0, 10), 0.02)
	require.NoError(t, err)
	near(t, inNH(one.AL), 1140, 1e-9)
	near(t, inNH(one.Deviation), 1140*0.02, 1e-9, "one reading is as good as the meter")

	equal, err := magnetics.FitAL(windings(1140e-9, 0, 10, 10, 10, 10), 0.02)
	require.NoError(t, err)
	near(t, inNH(equal.Deviation), 1140*0.01, 1e-9, "four readings halve the error")
}

// Bench notes, section 1: one turn miscounted at 10 turns changes AL by +24/-17 %.
func TestMiscount(t *testing.T) {
	rs := windings(1140e-9, 0, 10, 20, 30)
	rs[1].Turns = 21
	f, err := magnetics.FitAL(rs, 0.01)
	require.NoError(t, err)
	require.False(t, f.Agree)
	require.NotEmpty(t, f.Suspects)
	require.Equal(t, 1, f.Suspects[0].Index)
	require.Equal(t, 20, f.Suspects[0].Turns)

	pair := windings(1140e-9, 0, 10, 20)
	pair[0].Turns = 11
	f, err = magnetics.FitAL(pair, 0.01)
	require.NoError(t, err)
	require.False(t, f.Agree)
	require.Contains(t, []int{f.Suspects[0].Index, f.Suspects[len(f.Suspects)-1].Index}, 0)

	wrong := windings(1140e-9, 0, 10, 20, 30)
	wrong[2].Inductance *= 2
	f, err = magnetics.FitAL(wrong, 0.01)
	require.NoError(t, err)
	require.False(t, f.Agree)
	require.Empty(t, f.Suspects, "no single miscount explains a factor of two")
}

func TestFitALErrors(t *testing.T) {
	_, err := magnetics.FitAL(nil, 0.01)
	require.Error(t, err)
	_, err = magnetics.FitAL(windings(1e-6, 0, 10), 0)
	require.Error(t, err)
	_, err = magnetics.FitAL([]magnetics.Reading{{Turns: 0, Inductance: 1e-6}}, 0.01)
	require.Error(t, err)
	_, err = magnetics.FitAL([]magnetics.Reading{{Turns: 3, Inductance: si.Inductance(math.NaN())}},
		0.01)
	require.Error(t, err)
}
