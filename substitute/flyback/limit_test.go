package flyback

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/catalog/si"
)

// cell is an ideal switching cell walked pulse by pulse, knowing nothing of modes.
type cell struct {
	bus, reflected, l, f, limit, dutyMax float64
	current                              float64 // A in the core at the clock
}

// pulse turns on at the clock until the limit or the longest duty, then off until the next clock,
// and returns the energy taken from the bus in J.
func (c *cell) pulse() float64 {
	period := 1 / c.f
	start := c.current
	on := min((c.limit-start)*c.l/c.bus, c.dutyMax*period)
	peak := start + on*c.bus/c.l
	c.current = peak
	c.skip(period - on)
	return 0.5 * c.l * (peak - start) * (peak + start)
}

// skip lets the core empty itself into the output for the time t.
func (c *cell) skip(t float64) { c.current = max(0, c.current-t*c.reflected/c.l) }

// settled is the mean power over the last pulses of a train long enough for 20 mH to reach 3 A in
// steps of 0.1 mA.
func (c *cell) settled() float64 {
	for range 40_000 {
		c.pulse()
	}
	var sum float64
	const n = 100
	for range n {
		sum += c.pulse()
	}
	return sum / n * c.f
}

// PowerAtLimit against the cell walked pulse by pulse. Peak current limit without slope
// compensation only settles below half duty (sub-harmonic oscillation), so the continuous draws
// stay below 0.47; the duty-limited ones may lie anywhere.
func TestPowerAtLimitAgainstPulses(t *testing.T) {
	kinds := map[string]bool{}
	rapid.Check(t, func(r *rapid.T) {
		p := drawPoint(r)
		limit := rapid.Float64Range(0.1, 3).Draw(r, "limit")
		dMax := rapid.Float64Range(0.2, 0.8).Draw(r, "duty max")
		d := float64(ContinuousDuty(p.Bus, p.Reflected))
		ripple := float64(RippleCurrent(p.Bus, si.Ratio(d), p.Inductance, p.Frequency))
		if limit > ripple && d <= dMax && d > 0.47 {
			return
		}
		switch {
		case limit > ripple && d <= dMax:
			kinds["continuous"] = true
		case limit > float64(RippleCurrent(p.Bus, si.Ratio(dMax), p.Inductance, p.Frequency)):
			kinds["duty"] = true
		default:
			kinds["discontinuous"] = true
		}
		if math.Abs(d-dMax) < 0.02 {
			return // settling between the two takes too many pulses
		}
		c := cell{float64(p.Bus), float64(p.Reflected), float64(p.Inductance), float64(p.Frequency),
			limit, dMax, 0}
		want := c.settled()
		got := float64(PowerAtLimit(p.Bus, p.Reflected, p.Inductance, p.Frequency,
			si.Current(limit), si.Ratio(dMax)))
		if !within(got, want, 1e-6) {
			r.Fatalf("power %g, pulses give %g (duty %g)", got, want, d)
		}
	})
	require.Len(t, kinds, 3, "all three kinds must occur: %v", kinds)
}

// What the limit allows is a point in which Operate finds exactly that peak.
func TestPowerAtLimitIsAnOperatingPoint(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		p := drawPoint(r)
		limit := rapid.Float64Range(0.05, 5).Draw(r, "limit")
		p.Power = PowerAtLimit(p.Bus, p.Reflected, p.Inductance, p.Frequency, si.Current(limit), 1)
		if o := Operate(p); !within(float64(o.Peak), limit, 1e-9) {
			r.Fatalf("peak %g, limit %g", o.Peak, limit)
		}
	})
}

func TestInductanceForPowerInvertsPowerAtLimit(t *testing.T) {
	feasible, refused := 0, 0
	rapid.Check(t, func(r *rapid.T) {
		p := drawPoint(r)
		limit := si.Current(rapid.Float64Range(0.1, 3).Draw(r, "limit"))
		dMax := si.Ratio(rapid.Float64Range(0.2, 0.9).Draw(r, "duty max"))
		power := func(l si.Inductance) float64 {
			return float64(PowerAtLimit(p.Bus, p.Reflected, l, p.Frequency, limit, dMax))
		}
		l, ok := InductanceForPower(p.Bus, p.Reflected, p.Power, p.Frequency, limit, dMax)
		if ok {
			feasible++
			if !within(power(l), float64(p.Power), 1e-9) {
				r.Fatalf("%g H gives %g W, wanted %g", l, power(l), p.Power)
			}
			for _, k := range []si.Inductance{0.5, 0.9, 0.999999} {
				if power(l*k) >= float64(p.Power) {
					r.Fatalf("%g H is enough, %g given", l*k, l)
				}
			}
			return
		}
		refused++
		for x := 1e-6; x < 1e3; x *= 1.05 {
			if power(si.Inductance(x)) >= float64(p.Power) {
				r.Fatalf("refused, but %g H gives %g W of %g", x, power(si.Inductance(x)), p.Power)
			}
		}
	})
	require.Positive(t, feasible)
	require.Positive(t, refused)
}

func TestLimitOutsideItsRange(t *testing.T) {
	nan := math.NaN()
	for _, b := range [][6]float64{
		{0, 100, 1e-3, 1e5, 1, 0.5}, {100, 0, 1e-3, 1e5, 1, 0.5}, {100, 100, 0, 1e5, 1, 0.5},
		{100, 100, 1e-3, 0, 1, 0.5}, {100, 100, 1e-3, 1e5, 0, 0.5}, {100, 100, 1e-3, 1e5, 1, 0},
		{nan, 100, 1e-3, 1e5, 1, 0.5}, {100, 100, 1e-3, 1e5, nan, 1},
	} {
		v, vr, l := si.Voltage(b[0]), si.Voltage(b[1]), si.Inductance(b[2])
		f, i, d := si.Frequency(b[3]), si.Current(b[4]), si.Ratio(b[5])
		require.Zero(t, PowerAtLimit(v, vr, l, f, i, d))
		if l > 0 {
			_, ok := InductanceForPower(v, vr, 5, f, i, d)
			require.False(t, ok)
		}
		if d > 0 {
			require.True(t, math.IsInf(float64(PulseShare(5, l, f, i, v, vr)), 1))
			o, share := OperateGated(Point{v, vr, 5, l, f}, i)
			require.True(t, math.IsInf(float64(share), 1) && math.IsInf(float64(o.PrimaryRMS), 1))
		}
	}
	l, ok := InductanceForPower(100, 100, 0, 1e5, 1, 0.5)
	require.True(t, ok)
	require.Zero(t, l)
	// V D I is 50 W, reached only by infinite inductance
	_, ok = InductanceForPower(100, 100, 50, 1e5, 1, 0.5)
	require.False(t, ok)
	require.True(t, math.IsInf(float64(Overshoot(375, 0, 1e-7)), 1))
	near(t, float64(Overshoot(375, 1.5e-3, 100e-9)), 0.025, 1e-12) // 375 V, 1.5 mH: 0.25 A/us
}

// An on/off controller walked clock by clock: it skips whenever the energy moved is ahead of the
// power. In discontinuous mode it uses exactly our share of the clocks. In continuous mode the
// train of pulses must keep up with any power whose share is below 1, and not with one above.
func TestPulseShareAgainstController(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		p := drawPoint(r)
		d := rapid.Float64Range(0.1, 0.47).Draw(r, "duty") // no sub-harmonic oscillation, see above
		p.Reflected = p.Bus * si.Voltage(d/(1-d))
		ripple := RippleCurrent(p.Bus, si.Ratio(d), p.Inductance, p.Frequency)
		limit := ripple * si.Current(rapid.Float64Range(0.2, 1).Draw(r, "discontinuous limit"))
		if rapid.Bool().Draw(r, "continuous") {
			limit = ripple * si.Current(rapid.Float64Range(1.01, 5).Draw(r, "continuous limit"))
		}
		load := rapid.OneOf(rapid.Float64Range(0.05, 0.9), rapid.Float64Range(0.9, 0.99),
			rapid.Float64Range(1.01, 1.2))
		p.Power = si.Power(load.Draw(r, "load")) *
			PowerAtLimit(p.Bus, p.Reflected, p.Inductance, p.Frequency, limit, 1)
		o, share := OperateGated(p, limit)
		c := cell{float64(p.Bus), float64(p.Reflected), float64(p.Inductance), float64(p.Frequency),
			float64(limit), 1, 0}
		c.settled()
		moved, used := c.regulate(float64(p.Power), 4000)
		const grain = 3.0 / 4000
		switch {
		case share > 1:
			if used < 1 || !within(moved, 1/float64(share), grain) {
				r.Fatalf("share %g, but the controller moves %g of the power with %g of the clocks",
					share, moved, used)
			}
		case o.Mode == Discontinuous:
			if math.Abs(used-float64(share)) > grain {
				r.Fatalf("share %g, controller %g", share, used)
			}
		case share > 0.9:
			if moved < 1-2*grain {
				r.Fatalf("share %g, but the controller moves only %g of the power", share, moved)
			}
		}
		pk, vl := float64(o.Peak), float64(o.Valley)
		if !within(0.5*c.l*(pk-vl)*(pk+vl)*c.f*float64(share), float64(p.Power), 1e-9*pk/(pk-vl)) ||
			!within(float64(o.PrimaryMean)*c.bus, float64(p.Power), 1e-9) ||
			!within(float64(o.Secondary(9).Mean)*c.reflected/9, float64(p.Power), 1e-9) {
			r.Fatalf("power does not balance: %+v", o)
		}
	})
}

// regulate runs an on/off controller for n clocks and returns the share of the wanted energy moved
// and the share of clocks used.
func (c *cell) regulate(power float64, n int) (moved, used float64) {
	for i := range n {
		if moved > power*float64(i)/c.f {
			c.skip(1 / c.f)
			continue
		}
		used++
		moved += c.pulse()
	}
	return moved / (power * float64(n) / c.f), used / float64(n)
}

// The period is put together again from its three parts, and the power from energy and period.
func TestQuasiResonantPeriod(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		p := drawPoint(r)
		drain := si.Capacitance(rapid.Float64Range(0, 500e-12).Draw(r, "drain"))
		o, f := OperateResonant(p, drain)
		peak, again := QuasiResonant(p.Bus, p.Reflected, p.Power, p.Inductance, drain)
		l := float64(p.Inductance)
		period := l*float64(peak)/float64(p.Bus) + l*float64(peak)/float64(p.Reflected) +
			math.Pi*math.Sqrt(l*float64(drain))
		if !within(period, 1/float64(f), 1e-12) || f != again {
			r.Fatalf("period %g, frequency %g", period, f)
		}
		if !within(0.5*l*float64(peak)*float64(peak)/period, float64(p.Power), 1e-9) {
			r.Fatalf("power %g", 0.5*l*float64(peak)*float64(peak)/period)
		}
		if o.Mode != Discontinuous || !within(float64(o.PrimaryMean)*float64(p.Bus),
			float64(p.Power), 1e-9) ||
			float64(o.Duty+o.Demag) > 1+1e-12 {
			r.Fatalf("%+v", o)
		}
	})
	o, f := OperateResonant(Point{Bus: 100, Reflected: 100, Inductance: 1e-3}, 0)
	require.Zero(t, f)
	require.True(t, math.IsInf(float64(o.Peak), 1))
	require.True(t, math.IsInf(float64(o.PrimaryRMS), 1))
}
