package flyback

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/catalog/si"
	"sparewright/testdata/handbook"
)

// supply is one case of rectified mains.
type supply struct {
	vac, line, c, p, drop float64 // V, Hz, F, W, V
}

func (s supply) valley() (float64, bool) {
	v, ok := BusValley(si.Voltage(s.vac), si.Frequency(s.line), si.Capacitance(s.c), si.Power(s.p),
		si.Voltage(s.drop))
	return float64(v), ok
}

func (s supply) wave(t float64) float64 {
	return math.Sqrt2*s.vac*math.Abs(math.Cos(2*math.Pi*s.line*t)) - 2*s.drop
}

// walked is what a small-step integration of one half wave finds.
type walked struct {
	valley, capacitor, bridge, mean float64 // V, A rms, A rms, A
	alive                           bool
}

// walk integrates C dV/dt = -P/V in small steps of the midpoint rule from the crest until the
// rising half wave meets the bus, then lets the bus follow the wave. With follow the bus also rides
// down the wave past the crest for as long as the wave falls slower than the load would pull, which
// is what a real bridge does.
func (s supply) walk(steps int, follow bool) walked {
	half := 1 / (2 * s.line)
	h := half / float64(steps)
	v := s.wave(0)
	w := walked{valley: v, alive: true}
	var cap2, bridge2, bridge1 float64
	for i := range steps {
		now := float64(i) * h
		load := s.p / v
		next := v - h*s.p/s.c/(v-h/2*load/s.c)
		wave := s.wave(now + h)
		conducts := wave >= next && (follow || now > half/2)
		if conducts {
			next = wave
		}
		if !(next > 0) {
			return walked{}
		}
		into := s.c * (next - v) / h // A
		cap2 += into * into * h
		if conducts {
			b := into + s.p/((v+next)/2)
			bridge1 += b * h
			bridge2 += b * b * h
		}
		v = next
		w.valley = min(w.valley, v)
	}
	w.capacitor, w.bridge, w.mean = math.Sqrt(cap2/half), math.Sqrt(bridge2/half), bridge1/half
	return w
}

var supplies = []supply{
	{85, 47, 97.27e-6, 56.5, 0},
	{195, 50, 22e-6, 18, 0.9},
	{195, 50, 10e-6, 18, 0.9},
	{90, 60, 47e-6, 15, 0.8},
	{265, 50, 100e-6, 12, 0.7},
	{230, 50, 4.7e-6, 10, 1},
	{30, 50, 1000e-6, 10, 3}, // no mains, but the drops weigh here
}

func TestBusValleyAgainstIntegration(t *testing.T) {
	for _, s := range supplies {
		got, ok := s.valley()
		w := s.walk(400_000, false)
		require.True(t, ok && w.alive)
		near(t, got, w.valley, 1e-5)
	}
}

// The crest as start of the discharge is the only idealisation. The bus rides the wave until sin(2
// w t) = 2 P/(C w Vpk^2), which leaves it at most Vpk^2 (x sin 2x - sin^2 x) higher in V^2, x = w
// t.
func TestBusValleyIsSlightlyCautious(t *testing.T) {
	for _, s := range supplies {
		s.drop = 0
		got, _ := s.valley()
		truth := s.walk(400_000, true).valley
		omega, peak := 2*math.Pi*s.line, math.Sqrt2*s.vac
		x := math.Asin(2*s.p/(s.c*omega*peak*peak)) / 2
		excess := peak * peak * (x*math.Sin(2*x) - math.Sin(x)*math.Sin(x))
		require.GreaterOrEqual(t, truth, got-1e-5*got)
		require.LessOrEqual(t, truth*truth, got*got+excess+1e-4*got*got)
	}
}

func TestBulkRippleAgainstIntegration(t *testing.T) {
	for _, s := range supplies {
		got, ok := BulkRipple(si.Voltage(s.vac), si.Frequency(s.line), si.Capacitance(s.c),
			si.Power(s.p), si.Voltage(s.drop))
		w := s.walk(1_000_000, false)
		require.True(t, ok)
		near(t, float64(got.Valley), w.valley, 1e-5)
		near(t, float64(got.CapacitorRMS), w.capacitor, 1e-3)
		near(t, float64(got.BridgeRMS), w.bridge, 1e-3)
		near(t, float64(got.BridgeMean), w.mean, 1e-3)
		meet := 1/(2*s.line) - float64(got.Conduction)
		near(t, s.wave(meet), w.valley, 1e-4)
		steep := s.c * 2 * math.Pi * s.line * math.Sqrt2 * s.vac *
			math.Sin(2*math.Pi*s.line*float64(got.Conduction))
		near(t, float64(got.BridgePeak), steep+s.p/w.valley, 1e-3)
	}
}

// A bank so large that the bridge conducts for less than a thousandth of a radian: the currents
// still balance, and the charging pulse is nearly a triangle, whose rms follows from mean and
// length alone, mean sqrt(4/(3 share)).
func TestBulkRippleOfAShortPulse(t *testing.T) {
	const p, crest = 0.01, 230 * math.Sqrt2
	b, ok := BulkRipple(230, 50, 0.1, p, 0)
	require.True(t, ok)
	share := float64(b.Conduction) * 2 * 50
	require.Less(t, share*math.Pi, 1e-3)
	near(t, float64(b.BridgeMean), p/crest, 1e-4)
	near(t, float64(b.BridgeRMS), p/crest*math.Sqrt(4/(3*share)), 0.01)
	near(t, float64(b.CapacitorRMS), float64(b.BridgeRMS), 0.01)
}

func TestBusEnds(t *testing.T) {
	_, ok := BusValley(230, 50, 1e-6, 20, 0.9)
	require.False(t, ok, "1 uF holds 52 mJ, 20 W need 100 mJ in a quarter period")
	v, ok := BusValley(230, 50, 10e-6, 0, 1)
	require.True(t, ok)
	near(t, float64(v), 230*math.Sqrt2-2, 1e-12)
	b, ok := BulkRipple(230, 50, 10e-6, 0, 1)
	require.True(t, ok)
	require.InDelta(t, 0, float64(b.CapacitorRMS), 1e-6)
	require.InDelta(t, 0, float64(b.BridgePeak), 1e-6)
	nan := si.Voltage(math.NaN())
	for _, bad := range []supply{
		{0, 50, 1e-5, 5, 0}, {230, 0, 1e-5, 5, 0}, {230, 50, 0, 5, 0}, {230, 50, 1e-5, -5, 0},
		{230, 50, 1e-5, 5, -1}, {1, 50, 1e-5, 5, 1}, {230, 50, 1e-5, 5, float64(nan)},
		{230, 50, 1e-5, math.NaN(), 0},
	} {
		_, ok := bad.valley()
		require.False(t, ok, "%+v", bad)
		_, ok = BulkRipple(si.Voltage(bad.vac), si.Frequency(bad.line), si.Capacitance(bad.c),
			si.Power(bad.p),
			si.Voltage(bad.drop))
		require.False(t, ok, "%+v", bad)
	}
	require.Zero(t, BusPeak(1, 1))
	require.True(t, math.IsInf(float64(handbook.BulkCapacitance(230, 50, 330, 10, 0)), 1))
	near(t, float64(Inrush(230, 10)), 32.53, 1e-3) // 325.3 V crest of 230 V mains over 10 ohm
}

// The capacitor computed for a valley gives that valley, and the lowest voltage falls with power
// and rises with capacitance.
func TestBulkCapacitanceInvertsValley(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		vac := rapid.Float64Range(85, 265).Draw(r, "vac")
		line := rapid.Float64Range(47, 63).Draw(r, "line")
		drop := rapid.Float64Range(0, 1.1).Draw(r, "drop")
		p := rapid.Float64Range(1, 60).Draw(r, "p")
		want := rapid.Float64Range(0.05, 0.98).Draw(r, "share") * (math.Sqrt2*vac - 2*drop)
		c := float64(handbook.BulkCapacitance(si.Voltage(vac), si.Frequency(line), si.Voltage(want),
			si.Power(p), si.Voltage(drop)))
		got, ok := supply{vac, line, c, p, drop}.valley()
		if !ok || math.Abs(got-want) > 1e-6*want {
			r.Fatalf("valley %g, wanted %g, ok %v", got, want, ok)
		}
		more, ok := supply{vac, line, c * 1.01, p, drop}.valley()
		if !ok || more <= got {
			r.Fatalf("more capacitance gives %g after %g", more, got)
		}
	})
}
