package magnetics_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/catalog/si"
	"sparewright/substitute/magnetics"
	"sparewright/testdata/handbook"
)

// Worked by hand: former 10 mm between cheeks, 30 mm around. 45 turns of 0.4 mm with 1 mm margins:
// 20 a layer (8 mm), three layers 20+20+5 at heights 0.2, 0.65, 1.1 mm with 0.05 mm tape between.
func TestWindByHand(t *testing.T) {
	f := magnetics.Former{Width: mm(10), Height: mm(3), CoreAround: mm(30)}
	ls, build, ok := magnetics.Wind(f, []magnetics.Section{
		{Turns: 45, Strands: 1, Overall: mm(0.4), Margin: mm(1), TapeBetween: mm(0.05),
			TapeAfter: mm(0.15), Tails: mm(100)},
		{Turns: 6, Strands: 3, Overall: mm(0.5), TapeAfter: mm(0.1)},
	})
	require.True(t, ok)
	require.Equal(t, 20, ls[0].TurnsPerLayer)
	require.Equal(t, 3, ls[0].Layers)
	near(t, inMM(ls[0].Build), 1.3, 1e-9)
	near(t, inMM(ls[0].Width), 8, 1e-9)
	wire := 45*30 + 2*math.Pi*(20*0.2+20*0.65+5*1.1)
	near(t, inMM(ls[0].Length), wire+100, 1e-9)
	near(t, inMM(ls[0].MeanTurn), wire/45, 1e-9)
	require.Equal(t, 6, ls[1].TurnsPerLayer)
	require.Equal(t, 1, ls[1].Layers)
	near(t, inMM(ls[1].MeanTurn), 30+2*math.Pi*(1.3+0.15+0.25), 1e-9)
	near(t, inMM(build), 1.3+0.15+0.5+0.1, 1e-9)
}

func TestWindRefusals(t *testing.T) {
	f := magnetics.Former{Width: mm(10), Height: mm(1), CoreAround: mm(30)}
	for name, s := range map[string][]magnetics.Section{
		"too high":         {{Turns: 100, Strands: 1, Overall: mm(0.5)}},
		"too wide":         {{Turns: 1, Strands: 3, Overall: mm(4)}},
		"margins eat all":  {{Turns: 1, Strands: 1, Overall: mm(0.5), Margin: mm(5)}},
		"no third chamber": {{Turns: 1, Strands: 1, Overall: mm(0.5), Chamber: 2}},
		"no turns":         {{Turns: 0, Strands: 1, Overall: mm(0.5)}},
		"no wire":          {{Turns: 1, Strands: 1}},
		"no strand":        {{Turns: 1, Overall: mm(0.5)}},
	} {
		f.Split = name == "no third chamber"
		_, _, ok := magnetics.Wind(f, s)
		require.False(t, ok, name)
	}
	f.Split = false
	_, build, ok := magnetics.Wind(f, []magnetics.Section{
		{Turns: 40, Strands: 1, Overall: mm(0.5)}})
	require.True(t, ok, "two layers of 0.5 mm fill 1 mm exactly, 20 turns of 0.5 mm fill "+
		"10 mm exactly")
	near(t, inMM(build), 1, 1e-9)
}

func TestSplitFormer(t *testing.T) {
	sections := []magnetics.Section{
		{Turns: 20, Strands: 1, Overall: mm(0.5)},
		{Turns: 10, Strands: 1, Overall: mm(0.5), Chamber: 1},
	}
	f := magnetics.Former{Width: mm(5), Height: mm(1.2), CoreAround: mm(30), Split: true}
	ls, build, ok := magnetics.Wind(f, sections)
	require.True(t, ok)
	near(t, inMM(build), 1, 1e-9)
	near(t, inMM(ls[1].MeanTurn), 30+2*math.Pi*0.25, 1e-9,
		"the second chamber starts at the former")
	f.Split = false
	_, build, ok = magnetics.Wind(f, sections)
	require.False(t, ok)
	near(t, inMM(build), 1.5, 1e-9)
}

func TestWindSums(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := magnetics.Former{
			Width: mm(rapid.Float64Range(3, 30).Draw(t, "width")), Height: mm(50),
			CoreAround: mm(rapid.Float64Range(10, 80).Draw(t, "around")),
		}
		n := rapid.IntRange(1, 5).Draw(t, "sections")
		var sections []magnetics.Section
		for range n {
			sections = append(sections, magnetics.Section{
				Turns: rapid.IntRange(1, 120).Draw(t, "turns"), Strands: rapid.IntRange(1,
					3).Draw(t, "strands"),
				Overall:   mm(rapid.Float64Range(0.1, 0.9).Draw(t, "overall")),
				TapeAfter: mm(rapid.Float64Range(0, 0.2).Draw(t, "tape")),
				Tails:     mm(rapid.Float64Range(0, 200).Draw(t, "tails")),
			})
		}
		ls, build, ok := magnetics.Wind(f, sections)
		if !ok {
			return
		}
		var sum si.Length
		last := f.CoreAround
		for i, l := range ls {
			sum += l.Build + sections[i].TapeAfter
			if wire := l.Length - sections[i].Tails; math.Abs(
				float64(wire-l.MeanTurn*si.Length(sections[i].Turns))) > 1e-9 {
				t.Fatalf("length %g is not mean turn times turns", float64(wire))
			}
			if l.MeanTurn <= last-si.Length(1e-12)-l.Build*7 || l.MeanTurn < f.CoreAround {
				t.Fatalf("mean turn shrinks outward")
			}
			if l.Width > f.Width*(1+1e-9) || l.TurnsPerLayer*l.Layers < sections[i].Turns ||
				l.TurnsPerLayer*(l.Layers-1) >= sections[i].Turns {
				t.Fatalf("layers do not hold the turns: %+v", l)
			}
			last = l.MeanTurn
		}
		if math.Abs(float64(sum-build)) > 1e-12 {
			t.Fatalf("build %g, sum %g", float64(build), float64(sum))
		}
	})
}

// IEC 60317-0-1 / IEC 60028: 0.5 mm copper is 0.0871 ohm/m nominal at 20 degC (from memory); copper
// gains 39.3 % over 100 K.
func TestWireResistance(t *testing.T) {
	r := magnetics.WireResistance(1, mm(0.5), 1, 20)
	require.InDelta(t, 0.0878, float64(r), 0.0008) // 0.0871 with 1/58.5e6, 0.0878 with 1/58e6
	near(t, float64(magnetics.WireResistance(2, mm(0.5), 4, 20)), float64(r)/2, 1e-12)
	near(t, float64(magnetics.WireResistance(1, mm(0.5), 1, 120)), float64(r)*1.393, 1e-12)
}

// The leakage formula by the energy of the field, integrated numerically: H rises linearly through
// the primary, is constant in the insulation and falls through the secondary; 2 W/I^2 = mu0 lm w
// integral (H/I)^2 dx.
func TestLeakageByFieldEnergy(t *testing.T) {
	const n, lm, w, b1, b2, c = 60, 0.05, 0.015, 2e-3, 1.2e-3, 0.2e-3
	field := func(x float64) float64 { // ampere-turns per ampere
		switch {
		case x < b1:
			return n * x / b1
		case x < b1+c:
			return n
		default:
			return n * (b1 + c + b2 - x) / b2
		}
	}
	const steps = 100000
	sum := 0.0
	for i := range steps {
		h := field((float64(i)+0.5)/steps*(b1+c+b2)) / w
		sum += h * h
	}
	energy := si.Mu0 * lm * w * sum * (b1 + c + b2) / steps
	path := magnetics.LeakagePath{Turns: n, MeanTurn: lm, Width: w, Primary: b1,
		Secondary: b2, Insulation: c}
	near(t, float64(path.Inductance()), energy, 1e-4)
	// Split: two halves of the primary with half the ampere-turns each, half the secondary facing
	// each.
	half := path
	half.Turns, half.Primary, half.Secondary = n/2, b1/2, b2/2
	path.Split = true
	near(t, float64(path.Inductance()), 2*float64(half.Inductance()), 1e-9)
}

// ASTM B258 defines AWG 36 as 0.005 inch and 4/0 (-3) as 0.46 inch.
func TestGaugeDefinition(t *testing.T) {
	near(t, inMM(handbook.GaugeDiameter(36)), 0.127, 1e-12)
	near(t, inMM(handbook.GaugeDiameter(-3)), 11.684, 1e-12)
}
