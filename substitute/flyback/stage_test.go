package flyback

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/catalog/si"
	"sparewright/substitute/magnetics"
	"sparewright/testdata/handbook"
)

// drawPoint gives the corners of a small off-line stage, both modes.
func drawPoint(r *rapid.T) Point {
	return Point{
		Bus:       si.Voltage(rapid.Float64Range(60, 400).Draw(r, "bus")),
		Reflected: si.Voltage(rapid.Float64Range(20, 200).Draw(r, "reflected")),
		Power:     si.Power(rapid.Float64Range(0.01, 80).Draw(r, "power")),
		Inductance: si.Inductance(math.Exp(
			rapid.Float64Range(math.Log(50e-6), math.Log(20e-3)).Draw(r, "ln l"))),
		Frequency: si.Frequency(rapid.Float64Range(20e3, 200e3).Draw(r, "f")),
	}
}

func within(a, b, rel float64) bool {
	return math.Abs(a-b) <=
		rel*math.Max(math.Abs(a), math.Abs(b))
}

func TestOperateBalances(t *testing.T) {
	seen := map[Mode]bool{}
	rapid.Check(t, func(r *rapid.T) {
		p := drawPoint(r)
		o := Operate(p)
		seen[o.Mode] = true
		pk, vl := float64(o.Peak), float64(o.Valley)
		l, f, w := float64(p.Inductance), float64(p.Frequency), float64(p.Power)
		// (pk - vl)(pk + vl) loses digits when the ripple is small
		if !within(0.5*l*(pk-vl)*(pk+vl)*f, w, 1e-9*pk/(pk-vl)) {
			r.Fatalf("energy in the gap: %g, power %g", 0.5*l*(pk-vl)*(pk+vl)*f, w)
		}
		if !within(float64(o.PrimaryMean)*float64(p.Bus), w, 1e-9) {
			r.Fatalf("drawn from the bus %g, power %g", float64(o.PrimaryMean)*float64(p.Bus), w)
		}
		s := o.Secondary(7)
		if !within(float64(s.Mean)/7*float64(p.Reflected)*7, w*7, 1e-9) {
			r.Fatalf("secondary mean %g", s.Mean)
		}
		if !within(float64(o.Duty)*float64(p.Bus), float64(o.Demag)*float64(p.Reflected), 1e-9) {
			r.Fatalf("volt-seconds %v", o)
		}
		sum := float64(o.Duty + o.Demag)
		if !(o.Duty > 0 && o.Duty < 1 && o.Demag > 0 && o.Demag < 1 && sum <= 1+1e-12) {
			r.Fatalf("duty %g, demagnetising %g", o.Duty, o.Demag)
		}
		if (o.Mode == Continuous) != (o.Valley > 0) ||
			o.Mode == Continuous && !within(sum, 1, 1e-12) {
			r.Fatalf("mode %v, valley %g, sum %g", o.Mode, o.Valley, sum)
		}
	})
	require.Len(t, seen, 2, "both modes must occur")
}

// On the border of the modes both sets of formulas agree, so a hair more or less power changes the
// currents by a hair.
func TestOperateContinuousAcrossBorder(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		p := drawPoint(r)
		border := BoundaryPower(p.Bus, p.Reflected, p.Inductance, p.Frequency)
		p.Power = border * (1 - 1e-9)
		a := Operate(p)
		p.Power = border * (1 + 1e-9)
		b := Operate(p)
		if a.Mode != Discontinuous || b.Mode != Continuous {
			r.Fatalf("modes %v and %v", a.Mode, b.Mode)
		}
		for _, q := range [][2]float64{
			{float64(a.Peak), float64(b.Peak)}, {float64(a.Duty), float64(b.Duty)},
			{float64(a.Demag), float64(b.Demag)}, {float64(a.PrimaryRMS), float64(b.PrimaryRMS)},
			{float64(a.Peak), float64(b.Peak - b.Valley)},
			{float64(a.Secondary(5).RMS), float64(b.Secondary(5).RMS)},
		} {
			if !within(q[0], q[1], 1e-7) {
				r.Fatalf("%g and %g", q[0], q[1])
			}
		}
		if !within(float64(handbook.BoundaryInductance(p.Bus, p.Reflected, border, p.Frequency)),
			float64(p.Inductance), 1e-12) {
			r.Fatal("boundary inductance does not invert boundary power")
		}
	})
}

// Mean and rms against a midpoint sum over the waveform of one period.
func TestTrapezoidAgainstWaveform(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		pk := rapid.Float64Range(0.1, 30).Draw(r, "peak")
		w := Trapezoid{
			Peak: si.Current(pk), Valley: si.Current(pk *
				rapid.Float64Range(0, 1).Draw(r, "valley")),
			Share: si.Ratio(rapid.Float64Range(0.02, 1).Draw(r, "share")),
		}
		const n = 2000
		var sum, squares, ac float64
		for i := range n {
			y := float64(w.Valley) + (pk-float64(w.Valley))*(float64(i)+0.5)/n
			sum += y * float64(w.Share) / n
			squares += y * y * float64(w.Share) / n
		}
		ac = squares - sum*sum
		if !within(float64(w.Mean()), sum, 1e-9) ||
			!within(float64(w.RMS()), math.Sqrt(squares), 1e-6) {
			r.Fatalf("%+v: mean %g, rms %g, sums %g, %g", w, w.Mean(), w.RMS(), sum,
				math.Sqrt(squares))
		}
		if d := float64(magnetics.Alternating(w.RMS(), w.Mean())) *
			float64(magnetics.Alternating(w.RMS(), w.Mean())); math.Abs(d-ac) > 1e-5*squares {
			r.Fatalf("%+v: ac %g, sum %g", w, magnetics.Alternating(w.RMS(), w.Mean()),
				math.Sqrt(ac))
		}
	})
}

func TestOperateSecondaryAndRipple(t *testing.T) {
	p := Point{Bus: 100, Reflected: 100, Power: 10, Inductance: 1e-3, Frequency: 100e3}
	o := Operate(p)
	s := o.Secondary(10)
	require.Equal(t, o.Peak*10, s.Peak)
	require.Equal(t, o.Demag, s.Share)
	near(t, float64(CapacitorRipple(s, s.Mean)),
		math.Sqrt(float64(s.RMS*s.RMS-s.Mean*s.Mean)), 1e-12)
	require.Zero(t, CapacitorRipple(s, s.RMS*2))
	near(t, float64(o.SwitchingRipple()),
		float64(magnetics.Alternating(Trapezoid{Peak: o.Peak, Valley: o.Valley,
			Share: o.Duty}.RMS(), Trapezoid{Peak: o.Peak, Valley: o.Valley, Share: o.Duty}.Mean())),
		1e-12)
	require.Equal(t, "discontinuous", Discontinuous.String())
	require.Equal(t, "continuous", Continuous.String())
}

func TestOperateOutsideItsRange(t *testing.T) {
	good := Point{Bus: 100, Reflected: 100, Power: 10, Inductance: 1e-3, Frequency: 100e3}
	rest := good
	rest.Power = 0
	require.Equal(t, Operating{}, Operate(rest))
	for _, spoil := range []func(*Point){
		func(p *Point) { p.Bus = 0 }, func(p *Point) { p.Reflected = -1 }, func(p *Point) {
			p.Power = -1
		},
		func(p *Point) { p.Inductance = 0 }, func(p *Point) { p.Frequency = 0 },
		func(p *Point) { p.Power = si.Power(math.NaN()) }, func(p *Point) {
			p.Bus = si.Voltage(math.NaN())
		},
	} {
		p := good
		spoil(&p)
		o := Operate(p)
		for _, x := range []float64{
			float64(o.Duty), float64(o.Demag), float64(o.Peak), float64(o.PrimaryRMS),
			float64(o.PrimaryMean),
			float64(o.Secondary(3).RMS), float64(o.Secondary(3).Mean),
			float64(CapacitorRipple(o.Secondary(3), 1)),
			float64(o.SwitchingRipple()),
		} {
			require.True(t, math.IsInf(x, 1), "%+v: %v", p, o)
		}
	}
}
